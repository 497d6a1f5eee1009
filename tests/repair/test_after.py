"""What the repairs leave: the joints and cracks factor, J after restoration, and where load transfer is restored."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from slabwright.demo.truth import TRUTH
from slabwright.design.section_model import modelled_sections
from slabwright.project import Project
from slabwright.records.decisions import Decisions, change
from slabwright.records.facts import Facts
from slabwright.records.remarks import reads
from slabwright.records.words import FULL, PARTIAL, TRANSFER
from slabwright.units import FOOT
from tests.pipeline import decided, tables, without

MILE = 1609.344
KINDS = ["transverse crack", "corner break", "punchout", "joint spalling", "durability cracking"]


@pytest.fixture(scope="module")
def facts(demo_project: Project) -> Facts:
    return demo_project.facts()


@pytest.fixture(scope="module")
def usual(facts: Facts) -> dict[str, pd.DataFrame]:
    return tables(facts)


def with_decision(name: str, value: str) -> Decisions:
    return change(Decisions(), name, value)


def left_by_hand(found: dict[str, pd.DataFrame], decks: pd.DataFrame, section: pd.Series, prefix: str) -> int:
    """Deteriorated joints and cracks of the worst lane that lie in no full- or partial-depth repair, one by one."""
    rated, repairs = found["rated_distresses"], found["repairs"]
    counts: dict[str, int] = {}
    for row in rated[rated["lane"].str.startswith(prefix)].itertuples():
        if not section["begin"] <= row.station <= section["end"] or row.kind not in KINDS:
            continue
        if ((decks["begin"] < row.station) & (row.station < decks["end"])).any():
            continue
        here = repairs[
            (repairs["lane"] == row.lane) & (repairs["begin"] <= row.station) & (row.station <= repairs["end"])
        ]
        full = (here["kind"] == FULL).any()
        partial = row.kind == "joint spalling" and (here["kind"] == PARTIAL).any()
        counts[row.lane] = counts.get(row.lane, 0) + (row.severity != "low" and not full and not partial)
    return max(counts.values())


@pytest.mark.parametrize("name", ["A1", "A2", "W2", "W3"])
def test_the_factor_follows_from_what_the_marking_leaves(
    facts: Facts, usual: dict[str, pd.DataFrame], name: str
) -> None:
    """Fjc = 1 - 0.44 n / 200, n to the mile (AASHTO 1993 Figure 5.12, from memory), n counted here by hand."""
    row = usual["after_repair"].set_index("section").loc[name]
    decks = facts.bridges[facts.bridges["passes"] == "under the road"]
    decks = decks[(decks["begin"] >= row["begin"]) & (decks["end"] <= row["end"])]
    left = left_by_hand(usual, decks, row, "SB" if name.startswith("A") else "NB")
    to_the_mile = left / ((row["end"] - row["begin"] - (decks["end"] - decks["begin"]).sum()) / MILE)
    assert row["left"] == left
    assert row["unrepaired"] * MILE == pytest.approx(to_the_mile)
    assert row["joints_factor"] == pytest.approx(1 - 0.44 * to_the_mile / 200)
    condition = usual["condition"].set_index("section").loc[name]
    others = condition["durability_factor"] * condition["fatigue_factor"] * condition["thickness"]
    assert row["effective_condition"] == pytest.approx(row["joints_factor"] * others)
    thickness = usual["thicknesses"].set_index("section").loc[name]
    assert thickness["effective_condition"] == row["effective_condition"]


def test_a_survey_without_ratings_counts_every_crack_and_says_so(facts: Facts, usual: dict[str, pd.DataFrame]) -> None:
    """A crack that nobody rated is not taken for a slight one (our choice): left and factor counted here by hand."""
    blank = facts.distresses.assign(severity="", crack_width=np.nan, spall_width=np.nan, faulting=np.nan)
    found = tables(replace(facts, distresses=blank), decided(assume_without_joint_tests="no"))
    row = found["after_repair"].set_index("section").loc["W3"]
    left = left_by_hand(found, facts.bridges.iloc[:0], row, "NB")
    assert left > 5
    assert row["left"] == left
    assert row["joints_factor"] == pytest.approx(1 - 0.44 * left / ((row["end"] - row["begin"]) / MILE) / 200)
    thin, rated = (t["thicknesses"].set_index("section").loc["W3", "bonded"] for t in (found, usual))
    assert not thin < rated
    points = found["open_points"][found["open_points"]["point"].str.contains("nobody rated")]
    rated_ones = found["rated_distresses"].query("kind in @KINDS")
    decks = facts.bridges[facts.bridges["passes"] == "under the road"]
    aboard = [((decks["begin"] < x) & (x < decks["end"])).any() for x in rated_ones["station"]]
    number = len(rated_ones) - sum(aboard)
    assert len(points) == 1
    assert "W3" in points["about"].iloc[0]
    assert f"nobody rated {number} of {number} distresses" in reads(points["point"].iloc[0], "us")
    assert not usual["open_points"]["point"].str.contains("nobody rated").any()


def test_replacing_moderate_cracks_too_leaves_fewer_and_asks_less_of_the_overlay(
    facts: Facts, usual: dict[str, pd.DataFrame]
) -> None:
    more = tables(facts, with_decision("repair.full_depth_severity", "moderate"))
    few, many = (t["after_repair"].set_index("section").loc["W2"] for t in (more, usual))
    assert few["left"] < many["left"]
    assert few["joints_factor"] > many["joints_factor"]
    thin, thick = (t["thicknesses"].set_index("section").loc["W2", "bonded"] for t in (more, usual))
    assert thin < thick - 0.01


def test_a_decided_number_overrides_the_marking(facts: Facts) -> None:
    found = tables(facts, decided(unrepaired="50 1/mi"))["after_repair"]
    assert found["joints_factor"].to_numpy() == pytest.approx(1 - 0.44 * 50 / 200)
    assert set(found["unrepaired_from"]) == {"decision"}


def test_more_than_the_curve_knows_is_no_number_and_a_remark(facts: Facts) -> None:
    lane = facts.distresses[facts.distresses["lane"] == "NB3"].iloc[[0]]
    crowd = pd.concat([lane] * 400).assign(
        station=np.linspace(TRUTH.begin + 1, TRUTH.begin + 800, 400), kind="transverse crack", severity="moderate",
        crack_width=0.004, faulting=0.0, spall_width=0.0,
    )  # fmt: skip
    found = tables(replace(facts, distresses=pd.concat([facts.distresses, crowd], ignore_index=True)))
    row = found["after_repair"].set_index("section").loc["W1"]
    assert row["unrepaired"] * MILE > 200
    assert np.isnan(row["joints_factor"])
    assert "repair more" in row["note"]
    assert np.isnan(found["thicknesses"].set_index("section").loc["W1", "overlay"])


def test_a_section_that_does_not_suit_is_not_repaired(usual: dict[str, pd.DataFrame]) -> None:
    refused = usual["after_repair"].set_index("section").loc[["A4", "W4"]]
    assert (refused["left"] == refused["deteriorated"]).all()
    assert (refused["note"] == "not suited: nothing is repaired").all()


def test_the_design_uses_the_restored_load_transfer(facts: Facts, usual: dict[str, pd.DataFrame]) -> None:
    """Truth of the weak stretch: load transfer 0.55, so J 3.5 as found (AASHTO 1993) and 3.2 above 0.7."""
    row = usual["after_repair"].set_index("section").loc["A2"]
    assert (row["coefficient_found"], row["coefficient"], row["transfer_after"]) == (3.5, 3.2, 0.9)
    kept = tables(facts, with_decision("repair.restore_load_transfer", "no"))
    assert kept["after_repair"].set_index("section").loc["A2", "coefficient"] == 3.5
    thin, thick = (t["thicknesses"].set_index("section").loc["A2", "bonded"] for t in (usual, kept))
    assert 0.005 < thick - thin < 0.025
    little = tables(facts, with_decision("repair.restored_load_transfer", "65 %"))
    assert little["after_repair"].set_index("section").loc["A2", "coefficient"] == 3.5
    untouched = usual["after_repair"].set_index("section").drop(["A2", "W2"])
    assert (untouched["coefficient"] == untouched["coefficient_found"]).all()
    by_hand = tables(facts, decided(load_transfer_coefficient="3.8"))
    assert (by_hand["after_repair"]["coefficient"] == 3.8).all()


def test_the_plate_model_takes_the_same_restored_load_transfer(facts: Facts, usual: dict[str, pd.DataFrame]) -> None:
    models = {s.name: s for s in modelled_sections(facts, usual["condition"], usual["thicknesses"], Decisions())}
    assert models["A2"].transfer == pytest.approx(0.9)
    decisions = with_decision("repair.restored_load_transfer", "72 %")
    models = {s.name: s for s in modelled_sections(facts, usual["condition"], usual["thicknesses"], decisions)}
    assert models["A2"].transfer == pytest.approx(0.7)


@pytest.mark.parametrize(("assumed", "transfer"), [("no", 0.7), ("50 to 70 %", 0.5), ("below 50 %", 0.3)])
def test_the_plate_model_takes_the_load_transfer_assumed_by_name(facts: Facts, assumed: str, transfer: float) -> None:
    """The lower end of its class: 0.3 for 40 %, 0.5 for 60 %; without a name the plate's own decision, 70 %."""
    untested = without(facts, "joints")
    decisions = decided(assume_without_joint_tests=assumed)
    found = tables(untested, decisions, until="evaluation")
    condition = found["condition"]
    designed = pd.DataFrame({"section": condition["section"], "overlay": 0.076})
    models = modelled_sections(untested, condition, designed, decisions)
    assert {round(m.transfer, 3) for m in models if m.pavement != "CRCP"} == {transfer}
    assert {round(m.transfer, 3) for m in models if m.pavement == "CRCP"} == {0.7}


