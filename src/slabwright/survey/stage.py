"""What the survey stage reads, decides and gives."""

from __future__ import annotations

from slabwright.records.outcomes.survey import TABLES
from slabwright.records.stage import Stage

__all__ = ["STAGE"]

STAGE = Stage(
    name="survey",
    title="Survey",
    question="What does the road show, and where does it change?",
    facts=("road", "lanes", "layers", "bridges", "deflections", "cores", "distresses"),
    needed=("layers", "deflections"),
    decisions=("survey",),
    after=(),
    outcomes=TABLES,
    run="slabwright.survey.run",
    provenance="slabwright.survey.provenance",
    preconditions="slabwright.survey.preconditions",
    version=7,
)
