"""What an edit of a table changed, by its cells, as the history keeps it: the first few and how many there are."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

__all__ = ["CELLS_KEPT", "changed_cells"]

CELLS_KEPT = 8


def changed_cells(old: pd.DataFrame, new: pd.DataFrame) -> dict[str, Any]:
    """``cells``: [row, column, before, after] in SI, rows counted from 1 in the new table; ``changed``: how many.

    Rows that came or went between the common start and the common end of both tables are told as ``added`` and
    ``removed``, [first row, last row]; cells are compared only where as many rows came as went.
    """
    start = _alike(old, new)
    end = min(_alike(old[::-1], new[::-1]), min(len(old), len(new)) - start)
    gone, come = old.iloc[start : len(old) - end], new.iloc[start : len(new) - end]
    if len(gone) != len(come):
        spans = {"removed": [start + 1, start + len(gone)], "added": [start + 1, start + len(come)]}
        return {name: span for name, span in spans.items() if span[1] >= span[0]}
    places = np.argwhere(~_equal(gone, come))
    cells = [
        [start + int(row) + 1, str(new.columns[column]), _plain(gone.iat[row, column]), _plain(come.iat[row, column])]
        for row, column in places[:CELLS_KEPT]
    ]
    return {"cells": cells, "changed": len(places)}


def _equal(one: pd.DataFrame, other: pd.DataFrame) -> Any:
    """Which cells of two tables of one shape are equal, missing ones among themselves; (rows, columns)."""
    same = one.to_numpy(dtype=object) == other.to_numpy(dtype=object)
    return same | (one.isna().to_numpy() & other.isna().to_numpy())


def _alike(one: pd.DataFrame, other: pd.DataFrame) -> int:
    """How many leading rows both have."""
    shortest = min(len(one), len(other))
    different = np.flatnonzero(~_equal(one.iloc[:shortest], other.iloc[:shortest]).all(axis=1))
    return int(different[0]) if len(different) else shortest


def _plain(value: Any) -> float | str | None:
    if isinstance(value, str):
        return value
    return None if pd.isna(value) else float(value)
