"""What was not examined is not sound: the verdict waits, or the engineer assumes by name and the assumption is told."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
from scipy.stats import binomtest

from slabwright.evaluation.loading import truck_share
from slabwright.evaluation.reasons import Sample, sampled
from slabwright.figures.methods import _thicknesses_apart
from slabwright.project import Project
from slabwright.records.decisions import Decisions, change
from slabwright.records.facts import FACTS, NO_DISTRESS, Facts
from slabwright.records.material_words import named, unseen
from slabwright.records.remarks import decoded, reads, worded
from slabwright.records.table import table
from slabwright.records.words import FAILS, HOLDS, NOT_EXAMINED, NOT_JUDGED, NOT_SUITED
from tests.pipeline import computed, decided, tables, without

SUBJECTS = {
    "cores": "Materials-related distress in cores",
    "survey": "Lanes surveyed for distress",
    "joints": "Mean load transfer",
    "corners": "Corners with voids",
}
ASSUMED = {
    "cores": {"assume_without_cores": "yes"},
    "survey": {"assume_without_survey": "yes"},
    "joints": {"assume_without_joint_tests": "below 50 %"},
    "corners": {"assume_without_corner_tests": "yes"},
}
BAD = {"A4", "W4"}  # the demo's stretch of bad concrete, which cores and survey each show
CONTINUOUS = {"A5", "W5"}


@pytest.fixture(scope="module")
def facts(demo_project: Project) -> Facts:
    return demo_project.facts()


def verdicts(found: dict[str, pd.DataFrame]) -> pd.DataFrame:
    return found["verdicts"].set_index("section")


@pytest.mark.parametrize("kind", list(SUBJECTS))
def test_without_an_examination_a_section_is_not_judged(facts: Facts, kind: str) -> None:
    """Bad concrete that the rest shows stays refused; joints and corners are not asked of continuous reinforcement."""
    found = tables(without(facts, kind))
    judged = verdicts(found)
    asked = set(judged.index) - BAD - (CONTINUOUS if kind in ("joints", "corners") else set())
    assert set(judged.loc[sorted(asked), "verdict"]) == {NOT_JUDGED}
    assert set(judged.loc[sorted(BAD), "verdict"]) == {NOT_SUITED}
    assert judged.loc[sorted(asked), "not_examined"].str.contains(SUBJECTS[kind]).all()
    assert not set(found["overlay_quantities"]["section"]) & asked
    first = found["open_points"].iloc[0]
    assert asked <= set(first["about"].split(", "))
    assert f"evaluation.{next(iter(ASSUMED[kind]))}" in first["settle"]
    if kind in ("joints", "corners"):
        assert not judged.loc[sorted(CONTINUOUS), "verdict"].isin([NOT_JUDGED, NOT_SUITED]).any()


def test_without_any_examination_nothing_is_judged(facts: Facts) -> None:
    """The road without cores, survey, joint and corner tests was once suited in four sections, without a note."""
    found = tables(without(facts, *SUBJECTS))
    assert set(found["verdicts"]["verdict"]) == {NOT_JUDGED}
    state = found["condition"].set_index("section")
    assert state[["durability_factor", "fatigue_factor"]].isna().all(axis=None)
    jointed = state[state["pavement"] != "CRCP"]
    assert jointed["load_transfer_coefficient"].isna().all()
    assert len(found["overlay_quantities"]) == 0
    assert len(found["assumption_effects"]) == 0


@pytest.mark.parametrize("kind", list(SUBJECTS))
def test_assumed_by_name_gives_a_verdict_and_the_assumption_is_listed(facts: Facts, kind: str) -> None:
    decisions = decided(**ASSUMED[kind], reason_to_assume="the plans say so")
    found = tables(without(facts, kind), decisions)
    judged = verdicts(found)
    assert not (judged["verdict"] == NOT_JUDGED).any()
    listed = found["assumptions"][found["assumptions"]["without"] == NOT_JUDGED]
    asked = set(judged.index) - (CONTINUOUS if kind in ("joints", "corners") else set())
    assert set(listed["section"]) == asked
    assert set(listed["decision"]) == {f"evaluation.{next(iter(ASSUMED[kind]))}"}
    assert listed["why"].str.contains("the plans say so").all()
    reasons = found["suitability"]
    there = reasons[(reasons["subject"] == SUBJECTS[kind]) & reasons["section"].isin(asked)]
    assert set(there["outcome"]) == {NOT_EXAMINED}
    assert (there["assumed_by"] != "").all()


def test_assumed_load_transfer_enters_with_its_range(facts: Facts) -> None:
    """J of AASHTO 1993 III-5.8.5 (from memory): 3.2, 3.5, 4.0. The ends are those of roads on which J is decided so."""
    bare = without(facts, "joints")
    found = tables(bare, decided(assume_without_joint_tests="50 to 70 %"))
    effects = found["assumption_effects"]
    effects = effects[effects["quantity"] == "Load transfer coefficient J"].set_index("section").drop(CONTINUOUS)
    assert set(effects["value"]) == {3.5}
    assert set(effects["low"]) == {3.2}
    assert set(effects["high"]) == {4.0}
    for j, column in ((3.2, "at_low"), (3.5, "needed"), (4.0, "at_high")):
        other = tables(bare, decided(assume_without_joint_tests="50 to 70 %", load_transfer_coefficient=j))
        bonded = other["thicknesses"].set_index("section")["bonded"]
        assert effects[column].to_numpy() == pytest.approx(bonded[effects.index].to_numpy(), rel=1e-9)
    assert (effects["at_low"] < effects["at_high"]).all()


def test_load_transfer_assumed_too_low_asks_for_repair_that_is_not_marked(facts: Facts) -> None:
    bare = without(facts, "joints")
    low = tables(bare, decided(assume_without_joint_tests="below 50 %"))
    reasons = low["suitability"].set_index(["subject", "section"])
    short = reasons.loc["Load transfer as assumed"]
    assert set(short["outcome"]) == {FAILS}
    assert set(short["weight"]) == {"caution"}  # repair restores nothing that is not marked
    assert not verdicts(low)["reasons"].str.contains("oad transfer").any()
    assert verdicts(low).loc["A3", "cautions"].startswith("Load transfer as assumed")
    assert low["open_points"]["point"].str.contains("no joint is marked").sum() == 1
    assert "load transfer restored" not in set(low["repairs"]["kind"])
    high = tables(bare, decided(assume_without_joint_tests="above 70 %"))
    assert not high["open_points"]["point"].str.contains("no joint is marked").any()


def test_a_factor_decided_by_hand_could_be_as_bad_as_what_the_survey_found(facts: Facts) -> None:
    """Fjc = 1 - 0.44 n / 200, n to the mile (AASHTO 1993 Figure 5.12, from memory), counted here by hand for A1."""
    assert "joints_factor" not in set(tables(facts, until="evaluation")["assumptions"]["enters"])  # from the marking
    found = tables(facts, decided(unrepaired="5 1/mi"))
    line = found["assumptions"].query("section == 'A1' and enters == 'joints_factor'").iloc[0]
    assert line["value"] == pytest.approx(1 - 0.44 * 5 / 200)
    section = found["verdicts"].set_index("section").loc["A1"]
    rated = found["rated_distresses"]
    kinds = ["transverse crack", "corner break", "punchout", "joint spalling", "durability cracking"]
    here = rated[rated["station"].between(section["begin"], section["end"]) & rated["lane"].str.startswith("SB")]
    here = here[here["kind"].isin(kinds) & here["severity"].isin(["moderate", "high"])]
    to_the_mile = here["lane"].value_counts().max() / ((section["end"] - section["begin"]) / 1609.344)
    assert line["low"] == pytest.approx(1 - 0.44 * to_the_mile / 200)


def test_a_looked_at_place_without_distress_is_examined(facts: Facts) -> None:
    """A row "no distress" in each lane stands for a survey that found nothing, and is no distress."""
    sections = tables(facts, until="survey")["sections"]
    rows = [
        {"station": (s.begin + s.end) / 2, "lane": lane, "kind": NO_DISTRESS}
        for s in sections.itertuples()
        for lane in facts.lanes.query(f"direction == '{s.direction}'")["lane"]
    ]
    walked = table(FACTS["distresses"], pd.DataFrame(rows))
    found = tables(replace(facts, distresses=walked), until="evaluation")
    assert len(found["rated_distresses"]) == 0
    assert not (found["verdicts"]["verdict"] == NOT_JUDGED).any()
    assert (found["condition"]["fatigue_factor"] == 1).all()


def test_a_lane_that_was_not_surveyed_is_an_open_point(facts: Facts) -> None:
    part = facts.distresses[facts.distresses["lane"] != "NB1"]
    found = tables(replace(facts, distresses=part), until="evaluation")
    points = found["open_points"][found["open_points"]["point"].str.contains("NB1")]
    assert set(points["about"]) == {"W1", "W2", "W3", "W4", "W5"}
    assert not (found["verdicts"]["verdict"] == NOT_JUDGED).any()


# Cores ------------------------------------------------------------------------------------------------------


def with_cores(facts: Facts, **columns: dict[str, object]) -> Facts:
    """The facts with columns of some cores changed, by core number."""
    cores = facts.cores.copy()
    for column, values in columns.items():
        for core, value in values.items():
            cores.loc[cores["core"] == core, column] = value
    return replace(facts, cores=cores)


def material(found: dict[str, pd.DataFrame], section: str) -> pd.Series:
    rows = found["suitability"]
    return rows[(rows["section"] == section) & (rows["subject"] == SUBJECTS["cores"])].iloc[0]


W2 = ("C-13", "C-15", "C-17")  # the demo's cores of W2, all coded none


def test_an_empty_code_is_not_examined(facts: Facts) -> None:
    found = tables(with_cores(facts, material_distress=dict.fromkeys(W2, "")), until="evaluation")
    here = found["core_states"][found["core_states"]["section"] == "W2"].set_index("core")
    assert (here.loc[list(W2), "material"] == NOT_EXAMINED).all()
    assert (here.loc[list(W2), "delaminated"] == NOT_EXAMINED).all()


def test_a_section_whose_cores_are_all_uncoded_is_not_judged(facts: Facts) -> None:
    in_w2 = tables(facts, until="evaluation")["core_states"].query("section == 'W2'")["core"]
    found = tables(with_cores(facts, material_distress=dict.fromkeys(in_w2, "")), until="evaluation")
    assert verdicts(found).loc["W2", "verdict"] == NOT_JUDGED
    assert material(found, "W2")["outcome"] == NOT_EXAMINED
    assert verdicts(found).loc["W1", "verdict"] != NOT_JUDGED


def test_a_remark_against_its_code_holds_the_verdict_until_it_is_settled(facts: Facts) -> None:
    changed = with_cores(facts, note={"C-13": "ASR gel suspected around aggregate"})
    found = tables(changed, until="evaluation")
    assert verdicts(found).loc["W2", "verdict"] == NOT_JUDGED
    point = found["open_points"].query("about.str.contains('C-13')").iloc[0]
    assert "alkali-silica reaction" in point["point"]
    assert "settled_cores" in point["settle"]
    settled = tables(changed, decided(settled_cores="C-13"), until="evaluation")
    assert verdicts(settled).loc["W2", "verdict"] != NOT_JUDGED
    assert not settled["open_points"]["about"].str.contains("C-13").any()
    assumed = tables(changed, decided(assume_without_cores="yes"), until="evaluation")
    assert verdicts(assumed).loc["W2", "verdict"] == NOT_JUDGED


def test_a_remark_that_a_core_parted_is_read(facts: Facts) -> None:
    found = tables(with_cores(facts, note={"C-13": "delaminated at mid-depth"}), until="evaluation")
    assert found["core_states"].set_index("core").loc["C-13", "delaminated"] == NOT_EXAMINED
    assert verdicts(found).loc["W2", "verdict"] == NOT_JUDGED


def test_settled_cores_are_split_at_commas_too_and_unknown_names_are_told(facts: Facts) -> None:
    changed = with_cores(facts, note={"C-13": "ASR gel", "C-15": "ASR gel"})
    found = computed(changed, decided(settled_cores="C-13, C-15; C-99,c-13"), until="evaluation")["evaluation"]
    assert not found.tables["open_points"]["about"].str.contains("C-13|C-15").any()
    text = " ".join(worded(note, "us") for note in found.notes)
    assert "no core of the road: C-99 and c-13." in text
    plain = computed(changed, decided(settled_cores="C-13"), until="evaluation")["evaluation"]
    assert "no core of the road" not in " ".join(worded(note, "us") for note in plain.notes)


@pytest.mark.parametrize("words", ["Not tested", "core lost in transit", "discarded", "no recovery below 3 in"])
def test_a_core_that_nobody_looked_at_is_not_sound(facts: Facts, words: str) -> None:
    changed = with_cores(facts, note={"C-13": words})
    found = tables(changed, until="evaluation")
    row = found["core_states"].set_index("core").loc["C-13"]
    assert (row["material"], row["delaminated"]) == (NOT_EXAMINED, NOT_EXAMINED)
    assert found["open_points"]["about"].str.contains("C-13").any()
    settled = tables(changed, decided(settled_cores="C-13"), until="evaluation")["core_states"].set_index("core")
    assert settled.loc["C-13", "material"] == "none"


def test_joint_tests_without_a_sensor_across_say_so(facts: Facts) -> None:
    """All joint tests on the leave side, whose sensor across stands 305 mm behind the load, and no sensor stands there."""
    tests = facts.deflections
    at_joints = tests["position"].isin(["joint approach", "joint leave"])
    ahead = {n: tests[n].where(~at_joints | ~(tests[n] < 0)) for n in tests if n.startswith("offset_")}
    moved = tests.assign(position=tests["position"].where(~at_joints, "joint leave"), **ahead)
    points = tables(replace(facts, deflections=moved), until="evaluation")["open_points"]["point"]
    (said,) = [reads(p, "metric") for p in points if "no joint was tested" in str(p)]
    assert (
        "tests at joints are there, and in these sections none has a sensor across the joint, 305 mm from the load"
        in said
    )


def test_a_lane_that_nobody_declared_and_tests_without_a_place_are_open_points(facts: Facts) -> None:
    tests = facts.deflections.assign(
        lane=facts.deflections["lane"].replace("NB3", "NB9"),
        position=facts.deflections["position"].where(facts.deflections.index != 0, ""),
    )
    points = tables(replace(facts, deflections=tests), until="evaluation")["open_points"].set_index("about")["point"]
    assert reads(points["NB9"], "us").startswith("not among the lanes of the road (NB1, NB2, NB3, SB1, SB2, SB3)")
    assert reads(points["Deflection tests"], "us").startswith("1 drop has no place on the slab and counts neither")


def test_lanes_declared_and_lanes_that_share_the_trucks_are_held_against_each_other(facts: Facts) -> None:
    """One lane each way carries every truck of its direction; three declared share them by the published curve."""
    one = replace(facts, lanes=facts.lanes[facts.lanes["lane"].isin(["NB3", "SB3"])].reset_index(drop=True))
    single, usual = tables(one, until="evaluation"), tables(facts, until="evaluation")
    assert not any("trucks" in str(p) for t in (single, usual) for p in t["open_points"]["point"])
    trucks = [found["traffic"].set_index("year").loc["2026", "trucks"] for found in (single, usual)]
    daily = single["traffic"].set_index("year").loc["2026", "daily_traffic"]
    assert trucks[0] == pytest.approx(daily * 0.5 * truck_share(np.array([2026.0]), facts.counts)[0])
    assert 0.4 < trucks[1] / trucks[0] < 0.7
    decided = tables(one, change(Decisions(), "traffic.lanes_each_way", "3"), until="evaluation")["open_points"][
        "point"
    ]
    said = "trucks are shared out over 3 lanes each way, and the table of lanes has 1"
    assert said in [reads(p, "us") for p in decided]
    none = tables(replace(facts, lanes=facts.lanes.iloc[:0]), until="evaluation")["open_points"]
    assert any("no lane is declared" in str(p) for p in none["point"])
    assumed = none.set_index("about").loc["Lanes", "point"]
    assert "every lane is taken to be 12.0 ft wide" in reads(assumed, "us")
    assert "in one direction of travel" in reads(assumed, "metric")
    assert "Lanes" not in set(usual["open_points"]["about"])


def test_a_contested_disease_says_nothing_of_delamination(facts: Facts) -> None:
    """No core is marked whole or delaminated, and one remark names a disease: 0 of 0 are delaminated, not 1 of 1."""
    bare = replace(facts, cores=facts.cores.assign(delaminated="", delamination_depth=np.nan))
    changed = with_cores(bare, note={"C-13": "ASR gel"}, material_distress={"C-13": "none"})
    found = tables(changed, until="evaluation")
    section = found["core_states"].set_index("core").loc["C-13", "section"]
    rows = found["suitability"][found["suitability"]["section"] == section].set_index("subject")
    assert rows.loc[DELAMINATED, ["provided", "sample"]].tolist() == [NOT_EXAMINED, ""]
    assert "1 open" in reads(rows.loc["Materials-related distress in cores", "sample"], "us")


def test_a_sick_core_that_was_not_tested_stays_sick(facts: Facts) -> None:
    changed = with_cores(facts, note={"C-13": "not tested"}, material_distress={"C-13": "durability cracking"})
    states = tables(changed, until="evaluation")["core_states"].set_index("core")
    assert states.loc["C-13", "material"] == "durability cracking"


@pytest.mark.parametrize(
    "words",
    [
        "nothing seen",
        "no part lost",
        "no core loss",
        "dowel missing",
        "not tested for strength",
        "tested wet",
        "Lostwithiel aggregate",
        "",
    ],
)
def test_words_of_a_core_that_was_looked_at(words: str) -> None:
    assert unseen(words) == ""


DELAMINATED = "Delaminated cores"


def told_whole(facts: Facts, marks: dict[str, str] | str) -> Facts:
    """The facts with no depth of delamination, and with marks of delamination: of some cores, or of all."""
    cores = facts.cores.assign(delamination_depth=float("nan"))
    given = cores["core"].map(marks).fillna("") if isinstance(marks, dict) else marks
    return replace(facts, cores=cores.assign(delaminated=given))


def test_a_code_of_distress_alone_says_nothing_of_delamination(facts: Facts) -> None:
    """Once "0 of 41 delaminated, holds", where no column of the file spoke of delamination."""
    silent = told_whole(facts, "")
    found = tables(silent, until="evaluation")
    assert set(found["core_states"]["delaminated"]) == {NOT_EXAMINED}
    rows = found["suitability"].query("subject == @DELAMINATED")
    assert set(rows["outcome"]) == {NOT_EXAMINED}
    assert set(verdicts(found).drop(list(BAD))["verdict"]) == {NOT_JUDGED}
    assert found["open_points"]["settle"].str.contains("column delaminated").any()
    assumed = tables(silent, decided(assume_without_cores="yes", reason_to_assume="sounded whole"), until="evaluation")
    listed = assumed["assumptions"].query("without == @NOT_JUDGED")
    assert set(listed["quantity"]) == {"No delamination, where no core says"}
    assert listed["section"].nunique() == len(assumed["verdicts"])


def test_cores_marked_delaminated_are_counted(facts: Facts) -> None:
    found = tables(told_whole(facts, "yes"), until="evaluation")
    assert set(found["core_states"]["delaminated"]) == {"found"}
    rows = found["suitability"].query("subject == @DELAMINATED")
    assert set(rows["outcome"]) == {FAILS}


def test_a_core_without_a_mark_is_whole_only_where_delaminated_ones_alone_are_marked(facts: Facts) -> None:
    states = tables(told_whole(facts, {"C-13": "yes"}), until="evaluation")["core_states"].set_index("core")
    assert states.loc[["C-13", "C-15"], "delaminated"].tolist() == ["found", "none"]
    marked = told_whole(facts, {"C-13": "yes", "C-17": "no"})
    states = tables(marked, until="evaluation")["core_states"].set_index("core")
    assert states.loc[["C-13", "C-15", "C-17"], "delaminated"].tolist() == ["found", NOT_EXAMINED, "none"]


def test_a_remark_on_distress_that_names_a_disease_is_an_open_point(facts: Facts) -> None:
    row = facts.distresses.index[facts.distresses["kind"] == "map cracking"][0]
    found = tables(
        replace(
            facts,
            distresses=facts.distresses.assign(
                note=facts.distresses["note"].where(facts.distresses.index != row, "map cracking with alkali gel")
            ),
        ),
        until="evaluation",
    )
    assert found["open_points"]["point"].str.contains("names a materials disease").sum() == 1
    reason = found["suitability"].query("subject == 'Materials disease in remarks on distress'")
    assert reason["outcome"].tolist() == [NOT_EXAMINED]


@pytest.mark.parametrize(
    ("remark", "says"),
    [
        ("ASR gel suspected", ("alkali-silica reaction",)),
        ("D-cracking at the bottom", ("durability cracking",)),
        ("D-crk at base", ("durability cracking",)),
        ("d crk", ("durability cracking",)),
        ("some sulphate attack", ("other",)),
        ("came in two pieces", ("delamination",)),
        ("no ASR or gel seen", ()),
        ("no gel but D-cracked", ("durability cracking",)),
        ("no doubt ASR", ("alkali-silica reaction",)),
        ("ASR not ruled out", ("alkali-silica reaction",)),
        ("definitely sound, angelic", ()),
        *(
            (words, ("alkali-silica reaction",))
            for words in (
                "not intact (ASR gel)",
                "no strength test - gel visible",
                "core no 12 shows ASR gel",
                "none broken / ASR gel in voids",
                "ASR_gel",
                "no cracks, ASR suspected",
            )
        ),
        ("no bond - delaminated at 60 mm", ("delamination",)),
        ("delaminated: no bond left", ("delamination",)),
        *(
            (words, ())
            for words in (
                "ASR: none",
                "gel absent",
                "ASR - negative",
                "delaminated: no",
                "delaminated? no",
                "delamination not seen",
                "no visible signs of ASR or D-cracking",
                "does not show ASR",
                "not affected by alkali silica reaction",
            )
        ),
        ("fine pattern, light brown", ()),
        ("", ()),
    ],
)
def test_words_of_disease(remark: str, says: tuple[str, ...]) -> None:
    assert named(remark) == says


# Few samples ------------------------------------------------------------------------------------------------


def test_one_core_of_four_speaks_with_its_exact_limits() -> None:
    """Clopper and Pearson 1934, as scipy's binomtest has them: 0.63 to 80.59 %."""
    exact = binomtest(1, 4).proportion_ci(0.95, method="exact")
    reason = sampled("x", Sample(1, 4), 0.1, "", Decisions().evaluation)
    values = {name: value for name, _, value in decoded(_text(reason.sample)).values}
    assert (values["low"], values["high"]) == pytest.approx((exact.low, exact.high))
    assert (values["low"], values["high"]) == pytest.approx((0.0063, 0.8059), abs=5e-5)
    assert (values["found"], values["count"]) == (1, 4)


