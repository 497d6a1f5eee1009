"""What the design stage reads, decides and gives."""

from __future__ import annotations

from slabwright.records.outcomes.design import TABLES
from slabwright.records.stage import Stage

__all__ = ["STAGE"]

STAGE = Stage(
    name="design",
    title="Overlay design",
    question="How thick, with which steel, joints and surface preparation, and what does it gain?",
    facts=("road", "lanes", "layers", "bridges", "ramps", "cores", "deflections", "distresses"),
    needed=("layers",),
    decisions=("survey", "traffic", "evaluation", "design"),
    after=("evaluation", "repair"),
    outcomes=TABLES,
    run="slabwright.design.run",
    provenance="slabwright.design.provenance",
    preconditions="slabwright.design.preconditions",
    version=13,
)
