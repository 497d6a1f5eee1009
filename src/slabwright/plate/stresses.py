"""What is asked of a model of the pavement for a life: stresses over axles, loads, offsets and temperatures.

A ``StressModel`` answers one pavement; a response surface asks it for many. The plate of ``plate``
is one such model; tests use closed forms as another.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Protocol

import numpy as np

from slabwright.calculation import Array
from slabwright.units import KIP

__all__ = [
    "AXLE_GROUPS",
    "FACES",
    "OLD_POINTS",
    "POINTS",
    "PavementState",
    "Point",
    "StressGrid",
    "StressModel",
    "usual_grid",
]

# The last is a tractor with both of its axle groups on one slab; its load is that on the drive tandem.
AXLE_GROUPS = ("single", "tandem", "tridem", "steer and drive")
FACES = ("overlay top", "overlay bottom", "old slab top", "old slab bottom")


@dataclass(frozen=True)
class Point:
    """Where fatigue is summed: a face of a layer at a place along the free longitudinal edge of a slab."""

    name: str
    face: int  # index into FACES
    along: float  # share of the slab's length from its transverse joint


POINTS = (
    Point("old slab, bottom, mid-slab edge", 3, 0.5),
    Point("overlay, bottom, mid-slab edge", 1, 0.5),
    Point("overlay, top, mid-slab edge", 0, 0.5),
    Point("overlay, top, edge at a quarter of the slab", 0, 0.25),
)

# Of the old slab alone, by which a model is held against the road's own past.
OLD_POINTS = (
    Point("old slab, bottom, mid-slab edge", 3, 0.5),
    Point("old slab, bottom, edge at a quarter of the slab", 3, 0.25),
    Point("old slab, top, mid-slab edge", 2, 0.5),
    Point("old slab, top, edge at a quarter of the slab", 2, 0.25),
)


@dataclass(frozen=True)
class StressGrid:
    """The axes over which a model gives stresses; all SI.

    loads: (groups, levels) on each axle group, first level 0 (temperature alone); offsets: (offsets,) from the slab's
    free edge to the outer side of the outer tyre; differences: (temperatures,) top minus bottom of the whole
    section, linear, in K (positive when the top is warmer).
    """

    loads: Array
    offsets: Array
    differences: Array
    points: tuple[Point, ...] = POINTS

    @property
    def shape(self) -> tuple[int, int, int, int, int]:
        """(axle groups, load levels, offsets, temperatures, points)."""
        return (*self.loads.shape, len(self.offsets), len(self.differences), len(self.points))


def usual_grid() -> StressGrid:
    """Loads to about twice the legal ones, offsets across the usual wander, differences met in the open.

    Loads (4, levels) [N], offsets (offsets,) [m], differences (temperatures,) [K]. Raises nothing.
    """
    levels = np.array([0.0, 1.0, 2.4]) * KIP
    loads = np.array([18.0, 34.0, 45.0, 34.0])[:, None] * levels
    return StressGrid(loads, np.array([0.0, 0.2, 0.5, 1.0]), np.array([-20.0, -10.0, 0.0, 8.0, 16.0]))


@dataclass(frozen=True)
class PavementState:
    """One pavement: what varies between the samples of a response surface (scalars, SI).

    ``overlay`` 0 is the old slab alone; ``delaminated`` is the share of the bonded area without bond.
    """

    overlay: float
    slab: float
    overlay_modulus: float
    slab_modulus: float
    foundation: float
    delaminated: float = 0.0

    @classmethod
    def names(cls) -> tuple[str, ...]:
        return tuple(f.name for f in fields(cls))


class StressModel(Protocol):
    """Gives the greatest tension at every point as an axle group passes: ``StressGrid.shape``, Pa, tension positive.

    Thermal residuals that equilibrate themselves within the section are not included; the life adds them.
    """

    def __call__(self, state: PavementState, grid: StressGrid) -> Array: ...
