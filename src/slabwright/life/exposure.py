"""All that a pavement is exposed to in a year: axles, their places in the lane, temperatures, soft and stiff months."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
import numpy.typing as npt

from slabwright.calculation import Array
from slabwright.climate.temperature import TemperatureClasses
from slabwright.errors import InputError
from slabwright.life.damage import AxlePasses, Law, Wander, Weather, damage_per_truck, outside_share
from slabwright.plate.stresses import StressGrid

__all__ = [
    "Climate",
    "Exposure",
    "Pavements",
    "Season",
    "Stresses",
    "by_layer",
    "exact_damage",
    "group_months",
    "outside_grid",
    "seasons_of",
    "shrinkage_profile",
]

OVERLAY, SLAB, OVERLAY_MODULUS, SLAB_MODULUS, FOUNDATION = range(5)  # columns of ``Pavements.states``
MOST_SEASONS = 4
CLASS_WIDTH = 1.0  # K: classes closer than this are taken together


class Stresses(Protocol):
    """Stresses of pavements: a response surface, or a model asked directly."""

    @property
    def grid(self) -> StressGrid: ...

    def stresses(self, states: Array) -> Array: ...


@dataclass(frozen=True)
class Pavements:
    """Pavements as samples meet them.

    states: (n, 6) in the order of ``PavementState.names``; temperature: (n,) factor on every temperature
    difference; strength: (n, points) modulus of rupture of the layer at each point, Pa.
    """

    states: Array
    temperature: Array
    strength: Array


@dataclass(frozen=True)
class Climate:
    """The year's temperatures of a section at some overlay thicknesses [m], rising; between them shares are blended."""

    overlays: Array
    classes: tuple[TemperatureClasses, ...]


@dataclass(frozen=True)
class Classes:
    """Classes of one season at one thickness: difference (c,) K, residual (c, faces) K, share (c,) of the year."""

    difference: Array
    residual: Array
    share: Array


@dataclass(frozen=True)
class Season:
    """Months of equal k: its factor on the yearly k, and the classes at each thickness of the climate."""

    factor: float
    overlays: Array
    classes: tuple[Classes, ...]

    def blend(self, overlay: Array) -> Array:
        """(n, classes of all thicknesses) share of a year's trucks in each, for overlays (n,)."""
        unit = np.eye(len(self.overlays))
        weights = np.stack([np.interp(overlay, self.overlays, row) for row in unit], axis=1)
        return np.concatenate([w[:, None] * c.share for w, c in zip(weights.T, self.classes, strict=True)], axis=1)


@dataclass(frozen=True)
class Exposure:
    """What passes and what the weather does.

    built_in: K, permanent curl and warp; shrinkage: of the overlay beyond the old slab's; expansion: 1/K.
    """

    passes: AxlePasses
    places: Wander
    seasons: tuple[Season, ...]
    built_in: float
    shrinkage: float
    expansion: float


def group_months(factors: Array) -> tuple[Array, npt.NDArray[np.int64]]:
    """At most four seasons of k from twelve monthly factors: their factors (s,), and the season of each month (12,).

    Up to four different factors are kept as they are; more are put in four equal steps of their logarithm, each
    with the geometric mean of its months.
    """
    factors = np.asarray(factors, dtype=np.float64)
    if factors.shape != (12,) or not (np.isfinite(factors) & (factors > 0)).all():
        raise InputError("k needs twelve monthly factors greater than zero", given=factors.tolist())
    found, season = np.unique(factors, return_inverse=True)
    if len(found) <= MOST_SEASONS:
        return found, season
    logs = np.log(factors)
    steps = np.minimum(((logs - logs.min()) / np.ptp(logs) * MOST_SEASONS).astype(np.int64), MOST_SEASONS - 1)
    kept, season = np.unique(steps, return_inverse=True)
    return np.array([np.exp(logs[season == s].mean()) for s in range(len(kept))]), season


def seasons_of(climate: Climate, monthly: Array, width: float = CLASS_WIDTH) -> tuple[Season, ...]:
    """The seasons of twelve monthly factors of k, with close classes of their months taken together.

    Raises InputError when the shares of a climate do not add up to a year.
    """
    for classes in climate.classes:
        if abs(float(classes.share.sum()) - 1) > 1e-6:
            raise InputError("the shares of the temperature classes do not add up to a year", given=classes.share.sum())
    factors, season = group_months(monthly)
    return tuple(
        Season(
            float(factor),
            climate.overlays,
            tuple(_merged(c, season[c.month.astype(np.int64) - 1] == number, width) for c in climate.classes),
        )
        for number, factor in enumerate(factors)
    )


