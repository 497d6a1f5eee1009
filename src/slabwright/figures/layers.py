"""One quantity along the road as arrays, and how many records become few.

A layer keeps SI values and, for each record, the row of the table that it came from. Zoomed out, many records become
bins that keep the lowest, the median and the highest value; zoomed in, they are the records themselves.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import numpy.typing as npt

from slabwright.calculation import Array

__all__ = ["MOST", "Bins", "Layer", "Levels", "View", "aggregated", "by_group", "in_window"]

Words = npt.NDArray[np.object_]
Rows = npt.NDArray[np.int64]

MOST = 600  # records of a layer drawn one by one; beyond, they are bins
RECORDS_PER_BIN = 3  # at least on the average, so that bins are worth their loss


@dataclass(frozen=True, eq=False)
class Levels:
    """A value of each section beside the records, all (n,)."""

    name: str
    direction: Words
    begin: Array
    end: Array
    value: Array

    def take(self, chosen: npt.NDArray[Any]) -> Levels:
        return Levels(self.name, self.direction[chosen], self.begin[chosen], self.end[chosen], self.value[chosen])


@dataclass(frozen=True, eq=False)
class Layer:
    """One quantity along the road. All arrays have one entry for each record.

    ``shape`` is "points", "bars" and "steps" (from ``station`` to ``end``), "stacked" (bars of groups on each other), or
    "marks" (in the row of their lane). ``value`` is in SI of ``kind``, NaN where there is none. ``row`` is the place of the
    record in ``table``, of a stacked layer that of the first record counted. ``notes`` are words beside the title.
    ``levels`` are values of the sections, ``limit`` is that of a decision on the values.
    """

    name: str
    title: str
    kind: str
    shape: str
    table: str
    groups: tuple[str, ...]
    station: Array
    end: Array | None
    lane: Words
    value: Array
    group: Words
    label: Words
    row: Rows
    notes: tuple[str, ...] = ()
    levels: Levels | None = None
    limit: float | None = None

    def __len__(self) -> int:
        return len(self.station)

    @property
    def full_title(self) -> str:
        return ", ".join((self.title, *self.notes))

    def take(self, chosen: npt.NDArray[Any]) -> Layer:
        """The layer with only these records (a mask or places)."""
        return replace(
            self,
            station=self.station[chosen],
            end=None if self.end is None else self.end[chosen],
            lane=self.lane[chosen],
            value=self.value[chosen],
            group=self.group[chosen],
            label=self.label[chosen],
            row=self.row[chosen],
        )

    def only(self, lanes: Collection[str], direction: str) -> Layer:
        """The layer of one direction, with its lanes."""
        here = np.isin(self.lane, [*lanes, direction])
        levels = None if self.levels is None else self.levels.take(self.levels.direction == direction)
        return replace(self.take(here), levels=levels)


@dataclass(frozen=True, eq=False)
class Bins:
    """Stretches that hold records: their number, how many lack a value, and lowest, median and highest value."""

    begin: Array
    end: Array
    count: Rows
    missing: Rows
    low: Array
    median: Array
    high: Array


@dataclass(frozen=True, eq=False)
class View:
    """The records of a layer in a window, and the bins to draw in their place when they are too many."""

    records: Layer
    bins: Bins | None

    @property
    def exact(self) -> bool:
        return self.bins is None


def in_window(layer: Layer, begin: float, end: float) -> Layer:
    """The records that lie in or reach into [begin, end], both ends included."""
    last = layer.station if layer.end is None else np.fmax(layer.station, layer.end)
    inside = (layer.station <= end) & (last >= begin)
    return layer if inside.all() else layer.take(inside)


def aggregated(layer: Layer, begin: float, end: float, most: int = MOST) -> View:
    """The records in the window; with bins when they are more than ``most``."""
    records = in_window(layer, begin, end)
    if len(records) <= most:
        return View(records, None)
    return View(records, _binned(records, begin, end, max(1, most // RECORDS_PER_BIN)))


def by_group(layer: Layer) -> dict[str, Layer]:
    """The layer cut into its groups, in their order; groups without records are left out."""
    parts = {name: layer.take(layer.group == name) for name in layer.groups}
    return {name: part for name, part in parts.items() if len(part)}


def _binned(records: Layer, begin: float, end: float, number: int) -> Bins:
    """Equal stretches of the window that hold records. Sorting by stretch and value leaves each extreme at an end."""
    middle = records.station if records.end is None else (records.station + np.fmax(records.station, records.end)) / 2
    width = max((end - begin) / number, float(np.finfo(np.float64).tiny))
    stretch = np.clip((middle - begin) / width, 0, number - 1).astype(np.min_scalar_type(number))
    value = np.where(np.isfinite(records.value), records.value, np.nan)
    order = np.argsort(value)  # missing values come last; small whole numbers then sort in one pass
    order = order[np.argsort(stretch[order], kind="stable")]
    stretch, value = stretch[order].astype(np.int64), value[order]
    first = np.flatnonzero(np.diff(stretch, prepend=-1))
    count = np.diff(first, append=len(stretch))
    known = np.add.reduceat(np.isfinite(value).astype(np.int64), first)
    last = first + np.maximum(known - 1, 0)
    median = (value[first + np.maximum(known - 1, 0) // 2] + value[np.minimum(first + known // 2, last)]) / 2
    return Bins(
        begin=np.float64(begin) + stretch[first] * width,
        end=np.float64(begin) + (stretch[first] + 1) * width,
        count=count,
        missing=count - known,
        low=value[first],
        median=median,
        high=value[last],
    )
