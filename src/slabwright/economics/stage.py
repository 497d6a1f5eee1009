"""What the economics stage reads, decides and gives."""

from __future__ import annotations

from slabwright.records.outcomes.economics import TABLES
from slabwright.records.stage import Stage

__all__ = ["STAGE"]

STAGE = Stage(
    name="economics",
    title="Cost",
    question="Which items are bid, in which quantity, and what do they cost?",
    facts=("bridges",),
    needed=(),
    decisions=("economics",),
    after=("evaluation", "repair", "design"),
    outcomes=TABLES,
    run="slabwright.economics.run",
    provenance="slabwright.economics.provenance",
    version=6,
)
