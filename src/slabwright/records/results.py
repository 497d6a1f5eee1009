"""What a stage gives back: frozen, made only by computing, never edited by hand."""

from __future__ import annotations

import operator
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

from slabwright.records.remarks import Remark

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["StageResult", "Verdict", "verdict"]

Operator = Literal[">=", "<="]


@dataclass(frozen=True)
class Verdict:
    """One comparison of a provided with a required value, in SI."""

    subject: str
    kind: str
    provided: float
    required: float
    operator: Operator
    passes: bool
    source: str


def verdict(subject: str, kind: str, provided: float, op: Operator, required: float, source: str) -> Verdict:
    """The verdict on ``provided op required``; NaN never passes."""
    compare = {">=": operator.ge, "<=": operator.le}[op]
    return Verdict(subject, kind, provided, required, op, bool(compare(provided, required)), source)


@dataclass(frozen=True)
class StageResult:
    """The result tables of one stage and notes; where the numbers come from is declared (``records.provenance``)."""

    stage: str
    tables: Mapping[str, pd.DataFrame]
    notes: tuple[Remark, ...] = field(default=())
