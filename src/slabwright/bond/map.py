"""What a reader takes from the map of bond stress: the few places where it is greatest."""

from __future__ import annotations

import numpy as np
import pandas as pd

__all__ = ["MAP_CAUSES", "worst_places"]

# What the map of one slab can show: how it is called, and the column of the table ``bond_map``.
MAP_CAUSES = {
    "all together": "together",
    "wheels": "wheels",
    "day": "day",
    "night": "night",
    "shrinkage": "shrinkage",
}
APART = 0.5  # m between two places that count as two


def worst_places(places: pd.DataFrame, cause: str, number: int = 5, apart: float = APART) -> pd.DataFrame:
    """The rows of ``bond_map`` with the greatest stress by a cause, each at least ``apart`` [m] from those before it."""
    ordered = places.sort_values(cause, ascending=False, kind="stable")
    along, across = ordered["along"].to_numpy(), ordered["across"].to_numpy()
    free = np.ones(len(ordered), dtype=bool)
    kept: list[int] = []
    while free.any() and len(kept) < number:
        first = int(free.argmax())
        kept.append(first)
        free &= np.hypot(along - along[first], across - across[first]) >= apart
    return ordered.iloc[kept]
