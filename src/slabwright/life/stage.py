"""What the life stage reads, decides and gives."""

from __future__ import annotations

from slabwright.records.outcomes.life import TABLES
from slabwright.records.stage import Stage

__all__ = ["STAGE"]

STAGE = Stage(
    name="life",
    title="Fatigue life",
    question="How long does it last, at which reliability, and where does it crack first?",
    facts=("lanes", "bridges", "layers", "cores", "deflections", "distresses", "weather", "axles"),
    needed=("lanes", "layers", "weather"),
    decisions=("traffic", "evaluation", "repair", "design", "life", "plate"),
    after=("evaluation", "repair", "design"),
    outcomes=TABLES,
    run="slabwright.life.run",
    provenance="slabwright.life.provenance",
    preconditions="slabwright.life.preconditions",
    long=True,
    version=10,
)
