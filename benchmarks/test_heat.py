"""A year of heat under many overlay thicknesses, against a general banded solver called anew for every column and hour.

The baseline marches the same columns with the same steps; at each it assembles the tridiagonal matrix with the surface
made straight about its last temperature and calls ``scipy.linalg.solve_banded``. It is timed on a week and scaled.
"""

from __future__ import annotations

import time

import numpy as np
import pytest
from scipy.linalg import solve_banded

from slabwright.calculation import Array
from slabwright.climate.heat_year import Columns, HeatSettings, _forcing, _pavement, heat_year
from slabwright.demo.weather import weather_year

WEEK = 24 * 7
COUNTS = (1, 9, 40)
YEAR = weather_year(np.random.default_rng(0))
WEATHER = {
    "air": YEAR["air_temperature"],
    "wind": YEAR["wind_speed"],
    "sun": YEAR["global_radiation"],
    "sky": YEAR["sky_radiation"],
}


def a_week_anew(columns: Columns, column: int) -> Array:
    """Surface temperatures of one column, everything made at every hour."""
    forcing = _forcing(**WEATHER, settings=HeatSettings())
    size, conductivity, capacity = columns.size[column], columns.conductivity[column], columns.capacity[column]
    now = last = np.full(len(size) + 1, 12.0)
    found = []
    for hour in range(WEEK):
        held = (np.append(size * capacity, 0) + np.append(0, size * capacity)) / 2 / 3600
        passed = conductivity / size
        band = np.zeros((3, len(now)))
        band[0, 1:], band[2, :-1] = -passed, -passed
        band[1] = 1.5 * held + np.append(passed, 0) + np.append(0, passed)
        warm = now[0] + 273.15
        loss = forcing.emissivity * 5.670374419e-8 * warm**3
        right = held * (2 * now - 0.5 * last)
        band[1, 0] += forcing.coefficient[hour] + 4 * loss
        right[0] += forcing.absorbed[hour] + forcing.coefficient[hour] * forcing.air[hour] - loss * (warm - 4 * now[0])
        last, now = now, solve_banded((1, 1), band, right)
        found.append(now[0])
    return np.array(found)


@pytest.mark.parametrize("count", COUNTS)
def test_a_year_of_heat(benchmark, count: int) -> None:  # type: ignore[no-untyped-def]
    overlays = np.linspace(0.05, 0.15, count)
    ours = benchmark.pedantic(
        heat_year, kwargs={**WEATHER, "overlays": overlays, "slab": 0.225}, rounds=3, warmup_rounds=1
    )
    columns, _ = _pavement(overlays, 0.225, HeatSettings())
    begin = time.perf_counter()
    theirs = a_week_anew(columns, 0)
    anew = (time.perf_counter() - begin) * 8760 / WEEK * count * ours.years
    assert np.isfinite(theirs).all()
    assert ours.years <= 4
    if benchmark.enabled:
        benchmark.extra_info["baseline"] = "a banded solve for every column and hour"
        benchmark.extra_info["ratio"] = f"{anew / benchmark.stats['median']:.0f}"
        benchmark.extra_info["columns"] = count
        assert count != 9 or benchmark.stats["median"] < 5.0
