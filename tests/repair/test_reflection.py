"""Cracks that the repairs leave: counted again one by one on the demo, and the life that starts from them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from slabwright.life.tables import life_tables
from slabwright.project import Project
from slabwright.records.decisions import Decisions, change
from slabwright.records.facts import Facts
from slabwright.records.words import FULL, NOT_SUITED
from slabwright.repair.reflection import reflected_cracks, reflection_notes
from tests.life.roads import STATE, road
from tests.pipeline import tables

SPACING = 4.572  # m, the slabs of the demo


@pytest.fixture(scope="module")
def facts(demo_project: Project) -> Facts:
    return demo_project.facts()


@pytest.fixture(scope="module")
def usual(facts: Facts) -> dict[str, pd.DataFrame]:
    return tables(facts)


def slabs_left(found: dict[str, pd.DataFrame], decks: pd.DataFrame, section: pd.Series, lane: str) -> tuple[int, int]:
    """Slabs of a lane with a crack, and those with one outside every full-depth repair, one crack after the other."""
    cracked, left = set(), set()
    for row in found["rated_distresses"].itertuples():
        inside = section["begin"] <= row.station <= section["end"] and row.lane == lane
        on_deck = ((decks["begin"] < row.station) & (row.station < decks["end"])).any()
        if not inside or on_deck or row.kind not in ("transverse crack", "longitudinal crack", "corner break"):
            continue
        slab = int(row.station / SPACING + 1e-6)
        cracked.add(slab)
        taken_out = any(
            r.kind == FULL and r.lane == lane and r.begin <= row.station <= r.end for r in found["repairs"].itertuples()
        )
        if not taken_out:
            left.add(slab)
    return len(cracked), len(left)


@pytest.mark.parametrize("name", ["A2", "W2"])
def test_the_slabs_that_keep_a_crack_are_counted_one_by_one(
    facts: Facts, usual: dict[str, pd.DataFrame], name: str
) -> None:
    assert facts.layers["joint_spacing"].dropna().to_numpy() == pytest.approx(SPACING)
    section = usual["condition"].set_index("section").loc[name]
    decks = facts.bridges[facts.bridges["passes"] == "under the road"]
    here = usual["reflected_cracks"].query("section == @name")
    assert len(here) == (facts.lanes["direction"] == section["direction"]).sum()
    assert here["share"].is_monotonic_decreasing
    for row in here.itertuples():
        assert (row.cracked, row.left) == slabs_left(usual, decks, section, row.lane)
        assert row.share == pytest.approx(row.left / row.slabs)


def test_more_full_depth_repairs_leave_fewer_cracks(facts: Facts, usual: dict[str, pd.DataFrame]) -> None:
    more = tables(facts, change(Decisions(), "repair.full_depth_severity", "moderate"))["reflected_cracks"]
    both = usual["reflected_cracks"].merge(more, on=["section", "lane"], suffixes=("", "_more"))
    assert (both["left_more"] <= both["left"]).all()
    assert both["left_more"].sum() < both["left"].sum()


def test_sections_without_an_overlay_and_lanes_that_nobody_walked_are_not_listed(facts: Facts) -> None:
    lane = facts.lanes["lane"].iloc[0]
    blind = replace(facts, distresses=facts.distresses[facts.distresses["lane"] != lane])
    found = tables(blind)
    refused = found["verdicts"].loc[found["verdicts"]["verdict"] == NOT_SUITED, "section"]
    assert len(refused)
    assert not found["reflected_cracks"]["section"].isin(refused).any()
    assert lane not in set(found["reflected_cracks"]["lane"])


def counted(found: dict[str, pd.DataFrame], facts: Facts) -> pd.DataFrame:
    """The table for these facts, without any repair, with the verdicts of others."""
    rated = found["rated_distresses"]
    return reflected_cracks(facts, rated, np.zeros(len(rated), dtype=bool), found["verdicts"])


def test_the_steel_of_continuous_pavement_holds_its_cracks(facts: Facts, usual: dict[str, pd.DataFrame]) -> None:
    assert counted(usual, facts)["left"].sum() > 0
    assert counted(usual, replace(facts, layers=facts.layers.assign(pavement="CRCP"))).empty


def test_without_a_joint_spacing_cracks_are_counted_and_no_share_is_made(
    facts: Facts, usual: dict[str, pd.DataFrame]
) -> None:
    found = counted(usual, replace(facts, layers=facts.layers.assign(joint_spacing=np.nan)))
    assert found["share"].isna().all()
    assert found["left"].sum() > counted(usual, facts)["left"].sum()  # two cracks in one slab are two
    assert reflection_notes(found) == []


def test_the_end_of_a_life_counts_the_cracks_that_came_through() -> None:
    """Of ten slabs two keep a crack; 15 % of the other eight is 1.2: 3.2 of ten are cracked."""
    case = road(replace(STATE, reflected=0.2), cracking_level=0.15)
    row = life_tables([case.life()])["fatigue_thickness"].iloc[0]
    assert (row["reflected"], row["all_cracked"]) == (0.2, pytest.approx(0.32))
