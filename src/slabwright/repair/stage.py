"""What the repair stage reads, decides and gives."""

from __future__ import annotations

from slabwright.records.outcomes.repair import TABLES
from slabwright.records.stage import Stage

__all__ = ["STAGE"]

STAGE = Stage(
    name="repair",
    title="Repair",
    question="What is repaired before the overlay, where, and how much of it?",
    facts=("lanes", "layers", "bridges", "cores", "deflections", "distresses"),
    needed=("layers",),
    decisions=("evaluation", "repair"),
    after=("survey", "evaluation"),
    outcomes=TABLES,
    run="slabwright.repair.run",
    provenance="slabwright.repair.provenance",
    version=9,
)
