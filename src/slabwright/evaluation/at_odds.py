"""Where the surveys say another thing of the old pavement than its declaration: kind of slab, thickness."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pandas as pd

from slabwright.evaluation.joint_tests import JOINT_SIDES
from slabwright.evaluation.suitability import Evidence
from slabwright.records.remarks import Remark, remark
from slabwright.roadway.places import section_layers
from slabwright.units import INCH

__all__ = ["at_odds"]

AT_JOINTS = ("joint spalling", "joint seal damage", "faulting")
UNLIKE_PLAN = 0.5 * INCH  # between the mean of the cores and the plan (common practice, no source)
Point = tuple[str, Remark | str, str]


def at_odds(condition: pd.DataFrame, evidence: Evidence) -> Iterator[Point]:
    """Open points: what the table of the existing pavement says of a section and its tests, distresses or cores deny.

    condition: its table, one row a section. Raises nothing.
    """
    for (_, section), layer in zip(condition.iterrows(), section_layers(evidence.facts, condition), strict=True):
        if layer >= 0:
            plan = evidence.facts.layers.iloc[layer]
            yield from _kind_of_slab(section, str(plan["pavement"]), evidence)
            yield from _thickness(section, float(plan["thickness"]), evidence)


def _kind_of_slab(section: pd.Series, pavement: str, evidence: Evidence) -> Iterator[Point]:
    tests, rated = evidence.facts.deflections, evidence.distresses(section)
    within = (tests["station"] >= section["begin"]) & (tests["station"] <= section["end"])
    within &= tests["lane"].isin(evidence.lanes(section["direction"]))
    places = tests[within & tests["position"].isin(JOINT_SIDES)]["station"].nunique()
    spoiled, punched = int(rated["kind"].isin(AT_JOINTS).sum()), int((rated["kind"] == "punchout").sum())
    if pavement == "CRCP" and (places or spoiled):
        said = remark(
            "declared continuously reinforced, which has no joints, while {tests} places were tested at joints and"
            " {spoiled} distresses of joints were found",
            tests=("count", places),
            spoiled=("count", spoiled),
        )
        yield section["section"], said, "Correct the kind of pavement, or the places of the tests."
    if pavement != "CRCP" and punched:
        said = remark(
            "declared {pavement}, a jointed pavement, while {punched} punchouts were found, which continuous slabs have",
            pavement=("text", pavement),
            punched=("count", punched),
        )
        yield section["section"], said, "Correct the kind of pavement, or of the distress."


def _thickness(section: pd.Series, planned: float, evidence: Evidence) -> Iterator[Point]:
    here = (evidence.cores["section"] == section["section"]).to_numpy()
    cored = evidence.facts.cores["thickness"].to_numpy(dtype=float)[here]
    cored = cored[np.isfinite(cored)]
    if not cored.size or not abs(cored.mean() - planned) > UNLIKE_PLAN:
        return
    said = remark(
        "{number} cores are {cored} thick in the mean, and the plan says {planned}: a core near a test, or the mean of three"
        " of one pavement, goes before the plan",
        number=("count", cored.size),
        cored=("thickness", float(cored.mean())),
        planned=("thickness", planned),
    )
    yield section["section"], said, "Correct the thickness of the existing pavement, or core more."
