"""Basins a second by basin area and by the vectorised plate fit, against two rivals: a general optimiser called basin by
basin, and a table of curves searched whole with numpy, which is faster than ours and as near as the tests can tell."""

from time import perf_counter
from typing import Any

import numpy as np
import pytest
from scipy.optimize import least_squares

from slabwright.evaluation.backcalculation import (
    deflection_coefficient,
    foundation_from_deflection,
    modulus_from_relative_stiffness,
    relative_stiffness_area_36,
)
from slabwright.evaluation.plate_fit import fit_plate
from slabwright.slab.infinite_plate import plate_shape
from slabwright.survey.basins import area_36
from slabwright.units import INCH, LBF

SIZES = (1_000, 10_000, 100_000)
SAMPLE = 200  # basins given to the baseline: enough for a steady rate
OFFSETS = tuple(x * INCH for x in (0, 8, 12, 18, 24, 36, 60))
RADIUS, LOAD = 5.9055 * INCH, 9000 * LBF


def basins(number: int) -> np.ndarray:
    rng = np.random.default_rng(3)
    l = rng.uniform(20, 60, number) * INCH
    shape = plate_shape(OFFSETS, RADIUS, "dense liquid")(np.log(l))
    scale = LOAD / (rng.uniform(3e7, 1e8, number) * l**2)
    return shape * scale[:, None] * rng.normal(1, 0.01, (number, len(OFFSETS)))


def baseline_rate(deflections: np.ndarray) -> float:
    """Basins a second of ``scipy.optimize.least_squares`` on the same model, unknowns and start."""
    shape = plate_shape(OFFSETS, RADIUS, "dense liquid")
    begun = perf_counter()
    for basin in deflections:
        start = [np.log(35 * INCH), basin[0] / float(shape(np.log(35 * INCH))[0])]
        least_squares(lambda p, b=basin: p[1] * shape(p[0]) - b, start, x_scale=[1.0, start[1]])
    return len(deflections) / (perf_counter() - begun)


def tabled(deflections: np.ndarray) -> np.ndarray:
    """l (n,) [m]: the curve of a table of 161 that points most as the basin does, between its neighbours by a parabola."""
    grid = np.log(np.geomspace(10, 120, 161) * INCH)
    curves = plate_shape(OFFSETS, RADIUS, "dense liquid")(grid)
    unit = curves / np.linalg.norm(curves, axis=1)[:, None]
    made = np.empty(len(deflections))
    for start in range(0, len(deflections), 4096):
        explained = (deflections[start : start + 4096] @ unit.T) ** 2
        at = np.clip(explained.argmax(axis=1), 1, len(grid) - 2)
        rows = np.arange(len(at))
        before, here, after = explained[rows, at - 1], explained[rows, at], explained[rows, at + 1]
        made[start : start + 4096] = grid[at] + (grid[1] - grid[0]) / 2 * (before - after) / (before - 2 * here + after)
    return np.exp(made)


@pytest.mark.parametrize("number", SIZES)
def test_area_and_plate_fit(benchmark: Any, number: int) -> None:
    d = basins(number)

    def both() -> None:
        fit_plate(d, OFFSETS, RADIUS)
        l = relative_stiffness_area_36(area_36(d[:, 0], d[:, 2], d[:, 4], d[:, 5]))
        k = foundation_from_deflection(LOAD, d[:, 0], deflection_coefficient(l), l)
        modulus_from_relative_stiffness(k, l, 9 * INCH)

    benchmark.pedantic(both, rounds=3, warmup_rounds=1)
    rate, rival = number / benchmark.stats.stats.min, baseline_rate(d[:SAMPLE])
    begun = perf_counter()
    l = tabled(d)
    numpy_rate = number / (perf_counter() - begun)
    apart = float(np.nanmax(np.abs(l / fit_plate(d, OFFSETS, RADIUS).relative_stiffness - 1)))
    assert apart < 1e-3  # a hundredth of what 1 % of noise on the sensors does to l
    benchmark.extra_info.update(
        baseline="scipy.optimize.least_squares for each basin",
        basins_per_second=round(rate),
        ratio=round(rate / rival, 1),
        ratio_to_a_table_of_curves=round(rate / numpy_rate, 2),
        farthest_from_it=apart,
    )
