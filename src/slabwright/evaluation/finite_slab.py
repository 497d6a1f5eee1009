"""What a plate fit reads on a slab of finite size, and the slab that gives that reading.

A basin is computed on the free slab (``slab.finite_plate``) for each of a row of radii of relative stiffness, at the sensors
of the test, and fitted as if the plate had no end. The readings of l and k against the true ones are the correction.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from scipy.interpolate import PchipInterpolator

from slabwright.calculation import Array
from slabwright.evaluation.plate_fit import fit_plate
from slabwright.slab.finite_plate import free_plate

__all__ = ["SlabCorrection", "slab_correction"]

TRUE_RADII = np.geomspace(0.25, 3.0, 48)  # m: of relative stiffness
SHORTEST_SLAB = 2.5  # radii of relative stiffness: a shorter slab tilts and sinks more than it bends
FEWEST_KNOTS = 2


@dataclass(frozen=True)
class SlabCorrection:
    """True over read, at the radii of relative stiffness that a fit reads on the slab (knots,) [m], rising."""

    read: Array
    radius: Array
    foundation: Array

    def __call__(self, relative_stiffness: Array, foundation: Array) -> tuple[Array, Array]:
        """True l [m] and k [Pa/m] from those that the fit read (n,); NaN where no slab of this size reads so.

        Below the least knot, where a slab is long against its stiffness, the factors there hold: they are near one.
        """
        if len(self.read) < FEWEST_KNOTS:
            return np.full_like(relative_stiffness, np.nan), np.full_like(foundation, np.nan)
        x = np.log(np.maximum(relative_stiffness, self.read[0]))
        on_l, on_k = (
            PchipInterpolator(np.log(self.read), factor, extrapolate=False)(x)
            for factor in (self.radius, self.foundation)
        )
        return np.asarray(relative_stiffness * on_l), np.asarray(foundation * on_k)


@cache
def slab_correction(
    length: float, width: float, offsets: tuple[float, ...], load_radius: float, poisson: float
) -> SlabCorrection:
    """Correction of a fit to sensors at ``offsets`` (s,) [m] on a slab of this length and width [m]. Raises nothing.

    Kept by slab size, sensors, plate and Poisson's ratio. The edges of the slab are free: joints that carry load make a slab
    act longer than it is, so that the truth lies between the corrected value and the one without correction.
    """
    l = TRUE_RADII[min(length, width) >= SHORTEST_SLAB * TRUE_RADII]
    basins = free_plate(length, width, load_radius, poisson).coefficient(np.array(offsets), l) / l[:, None] ** 2
    fit = fit_plate(basins, offsets, load_radius)  # of load 1 on k of 1
    read, k = fit.relative_stiffness, fit.foundation(np.asarray(1.0))
    known = np.isfinite(read) & (np.fmax.accumulate(read) == read)
    return SlabCorrection(read[known], l[known] / read[known], 1 / k[known])
