"""Whether the surveys find joints in a slab that is declared continuously reinforced."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pandas as pd

from slabwright.evaluation.joint_tests import JOINT_SIDES

if TYPE_CHECKING:
    from slabwright.evaluation.suitability import Evidence

__all__ = ["AT_JOINTS", "MANY_JOINTS", "joints_found"]

AT_JOINTS = ("joint spalling", "joint seal damage", "faulting")
MANY_JOINTS = (
    3  # tested in a section, from which it is no lone joint at a bridge or a day's end (common practice, no source)
)


def joints_found(section: pd.Series, evidence: Evidence) -> tuple[int, int]:
    """Places of a section tested at a joint, and distresses of joints found in it; a row of the condition. Raises nothing."""
    tests, rated = evidence.facts.deflections, evidence.distresses(section)
    within = (tests["station"] >= section["begin"]) & (tests["station"] <= section["end"])
    within &= tests["lane"].isin(evidence.lanes(section["direction"])) & tests["position"].isin(JOINT_SIDES)
    return int(tests.loc[within, "station"].nunique()), int(rated["kind"].isin(AT_JOINTS).sum())
