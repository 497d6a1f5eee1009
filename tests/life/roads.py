"""A section of our own invention for the tests and benchmarks of lives, on the closed-form stress model."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from slabwright.climate.temperature import TemperatureClasses
from slabwright.life.damage import AxlePasses, axle_passes
from slabwright.life.exposure import Climate
from slabwright.life.inputs import SectionState, old_grid, old_ranges, surface_ranges, uncertainties
from slabwright.life.past import Surveyed
from slabwright.life.reliability import Uncertain
from slabwright.life.section_life import OldSlab, SectionLife, section_life
from slabwright.life.surface import StressSurface, build
from slabwright.plate.stresses import StressGrid, usual_grid
from slabwright.records.decisions import Decisions
from slabwright.records.decisions.life import LifeDecisions
from slabwright.traffic.axles import pca_spectrum
from slabwright.units import INCH, PCI, PSI
from tests.life.closed_form import ClosedForm

STATE = SectionState(
    name="1",
    slab=8 * INCH,
    slab_modulus=4.2e6 * PSI,
    slab_strength=620 * PSI,
    foundation=150 * PCI,
    aashto=4 * INCH,
    overlay=4 * INCH,
    trucks=0.9e6,
    past=((5.5, 0.5e5), (15.5, 0.5e5)),  # few enough that the past agrees with the survey
    age=20.0,
    surveyed=Surveyed(300, 6),
    tests=9,
    cores=4,
)
GRID = replace(usual_grid(), differences=np.array([-18.0, -9.0, 0.0, 9.0, 18.0]))


def year(depth: float) -> TemperatureClasses:
    """Twelve months of a warm-summer climate: sine waves of day and year, no residual but a curved noon."""
    month, hour = (a.ravel() for a in np.meshgrid(np.arange(1, 13), np.arange(24), indexing="ij"))
    swing = (6 + 3 * np.cos((month - 7) * np.pi / 6)) * depth / 0.25
    difference = swing * (0.3 + np.sin((hour - 9) * np.pi / 12))
    curve = 0.2 * np.maximum(difference, 0.0)
    residual = curve[:, None] * np.array([1.0, -0.3, -0.3, 0.6])
    share = np.where((hour > 6) & (hour < 20), 1.4, 0.6)
    return TemperatureClasses(month.astype(float), difference, residual, share / share.sum())


def climate(overlays: tuple[float, ...] = (2 * INCH, 4 * INCH, 6 * INCH)) -> Climate:
    return Climate(np.array(overlays), tuple(year(STATE.slab + h) for h in overlays))


def passes(category: str = "3") -> AxlePasses:
    return axle_passes(*pca_spectrum(category))


@dataclass(frozen=True)
class Road:
    """A section with all that its life needs."""

    decisions: Decisions
    surface: StressSurface
    old: OldSlab
    state: SectionState = STATE

    def life(self) -> SectionLife:
        return section_life(self.state, self.surface, climate(), passes(), self.decisions, self.old)


def section_inputs(made: Road) -> dict[str, Uncertain]:
    return uncertainties(made.state, made.decisions)


def decided(**changes: float | str) -> Decisions:
    """Decisions with a smaller sample, enough for tests, and these changes of life."""
    return replace(
        Decisions(),
        life=replace(LifeDecisions(), **{"sample_power": 11, "past_damage_from": "observed cracking", **changes}),
    )  # type: ignore[arg-type]


def road(state: SectionState = STATE, grid: StressGrid = GRID, **changes: float | str) -> Road:
    decisions = decided(**changes)
    samples = 2 ** round(decisions.life.surface_power)
    surface = _surface(surface_ranges(state, decisions), grid.differences.tobytes(), samples)
    old = _surface(old_ranges(state, decisions), grid.differences.tobytes(), samples, alone=True)
    return Road(decisions, surface, OldSlab(old, Climate(np.zeros(1), (year(state.slab),))), state)


@cache
def _surface(ranges, differences: bytes, samples: int, alone: bool = False) -> StressSurface:  # type: ignore[no-untyped-def]
    grid = replace(GRID, differences=np.frombuffer(differences))
    return build(ClosedForm(), ranges, old_grid(grid) if alone else grid, samples, seed=1)
