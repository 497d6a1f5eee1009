"""A stress model in closed form, for tests and benchmarks: composite section, Westergaard edge stress, Bradbury curling.

It is no design method. It has the right signs and trends, answers in microseconds, and shares nothing with the plate.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from slabwright.calculation import Array
from slabwright.errors import NotConverged
from slabwright.plate.stresses import PavementState, StressGrid
from slabwright.slab.closed_forms import curling_coefficient_bradbury, edge_stress_circle

RADIUS = 0.15
ALONG = {0.5: 1.0, 0.25: -0.25}  # moment under the wheel, and beyond it where the slab bends the other way
GROUPS = np.array([1.0, 0.55, 0.42, 0.6])  # stress of an axle of a group over that of the same load on one axle
ALPHA = 9.5e-6


@dataclass(frozen=True)
class ClosedForm:
    """The model; ``fails_below`` makes it give up for thin overlays, to see what is said then."""

    length: float = 4.6
    fails_below: float = 0.0

    def __call__(self, state: PavementState, grid: StressGrid) -> Array:
        if 0 < state.overlay < self.fails_below:
            raise NotConverged("contact was not found in 30 rounds")
        bonded, loose = (_faces(state, together) for together in (True, False))
        share = 1 - state.delaminated
        parts = [share * b + (1 - share) * u for b, u in zip(bonded, loose, strict=True)]
        return np.stack([self._point(state, grid, parts, p.face, p.along) for p in grid.points], axis=-1)

    def _point(self, state: PavementState, grid: StressGrid, parts: list[Array], face: int, along: float) -> Array:
        per_moment, per_kelvin = parts[0][face], parts[1][face]
        h = _solid(state)
        l = float((state.slab_modulus * h**3 / (12 * (1 - 0.15**2) * state.foundation)) ** 0.25)
        one = float(edge_stress_circle(1e4, h, l, RADIUS)) / 1e4 * h**2 / 6  # moment per newton of wheel load
        load = grid.loads * (GROUPS[: len(grid.loads)] / 2)[:, None] * one * ALONG[along]
        fading = np.exp(-1.2 * grid.offsets / l)
        curl = float(curling_coefficient_bradbury(self.length, l)) * grid.differences
        # contact is lost as the slab curls: a mild bend, so that interpolation has something to miss
        curl = curl * (1 - 0.004 * np.abs(grid.differences))
        both = load[:, :, None, None] * fading[:, None] * per_moment + curl * per_kelvin
        return np.broadcast_to(both, grid.shape[:-1])


def _layers(state: PavementState) -> tuple[Array, Array]:
    return np.array([state.overlay, state.slab]), np.array([state.overlay_modulus, state.slab_modulus])


def _solid(state: PavementState) -> float:
    """Thickness of one slab of the old modulus as stiff as the section, by the share bonded."""
    h, e = _layers(state)
    centre = (e * h * (np.array([0.0, h[0]]) + h / 2)).sum() / (e * h).sum()
    own = (e * h**3 / 12).sum()
    shift = (e * h * (np.array([0.0, h[0]]) + h / 2 - centre) ** 2).sum()
    return float((12 * (own + (1 - state.delaminated) * shift) / state.slab_modulus) ** (1 / 3))


def _faces(state: PavementState, together: bool) -> tuple[Array, Array]:
    """Stress of the four faces per unit of moment, and per kelvin of difference when fully restrained."""
    h, e = _layers(state)
    top = np.array([0.0, h[0]])
    middle = top + h / 2
    centre = np.full(2, (e * h * middle).sum() / (e * h).sum()) if together else middle
    stiffness = (e * h**3 / 12 + e * h * (middle - centre) ** 2).sum()
    depth = np.stack([top, top + h], axis=1) - centre[:, None]
    bending = (e[:, None] * depth / stiffness).ravel()
    return bending, (e[:, None] * ALPHA * depth / h.sum() / (1 - 0.15**2)).ravel()
