"""A road or a table of lanes that most of the files read with it contradict: it is at fault, and not they.

Thresholds are common practice without a source.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pandas as pd

from slabwright.intake.contradictions import SPOKEN, SURVEYED, far_longer, lane_key, limits_of

__all__ = ["at_fault"]

MOST = 0.5  # of the rows of a file, and of the files
FEWEST = 2  # files that contradict


def at_fault(table: str, frame: pd.DataFrame, others: Sequence[tuple[str, pd.DataFrame]]) -> bool:
    """Whether most of the ``others`` (table, rows) that can tell lie mostly off this road or in none of these lanes.

    A road at least twice as long as all that lies on it is at fault too. Other tables never are. Raises nothing.
    """
    if table == "road":
        return _road(frame, [rows for name, rows in others if name in SURVEYED])
    if table == "lanes":
        known = {lane_key(name) for name in frame["lane"]}
        told = [rows["lane"][rows["lane"] != ""] for name, rows in others if name in SPOKEN]
        return _most([float((~lanes.map(lane_key).isin(known)).mean()) for lanes in told if len(lanes)])
    return False


def _road(frame: pd.DataFrame, others: Sequence[pd.DataFrame]) -> bool:
    limits = limits_of(frame)
    found = [_stations(rows) for rows in others]
    found = [stations for stations in found if len(stations)]
    if limits is None or not found:
        return False
    inside = [(stations >= limits[0]) & (stations <= limits[1]) for stations in found]
    if _most([1 - float(each.mean()) for each in inside]):
        return True
    seen = np.concatenate([stations[each] for stations, each in zip(found, inside, strict=True)])
    return len(seen) > 0 and far_longer(limits, float(np.ptp(seen)))


def _stations(rows: pd.DataFrame) -> np.ndarray:
    values = np.concatenate([rows[n].to_numpy(dtype=float) for n in ("station", "begin", "end") if n in rows])
    return values[np.isfinite(values)]


def _most(shares: Sequence[float]) -> bool:
    """Whether of most files most rows are so, and of two at least: of one against one nobody knows which is wrong."""
    so = sum(share > MOST for share in shares)
    return so >= FEWEST and so > MOST * len(shares)