def _merged(classes: TemperatureClasses, kept: npt.NDArray[np.bool_], width: float) -> Classes:
    """The kept classes by steps of difference, each with its mean difference and residual."""
    kept = kept & (classes.share > 0)
    share, difference, residual = classes.share[kept], classes.difference[kept], classes.residual[kept]
    _, place = np.unique(np.floor(difference / width), return_inverse=True)
    total = np.bincount(place, share).astype(np.float64)
    mean = np.bincount(place, share * difference) / total
    rest = np.stack([np.bincount(place, share * column) / total for column in residual.T], axis=1)
    return Classes(mean, rest, total)


def shrinkage_profile(states: Array, shrinkage: float, expansion: float) -> tuple[Array, Array]:
    """An overlay that shrinks, as temperatures: difference (n,) and residual at the four faces (n, 4) [K].

    The section stays plane and balances itself; the strain that fits both layers best, weighted by their moduli,
    is the linear part, and what is left at the faces is restrained. The old slab alone does not shrink.
    """
    h = states[:, [OVERLAY, SLAB]]
    stiff = states[:, [OVERLAY_MODULUS, SLAB_MODULUS]] * h
    tops = np.stack([np.zeros(len(h)), h[:, 0]], axis=1)
    middle = tops + h / 2
    axial = stiff.sum(axis=1)
    centre = (stiff * middle).sum(axis=1) / axial
    bending = (stiff * (h**2 / 12 + (middle - centre[:, None]) ** 2)).sum(axis=1)
    cooling = -shrinkage / expansion
    force = cooling * stiff[:, 0]
    curvature = force * (middle[:, 0] - centre) / bending
    faces = np.stack([tops[:, 0], tops[:, 1], tops[:, 1], h.sum(axis=1)], axis=1)
    linear = (force / axial)[:, None] + curvature[:, None] * (faces - centre[:, None])
    shrunk = np.where(h[:, :1] > 0, np.array([cooling, cooling, 0.0, 0.0]), 0.0)
    return -curvature * h.sum(axis=1), shrunk - linear


def exact_damage(surface: Stresses, exposure: Exposure, law: Law, pavements: Pavements) -> Array:
    """Damage (n, points) by an average truck, every axle, place and class summed: no second surface between.

    Every point lies on the slab's free edge, where no stress acts across: a temperature beside the linear profile is then
    held along the edge alone, by E alpha, and not by E alpha / (1 - nu) as inside the slab.
    """
    states, grid = pavements.states, surface.grid
    modulus = by_layer(states[:, OVERLAY_MODULUS], states[:, SLAB_MODULUS], grid)
    restraint = modulus * exposure.expansion
    total = np.zeros((len(states), len(grid.points)))
    for season in exposure.seasons:  # at most four
        softened = states.copy()
        softened[:, FOUNDATION] *= season.factor
        total += damage_per_truck(
            surface.stresses(softened),
            grid,
            exposure.passes,
            exposure.places,
            _weather(season, exposure, pavements, grid),
            pavements.strength,
            restraint,
            law,
        )
    return total


def outside_grid(exposure: Exposure, pavements: Pavements, grid: StressGrid) -> float:
    """Share of trucks that pass at a temperature difference beyond the grid's ends, and are counted at the end."""
    shares = [outside_share(_weather(season, exposure, pavements, grid), grid) for season in exposure.seasons]
    sizes = [season.blend(pavements.states[:, OVERLAY]).sum() for season in exposure.seasons]
    return float(np.dot(shares, sizes) / np.sum(sizes))


def _weather(season: Season, exposure: Exposure, pavements: Pavements, grid: StressGrid) -> Weather:
    faces = [p.face for p in grid.points]
    factor = pavements.temperature
    shrunk, shrunk_rest = shrinkage_profile(pavements.states, exposure.shrinkage, exposure.expansion)
    difference = np.concatenate([c.difference for c in season.classes])
    residual = np.concatenate([c.residual for c in season.classes])[:, faces]
    return Weather(
        factor[:, None] * difference + (exposure.built_in + shrunk)[:, None],
        factor[:, None, None] * residual + shrunk_rest[:, None, faces],
        season.blend(pavements.states[:, OVERLAY]),
    )


def by_layer(overlay: Array, slab: Array, grid: StressGrid) -> Array:
    """A value of each layer (n,) at the points of the grid (n, points)."""
    return np.stack([overlay if p.face < 2 else slab for p in grid.points], axis=1)
