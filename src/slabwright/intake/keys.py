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


def same_rows(*frames: pd.DataFrame) -> Rows:
    """Positions of rows, counted through the frames, that repeat an earlier row exactly.

    Found by a cheap hash and then confirmed; a column at a time, for the frames together may be large.
    """
    hashed = np.zeros(sum(map(len, frames)), dtype=np.uint64)
    for position, name in enumerate(frames[0].columns):
        values = pd.concat([frame[name] for frame in frames], ignore_index=True)
        if values.dtype.kind == "f":
            bits = (values.to_numpy() + 0.0).view(np.uint64)
        else:
            bits = pd.factorize(values)[0].astype(np.uint64)
        hashed = (hashed ^ bits) * np.uint64(0x9E3779B97F4A7C15 + 2 * position)
        hashed ^= hashed >> np.uint64(29)
    alike = pd.Series(hashed).duplicated(keep=False).to_numpy()
    pieces = np.split(alike, np.cumsum([len(frame) for frame in frames])[:-1])
    suspects = pd.concat([frame[piece] for frame, piece in zip(frames, pieces, strict=True)], ignore_index=True)
    return np.flatnonzero(alike)[suspects.duplicated().to_numpy()].astype(np.int64)
