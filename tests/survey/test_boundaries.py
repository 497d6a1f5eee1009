"""Boundaries where durability cracking changes: the work is bounded, whatever the stated length of the road."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from slabwright.survey import boundaries
from slabwright.units import MILE


@pytest.mark.parametrize("surveyed", [2.0, 390.0], ids=["two miles surveyed", "all of it surveyed"])
def test_a_long_road_is_searched_in_few_cells(monkeypatch: pytest.MonkeyPatch, surveyed: float) -> None:
    sizes: list[int] = []

    def search(count: np.ndarray, _: int) -> np.ndarray:
        sizes.append(len(count))
        return np.array([], dtype=np.int64)

    monkeypatch.setattr(boundaries, "boundaries_by_change_points", search)
    stations = np.linspace(0, surveyed * MILE, 50)
    seen = pd.DataFrame({"kind": "durability cracking", "lane": "NB1", "station": stations})
    boundaries._by_durability(seen, ["NB1"], (0.0, 390 * MILE), 100.0)
    assert sizes[0] <= boundaries.MOST_CELLS + 1
    assert sizes[0] >= min(surveyed * MILE / boundaries.CELL, boundaries.MOST_CELLS) - 1
