"""Rows that are the same by some of their columns, or by all."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt
import pandas as pd

from slabwright.intake.rules import Rows

__all__ = ["mixed", "same_rows"]


def mixed(columns: Sequence[npt.NDArray[np.int64]]) -> npt.NDArray[np.int64]:
    """One number (n,) for each distinct combination of the given codes, each (n,)."""
    key = np.zeros(len(columns[0]), dtype=np.int64)
    for column in columns:
        codes = pd.factorize(column)[0]
        key = pd.factorize(key * (int(codes.max(initial=0)) + 1) + codes)[0].astype(np.int64)
    return key


def same_rows(frame: pd.DataFrame) -> Rows:
    """Positions of rows that repeat an earlier row exactly, found by a cheap hash and then confirmed."""
    if len(frame) < 2:
        return np.zeros(0, dtype=np.int64)
    hashed = np.zeros(len(frame), dtype=np.uint64)
    for position, name in enumerate(frame.columns):
        values = frame[name]
        if values.dtype.kind == "f":
            bits = (values.to_numpy() + 0.0).view(np.uint64)
        else:
            bits = pd.factorize(values)[0].astype(np.uint64)
        hashed = (hashed ^ bits) * np.uint64(0x9E3779B97F4A7C15 + 2 * position)
        hashed ^= hashed >> np.uint64(29)
    suspects = np.flatnonzero(pd.Series(hashed).duplicated(keep=False).to_numpy())
    repeated = frame.iloc[suspects].duplicated().to_numpy()
    return suspects[repeated].astype(np.int64)
