"""The stated truth of the demo road. The road, its bridges and its ramps are invented; no real place is meant.

The truth model, in full:

- Each stretch has one mean modulus, foundation modulus and load transfer; each test point has its own values,
  scattered about these by independent lognormal factors of mean one. Slab stiffness uses the stated
  thickness and the base adds none; cores scatter about the stated thickness.
- Mid-slab basins are those of a slab 15 by 12 ft with free edges, or where it is continuously reinforced of a
  long lane 12 ft wide, see ``plate``.
- Joint tests: the loaded slab deflects ``joint_rise`` times the interior basin of the same point, and beyond the
  joint the deflection is the load transfer times that. A sensor 12 in away across the joint therefore reads
  load transfer x d0 / B, where B = d0 / d12 of the interior basin at the point.
- Corner tests: the free-corner formula over (1 + load transfer), since the next slab carries its part, falling as
  exp(-r / l) along the slab; at a void the gap closes first, which adds an intercept that load does not change.
- Peak deflections are proportional to load elsewhere; temperature is recorded and has no effect on them.
- Core strengths are those of a standard-moist core whose length is twice its diameter; shorter specimens test
  stronger by the standard length factor (ASTM C42, from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from slabwright.demo.plate import finite_basin, relative_stiffness
from slabwright.units import FOOT, INCH, MIL, PCI, PSI

__all__ = ["TRUTH", "BadSensor", "Scatter", "Stretch", "Truth"]

POISSON = 0.15
LONG_SLAB = 12.0  # m: without joints; the ends are six radii of relative stiffness or more from the load


@dataclass(frozen=True)
class Stretch:
    """One homogeneous stretch; stations and lengths in m, moduli and strengths in Pa, foundation in Pa/m."""

    name: str
    begin: float
    end: float
    pavement: str
    thickness: float
    modulus: float
    foundation: float
    load_transfer: float
    void_share: float
    durability_share: float
    compressive_strength: float
    split_strength: float

    @property
    def relative_stiffness(self) -> float:
        return float(relative_stiffness(self.modulus, self.thickness, self.foundation, POISSON))

    @property
    def jointed(self) -> bool:
        return self.pavement != "CRCP"


@dataclass(frozen=True)
class Scatter:
    """Coefficients of variation, and the largest fixed error of a deflection sensor (m)."""

    modulus: float = 0.12
    foundation: float = 0.20
    load_transfer: float = 0.05
    load: float = 0.02
    reading: float = 0.01
    reading_floor: float = 0.1 * MIL
    core_thickness: float = 0.02
    core_strength: float = 0.08


@dataclass(frozen=True)
class BadSensor:
    """A sensor that stuck at one reading (m) for all points of one day in one lane."""

    lane: str
    date: str
    sensor: int
    reading: float


@dataclass(frozen=True)
class Truth:
    """Everything about the road that a survey should find again."""

    road: str
    stretches: tuple[Stretch, ...]
    scatter: Scatter
    poisson: float
    slab_length: float
    slab_width: float
    plate_radius: float
    sensor_offsets: tuple[float, ...]
    joint_rise: float
    void_intercepts: tuple[float, float]
    bad_sensor: BadSensor
    duplicated_point: str
    delaminated_core: str
    delamination_depth: float

    @property
    def begin(self) -> float:
        return self.stretches[0].begin

    @property
    def end(self) -> float:
        return self.stretches[-1].end

    @property
    def boundaries(self) -> tuple[float, ...]:
        """Stations (m) where one stretch ends and the next begins."""
        return tuple(stretch.end for stretch in self.stretches[:-1])

    def slab(self, stretch: Stretch) -> tuple[float, float]:
        """Length and width (m) of the slabs of a stretch."""
        return self.slab_length if stretch.jointed else LONG_SLAB, self.slab_width

    def index_at(self, station: npt.ArrayLike) -> npt.NDArray[np.intp]:
        """Which stretch a station (m) lies in; a boundary belongs to the stretch that begins there."""
        return np.searchsorted(self.boundaries, np.asarray(station, float), side="right")

    def bending_factor(self, stretch: Stretch) -> float:
        """B = d0 / d12 of the mean interior basin of a stretch."""
        stiffness, foundation = np.array([stretch.relative_stiffness]), np.array([stretch.foundation])
        ((centre, foot),) = finite_basin(
            (0.0, FOOT), stiffness, foundation, self.plate_radius, self.slab(stretch), self.poisson
        )
        return float(centre / foot)


def _stretch(
    name: str,
    stations: tuple[int, int],
    pavement: str,
    h: float,
    e: float,
    k: float,
    transfer: float,
    strengths: tuple[int, int],
    *,
    voids: float = 0.0,
    durability: float = 0.0,
) -> Stretch:
    """A stretch from hundreds of feet, in, million psi, pci and psi."""
    begin, end = (100 * FOOT * s for s in stations)
    compressive, split = (s * PSI for s in strengths)
    return Stretch(
        name, begin, end, pavement, h * INCH, e * 1e6 * PSI, k * PCI, transfer, voids, durability, compressive, split
    )


TRUTH = Truth(
    road="Lantern Parkway",
    stretches=(
        _stretch("sound", (100, 128), "JPCP", 9, 4.6, 300, 0.88, (6000, 510)),
        _stretch("weak support", (128, 146), "JPCP", 9, 4.6, 130, 0.55, (5900, 500)),
        _stretch("corner voids", (146, 168), "JPCP", 9, 4.6, 270, 0.85, (6000, 510), voids=3 / 7),
        _stretch("durability cracking", (168, 182), "JPCP", 9, 3.2, 200, 0.75, (4200, 380), durability=5 / 7),
        _stretch("continuously reinforced", (182, 206), "CRCP", 8, 4.9, 330, math.nan, (6400, 530)),
    ),
    scatter=Scatter(),
    poisson=POISSON,
    slab_length=15 * FOOT,
    slab_width=12 * FOOT,
    plate_radius=0.150,
    sensor_offsets=tuple(inches * INCH for inches in (0, 8, 12, 18, 24, 36, 60, -12)),
    joint_rise=1.6,
    void_intercepts=(3 * MIL, 6 * MIL),
    bad_sensor=BadSensor("NB3", "2025-04-15", sensor=5, reading=1.20 * MIL),
    duplicated_point="N070",
    delaminated_core="C-30",
    delamination_depth=3.2 * INCH,
)
