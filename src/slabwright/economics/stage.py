"""What the economics stage reads, decides and gives."""

from __future__ import annotations

from slabwright.records.outcomes.economics import TABLES
from slabwright.records.stage import Stage

__all__ = ["STAGE"]

STAGE = Stage(
    name="economics",
    title="Cost",
    question="What do the repairs and the overlay cost, section by section?",
    facts=("bridges",),
    needed=(),
    decisions=("economics",),
    after=("repair", "design"),
    outcomes=TABLES,
    run="slabwright.economics.run",
    provenance="slabwright.economics.provenance",
    version=2,
)
