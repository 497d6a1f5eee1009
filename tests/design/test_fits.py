"""Where the laws of the design leave what they were fitted to."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from slabwright.design.fits import ROAD_TEST_AXLES, design_fits
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
    assert fits.groupby("section").size().to_dict() == dict.fromkeys(designed["section"], 8)
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
        "kind of pavement": INSIDE,
        "slab and overlay": INSIDE,
        "length of slabs": OUTSIDE,
    }
    assert reads(found["value"].iloc[2], "metric") == "6.10 m"
    left = life_tables([], others={"A5": "CRCP"})["fatigue_fits"]
    assert left[["section", "value", "low", "inside"]].to_numpy().tolist() == [["A5", "CRCP", "JPCP", OUTSIDE]]
    assert "the 1993 equation" in left["basis"].iloc[0]


def test_continuous_pavement_and_joints_without_dowels_are_outside_the_road_test(facts: Facts) -> None:
    """All joints of the Road Test had dowels, and none of its slabs was continuously reinforced (from memory)."""
    fits = tables(facts)["design_fits"].set_index(["quantity", "section"])["inside"]
    assert {name: fits["kind of pavement", name] for name in ("A1", "A5", "W5")} == {
        "A1": INSIDE,
        "A5": OUTSIDE,
        "W5": OUTSIDE,
    }
    assert fits["dowels in the joints", "A5"] == UNKNOWN
    for dowelled, expected in (("yes", INSIDE), ("no", OUTSIDE), ("", UNKNOWN)):
        changed = replace(facts, layers=facts.layers.assign(dowelled=dowelled))
        assert (
            tables(changed)["design_fits"].set_index(["quantity", "section"])["inside"]["dowels in the joints", "A1"]
            == expected
        )


def test_a_foundation_or_a_slab_off_the_chart_is_told() -> None:
    """AASHTO 1993 Figure 3.7 (from memory): k 10 to 800 pci, E 3 to 7 million psi; a value just off each end and just on it."""
    designed = pd.DataFrame({
        "section": ["a", "b", "c", "d"],
        "pavement": "JPCP",
        "unrepaired": 0.0,
        "foundation": np.array([9.0, 11.0, 790.0, 810.0]) * 271447.14,
        "modulus": np.array([2.9e6, 3.1e6, 6.9e6, 7.1e6]) * 6894.757,
    })
    layers = pd.DataFrame({"joint_spacing": [4.6] * 4, "dowelled": ["yes"] * 4})
    fits = design_fits(designed, np.full(4, 0.25), np.full(4, 5e6), layers).set_index("quantity")
    for quantity in ("static k", "E of the old slab"):
        assert fits.loc[quantity, "inside"].tolist() == [OUTSIDE, INSIDE, INSIDE, OUTSIDE]
