"""Cracks that the repairs leave: counted again one by one on the demo, and the life that starts from them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from slabwright.demo.truth import TRUTH
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
    """Slabs of a lane with a crack, and those with one outside every full-depth repair, one crack after the other.

    The joints of the demo are a whole number of slabs from the begin of the section's stretch of truth.
    """
    first = max(s.begin for s in TRUTH.stretches if s.begin <= section["begin"] + 150)
    cracked, left = set(), set()
    for row in found["rated_distresses"].itertuples():
        inside = section["begin"] <= row.station < section["end"] and row.lane == lane
        on_deck = ((decks["begin"] < row.station) & (row.station < decks["end"])).any()
        if not inside or on_deck or row.kind not in ("transverse crack", "longitudinal crack", "corner break"):
            continue
        along = row.length if row.kind == "longitudinal crack" and row.length > 0 else 0.0
        for place in np.arange(row.station, row.station + along + 1e-9, 0.05):
            slab = int((place - first) // SPACING)
            cracked.add(slab)
            taken_out = any(
                r.kind == FULL and r.lane == lane and r.begin <= place <= r.end for r in found["repairs"].itertuples()
            )
            if not taken_out:
                left.add(slab)
    return len(cracked), len(left)


@pytest.mark.parametrize("name", ["A2", "W2"])
def test_the_slabs_that_keep_a_crack_are_counted_one_by_one(
    facts: Facts, usual: dict[str, pd.DataFrame], name: str
) -> None:
    """Within a slab or two: joints are known to half a foot, and a crack may lie that near to one."""
    assert facts.layers["joint_spacing"].dropna().to_numpy() == pytest.approx(SPACING)
    section = usual["condition"].set_index("section").loc[name]
    decks = facts.bridges[facts.bridges["passes"] == "under the road"]
    here = usual["reflected_cracks"].query("section == @name")
    assert len(here) == (facts.lanes["direction"] == section["direction"]).sum()
    assert here["share"].is_monotonic_decreasing
    for row in here.itertuples():
        by_hand = slabs_left(usual, decks, section, row.lane)
        assert np.abs(np.array([row.cracked, row.left]) - by_hand).max() <= 2, (row, by_hand)
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


NO_REPAIR = pd.DataFrame({"lane": [], "begin": [], "end": []})


def counted(
    found: dict[str, pd.DataFrame], facts: Facts, rated: pd.DataFrame | None = None, full: pd.DataFrame = NO_REPAIR
) -> pd.DataFrame:
    """The table for these facts and repairs, with the sections and verdicts of others."""
    pavement = facts.layers["pavement"].iloc[0]
    condition = found["condition"].assign(pavement=pavement)
    return reflected_cracks(
        facts, found["rated_distresses"] if rated is None else rated, full, {**found, "condition": condition}
    )


def of(found: pd.DataFrame, section: str, lane: str) -> tuple[int, int]:
    row = found[(found["section"] == section) & (found["lane"] == lane)].iloc[0]
    return int(row["cracked"]), int(row["left"])


def crack(facts: Facts, usual: dict[str, pd.DataFrame], **values: object) -> pd.DataFrame:
    """One rated distress in lane NB1 of section W1, which is a crack across unless something else is said."""
    usual_values = {"station": 3300.0, "lane": "NB1", "kind": "transverse crack", "severity": "low", "length": 3.6}
    row = usual["rated_distresses"].iloc[:1].assign(**{**usual_values, **values})
    return row.reset_index(drop=True)


def test_a_crack_along_the_lane_is_in_every_slab_of_its_length(facts: Facts, usual: dict[str, pd.DataFrame]) -> None:
    """30 m over slabs of 4.572 m touch 7 or 8; a repair of 1.8 m takes none of them out, one of 40 m all."""
    long = crack(facts, usual, kind="longitudinal crack", length=30.0)
    cracked, left = of(counted(usual, facts, long), "W1", "NB1")
    assert cracked in (7, 8)
    assert left == cracked
    short = pd.DataFrame({"lane": ["NB1"], "begin": [3299.0], "end": [3300.8]})
    assert of(counted(usual, facts, long, short), "W1", "NB1") == (cracked, cracked)
    whole = pd.DataFrame({"lane": ["NB1"], "begin": [3295.0], "end": [3335.0]})
    assert of(counted(usual, facts, long, whole), "W1", "NB1") == (cracked, 0)


def test_the_steel_of_a_jointed_reinforced_slab_holds_its_slight_cracks(
    facts: Facts, usual: dict[str, pd.DataFrame]
) -> None:
    reinforced = replace(facts, layers=facts.layers.assign(pavement="JRCP"))
    for severity, expected in [("low", 0), ("moderate", 1), ("none", 1)]:
        assert of(counted(usual, reinforced, crack(facts, usual, severity=severity)), "W1", "NB1")[0] == expected


def test_a_crack_on_a_border_is_counted_once(facts: Facts, usual: dict[str, pd.DataFrame]) -> None:
    border = float(usual["condition"].set_index("section").loc["W2", "begin"])
    found = counted(usual, facts, crack(facts, usual, station=border))
    assert [of(found, name, "NB1")[0] for name in ("W1", "W2")] == [0, 1]


def test_a_repair_that_is_not_made_takes_no_crack_out(facts: Facts) -> None:
    """A high crack just inside the refused section W4 marks a repair that reaches into W3, and W4 is left as it is."""
    begin = float(tables(facts)["condition"].set_index("section").loc["W4", "begin"])
    rows = facts.distresses[facts.distresses["kind"] == "transverse crack"].iloc[:2]
    added = rows.assign(station=[begin - 0.3, begin + 0.3], lane="NB1", severity=["low", "high"], crack_width=np.nan)
    both = replace(facts, distresses=pd.concat([facts.distresses, added], ignore_index=True))
    one = replace(facts, distresses=pd.concat([facts.distresses, added.iloc[:1]], ignore_index=True))
    assert of(tables(both)["reflected_cracks"], "W3", "NB1") == of(tables(one)["reflected_cracks"], "W3", "NB1")


def test_the_steel_of_continuous_pavement_holds_its_cracks(facts: Facts, usual: dict[str, pd.DataFrame]) -> None:
    assert counted(usual, facts)["left"].sum() > 0
    assert counted(usual, replace(facts, layers=facts.layers.assign(pavement="CRCP"))).empty


def test_a_change_of_joint_spacing_makes_a_section(facts: Facts) -> None:
    first = facts.layers.iloc[:1]
    middle = float((first["begin"].iloc[0] + first["end"].iloc[0]) / 2)
    halves = pd.concat([first.assign(end=middle), first.assign(begin=middle, joint_spacing=6.1), facts.layers.iloc[1:]])
    sections = tables(replace(facts, layers=halves.reset_index(drop=True)), until="survey")["sections"]
    assert np.abs(sections["begin"] - middle).min() < 0.01


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
