"""What is built new is of new concrete, and no thinner than can be built; what is not weighed is told."""

from __future__ import annotations

from dataclasses import replace

import pytest

from slabwright.project import Project
from slabwright.records.decisions import Decisions, change
from slabwright.records.facts import Facts
from slabwright.records.remarks import reads
from tests.pipeline import tables


@pytest.fixture(scope="module")
def facts(demo_project: Project) -> Facts:
    return demo_project.facts()


def test_a_new_slab_does_not_take_the_strength_of_the_old(facts: Facts) -> None:
    """AASHTO 1993, Part III, 5.9: the slab required for an unbonded overlay is of the overlay's concrete (from memory)."""
    weak = replace(facts, cores=facts.cores.assign(compressive_strength=facts.cores["compressive_strength"] * 0.5))
    usual, other = (tables(f, until="design") for f in (facts, weak))
    assert (usual["refused_ways"]["concrete"].dropna() == other["refused_ways"]["concrete"].dropna()).all()
    assert not (usual["thicknesses"]["bonded"].dropna() == other["thicknesses"]["bonded"].dropna()).any()
    strong = tables(facts, change(Decisions(), "design.overlay_strength", "800 psi"), until="design")["refused_ways"]
    assert (strong["concrete"] <= usual["refused_ways"]["concrete"]).all()
    assert strong["concrete"].sum() < usual["refused_ways"]["concrete"].sum()


def test_a_thickness_by_hand_thinner_than_the_least_built_is_told(facts: Facts) -> None:
    light = replace(facts, counts=facts.counts.assign(daily_traffic=facts.counts["daily_traffic"] / 200))
    decisions = change(Decisions(), "design.thickness_by_hand", "A1: 1.25 in")
    rows = tables(light, decisions, until="design")["thicknesses"].set_index("section")
    assert rows.loc["A1", "note"] == "thinner than the practical minimum decided"
    assert rows.loc["A2", "note"] == ""


def test_trucks_whose_axles_nobody_weighed_are_told(facts: Facts) -> None:
    bare = replace(facts, axles=facts.axles.iloc[:0])
    points = tables(bare, until="evaluation")["open_points"]
    assert any("published spectrum of category 3" in reads(p, "us") for p in points["point"])
    decided = change(Decisions(), "traffic.esal_per_truck", "0.8")
    points = tables(bare, decided, until="evaluation")["open_points"]
    assert not any("published spectrum" in reads(p, "us") for p in points["point"])
