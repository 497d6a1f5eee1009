"""How much of a lane was walked is judged by the rows of its survey; J decided by hand is held against the plate's transfer."""

from __future__ import annotations

from dataclasses import replace

import pandas as pd
import pytest

from slabwright.evaluation.two_transfers import two_load_transfers
from slabwright.evaluation.walked import walked
from slabwright.project import Project
from slabwright.records.decisions import Decisions, change
from slabwright.records.facts import FACTS, Facts
from slabwright.records.remarks import worded
from slabwright.records.table import empty, table
from slabwright.records.words import CARRIES
from tests.pipeline import computed, decided, tables

ROAD = pd.DataFrame({"section": ["A"], "direction": ["N"], "begin": [1000.0], "end": [2000.0], "pavement": ["JPCP"]})


@pytest.fixture(scope="module")
def facts(demo_project: Project) -> Facts:
    return demo_project.facts()


def rows(*stations: float, lane: str = "N1") -> Facts:
    looked = table(FACTS["distresses"], pd.DataFrame({"station": stations, "lane": lane, "kind": "transverse crack"}))
    return Facts(**{**{name: empty(schema) for name, schema in FACTS.items()}, "distresses": looked})


def told(facts: Facts, **choices: object) -> pd.Series:
    choice = decided(survey_reach="100 m", **choices).evaluation
    return walked(facts, ROAD, {"N1": "N"}, choice).iloc[0]


def test_rows_show_the_length_about_them() -> None:
    """By hand: 100 m either side, cut at the section's ends, counted once where two overlap; 1000 m in all."""
    assert told(rows(1500.0))["share"] == pytest.approx(0.2)
    assert told(rows(1500.0, 1550.0))["share"] == pytest.approx(0.25)
    assert told(rows(1010.0, 1900.0))["share"] == pytest.approx(0.11 + 0.2)
    assert told(rows(950.0, 1500.0))["share"] == pytest.approx(0.05 + 0.2)  # a row before the section reaches into it
    assert tuple(told(rows(950.0))[["share", "counted", "standing"]]) == (0.0, 0.0, "not walked")


def test_a_lane_is_counted_over_what_was_walked_unless_it_is_stated_whole() -> None:
    part = told(rows(1500.0))
    assert (part["standing"], part["counted"]) == ("partly", pytest.approx(200))
    for words in ("N1", "all", "S1; N1"):
        stated = told(rows(1500.0), lanes_walked_whole=words)
        assert (stated["standing"], stated["counted"]) == ("stated", 1000)
    most = told(rows(1100.0, 1300.0, 1500.0))
    assert (most["standing"], most["counted"]) == ("walked", 1000)  # 600 m of 1000 m, above the half
    assert told(rows(1100.0, 1300.0, 1500.0), least_walked="70 %")["standing"] == "partly"


def test_what_lies_on_a_deck_is_neither_walked_nor_to_be_walked() -> None:
    bridge = table(
        FACTS["bridges"], pd.DataFrame({"name": ["B"], "begin": [1400.0], "end": [1500.0], "passes": [CARRIES]})
    )
    found = told(replace(rows(1350.0), bridges=bridge))  # 1250 to 1400 of 900 m on the ground
    assert found["share"] == pytest.approx(150 / 900)


@pytest.fixture(scope="module")
def one_row(facts: Facts) -> Facts:
    """Of each lane of W2 the first cracked slab is kept: a survey that ended where it began."""
    section = tables(facts, until="survey")["sections"].set_index("section").loc["W2"]
    d = facts.distresses
    inside = d["station"].between(section["begin"] - 150, section["end"] + 150) & d["lane"].str.startswith("NB")
    cracks = d[(d["kind"] == "transverse crack") & d["station"].between(section["begin"], section["end"]) & inside]
    return replace(
        facts,
        distresses=pd.concat([d[~inside], cracks.groupby("lane").head(1).assign(severity="moderate")]).reset_index(
            drop=True
        ),
    )


def test_one_row_is_not_a_walk_over_the_section(facts: Facts, one_row: Facts) -> None:
    """One crack in 519 m once counted as one cracked slab of all; the lane's share is now of the 400 ft on either side."""
    found = tables(one_row, until="repair")
    walks = found["lanes_walked"].query("section == 'W2'")
    assert set(walks["standing"]) == {"partly"}
    condition = found["condition"].set_index("section").loc["W2"]
    spacing = facts.layers["joint_spacing"].iloc[0]
    assert condition["cracking"] == pytest.approx(spacing / walks["counted"].min(), rel=1e-9)
    point = found["open_points"].query("about == 'W2' and point.str.contains('reach over part')").iloc[0]
    assert "lanes_walked_whole" in point["settle"]
    after = found["after_repair"].set_index("section").loc["W2"]
    least = walks["counted"].min()
    assert after["deteriorated"] in (0, 1)
    assert after["unrepaired"] == pytest.approx(after["left"] / least) or after["left"] == 0
    slabs = found["reflected_cracks"].query("section == 'W2'")["slabs"]
    assert len(slabs) == len(walks)
    assert (slabs < 243.84 / spacing + 1).all()
    reasons = found["suitability"].set_index(["section", "subject"])
    assert reasons.loc[("W2", "Surveyed lanes walked whole"), "weight"] == "caution"


