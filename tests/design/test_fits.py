"""Where the laws of the design leave what they were fitted to."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from slabwright.design.fits import ROAD_TEST_AXLES
from slabwright.life.tables import life_tables
from slabwright.project import Project
from slabwright.records.decisions import Decisions, change
from slabwright.records.facts import Facts
from slabwright.records.fits import INSIDE, OUTSIDE, UNKNOWN, Fit
from slabwright.records.remarks import reads
from tests.life.roads import STATE, road
from tests.pipeline import tables

AXLES, SLAB, JOINTS = "equivalent axles of the design period", "slab required", "joint spacing"


@pytest.fixture(scope="module")
def facts(demo_project: Project) -> Facts:
    return demo_project.facts()


def inside(found: pd.DataFrame, quantity: str) -> set[str]:
    return set(found.loc[found["quantity"] == quantity, "inside"])


def test_the_road_test_saw_about_ten_million_standard_axles() -> None:
    """1,114,000 passes of a 30 kip single axle, each 8 to 10 by the 1993 tables of rigid pavement (from memory)."""
    assert 8 * 1.114e6 < ROAD_TEST_AXLES < 10 * 1.114e6


def test_every_designed_section_is_held_against_each_law(facts: Facts) -> None:
    found = tables(facts)
    fits, designed = found["design_fits"], found["thicknesses"].query("overlay > 0")
    assert fits.groupby("section").size().to_dict() == dict.fromkeys(designed["section"], 4)
    heavy = dict(zip(designed["section"], designed["future_axles"] > ROAD_TEST_AXLES, strict=True))
    rows = fits[fits["quantity"] == AXLES].set_index("section")["inside"]
    assert {name: rows[name] == OUTSIDE for name in heavy} == heavy
    # 15 ft, the very length of the plain slabs of the Road Test; the continuous pavement has no joints.
    assert inside(fits, JOINTS) == {INSIDE, UNKNOWN}


def test_light_traffic_is_inside_and_a_thick_slab_is_not(facts: Facts) -> None:
    light = replace(facts, counts=facts.counts.assign(daily_traffic=facts.counts["daily_traffic"] / 50))
    assert inside(tables(light)["design_fits"], AXLES) == {INSIDE}
    heavy = change(Decisions(), "traffic.design_period", "40")
    assert OUTSIDE in inside(tables(facts, heavy)["design_fits"], AXLES)


def test_long_slabs_are_named_and_the_unknown_is_neither_in_nor_out(facts: Facts) -> None:
    long = tables(replace(facts, layers=facts.layers.assign(joint_spacing=6.1)))["design_fits"]
    assert inside(long, JOINTS) == {OUTSIDE, UNKNOWN}
    said = long.loc[(long["quantity"] == JOINTS) & (long["inside"] == OUTSIDE), ["value", "high"]].iloc[0]
    assert [reads(v, "metric") for v in said] == ["6.10 m", "4.57 m"]
    fit = Fit("law", "quantity", "length", 1.0, 2.0, "")
    assert fit.inside(np.array([0.99, 1.0, 2.0, 2.01, np.nan])) == [OUTSIDE, INSIDE, INSIDE, OUTSIDE, UNKNOWN]


def test_the_analysis_says_where_it_was_held_against_known_roads() -> None:
    found = life_tables([road(replace(STATE, length=6.1)).life()])["fatigue_fits"]
    assert dict(zip(found["quantity"], found["inside"], strict=True)) == {
        "slab and overlay": INSIDE,
        "length of slabs": OUTSIDE,
    }
    assert reads(found["value"].iloc[1], "metric") == "6.10 m"
