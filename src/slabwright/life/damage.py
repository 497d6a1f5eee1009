"""Fatigue damage of a pavement by one average truck, summed over axles, their places in the lane and temperatures.

Stresses come from a grid (``plate.stresses``); between its nodes they are linear in load, and monotone cubic in
offset and temperature difference. A load beyond the grid is refused; a wheel farther in than its last offset, or a
difference beyond its ends, is taken at the end, and the share of trucks so taken is told.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.interpolate import PchipInterpolator
from scipy.special import ndtr

from slabwright import units
from slabwright.calculation import Array
from slabwright.errors import InputError, OutOfRange
from slabwright.materials.fatigue import FATIGUE_LAWS
from slabwright.plate.stresses import AXLE_GROUPS, StressGrid
from slabwright.records.decisions.life import FATIGUE_WORDS

__all__ = [
    "LAWS",
    "AxlePasses",
    "Law",
    "Wander",
    "Weather",
    "axle_passes",
    "damage_per_truck",
    "outside_share",
    "pass_damage",
    "stress_at",
    "wander",
    "with_tractors",
]

Law = Callable[[Array], Array]

# The names that an engineer chooses from, with the law behind each.
LAWS: dict[str, Law] = {word: FATIGUE_LAWS[name].function for word, name in FATIGUE_WORDS.items()}
LOWEST_RATIO = 0.05  # lower bound of every law; below it, and in compression, a pass does no damage
HARDEST_RATIO = 1.0  # above it the section fails in one pass
WANDER_NODES = 10
WIDEST = 4.5  # standard deviations of wander that the nodes reach
VALUES_AT_ONCE = 2_000_000  # stresses held in memory at one time


@dataclass(frozen=True)
class AxlePasses:
    """Axle groups of an average truck: index into AXLE_GROUPS, load on the group [N], passes per truck; each (m,)."""

    group: npt.NDArray[np.int64]
    load: Array
    per_truck: Array


def axle_passes(loads: Array, codes: Array, per_thousand_trucks: Array) -> AxlePasses:
    """Passes from an axle-load spectrum: loads [N], axle codes 1 to 3, groups per 1,000 trucks."""
    counted = np.asarray(per_thousand_trucks) > 0
    group = np.asarray(codes, dtype=np.int64)[counted] - 1
    if not counted.any() or group.min() < 0 or group.max() >= len(AXLE_GROUPS) - 1:
        raise InputError(
            "an axle-load spectrum needs groups of one, two or three axles that pass",
            remedy="Check the table of axles.",
        )
    return AxlePasses(group, np.asarray(loads)[counted], np.asarray(per_thousand_trucks)[counted] / 1000)


def with_tractors(passes: AxlePasses, share: float) -> AxlePasses:
    """The passes, and half of the tandems again as the drive axles of tractors of which a share stands on one slab at once.

    Half of all tandems drive and half carry a trailer (common practice, no source). Their pass by themselves stays: it is
    the greater part at the bottom, and adds little at the top.
    """
    tandems = passes.group == 1
    if not share > 0 or not tandems.any():
        return passes
    return AxlePasses(
        np.append(passes.group, np.full(tandems.sum(), 3)),
        np.append(passes.load, passes.load[tandems]),
        np.append(passes.per_truck, passes.per_truck[tandems] * share / 2),
    )


@dataclass(frozen=True)
class Wander:
    """Places of the outer tyre from the edge [m] and the share of trucks at each, sum 1; (w,)."""

    offset: Array
    share: Array


def wander(mean: float, deviation: float, last: float) -> Wander:
    """Normal wander as a quadrature between the edge and ``last`` [m], with what lies beyond counted at the two ends.

    Wheels off the edge are counted at the edge and wheels farther in at the last offset: both harm no less there.
    """
    if deviation <= 0:
        return Wander(np.array([np.clip(mean, 0.0, last)]), np.ones(1))
    begin, end = max(0.0, mean - WIDEST * deviation), min(last, mean + WIDEST * deviation)
    if begin >= end:
        return Wander(np.array([np.clip(mean, 0.0, last)]), np.ones(1))
    nodes, weights = np.polynomial.legendre.leggauss(WANDER_NODES)
    inner = begin + (end - begin) * (nodes + 1) / 2
    density = weights * np.exp(-(((inner - mean) / deviation) ** 2) / 2)
    below, above = (float(ndtr(sign * (limit - mean) / deviation)) for sign, limit in ((1, 0.0), (-1, last)))
    within = 1 - below - above
    return Wander(
        np.concatenate([[0.0], inner, [last]]), np.concatenate([[below], within * density / density.sum(), [above]])
    )


@dataclass(frozen=True)
class Weather:
    """Classes of temperature as samples meet them.

    difference: (n, c) K, top minus bottom of the whole section; residual: (n, c, points) K, temperature less its
    linear profile at the points; share: (n, c) of a year's trucks, whose sum over seasons is 1.
    """

    difference: Array
    residual: Array
    share: Array


def outside_share(weather: Weather, grid: StressGrid) -> float:
    """Share of trucks, over the samples, that pass at a difference beyond the grid's ends."""
    beyond = (weather.difference < grid.differences[0]) | (weather.difference > grid.differences[-1])
    total = weather.share.sum()
    return float((weather.share * beyond).sum() / total) if total > 0 else 0.0