def test_restored_joints_are_joints_of_the_road(usual: dict[str, pd.DataFrame]) -> None:
    """Truth: a joint every 15 ft; the tests stand half a foot from it. Each mark says whether its place is assumed."""
    marks = usual["repairs"][(usual["repairs"]["kind"] == TRANSFER) & (usual["repairs"]["section"] == "A2")]
    begin = TRUTH.stretches[1].begin
    off = (marks["begin"] - begin + TRUTH.slab_length / 2) % TRUTH.slab_length - TRUTH.slab_length / 2
    assert off.abs().max() < 0.51 * FOOT
    told = marks["reason"].str.contains("place of the joint assumed")
    tested = usual["transfers"][(usual["transfers"]["section"] == "A2")]["station"].to_numpy()
    at_test = np.abs(marks["begin"].to_numpy()[:, None] - tested).min(axis=1) < 0.01
    assert at_test.sum() >= 5
    assert not told[at_test].any()
    assert told.sum() > 50


def test_no_joint_is_paid_for_twice(usual: dict[str, pd.DataFrame]) -> None:
    repairs = usual["repairs"]
    full, marks = (repairs[repairs["kind"] == kind] for kind in (FULL, TRANSFER))
    for lane, here in marks.groupby("lane"):
        of_lane = full[full["lane"] == lane]
        station = here["begin"].to_numpy()[:, None]
        assert not ((station >= of_lane["begin"].to_numpy()) & (station <= of_lane["end"].to_numpy())).any()
        assert np.diff(np.sort(here["begin"])).min() > 3.0
