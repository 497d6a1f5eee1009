"""Where a station and an offset lie: on the map along an alignment, or on the unrolled road."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from slabwright import units
from slabwright.calculation import Array
from slabwright.errors import InputError
from slabwright.records.facts import Facts

__all__ = ["Placing", "placing_of"]


@dataclass(frozen=True)
class Placing:
    """Where a station and offset lie: an alignment (stations, x, y), or none."""

    stations: Array
    x: Array
    y: Array
    system: str
    unit: float

    @property
    def linear(self) -> bool:
        return len(self.stations) < 2

    def points(self, station: Array, offset: Array) -> Array:
        """Coordinates (n, 2); offsets are to the right of increasing stations. [m] or the unit shown.

        Beyond the ends of the alignment its first and last pieces go on.
        """
        if self.linear:
            return np.column_stack([station, -offset]) / self.unit
        x, y = self._on(station)
        angle = self.bearing(station)
        return np.column_stack([x + offset * np.sin(angle), y - offset * np.cos(angle)])

    def bearing(self, station: Array) -> Array:
        """Direction of increasing stations (n,), anticlockwise from the x axis. [rad]"""
        if self.linear:
            return np.zeros_like(station)
        (x1, y1), (x2, y2) = self._on(station - 1.0), self._on(station + 1.0)
        return np.arctan2(y2 - y1, x2 - x1)

    def _on(self, station: Array) -> tuple[Array, Array]:
        piece = np.clip(np.searchsorted(self.stations, station, side="right") - 1, 0, len(self.stations) - 2)
        begin, end = self.stations[piece], self.stations[piece + 1]
        share = (station - begin) / (end - begin)
        x, y = (v[piece] + share * (v[piece + 1] - v[piece]) for v in (self.x, self.y))
        return x, y


def placing_of(facts: Facts, system: units.System) -> Placing:
    """The placing of a project; InputError when the alignment has points but no coordinate system."""
    alignment = facts.alignment.sort_values("station").drop_duplicates("station")
    stated = facts.road["coordinate_system"].iloc[0].strip() if len(facts.road) else ""
    if len(alignment) >= 2 and not stated:
        raise InputError(
            "the alignment has no coordinate system",
            remedy="Give its EPSG code in the road table, or take the alignment out.",
        )
    unit = units.to_si(1.0, units.unit_of("length", system), "length")
    columns = [alignment[c].to_numpy(dtype=float) for c in ("station", "x", "y")]
    return Placing(columns[0], columns[1], columns[2], stated if len(alignment) >= 2 else "", unit)