def _text(said: object) -> str:
    from slabwright.records.remarks import Remark, encoded

    assert isinstance(said, Remark)
    return encoded(said)


@pytest.mark.parametrize(
    ("found", "count", "unsettled", "by_share", "by_limits"),
    [
        (0, 5, 0, HOLDS, NOT_EXAMINED),
        (1, 4, 0, FAILS, NOT_EXAMINED),
        (0, 36, 0, HOLDS, HOLDS),  # 1 - 0.025^(1/36) = 0.0974
        (0, 35, 0, HOLDS, NOT_EXAMINED),  # 0.1000 and a little
        (10, 20, 0, FAILS, FAILS),
        (0, 0, 0, NOT_EXAMINED, NOT_EXAMINED),
        (0, 3, 1, NOT_EXAMINED, NOT_EXAMINED),
        (0, 0, 1, NOT_EXAMINED, NOT_EXAMINED),
        (0, 19, 1, HOLDS, NOT_EXAMINED),
        (2, 3, 1, FAILS, NOT_EXAMINED),
    ],
)
def test_a_share_is_judged_as_decided(found: int, count: int, unsettled: int, by_share: str, by_limits: str) -> None:
    sample = Sample(found, count, unsettled)
    for by, outcome in (("share found", by_share), ("limits of the share", by_limits)):
        decisions = decided(samples_judged_by=by).evaluation
        assert sampled("x", sample, 0.1, "", decisions).outcome == outcome, by


