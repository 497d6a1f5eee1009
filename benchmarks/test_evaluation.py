"""Basins a second by basin area and by the vectorised plate fit, against a general optimiser called basin by basin."""

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
    benchmark.extra_info.update(
        baseline="scipy.optimize.least_squares for each basin",
        basins_per_second=round(rate),
        ratio=round(rate / rival, 1),
    )
