"""What the evaluation stage reads, decides and gives."""

from __future__ import annotations

from slabwright.records.outcomes.evaluation import TABLES
from slabwright.records.stage import Stage

__all__ = ["STAGE"]

STAGE = Stage(
    name="evaluation",
    title="Evaluation",
    question="What is left of the old slab, and does it suit a bonded overlay?",
    facts=("lanes", "layers", "bridges", "ramps", "deflections", "cores", "distresses", "counts", "axles"),
    needed=("layers", "deflections", "counts"),
    decisions=("survey", "traffic", "evaluation", "repair"),
    after=("survey",),
    outcomes=TABLES,
    run="slabwright.evaluation.run",
    provenance="slabwright.evaluation.provenance",
    preconditions="slabwright.evaluation.preconditions",
    version=14,
)