def pass_damage(law: Law, ratio: Array) -> Array:
    """Damage of one pass at stress ratios of any shape: none up to 0.05 or in compression, failure above 1."""
    repetitions = np.maximum(law(np.clip(ratio, LOWEST_RATIO, HARDEST_RATIO)), 1.0)
    return np.where(ratio <= LOWEST_RATIO, 0.0, np.where(ratio > HARDEST_RATIO, 1.0, 1 / repetitions))


def stress_at(stresses: Array, grid: StressGrid, passes: AxlePasses, offsets: Array, differences: Array) -> Array:
    """Stress (n, c, m, w, points) of every pass at every offset (w,) and difference (n, c). [Pa]

    stresses: (n, axle groups, levels, offsets, temperatures, points). Raises OutOfRange for a load beyond the grid.
    """
    n, points = len(stresses), len(grid.points)
    across = PchipInterpolator(grid.offsets, stresses, axis=3)(np.clip(offsets, grid.offsets[0], grid.offsets[-1]))
    moved = np.moveaxis(across, 4, 1)  # (n, temperatures, groups, levels, w, points)
    slopes = PchipInterpolator(grid.differences, moved, axis=1).derivative()(grid.differences)
    value, slope = _hermite(grid.differences, differences)
    flat = (n, len(grid.differences), -1)
    warm = value @ moved.reshape(flat) + slope @ slopes.reshape(flat)
    levels = grid.loads.size
    loaded = _load_weights(grid, passes) @ warm.reshape(n, differences.shape[1], levels, -1)
    return loaded.reshape(n, differences.shape[1], len(passes.load), len(offsets), points)


def _hermite(nodes: Array, targets: Array) -> tuple[Array, Array]:
    """Weights (n, c, nodes) on the values and slopes at nodes of a cubic through them; targets clipped to the ends."""
    inside = np.clip(targets, nodes[0], nodes[-1])
    left = np.clip(np.searchsorted(nodes, inside, side="right") - 1, 0, len(nodes) - 2)
    width = (nodes[1:] - nodes[:-1])[left]
    t = (inside - nodes[left]) / width
    value, slope = (np.zeros((*targets.shape, len(nodes))) for _ in range(2))
    parts = (
        (value, left, (1 + 2 * t) * (1 - t) ** 2), (value, left + 1, t**2 * (3 - 2 * t)),
        (slope, left, width * t * (1 - t) ** 2), (slope, left + 1, width * t**2 * (t - 1)),
    )  # fmt: skip
    for weights, place, amount in parts:
        np.put_along_axis(weights, place[..., None], amount[..., None], axis=-1)
    return value, slope


def _load_weights(grid: StressGrid, passes: AxlePasses) -> Array:
    """Weights (m, groups x levels) of the two levels around each load."""
    groups, levels = grid.loads.shape
    heaviest = grid.loads[passes.group, -1]
    over = passes.load > heaviest * (1 + 1e-9)
    if over.any():
        row = int(np.flatnonzero(over)[0])
        raise OutOfRange(
            f"a {AXLE_GROUPS[passes.group[row]]} axle is heavier than the stresses were computed for",
            where="axle-load spectrum",
            given=units.format_quantity(float(passes.load[row]), "axle_load"),
            allowed=f"up to {units.format_quantity(float(heaviest[row]), 'axle_load')}",
            remedy="Check the load, or compute the stresses with heavier axles.",
        )
    found = np.zeros((len(passes.load), groups, levels))
    for group in range(groups):
        rows = passes.group == group
        unit = np.eye(levels)
        found[rows, group] = np.stack(
            [np.interp(passes.load[rows], grid.loads[group], unit[level]) for level in range(levels)], axis=-1
        )
    return found.reshape(len(passes.load), groups * levels)


def damage_per_truck(
    stresses: Array,
    grid: StressGrid,
    passes: AxlePasses,
    places: Wander,
    weather: Weather,
    strength: Array,
    restraint: Array,
    law: Law,
) -> Array:
    """Damage (n, points) by one average truck in the classes of the weather.

    stresses: (n, *grid.shape) Pa; strength: (n, points) modulus of rupture, Pa; restraint: (n, points) Pa/K, the
    stress that a temperature one kelvin above the linear profile leaves, E alpha at a free edge, in compression.
    """
    each = weather.difference.shape[1] * len(passes.load) * len(places.offset) * len(grid.points)
    step = max(1, VALUES_AT_ONCE // max(each, 1))
    blocks = [
        _block(stresses[rows], grid, passes, places, weather, strength[rows], restraint[rows], law, rows)
        for rows in (slice(start, start + step) for start in range(0, len(stresses), step))
    ]
    return np.concatenate(blocks) if blocks else np.empty((0, len(grid.points)))


def _block(
    stresses: Array,
    grid: StressGrid,
    passes: AxlePasses,
    places: Wander,
    weather: Weather,
    strength: Array,
    restraint: Array,
    law: Law,
    rows: slice,
) -> Array:
    difference, residual, share = weather.difference[rows], weather.residual[rows], weather.share[rows]
    stress = stress_at(stresses, grid, passes, places.offset, difference)
    stress -= (residual * restraint[:, None, :])[:, :, None, None, :]
    stress /= strength[:, None, None, None, :]
    once = pass_damage(law, stress)
    passing = passes.per_truck[:, None] * places.share
    per_class = np.einsum("ncmwp,mw->ncp", once, passing, optimize=True)
    return np.einsum("ncp,nc->np", per_class, share)