def test_no_remaining_life_is_a_caution_with_its_number(facts: Facts) -> None:
    """Repair restores no life: the verdict does not rest on it, and the number is told."""
    found = tables(facts, until="evaluation")
    state = found["condition"].set_index("section")
    row = verdicts(found).loc["A2"]
    assert state.loc["A2", "remaining_life"] == 0
    assert "Remaining life" not in row["reasons"]
    assert "Remaining life of the old slab {found:share:0.0}" in row["cautions"]
    rows = found["suitability"]
    assert set(rows.loc[rows["subject"].str.startswith("Remaining life"), "weight"]) == {"caution"}


ASR, D_CRACKING, PARTED = "alkali-silica reaction", "durability cracking", "delamination"


@pytest.mark.parametrize(
    ("remark", "says"),
    [
        ("AKR festgestellt, Gelaustritt, Ablösung in 9 cm Tiefe", (ASR, PARTED)),
        ("keine AKR, keine Ablösung", ()),
        ("ohne Anzeichen von AKR", ()),
        ("Frostschäden am Rand", (D_CRACKING,)),
        ("Ablösung: keine", ()),
        ("décollement à 90 mm", (PARTED,)),
        ("fissuration D possible en fond", (D_CRACKING,)),
        ("réaction alcali-granulats suspectée", (ASR,)),
        ("pas de décollement, aucune trace de gel", ()),
        ("R.A.S.", ()),  # French: nothing to report
        ("desprendimiento a 9 cm", (PARTED,)),
        ("sin señales de delaminación", ()),
        ("distacco a 5 cm", (PARTED,)),
        ("senza distacco", ()),
        ("sem descolamento", ()),
        ("onthechting op 90 mm", (PARTED,)),
        ("geen onthechting", ()),
        ("rozwarstwienie na 9 cm", (PARTED,)),
        ("brak rozwarstwienia", ()),
        ("bez známek delaminace", ()),
        ("split horizontally at 3 in", (PARTED,)),
        ("two halves", (PARTED,)),
        ("broken at mid-depth", (PARTED,)),
        ("separated at interface", (PARTED,)),
        ("reactive aggregate", (ASR,)),
        ("non-reactive aggregate", ()),
        ("without ASR testing", (ASR,)),  # a test that was not made denies nothing
        ("ASR test: negative", ()),
        ("freeze-thaw damage: no", ()),
    ],
)
def test_words_of_disease_in_the_languages_of_headings(remark: str, says: tuple[str, ...]) -> None:
    assert named(remark) == says


