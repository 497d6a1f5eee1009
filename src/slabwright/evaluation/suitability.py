"""Does a section suit a bonded overlay? Every reason for and against, with its number and limit."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import pandas as pd

from slabwright import units
from slabwright.records.decisions.evaluation import EvaluationDecisions
from slabwright.records.facts import Facts
from slabwright.records.outcomes.evaluation import SUITABILITY, VERDICTS
from slabwright.records.remarks import remark
from slabwright.records.results import Verdict, verdict
from slabwright.records.table import table
from slabwright.records.words import NOT_JUDGED, NOT_SUITED, SUITED, SUITED_AFTER_REPAIR
from slabwright.roadway.places import lane_width

__all__ = ["Reason", "judge", "reasons", "summarise"]

REFUSES, REPAIR, DATA = NOT_SUITED, "repair or measure first", NOT_JUDGED
GUIDE = "AASHTO 1993 Part III section 5.8.1 (from memory); the number is the agency's"
PRACTICE = "common practice, no source"
SIGNS = {">=": "≥", "<=": "≤"}
LEAST_TESTS = 5
PATCH_LENGTH = 6 * units.FOOT
CONSIDER = {
    "Materials-related distress in cores": "an unbonded overlay or reconstruction",
    "Joints with durability cracking": "an unbonded overlay or reconstruction",
    "Full-depth repair": "an unbonded overlay or reconstruction",
    "Delaminated cores": "removal of the delaminated concrete, or an unbonded overlay",
    "Corners with voids": "stabilising the whole stretch, or an unbonded overlay",
}


@dataclass(frozen=True)
class Reason:
    """One comparison, and what it means when it fails."""

    outcome: Verdict
    weight: str


def reasons(
    section: pd.Series,
    facts: Facts,
    survey: dict[str, pd.DataFrame],
    directions: dict[str, str],
    decisions: EvaluationDecisions,
) -> Iterator[Reason]:
    """The reasons for one row of the condition table, most weighty first. NaN counts as not known and is left out."""
    cores = _here(survey["core_strengths"], section, directions)
    rated = _here(survey["rated_distresses"], section, directions)
    lanes = [lane for lane, way in directions.items() if way == section["direction"]]
    yield _reason("Mid-slab tests", "count", section["tests"], ">=", LEAST_TESTS, PRACTICE, DATA)
    if len(cores):
        sick = (~cores["material_distress"].isin(["", "none"])).mean()
        yield _reason(
            "Materials-related distress in cores", "share", sick, "<=", decisions.most_durability_cores, GUIDE, REFUSES
        )
        split = cores["delamination_depth"].gt(0).mean()
        yield _reason("Delaminated cores", "share", split, "<=", decisions.most_delaminated_cores, GUIDE, REFUSES)
    if section["pavement"] != "CRCP":
        joints = _joint_count(facts, section, len(lanes))
        durable = (rated["kind"] == "durability cracking").sum() / joints
        yield _reason(
            "Joints with durability cracking", "share", durable, "<=", decisions.most_durability_cores, GUIDE, REFUSES
        )
    share = _full_depth_share(rated, section, [lane_width(facts, lane) for lane in lanes])
    yield _reason("Full-depth repair", "share", share, "<=", decisions.most_full_depth, GUIDE, REFUSES)
    if share > 0:
        yield _reason("Full-depth repair needed", "share", share, "<=", 0.0, GUIDE, REPAIR)
    if np.isfinite(section["void_share"]):
        yield _reason(
            "Corners with voids", "share", section["void_share"], "<=", decisions.most_void_corners, PRACTICE, REFUSES
        )
        yield _reason("Voids to stabilise", "share", section["void_share"], "<=", 0.0, PRACTICE, REPAIR)
    if np.isfinite(section["transfer"]) and section["pavement"] != "CRCP":
        yield _reason(
            "Mean load transfer", "share", section["transfer"], ">=", decisions.lowest_load_transfer, GUIDE, REPAIR
        )
    if np.isfinite(section["drainage_coefficient"]):
        yield _reason("Drainage coefficient", "number", section["drainage_coefficient"], ">=", 0.85, GUIDE, REPAIR)
    if np.isfinite(section["remaining_life"]):
        yield _reason("Remaining life of the old slab", "share", section["remaining_life"], ">=", 0.05, GUIDE, REPAIR)
    yield from _bridges(facts, section, decisions)


def _reason(subject: str, kind: str, provided: float, op: str, required: float, source: str, weight: str) -> Reason:
    return Reason(verdict(subject, kind, float(provided), op, required, source), weight)  # type: ignore[arg-type]


def _here(frame: pd.DataFrame, section: pd.Series, directions: dict[str, str]) -> pd.DataFrame:
    way = frame["lane"].map(directions) == section["direction"]
    return frame[way & (frame["station"] >= section["begin"]) & (frame["station"] <= section["end"])]


def _joint_count(facts: Facts, section: pd.Series, lanes: int) -> float:
    middle = (section["begin"] + section["end"]) / 2
    layer = facts.layers[(facts.layers["begin"] <= middle) & (facts.layers["end"] >= middle)]
    spacing = float(layer["joint_spacing"].iloc[0]) if len(layer) else np.nan
    return max((section["end"] - section["begin"]) / spacing * lanes, 1.0)


def _full_depth_share(rated: pd.DataFrame, section: pd.Series, widths: list[float]) -> float:
    """Area of full-depth repair at high-severity cracks, breaks, punchouts and durability distress over all area."""
    kinds = ("transverse crack", "corner break", "punchout", "durability cracking", "joint spalling", "patch")
    number = int((rated["kind"].isin(kinds) & (rated["severity"] == "high")).sum())
    width = float(np.mean(widths))
    return number * PATCH_LENGTH * width / ((section["end"] - section["begin"]) * width * len(widths))


def _bridges(facts: Facts, section: pd.Series, decisions: EvaluationDecisions) -> Iterator[Reason]:
    for bridge in facts.bridges.itertuples(index=False):
        if bridge.begin <= section["end"] and bridge.end >= section["begin"]:
            over = bridge.passes == "over the road"
            room = bridge.clearance - bridge.required_clearance if over else bridge.allowable_raise
            if np.isfinite(room):
                subject = f"Raise available at bridge {bridge.name}"
                yield _reason(subject, "thickness", room, ">=", decisions.least_raise, GUIDE, REPAIR)


def judge(found: list[Reason]) -> str:
    """The verdict that follows from the failed reasons."""
    failed = {r.weight for r in found if not r.outcome.passes}
    for weight, result in ((DATA, NOT_JUDGED), (REFUSES, NOT_SUITED), (REPAIR, SUITED_AFTER_REPAIR)):
        if weight in failed and not (weight == DATA and REFUSES in failed):
            return result
    return SUITED


def summarise(condition: pd.DataFrame, all_reasons: list[list[Reason]]) -> tuple[pd.DataFrame, pd.DataFrame]:
    """The tables ``suitability`` and ``verdicts``."""
    rows = [
        (
            name,
            r.outcome.subject,
            remark("{found}", found=(r.outcome.kind, r.outcome.provided)),
            remark(f"{SIGNS[r.outcome.operator]} {{limit}}", limit=(r.outcome.kind, r.outcome.required)),
            "yes" if r.outcome.passes else "no",
            r.weight,
            r.outcome.source,
        )
        for name, found in zip(condition["section"], all_reasons, strict=True)
        for r in found
    ]
    columns = ["section", "subject", "provided", "required", "passes", "weight", "source"]
    verdicts = [judge(found) for found in all_reasons]
    failed = [[r.outcome.subject for r in found if not r.outcome.passes] for found in all_reasons]
    consider = [
        "; ".join(dict.fromkeys(CONSIDER[s] for s in subjects if s in CONSIDER)) if v == NOT_SUITED else ""
        for v, subjects in zip(verdicts, failed, strict=True)
    ]
    summary = condition[["section", "direction", "begin", "end"]].assign(
        verdict=verdicts, reasons=["; ".join(s) for s in failed], consider=consider
    )
    return table(SUITABILITY, pd.DataFrame(rows, columns=columns)), table(VERDICTS, summary)