def test_stated_whole_the_section_counts_and_the_statement_is_listed(one_row: Facts) -> None:
    choice = decided(lanes_walked_whole="all", reason_to_assume="the crew's log says so")
    found = tables(one_row, choice, until="evaluation")
    section = found["condition"].set_index("section").loc["W2"]
    assert section["cracking"] < 0.012
    assert not found["open_points"]["point"].str.contains("reach over part").any()
    line = found["assumptions"].query("section == 'W2' and decision == 'evaluation.lanes_walked_whole'").iloc[0]
    assert "the crew's log says so" in line["why"]
    assert line["without"] == "distress counted over what was walked"
    unknown = computed(one_row, decided(lanes_walked_whole="NB9"), until="evaluation")["evaluation"]
    assert "no lane of the road: NB9" in " ".join(worded(note, "us") for note in unknown.notes)


# J decided by hand ---------------------------------------------------------------------------------------------


def condition(*transfers: float, pavement: str = "JPCP") -> pd.DataFrame:
    names = [f"S{i}" for i in range(len(transfers))]
    return pd.DataFrame({"section": names, "pavement": pavement, "transfer": transfers})


def points(frame: pd.DataFrame, **choices: str) -> list[tuple[str, str]]:
    decisions = Decisions()
    for name, value in choices.items():
        decisions = change(decisions, name.replace("__", "."), value)
    return [(about, worded(said, "us")) for about, said, _ in two_load_transfers(frame, decisions)]


def test_a_decided_j_that_the_plate_does_not_take_is_an_open_point() -> None:
    """J of AASHTO 1993 III-5.8.5 (from memory): 3.2 above 70 %, 3.5 from 50 %, 4.0 below; 58 % is restored to 90 %."""
    frame = condition(0.85, 0.58)
    assert points(frame) == []
    assert points(frame, evaluation__load_transfer_coefficient="3.2") == []
    ((about, said),) = points(frame, evaluation__load_transfer_coefficient="4.0")
    assert about == "S0, S1"
    assert "J decided as 4.00" in said or "J decided as 4" in said
    assert "90" in said
    assert "3.2" in said
    ((about, _),) = points(
        frame, evaluation__load_transfer_coefficient="3.2", repair__restore_load_transfer="no"
    )  # as found, 58 % has 3.5
    assert about == "S1"
    untested = condition(float("nan"))
    assert points(untested, evaluation__load_transfer_coefficient="3.2") == []
    below = {"evaluation__assume_without_joint_tests": "below 50 %"}
    assert len(points(untested, evaluation__load_transfer_coefficient="3.2", **below)) == 1
    assert points(untested, evaluation__load_transfer_coefficient="4.0", **below) == []


def test_a_j_of_joints_on_continuous_reinforcement_is_an_open_point() -> None:
    frame = condition(float("nan"), pavement="CRCP")
    assert points(frame, evaluation__load_transfer_coefficient="2.4") == []
    assert len(points(frame, evaluation__load_transfer_coefficient="3.2")) == 1


def test_load_transfer_that_no_repair_restores_is_a_caution(facts: Facts) -> None:
    """Measured too low, restored by default; where the engineer restores none, repair does not make it suit."""
    kept = change(Decisions(), "repair.restore_load_transfer", "no")
    found = tables(facts, kept, until="evaluation")
    short = found["suitability"].query("subject == 'Mean load transfer' and outcome == 'fails'")
    assert len(short)
    assert set(short["weight"]) == {"caution"}
    usual = tables(facts, until="evaluation")["suitability"].query(
        "subject == 'Mean load transfer' and outcome == 'fails'"
    )
    assert set(usual["weight"]) == {"repair first"}


def test_poor_drainage_is_a_caution_for_no_repair_mends_it(facts: Facts) -> None:
    """AASHTO 1993 asks for a coefficient near one; nothing that is marked for repair drains a base (common practice)."""
    found = tables(facts, decided(drainage_coefficient="0.8"), until="evaluation")["suitability"]
    drained = found[found["subject"] == "Drainage coefficient"]
    assert set(drained["outcome"]) == {"fails"}
    assert set(drained["weight"]) == {"caution"}
