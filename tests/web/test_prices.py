"""Unit prices pasted from a spreadsheet."""

import pytest

from slabwright.errors import InputError
from slabwright.records.decisions import Decisions
from slabwright.web.parts.prices import pasted_prices, prices

DECISIONS = Decisions()


def test_prices_are_found_by_name_or_meaning_in_any_case() -> None:
    text = "repair.saw_cost\t200\nFull-depth repair, per square metre\t1,250.50\n\ncrack_cost;  $31\n"
    assert pasted_prices(text, DECISIONS) == {
        "repair.saw_cost": 200.0,
        "repair.full_depth_cost": 1250.5,
        "repair.crack_cost": 31.0,
    }


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("gold\t5", "line 1"),
        ("saw_cost\t200\nsaw_cost\tdear", "line 2"),
        ("saw_cost\t-5", "outside its bounds"),
        ("saw_cost", "two columns"),
        ("=1+1\t2", "not the name of a unit price"),
        ("", "changes no unit price"),
        ("saw_cost\t180", "changes no unit price"),
    ],
)
def test_what_cannot_be_taken_is_a_sentence(text: str, part: str) -> None:
    with pytest.raises(InputError, match=part):
        pasted_prices(text, DECISIONS)


def test_every_price_is_in_the_table() -> None:
    assert {e.name for e in prices(DECISIONS)} >= {"repair.saw_cost", "design.concrete_cost", "design.surface_cost"}
