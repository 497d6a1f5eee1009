"""Decisions on which method the design is built on where methods disagree. No stage reads them: nothing is computed anew."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from slabwright.calculation import Choice, Quantity, Words

__all__ = ["MECHANISTIC", "AASHTO", "UNDECIDED", "BasisDecisions"]

UNDECIDED, AASHTO, MECHANISTIC = "not decided", "AASHTO 1993", "mechanistic analysis"


@dataclass(frozen=True)
class BasisDecisions:
    """What the engineer builds on, and why."""

    method: Annotated[str, Choice("method that the thickness is built on", (UNDECIDED, AASHTO, MECHANISTIC))] = (
        UNDECIDED
    )
    reason: Annotated[str, Words("why that method")] = ""
    agreement: Annotated[
        float, Quantity("number", "factor between two lives within which methods count as agreeing", 1.0, 10.0)
    ] = 2.0
