"""What the bond stage reads, decides and gives."""

from __future__ import annotations

from slabwright.records.outcomes.bond import TABLES
from slabwright.records.stage import Stage

__all__ = ["STAGE"]

STAGE = Stage(
    name="bond",
    title="Bond",
    question="Will the overlay stay bonded, and where is it nearest to debonding?",
    facts=("lanes", "layers", "cores", "deflections", "distresses", "weather"),
    needed=("lanes", "layers"),
    decisions=("survey", "evaluation", "repair", "design", "bond", "plate"),
    after=("evaluation", "design"),
    outcomes=TABLES,
    run="slabwright.bond.run",
    provenance="slabwright.bond.provenance",
    preconditions="slabwright.bond.preconditions",
    long=True,
    version=6,
)
