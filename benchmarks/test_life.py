"""Lives of one section from its surfaces, against the sum of damage worked out for every sample."""

from time import perf_counter
from typing import Any

import numpy as np
import pytest
from tests.life import roads

from slabwright.life.damage import LAWS
from slabwright.life.exposure import exact_damage
from slabwright.life.inputs import exposure_of
from slabwright.life.reliability import lives, normals, pavements_of, values_of

SIZES = (2**13, 2**15, 2**17)  # the last is more than 100,000 lives
SUMMED = 256  # samples given to the baseline: enough for a steady rate
OVERLAY = 0.1


@pytest.mark.parametrize("number", SIZES)
def test_lives_from_the_surface(benchmark: Any, number: int) -> None:
    road = roads.road()
    model, numbers = road.life().model, normals(number, 1)
    benchmark.pedantic(lives, args=(model, OVERLAY, numbers), rounds=3, warmup_rounds=1)
    exposure = exposure_of(roads.passes(), roads.climate(), road.surface.grid, road.decisions)
    pavements = pavements_of(values_of(model.inputs, numbers[:SUMMED]), OVERLAY, road.surface.grid)
    begun = perf_counter()
    summed = exact_damage(road.surface, exposure, LAWS[road.decisions.life.fatigue_law], pavements)
    baseline = (perf_counter() - begun) / SUMMED * number
    assert np.isfinite(summed).all()
    benchmark.extra_info.update(
        baseline="the exact sum of damage for every sample",
        baseline_seconds=round(baseline, 1),
        ratio=round(baseline / benchmark.stats.stats.median),
        lives=number,
    )
