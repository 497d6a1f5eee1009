"""Least-squares fit of deflection basins to the exact plate, for all basins at once.

Deflections are d_i = c f_i(l): the shape f_i comes from ``slab.infinite_plate`` at the sensors' offsets, and the
scale c = P / (k l^2) (dense liquid) or P l^2 / D (elastic solid) is linear, so that for every l the best c is
known in closed form. What is left is one unknown, ln l: a search on a coarse grid, then Gauss-Newton steps on
the projected residual, all as array operations.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from slabwright.calculation import Array
from slabwright.errors import InputError
from slabwright.slab.infinite_plate import LONGEST, SHORTEST, Support, plate_shape

__all__ = ["PlateFit", "fit_plate"]

GRID = 25
STEPS = 5
CHUNK = 20_000  # rows worked on together: keeps the working set in the cache


@dataclass(frozen=True)
class PlateFit:
    """Radius of relative stiffness l [m], scale c [m], and misfit (root mean square residual [m]) of each basin."""

    relative_stiffness: Array
    scale: Array
    misfit: Array

    def foundation(self, load: Array) -> Array:
        """Dense liquid: k = P / (c l^2). [Pa/m]"""
        return np.asarray(load / (self.scale * self.relative_stiffness**2))

    def rigidity(self, load: Array) -> Array:
        """Elastic solid: D = P l^2 / c. [N m]"""
        return np.asarray(load * self.relative_stiffness**2 / self.scale)


def fit_plate(
    deflections: Array, offsets: tuple[float, ...], load_radius: float, support: Support = "dense liquid"
) -> PlateFit:
    """Fit basins (n, s) measured at the offsets (s,) in m under a plate of given radius.

    Rows with a missing or non-positive deflection, or whose best l lies at an end of the range 8 to 160 in, get
    NaN. Raises InputError unless there are at least three sensors.
    """
    if len(offsets) < 3 or deflections.ndim != 2 or deflections.shape[1] != len(offsets):
        raise InputError("a plate fit needs one column for each of at least three sensors", given=deflections.shape)
    parts = [_fit(deflections[i : i + CHUNK], offsets, load_radius, support) for i in range(0, len(deflections), CHUNK)]
    stacked = np.concatenate(parts, axis=1) if parts else np.empty((3, 0))
    return PlateFit(*stacked)


def _fit(d: Array, offsets: tuple[float, ...], load_radius: float, support: Support) -> Array:
    shape = plate_shape(offsets, load_radius, support)
    slope = shape.derivative()
    low, high = np.log(SHORTEST), np.log(LONGEST)
    grid = np.linspace(low, high, GRID)
    curves = shape(grid)
    usable = np.asarray((np.isfinite(d) & (d > 0)).all(axis=1))
    safe = np.where(usable[:, None], d, 1.0)
    explained = (safe @ curves.T) ** 2 / (curves**2).sum(axis=1)
    x = grid[explained.argmax(axis=1)]
    spacing = grid[1] - grid[0]
    for _ in range(STEPS):
        f, df = shape(x), slope(x)
        ff, fg = _dot(f, f), _dot(f, df)
        c = _dot(safe, f) / ff
        across = df - f * (fg / ff)[:, None]  # the part of the slope that no scale can imitate
        step = _dot(safe - c[:, None] * f, across) / (c * _dot(across, across))
        x = np.clip(x + np.clip(step, -spacing, spacing), low, high)
    f = shape(x)
    c = _dot(safe, f) / _dot(f, f)
    misfit = np.sqrt(((safe - c[:, None] * f) ** 2).mean(axis=1))
    inside = usable & (x > low + 1e-6) & (x < high - 1e-6)
    return np.where(inside, np.stack([np.exp(x), c, misfit]), np.nan)


def _dot(a: Array, b: Array) -> Array:
    return np.einsum("ij,ij->i", a, b)
