"""What a published law was fitted to, and whether this road lies inside."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from slabwright.calculation import Array
from slabwright.records.remarks import remark
from slabwright.records.table import Schema, table

__all__ = ["CONTINUOUS", "INSIDE", "JOINTED", "OUTSIDE", "UNKNOWN", "Among", "Fit", "fits_table"]

INSIDE, OUTSIDE, UNKNOWN = "yes", "no", "not known"
CONTINUOUS, JOINTED = "continuously reinforced", "jointed"
SLACK = 1e-6  # of a bound: one entered in other units may differ in the last bits


@dataclass(frozen=True)
class Fit:
    """One quantity of the data behind a law: its kind, and its range in SI."""

    law: str
    quantity: str
    kind: str
    low: float
    high: float
    basis: str

    def inside(self, values: Array) -> list[str]:
        """Whether each value (n,) lies in the range; a value that is not known is neither in nor out."""
        low, high = self.low - SLACK * abs(self.low), self.high + SLACK * abs(self.high)
        return [UNKNOWN if np.isnan(v) else INSIDE if low <= v <= high else OUTSIDE for v in values]


@dataclass(frozen=True)
class Among:
    """One property that the data behind a law had, in words."""

    law: str
    quantity: str
    words: str
    basis: str

    def inside(self, values: Sequence[str]) -> list[str]:
        """Whether each value (n,) is that of the data; "" is not known."""
        return [INSIDE if v == self.words else OUTSIDE if v else UNKNOWN for v in values]


def fits_table(
    schema: Schema, sections: Sequence[str], found: Iterable[tuple[Fit, Array] | tuple[Among, Sequence[str]]]
) -> pd.DataFrame:
    """A row for each fit and section; ``found`` gives the value (n,) of each section, in SI or in words, beside its fit."""
    rows = [pd.DataFrame({"section": list(sections), **_columns(*one)}) for one in found]
    return table(schema, pd.concat(rows, ignore_index=True) if rows and len(sections) else {})


def _columns(fit: Fit | Among, values: Array | Sequence[str]) -> dict[str, object]:
    told: list[object]
    ends: tuple[object, object]
    if isinstance(fit, Among):
        words = [str(v) for v in values]
        told, ends, inside = [*words], (fit.words, ""), fit.inside(words)
    else:
        numbers = np.asarray(values, dtype=float)
        told, inside = [_said(fit, v) for v in numbers], fit.inside(numbers)
        ends = (_said(fit, fit.low), _said(fit, fit.high))
    low, high = (pd.Series([end] * len(told), dtype=object) for end in ends)
    return {
        "law": fit.law,
        "quantity": fit.quantity,
        "value": pd.Series(told, dtype=object),
        "low": low,
        "high": high,
        "inside": inside,
        "basis": fit.basis,
    }


def _said(fit: Fit, value: float) -> object:
    return remark("{value}", value=(fit.kind, value)) if np.isfinite(value) else ""
