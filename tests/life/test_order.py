"""A sounder section that asks for more is told, with the inputs that differ; one that asks for less is not."""

from __future__ import annotations

from dataclasses import replace

import pytest

from slabwright.life.order import order_notes
from slabwright.life.past import Surveyed
from slabwright.life.section_life import SectionLife
from slabwright.records.remarks import worded
from slabwright.units import INCH
from tests.life import roads


@pytest.fixture(scope="module")
def life() -> SectionLife:
    return roads.road().life()


def as_found(life: SectionLife, name: str, cracked: int, found: float, **state: float) -> SectionLife:
    surveyed = Surveyed(300, cracked)
    return replace(life, found=found, state=replace(life.state, name=name, surveyed=surveyed, **state))


def test_the_sounder_section_that_asks_for_more_is_told_with_what_differs(life: SectionLife) -> None:
    sound, sick = as_found(life, "B", 6, 2.5 * INCH, slab=8 * INCH), as_found(life, "C", 60, 2.0 * INCH, slab=9 * INCH)
    (said,) = order_notes([sound, sick])
    words = worded(said, "us")
    assert words.startswith("Section B: asks for 2.50 in of overlay where C, of which more slabs are cracked")
    assert "(20.0 % against 2.0 %), asks for 2.00 in: slab 8.00 in against 9.00 in; damage over" in words
    assert "strength" not in words  # both have the same


@pytest.mark.parametrize(
    ("cracked", "found"),
    [(60, 2.6), (60, 2.45), (9, 2.0), (60, float("nan"))],
    ids=["asks for more itself", "as good as the same", "intervals meet", "no thickness"],
)
def test_nothing_is_told_where_the_order_is_that_of_the_cracks(life: SectionLife, cracked: int, found: float) -> None:
    sound = as_found(life, "B", 6, 2.5 * INCH)
    assert not list(order_notes([sound, as_found(life, "C", cracked, found * INCH)]))


def test_a_section_without_a_survey_is_no_sounder(life: SectionLife) -> None:
    sound = as_found(life, "B", 6, 2.5 * INCH)
    blind = replace(sound, state=replace(sound.state, surveyed=None))
    assert not list(order_notes([blind, as_found(life, "C", 60, 2.0 * INCH)]))
