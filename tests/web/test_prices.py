"""Unit prices pasted from a spreadsheet."""

import pytest

from slabwright import units
from slabwright.errors import InputError
from slabwright.records.decisions import Decisions
from slabwright.web.parts.prices import pasted_prices, prices

DECISIONS = Decisions()


def test_prices_are_found_by_present_or_past_name_or_meaning_in_any_case() -> None:
    text = "repair.saw_cost\t200\neconomics.void_cost\t300\noverlay.surface_cost\t15\nFull-depth repair\t1,250.50\n\ncrack_cost;  $31\n"
    assert pasted_prices(text, DECISIONS, "metric") == {
        "economics.saw_cost": 200.0,
        "economics.void_cost": 300.0,
        "economics.surface_cost": 15.0,
        "economics.full_depth_cost": 1250.5,
        "economics.crack_cost": 31.0,
    }


def test_bare_prices_are_for_the_units_of_the_reader() -> None:
    """1 yd2 = 0.83612736 m2, 1 yd3 = 0.764554857984 m3 and 1 ft = 0.3048 m exactly; each stays each."""
    text = "full_depth_cost\t209.03184\nconcrete_cost\t152.9109715968\ncrack_cost\t3.048\nsaw_cost\t175\nsurface_cost\t$5/m²"
    assert pasted_prices(text, DECISIONS, "us") == pytest.approx({
        "economics.full_depth_cost": 250.0,
        "economics.concrete_cost": 200.0,
        "economics.crack_cost": 10.0,
        "economics.saw_cost": 175.0,
        "economics.surface_cost": 5.0,
    })


@pytest.mark.parametrize(
    "unit", ["per yd²", "/yd^2", "$/sq yd", "per sy", "USD/yd2", "money/yd^2", "1/yd²", "per ft² "]
)
def test_a_price_is_read_with_its_unit(unit: str) -> None:
    """1 yd2 = 9 ft2 = 0.83612736 m2."""
    area = 0.83612736 / (9 if "ft" in unit else 1)
    assert units.parse(f"100 {unit}", "money_per_area", "metric") == pytest.approx(100 / area)


@pytest.mark.parametrize("text", ["5 yd²", "5 per yd", "5 psi", "5 per psi", "5 $"])
def test_another_unit_is_no_price_of_an_area(text: str) -> None:
    with pytest.raises(InputError, match="is no unit of this quantity"):
        units.parse(text, "money_per_area")


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("gold\t5", "line 1"),
        ("saw_cost\t200\nsaw_cost\tdear", "line 2"),
        ("saw_cost\t-5", "outside its bounds"),
        ("saw_cost", "two columns"),
        ("=1+1\t2", "not the name of a unit price"),
        ("", "changes no unit price"),
        ("Full-depth repair\tSY\t217.39\t310", "more than one number"),
        ("saw_cost\t200\t$1,300", "more than one number"),
        ("saw_cost; 200; (300)", "more than one number"),
        ("saw_cost\t200\n\nrepair.saw_cost\t300", "line 3: .*named twice.*See line 1"),
        ("saw_cost\t180", "changes no unit price"),
    ],
)
def test_what_cannot_be_taken_is_a_sentence(text: str, part: str) -> None:
    with pytest.raises(InputError, match=part):
        pasted_prices(text, DECISIONS, "us")


def test_every_price_is_in_the_table() -> None:
    named = {f"economics.{name}" for name in vars(DECISIONS.economics)}
    assert {e.name for e in prices(DECISIONS)} == {name for name in named if name.endswith("_cost")}


def test_a_price_is_shown_for_the_units_of_the_reader() -> None:
    """260 per m2 is 217.393 per yd2; 28 per m is 8.5344 per ft; 310 per m3 is 237.012 per yd3."""
    shown = {e.name: (e.text("us"), e.text("metric")) for e in prices(DECISIONS)}
    assert shown["economics.full_depth_cost"] == ("217.39 per yd²", "260.00 per m²")
    assert shown["economics.crack_cost"] == ("8.53 per ft", "28.00 per m")
    assert shown["economics.concrete_cost"] == ("237.01 per yd³", "310.00 per m³")
    assert shown["economics.saw_cost"] == ("180", "180")
    for entry in prices(DECISIONS):
        for system in ("us", "metric"):
            again = units.parse(entry.text(system), entry.about.kind, system)  # type: ignore[arg-type, union-attr]
            assert again == pytest.approx(float(entry.value), rel=1e-3)
