"""How long the road strip takes to make many records few, against a loop over the bins. ``ratio`` is ours over loop."""

from __future__ import annotations

import time
from collections.abc import Callable
from itertools import pairwise

import numpy as np
import pytest

from slabwright.figures.layers import Layer, aggregated

LONG = 10_000.0


def layer_of(number: int) -> Layer:
    rng = np.random.default_rng(11)
    words = np.full(number, "a", dtype=object)
    return Layer(
        "test",
        "Test",
        "deflection",
        "points",
        "basins",
        ("a",),
        np.sort(rng.uniform(0, LONG, number)),
        None,
        words,
        rng.lognormal(-9, 0.3, number),
        words,
        words,
        np.arange(number),
    )


def loop(layer: Layer, bins: int = 200) -> list[tuple[int, float, float, float]]:
    """The same bins one after another, each from its own mask."""
    edges = np.linspace(0, LONG, bins + 1)
    found = []
    for low, high in pairwise(edges):
        here = layer.value[(layer.station >= low) & (layer.station < high)]
        if len(here):
            found.append((len(here), float(here.min()), float(np.median(here)), float(here.max())))
    return found


def best_of_five(work: Callable[[], object]) -> float:
    times = []
    for _ in range(5):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


@pytest.mark.parametrize("number", [2_000, 20_000, 200_000])
def test_aggregating(benchmark, number: int) -> None:
    layer = layer_of(number)
    view = benchmark(lambda: aggregated(layer, 0, LONG))
    base, ours = best_of_five(lambda: loop(layer)), best_of_five(lambda: aggregated(layer, 0, LONG))
    benchmark.extra_info |= {
        "records": number,
        "milliseconds": round(ours * 1e3, 2),
        "ratio": round(ours / base, 3),
        "baseline": "loop over bins",
    }
    assert view.bins is not None
    assert view.bins.count.sum() == number
    np.testing.assert_allclose(view.bins.high.max(), layer.value.max())
    np.testing.assert_allclose(view.bins.low, [low for _, low, _, _ in loop(layer)])
