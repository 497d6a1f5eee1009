"""What the answer assumes and nobody measured: each with its value, the range it could take, and the decision that sets it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
import pandas as pd

from slabwright.evaluation.condition import joints_and_cracks_factor
from slabwright.evaluation.cores import only_found_marked
from slabwright.evaluation.defaults import by_default
from slabwright.evaluation.examined import KINDS, Kind, missing
from slabwright.evaluation.loading import Loading
from slabwright.evaluation.reasons import GUIDE, PRACTICE
from slabwright.evaluation.suitability import Evidence
from slabwright.evaluation.two_transfers import CONTINUOUS_RANGE
from slabwright.evaluation.walked import STATED
from slabwright.records.decisions import Decisions
from slabwright.records.outcomes.evaluation import ASSUMPTIONS
from slabwright.records.remarks import Remark, by_number, remark
from slabwright.records.table import table
from slabwright.records.words import NOT_EXAMINED, NOT_JUDGED, listed
from slabwright.roadway.places import section_layers
from slabwright.survey.cores import strength_tested
from slabwright.survey.distress import deteriorated
from slabwright.units import INCH, MILE

__all__ = ["DRAINAGE_RANGES", "RANGES", "assumptions"]

BY_NAME = {
    Kind.CORES: "Sound concrete, without a core",
    Kind.SURVEY: "No distress, without a survey",
    Kind.JOINTS: "Load transfer, without a joint test",
    Kind.CORNERS: "No voids, without a corner test",
}
FEW = {
    Kind.CORES: "Sound concrete, on fewer cores than are asked for",
    Kind.CORNERS: "No voids, on fewer corner tests than are asked for",
}
WHOLE = "No delamination, where no core says"
RANGES_BY = "AASHTO 1993 Part III section 5.8.5 and Table 2.5, published ranges (from memory)"
STATIC_BY = "AASHTO 1993 gives one half; tests gave about 0.4 to 0.6 (from memory)"
# Least and greatest value by the column of the state: jointed and continuous J, the factors, static over dynamic k.
RANGES = {
    "jointed": (3.2, 4.0),
    "continuous": CONTINUOUS_RANGE,
    "durability_factor": (0.80, 1.0),
    "fatigue_factor": (0.90, 1.0),
    "static_ratio": (0.4, 0.6),
}
PLAN_MISSES = 0.5 * INCH  # by which a slab may differ from its plan, either way (common practice, no source)
# By quality of drainage over all shares of time near saturation, AASHTO 1993 Table 2.5, from memory; "" where not given.
DRAINAGE_RANGES = {
    "excellent": (1.10, 1.25),
    "good": (1.00, 1.20),
    "fair": (0.90, 1.15),
    "poor": (0.80, 1.10),
    "very poor": (0.70, 1.00),
    "": (0.70, 1.25),
}
Line = tuple[str, str, float, float, float, Remark | str, str, str, str]
MOST_UNREPAIRED = 200 / MILE
PLANNED = 0.5  # of the tests of a section, above which its thickness is called that of the plans


def assumptions(
    condition: pd.DataFrame, seen: pd.DataFrame, evidence: Evidence, decisions: Decisions, loading: Loading
) -> pd.DataFrame:
    """The table ``assumptions``: by section, what the verdict rests on, what the thickness does, and last what is a default."""
    rows = [
        (section["section"], *line)
        for row, (_, section) in enumerate(condition.iterrows())  # a handful of sections
        for line in (
            *_by_name(row, seen, evidence),
            *_values(row, section, seen, evidence, decisions),
            *(_line(*default) for default in by_default(section, evidence.facts, decisions, loading)),
        )
    ]
    return table(ASSUMPTIONS, pd.DataFrame(rows, columns=list(ASSUMPTIONS.names)))


def _by_name(row: int, seen: pd.DataFrame, evidence: Evidence) -> Iterator[Line]:
    """Examinations that were not made and that the engineer assumes by name: without it the section is not judged."""
    given = evidence.decisions.reason_to_assume or "no reason is given"
    for kind in KINDS:
        if missing(seen, kind)[row] and (by := evidence.assuming(kind)):
            why = remark("decided: {reason}", reason=("text", given))
            yield BY_NAME[kind], "", np.nan, np.nan, np.nan, why, by, NOT_JUDGED, PRACTICE
        elif (by := evidence.assuming(kind)) and kind in FEW and _too_few(kind, seen.iloc[row], evidence):
            why = remark(
                "decided: {reason}; {number} examined", reason=("text", given), number=("count", seen[kind].iloc[row])
            )
            yield FEW[kind], "", np.nan, np.nan, np.nan, why, by, NOT_JUDGED, PRACTICE
    walks = evidence.walks
    stated = walks[(walks["section"] == seen["section"].iloc[row]) & (walks["standing"] == STATED)]
    if len(stated):
        name, by = "Lanes walked whole, which the survey's rows do not show", "evaluation.lanes_walked_whole"
        why = remark("decided: lanes {lanes}, {reason}", lanes=("text", listed(stated["lane"])), reason=("text", given))
        yield name, "", np.nan, np.nan, np.nan, why, by, "distress counted over what was walked", PRACTICE
    if (by := evidence.assuming(Kind.CORES)) and not missing(seen, Kind.CORES)[row]:
        here = evidence.cores[evidence.cores["section"] == seen["section"].iloc[row]]
        if (here["delaminated"] == NOT_EXAMINED).all() and (here["conflict"] == "").all():
            why = remark("decided: {reason}", reason=("text", given))
            yield WHOLE, "", np.nan, np.nan, np.nan, why, by, NOT_JUDGED, PRACTICE


def _too_few(kind: str, seen: pd.Series, evidence: Evidence) -> bool:
    asked = kind == Kind.CORES or seen["jointed"]
    return bool(asked and 0 < seen[kind] < evidence.decisions.least_samples)


def _values(
    row: int, section: pd.Series, seen: pd.DataFrame, evidence: Evidence, decisions: Decisions
) -> Iterator[Line]:
    yield from _transfer(row, section, seen, evidence)
    yield from _factors(row, section, seen, evidence)
    yield _drainage(section, evidence)
    yield from _thickness(section, evidence)
    ratio = decisions.evaluation.static_ratio
    yield _line(
        "Static over dynamic k",
        "static_ratio",
        ratio,
        RANGES["static_ratio"],
        "only falling loads were measured",
        "evaluation.static_ratio",
        STATIC_BY,
    )
    if decisions.survey.bending_factor > 0:
        yield _line(
            "Bending correction of load transfer",
            "",
            decisions.survey.bending_factor,
            (np.nan, np.nan),
            "decided, not taken from the basins",
            "survey.bending_factor",
            PRACTICE,
        )
    yield from _cores(section, evidence)


def _line(
    quantity: str, enters: str, value: float, ends: tuple[float, float], why: Remark | str, decision: str, source: str
) -> Line:
    """A line whose range holds its own value."""
    low, high = (float(v) for v in (np.fmin(ends[0], value), np.fmax(ends[1], value)))
    return quantity, enters, float(value), low, high, why, decision, "", source


def _transfer(row: int, section: pd.Series, seen: pd.DataFrame, evidence: Evidence) -> Iterator[Line]:
    name, column = "Load transfer coefficient J", "load_transfer_coefficient"
    decided, untested = evidence.decisions.load_transfer_coefficient > 0, bool(missing(seen, Kind.JOINTS)[row])
    jointed = bool(seen["jointed"].iloc[row])
    ends, by = RANGES["jointed" if jointed else "continuous"], "evaluation.load_transfer_coefficient"
    if decided:
        yield _line(name, column, section[column], ends, "decided by hand", by, RANGES_BY)
    elif not jointed:
        why = "middle of the range for continuous reinforcement; cracks were not tested"
        yield _line(name, column, section[column], ends, why, by, RANGES_BY)
    elif untested and np.isfinite(section[column]):
        what = remark("load transfer {taken} assumed", taken=("text", evidence.decisions.assume_without_joint_tests))
        yield _line(name, column, section[column], ends, what, "evaluation.assume_without_joint_tests", RANGES_BY)


def _factors(row: int, section: pd.Series, seen: pd.DataFrame, evidence: Evidence) -> Iterator[Line]:
    yield from _unrepaired(section, seen.iloc[row], evidence)
    column, no_cores, no_survey = "durability_factor", missing(seen, Kind.CORES)[row], missing(seen, Kind.SURVEY)[row]
    if evidence.decisions.durability_factor > 0:
        ends, by = RANGES[column], "evaluation.durability_factor"
        yield _line("Durability factor", column, section[column], ends, "decided by hand", by, RANGES_BY)
    elif (no_cores or no_survey) and np.isfinite(section[column]):
        by = evidence.assuming(Kind.CORES if no_cores else Kind.SURVEY)
        yield _line("Durability factor", column, section[column], RANGES[column], "not examined", by, RANGES_BY)
    column = "fatigue_factor"
    if no_survey and np.isfinite(section[column]):
        by = evidence.assuming(Kind.SURVEY)
        yield _line("Fatigue factor", column, section[column], RANGES[column], "not surveyed", by, RANGES_BY)


def _unrepaired(section: pd.Series, seen: pd.Series, evidence: Evidence) -> Iterator[Line]:
    """The joints and cracks factor where the marking of repairs does not give it: decided by hand, or without a survey."""
    decided, column = evidence.decisions.unrepaired, "joints_factor"
    worst = float(joints_and_cracks_factor(np.asarray(_left_as_it_is(section, seen, evidence))))
    name = "Joints and cracks factor"
    if decided > 0:
        value = float(joints_and_cracks_factor(np.asarray(decided)))
        why = "decided by hand, not from the marking; the least is with none repaired"
        yield _line(name, column, value, (worst, 1.0), why, "evaluation.unrepaired", GUIDE)
    elif not seen[Kind.SURVEY] and (by := evidence.assuming(Kind.SURVEY)):
        yield _line(name, column, 1.0, (worst, 1.0), "not surveyed", by, GUIDE)


def _left_as_it_is(section: pd.Series, seen: pd.Series, evidence: Evidence) -> float:
    """Deteriorated joints, cracks and punchouts of the worst lane per length walked, if none were repaired. [1/m]

    Without a survey, as many as the curve of the factor knows.
    """
    if not seen[Kind.SURVEY]:
        return MOST_UNREPAIRED
    rated = evidence.distresses(section)
    number = rated[deteriorated(rated)]["lane"].value_counts()
    walks = evidence.walks[(evidence.walks["section"] == section["section"]) & (evidence.walks["counted"] > 0)]
    density = [number.get(w.lane, 0) / w.counted for w in walks.itertuples(index=False)]
    return min(max(density, default=0.0), MOST_UNREPAIRED)


def _thickness(section: pd.Series, evidence: Evidence) -> Iterator[Line]:
    """The thickness of the old slab where it is that of the plans at most of the tests used."""
    tests = evidence.moduli[(evidence.moduli["section"] == section["section"]) & (evidence.moduli["excluded"] == "")]
    if len(tests) and (planned := float((tests["thickness_from"] == "plans").mean())) > PLANNED:
        h = float(section["thickness"])
        why = remark("from the plans at {share} of the tests: no core is near", share=("share", planned))
        yield _line("Thickness of the old slab", "thickness", h, (h - PLAN_MISSES, h + PLAN_MISSES), why, "", PRACTICE)


def _drainage(section: pd.Series, evidence: Evidence) -> Line:
    name, column, by = "Drainage coefficient", "drainage_coefficient", "evaluation.drainage_coefficient"
    layer = int(section_layers(evidence.facts, section.to_frame().T)[0])
    quality = str(evidence.facts.layers["drainage"].iloc[layer]) if layer >= 0 else ""
    why: Remark | str = (
        remark("drainage called {quality}", quality=("text", quality)) if quality else "drainage not given"
    )
    if evidence.decisions.drainage_coefficient > 0:
        why = "decided by hand"
    return _line(name, column, section[column], DRAINAGE_RANGES[quality], why, by, RANGES_BY)


def _cores(section: pd.Series, evidence: Evidence) -> Iterator[Line]:
    """Strength and corrections of cores that nobody measured here."""
    states = evidence.cores
    here = evidence.facts.cores[(states["section"] == section["section"]).to_numpy()]
    tested: Any = here["compressive_strength"].notna() & strength_tested(here)
    measured: Any = strength_tested(here)
    if evidence.decisions.strength_from != "modulus" and np.isfinite(section["core_strength"]) and not tested.any():
        said = "no sound core was tested in compression in this section: the mean of the whole road is taken"
        yield _line("Core strength", "", np.nan, (np.nan, np.nan), said, "evaluation.strength_from", PRACTICE)
    elif evidence.decisions.strength_from == "lower of both" and np.isfinite(section["rupture"]) and not measured.any():
        others = "the split cores of the whole road and " if np.isfinite(section["rupture_cores"]) else ""
        said = f"no sound core was tested in this section: from {others}the modulus"
        yield _line("Flexural strength", "", np.nan, (np.nan, np.nan), said, "evaluation.strength_from", PRACTICE)
    unmarked = here[(here["material_distress"] != "") & here["delamination_depth"].isna() & (here["delaminated"] == "")]
    if only_found_marked(evidence.facts.cores) and len(unmarked):
        cores = by_number(len(unmarked), "{number} core carries", "{number} cores carry")
        why = remark(f"{cores} no mark, and only delaminated ones are marked", number=("count", len(unmarked)))
        yield _line("Cores without a mark are whole", "", np.nan, (np.nan, np.nan), why, "", PRACTICE)
    blank = int((tested & (here["moisture"] == "")).sum())
    if blank:
        cores = by_number(blank, "{number} tested core", "{number} tested cores")
        why = remark(f"moisture of {cores} not given", number=("count", blank))
        yield _line("Moisture factor of cores", "", 1.0, (0.96, 1.09), why, "", "ACI 214.4R (from memory)")
