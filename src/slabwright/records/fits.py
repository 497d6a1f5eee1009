"""What a published law was fitted to, and whether this road lies inside."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from slabwright.calculation import Array
from slabwright.records.remarks import remark
from slabwright.records.table import Schema, table

__all__ = ["INSIDE", "OUTSIDE", "UNKNOWN", "Fit", "fits_table"]

INSIDE, OUTSIDE, UNKNOWN = "yes", "no", "not known"
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


def fits_table(schema: Schema, sections: Sequence[str], found: Iterable[tuple[Fit, Array]]) -> pd.DataFrame:
    """A row for each fit and section; ``found`` gives the value (n,) of each section in SI beside its fit."""
    rows = [
        pd.DataFrame({
            "section": list(sections),
            "law": fit.law,
            "quantity": fit.quantity,
            "value": pd.Series([_said(fit, v) for v in values], dtype=object),
            "low": pd.Series([_said(fit, fit.low)] * len(values), dtype=object),
            "high": pd.Series([_said(fit, fit.high)] * len(values), dtype=object),
            "inside": fit.inside(values),
            "basis": fit.basis,
        })
        for fit, values in found
    ]
    return table(schema, pd.concat(rows, ignore_index=True) if rows and len(sections) else {})


def _said(fit: Fit, value: float) -> object:
    return remark("{value}", value=(fit.kind, value)) if np.isfinite(value) else ""