def test_a_core_without_a_code_is_settled_by_no_name(facts: Facts) -> None:
    changed = with_cores(facts, note={"C-13": "D-cracking at bottom"}, material_distress={"C-13": ""})
    found = tables(changed, decided(settled_cores="C-13"), until="evaluation")
    assert found["core_states"].set_index("core").loc["C-13", "material"] == NOT_EXAMINED
    assert any("C-13" in str(about) for about in found["open_points"]["about"])


def test_a_method_without_an_answer_contradicts_none(facts: Facts) -> None:
    """Without years of construction there is no remaining life, and nothing that could be thicker or thinner."""
    assert _thicknesses_apart(0.08, np.nan) == []


def test_a_ramp_that_no_overlay_reaches_is_an_open_point(facts: Facts) -> None:
    """Its nose on a deck, in a lane that nobody declared, or beyond the road; one that is reached is none."""
    deck = facts.bridges[facts.bridges["passes"] == "under the road"].iloc[0]
    first = facts.ramps.iloc[0]
    places = {
        "Reached": (first["station"], first["lane"]),
        "On deck": ((deck["begin"] + deck["end"]) / 2, first["lane"]),
        "Strange": (first["station"], "Q7"),
        "Beyond": (facts.road["end"].iloc[0] + 500.0, first["lane"]),
    }
    ramps = pd.DataFrame([first] * len(places)).assign(
        name=list(places), station=[s for s, _ in places.values()], lane=[lane for _, lane in places.values()]
    )
    points = tables(replace(facts, ramps=ramps.reset_index(drop=True)), until="evaluation")["open_points"]
    said = {about: reads(p, "us") for about, p in zip(points["about"], points["point"], strict=True)}
    assert "lies on the deck of a bridge" in said["On deck"]
    assert "its lane Q7 belongs to no direction" in said["Strange"]
    assert "lies in no section" in said["Beyond"]
    assert "Reached" not in said
