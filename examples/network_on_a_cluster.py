"""The overlay of a network of 1,000 sections on a local Dask cluster, and the same in one process.

    python network_on_a_cluster.py WEATHER [SECTIONS]

WEATHER is one EPW or TMY3 year. Needs the extra ``cluster``. The sections are of our own invention: slab, moduli, k,
strength and trucks are drawn between stated ends. One response surface of the plate model serves them all; the cluster
is a ``concurrent.futures.Executor`` like any other, here from ``distributed``. Prints how many sections reach 25 years
at 90 %, and that both ways gave the same numbers to the last bit.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Iterable
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

import numpy as np
from distributed import Client, LocalCluster

from slabwright.calculation import Array
from slabwright.climate.temperature import hourly_weather, yearly_classes
from slabwright.errors import SlabwrightError
from slabwright.intake import read, resolve
from slabwright.life.cracking import TruckTraffic, cracking_exponent
from slabwright.life.damage import LAWS, axle_passes
from slabwright.life.damage_surface import fit_damage
from slabwright.life.exposure import Climate, exact_damage
from slabwright.life.inputs import SectionState, exposure_of, surface_ranges, uncertainties
from slabwright.life.reliability import (
    LifeModel,
    lives,
    normals,
    pavements_of,
    sample_of,
    thickness_for,
    values_of,
)
from slabwright.life.surface import Ranges, build
from slabwright.plate.plate_stresses import PlateStresses
from slabwright.plate.stresses import PavementState, usual_grid
from slabwright.records.decisions import Decisions
from slabwright.records.facts import Facts
from slabwright.traffic.axles import pca_spectrum
from slabwright.units import INCH, PCI, PSI

LOW = SectionState("", 8.5 * INCH, 3.8e6 * PSI, 620 * PSI, 180 * PCI, 3 * INCH, 3 * INCH, 2e5)
HIGH = SectionState("", 9.5 * INCH, 4.8e6 * PSI, 740 * PSI, 320 * PCI, 3 * INCH, 3 * INCH, 1e6)
DRAWN = ("slab", "slab_modulus", "slab_strength", "foundation", "trucks")
TARGET, RELIABILITY, SAMPLES = 25.0, 0.9, 1024
AT_A_TIME = 25  # sections in one task: sending them is then little beside computing them


@dataclass(frozen=True)
class Found:
    """Of each section: thickness [m], NaN where none in range reaches the target, and life of 3 in [years]."""

    thickness: Array
    years: Array


def network(number: int) -> list[SectionState]:
    share = np.random.default_rng(7).random((number, len(DRAWN)))
    ends = [np.array([getattr(end, name) for name in DRAWN]) for end in (LOW, HIGH)]
    rows = ends[0] + share * (ends[1] - ends[0])
    return [replace(LOW, name=str(n + 1), **dict(zip(DRAWN, row, strict=True))) for n, row in enumerate(rows.tolist())]


def model_of(weather: Path, given: Decisions, executor: Executor) -> LifeModel:
    """One model for the whole network: its surfaces reach from the weakest to the strongest section."""
    (reading,) = read(weather)
    year = hourly_weather(Facts(weather=resolve(reading, accept=True).frame))
    ranges = _around(surface_ranges(LOW, given), surface_ranges(HIGH, given))
    surface = build(PlateStresses(4.6, 3.7, 3.0), ranges, usual_grid(), 64, 1, executor)
    overlays = np.array([2.0, 4.0, 6.0]) * INCH
    classes = yearly_classes(year, overlays, 9 * INCH, given.design.overlay_modulus, 4.3e6 * PSI)
    exposure = exposure_of(axle_passes(*pca_spectrum("2")), Climate(overlays, classes), surface.grid, given)
    inputs = uncertainties(LOW, given)
    sample = np.random.default_rng(3).random((2048, 3))
    values = values_of(inputs, normals(2048, 5))
    for column, name in enumerate(("slab", "slab_modulus", "foundation")):
        low, high = getattr(ranges[0], name), getattr(ranges[1], name)
        values[name] = low * (high / low) ** sample[:, column]
    spread = np.random.default_rng(4).random(2048)
    values["slab_strength"] = LOW.slab_strength * 0.85 + spread * (HIGH.slab_strength * 1.15 - LOW.slab_strength * 0.85)
    built = (1.8 + 4.6 * np.random.default_rng(5).random(2048)) * INCH
    pavements = pavements_of({**values, "overlay": np.ones(2048)}, built, surface.grid)
    law = LAWS[given.life.fatigue_law]
    damage = fit_damage(law, pavements, exact_damage(surface, exposure, law, pavements))
    level, curve = given.life.cracking_level, given.life.cracking_curve
    return LifeModel(
        inputs,
        surface.grid,
        damage,
        surface.error,
        TruckTraffic(1.0, given.traffic.growth),
        level,
        cracking_exponent(curve),
    )


def _around(first: Ranges, second: Ranges) -> Ranges:
    names = PavementState.names()
    low, high = (
        PavementState(**{n: pick(getattr(first[i], n), getattr(second[i], n)) for n in names})
        for i, pick in ((0, min), (1, max))
    )
    return low, high


def some_sections(states: list[SectionState], model: LifeModel, given: Decisions) -> list[tuple[float, float]]:
    return [one_section(state, model, given) for state in states]


def one_section(state: SectionState, model: LifeModel, given: Decisions) -> tuple[float, float]:
    own = replace(model, inputs=uncertainties(state, given), trucks=TruckTraffic(state.trucks, given.traffic.growth))
    sample = sample_of(own, normals(SAMPLES, 1))

    def years(overlay: float) -> float:
        return float(lives(own, sample, overlay).quantiles([RELIABILITY])[0])

    thickness, _ = thickness_for(years, TARGET, 2 * INCH, 6 * INCH)
    return thickness, years(3 * INCH)


def whole_network(states: list[SectionState], model: LifeModel, given: Decisions, executor: Executor | None) -> Found:
    parts = [states[i : i + AT_A_TIME] for i in range(0, len(states), AT_A_TIME)]
    ask = partial(some_sections, model=model, given=given)
    answers: Iterable[list[tuple[float, float]]] = executor.map(ask, parts) if executor else map(ask, parts)
    rows = np.array([row for part in answers for row in part])
    return Found(rows[:, 0], rows[:, 1])


def main(weather: Path, number: int) -> None:
    given, states = Decisions(), network(number)
    with LocalCluster(dashboard_address=None) as cluster, Client(cluster) as client:  # type: ignore[no-untyped-call]
        pool = client.get_executor()
        begun = time.perf_counter()
        model = model_of(weather, given, pool)
        say(f"Surfaces for the network: {time.perf_counter() - begun:.0f} s.")
        begun = time.perf_counter()
        shared = whole_network(states, model, given, pool)
        say(f"{number:,} sections on the cluster: {time.perf_counter() - begun:.0f} s.")
    begun = time.perf_counter()
    alone = whole_network(states, model, given, None)
    say(f"{number:,} sections in one process: {time.perf_counter() - begun:.0f} s.")
    same = all(np.array_equal(getattr(shared, n), getattr(alone, n), equal_nan=True) for n in ("thickness", "years"))
    say(f"The numbers are {'the same to the last bit' if same else 'DIFFERENT'}.")
    reached = np.isfinite(shared.thickness)
    say(f"{int(reached.sum()):,} of {number:,} reach {TARGET:.0f} years at {RELIABILITY:.0%} with 2 to 6 in.")
    if not same:
        sys.exit(1)


def say(words: str) -> None:
    sys.stdout.write(words + "\n")


if __name__ == "__main__":
    try:
        main(Path(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else 1000)
    except (SlabwrightError, IndexError, ValueError) as problem:
        sys.exit(f"{problem}" if isinstance(problem, SlabwrightError) else __doc__)
