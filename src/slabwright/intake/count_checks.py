"""Traffic counts that do not go together: slips of a digit between years, and more vehicles than the lanes can carry.

Thresholds are common practice without a source.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

__all__ = ["Jump", "crowded", "jumps"]

NEAR = 3  # years between counts within which a plain factor judges
MOST_NEAR = 1.5  # times the daily traffic of the count before or after
MOST_A_YEAR = 1.15  # times a year between counts farther apart
MOST_SHARE = 2.0  # times the share of trucks
MOST_A_LANE = 25_000.0  # vehicles a day
WRITTEN = {"daily_traffic": "{:,.0f} vehicles a day", "truck_share": "{:.3%} trucks"}


@dataclass(frozen=True)
class Jump:
    """A count at the position ``row`` that is unlike those at ``others``, and what is said of it with their places put in."""

    row: int
    others: tuple[int, ...]
    column: str
    message: str


def jumps(counts: pd.DataFrame, movable: npt.NDArray[np.bool_]) -> list[Jump]:
    """Counts (n,) unlike the neighbouring years, told where ``movable`` (n,) is true: at the odd one of three, else at the later.

    A message has a {} for the place of each of the others. Rows without a year or a value are passed over. Raises nothing.
    """
    return [jump for column in WRITTEN for jump in _of_column(counts, column, movable)]


def _of_column(counts: pd.DataFrame, column: str, movable: npt.NDArray[np.bool_]) -> list[Jump]:
    given = counts[["year", column]].notna().all(axis=1).to_numpy()
    order = np.flatnonzero(given)[np.argsort(counts["year"].to_numpy()[given], kind="stable")]
    years, values = counts["year"].to_numpy()[order], counts[column].to_numpy(dtype=float)[order]
    way = _ways(years, values, column)
    made: list[Jump] = []
    at = 0
    while at < len(way):
        back = at + 1 < len(way) and way[at] * way[at + 1] < 0 and movable[order[at + 1]]
        if back:
            made.append(_jump(counts, column, order[at + 1], (order[at], order[at + 2])))
        elif way[at]:
            later, earlier = order[at + 1], order[at]
            row, other = (later, earlier) if movable[later] else (earlier, later)
            if movable[row]:
                made.append(_jump(counts, column, row, (other,)))
        at += 2 if back else 1
    return made


def _ways(years: npt.NDArray[np.float64], values: npt.NDArray[np.float64], column: str) -> npt.NDArray[np.int64]:
    """1 where a value leaps up to the next, -1 where it falls, else 0. (n - 1,)"""
    apart = np.diff(years)
    most = np.full(len(apart), MOST_SHARE)
    if column == "daily_traffic":
        most = np.where(apart <= NEAR, MOST_NEAR, MOST_A_YEAR**apart)
    first, second = values[:-1], values[1:]
    same_year = apart == 0  # given twice, which is told of as such
    up, down = second > most * first, first > most * second
    return np.where(same_year, 0, up.astype(np.int64) - down.astype(np.int64))


def _jump(counts: pd.DataFrame, column: str, row: int, others: tuple[int, ...]) -> Jump:
    def said(at: int) -> str:
        return f"{WRITTEN[column].format(counts[column].iloc[at])} in {counts['year'].iloc[at]:.0f}"

    beside = " and ".join(f"{said(other)} ({{}})" for other in others)
    message = f"{said(row)} beside {beside}: traffic seldom changes so much, and a slip of a digit looks like this"
    return Jump(int(row), tuple(map(int, others)), column, message)


def crowded(counts: pd.DataFrame, lanes: pd.DataFrame) -> tuple[npt.NDArray[np.int64], float]:
    """(rows of the counts with more vehicles a day than the lanes of both directions carry, that number).

    Of a road with lanes of one direction only, the other is taken to have as many. Raises nothing.
    """
    both = len(lanes) * (2 if lanes["direction"].nunique() == 1 else 1)
    most = MOST_A_LANE * both
    return np.flatnonzero(counts["daily_traffic"].to_numpy(dtype=float) > most), most
