"""What a section's life is computed from: its state, the inputs that scatter, and what the stress surfaces must reach."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from slabwright.calculation import Array
from slabwright.errors import InputError
from slabwright.life.cracking import NO_AGEING, YEARS, Ageing
from slabwright.life.damage import AxlePasses, axle_passes, wander
from slabwright.life.exposure import Climate, Exposure, seasons_of
from slabwright.life.past import Surveyed
from slabwright.life.reliability import Uncertain
from slabwright.life.surface import Ranges
from slabwright.materials.growth import flexural_ratio_2004
from slabwright.materials.terms import DAY, YEAR
from slabwright.plate.stresses import OLD_POINTS, PavementState, StressGrid
from slabwright.records.decisions import Decisions
from slabwright.records.decisions.life import LifeDecisions
from slabwright.records.facts import Facts
from slabwright.traffic.axles import AXLE_CODES, pca_spectrum
from slabwright.units import INCH

__all__ = [
    "SectionState",
    "ageing_of",
    "exposure_of",
    "monthly_factors",
    "old_grid",
    "old_ratios",
    "old_ranges",
    "surface_ranges",
    "thickness_ends",
    "truck_passes",
    "uncertainties",
]

REACH = 3.0  # standard deviations that a stress surface reaches
PAST_AGES = np.array([0.0, 1.0, 3.0, 7.0, 15.0, 30.0, np.inf])  # years: the old slab is taken at one age between two
YOUNGEST = 28 * DAY  # the curve of growth is not used before
OLDEST_GROWTH = 100 * YEAR
STEP = 1.05  # to which its ranges are rounded outward, so that like sections share one
MONTHS = (
    "winter",
    "winter",
    "spring",
    "spring",
    "spring",
    "summer",
    "summer",
    "summer",
    "autumn",
    "autumn",
    "autumn",
    "winter",
)


@dataclass(frozen=True)
class SectionState:
    """One section as the earlier stages leave it, SI.

    aashto: overlay thickness required by AASHTO 1993; overlay: the one chosen; trucks: of the design lane in the first year to come; past: age of the old
    slab [years] and trucks of the design lane in each year so far; age: of the old slab when the overlay opens [years];
    surveyed: slabs of the worst lane and how many are cracked, None when no survey was made; tests, cores: behind the
    means of modulus and k, and of thickness and strength; length: of the slabs; reflected: share of them that keep a crack
    after repair, in the worst lane, NaN where nobody walked.
    """

    name: str
    slab: float
    slab_modulus: float
    slab_strength: float
    foundation: float
    aashto: float
    overlay: float
    trucks: float
    past: tuple[tuple[float, float], ...] = ()
    age: float = 30.0
    surveyed: Surveyed | None = None
    tests: int = 0
    cores: int = 0
    length: float = 4.6
    reflected: float = np.nan


def monthly_factors(choice: LifeDecisions) -> Array:
    """Factors on k, January to December."""
    return np.array([getattr(choice, f"foundation_{season}") for season in MONTHS])


def uncertainties(state: SectionState, decisions: Decisions) -> dict[str, Uncertain]:
    """Warning about the section's means, by name; the overlay's is the ratio of the built to the ordered thickness.

    How slabs of one section scatter about these means is in the published curve of cracked slabs against damage.
    """
    choice = decisions.life
    bond = choice.delaminated_deviation / choice.delaminated_mean if choice.delaminated_mean > 0 else 0.0
    error = Uncertain("normal", 1.0, 1.0)  # a number of standard deviations; its size comes from the surfaces
    mean, tests, cores, built = Uncertain.of_mean, state.tests, state.cores, choice.overlay_tests
    modulus, strength = decisions.design.overlay_modulus, decisions.design.overlay_strength
    return {
        "overlay": mean("normal", 1.0, choice.overlay_thickness_variation, built),
        "slab": mean("normal", state.slab, choice.slab_thickness_variation, cores),
        "overlay_modulus": mean("lognormal", modulus, choice.overlay_modulus_variation, built),
        "slab_modulus": mean("lognormal", state.slab_modulus, choice.slab_modulus_variation, tests),
        "foundation": mean("lognormal", state.foundation, choice.foundation_variation, tests),
        "delaminated": Uncertain("beta", choice.delaminated_mean, bond),
        "overlay_strength": mean("lognormal", strength, choice.overlay_strength_variation, built),
        "slab_strength": mean("lognormal", state.slab_strength, choice.slab_strength_variation, cores),
        "temperature": Uncertain("normal", 1.0, choice.temperature_variation),
        "traffic": Uncertain("lognormal", 1.0, choice.traffic_variation),
        "multiplier": Uncertain("normal", 1.0, 0.0),  # as published; a calibrated section draws its own
        "stress_error": error,
        "damage_error": error,
    }


def ageing_of(decisions: Decisions) -> Ageing:
    """Growth of the overlay's strength and modulus after opening, by the curve of 2004 or none."""
    if decisions.life.strength_growth == "none":
        return replace(NO_AGEING, years=YEARS, ratio=np.ones(len(YEARS)))
    middle = np.append((YEARS[1:] + YEARS[:-1]) / 2, YEARS[-1])
    ratio = np.asarray(flexural_ratio_2004(np.maximum(middle * YEAR, YOUNGEST)))
    return Ageing(YEARS, ratio, np.array([ratio.min(), ratio[2:4].mean(), ratio.max()]))


def old_ratios(state: SectionState, decisions: Decisions) -> tuple[Array, Array]:
    """Trucks (ages,) of the past by ages of the old slab, and its strength and modulus then over those of today (ages,)."""
    if not state.past:
        return np.zeros(1), np.ones(1)
    age, trucks = np.array(state.past).T
    place = np.searchsorted(PAST_AGES, age, side="right")
    kept = np.unique(place)
    total = np.array([trucks[place == p].sum() for p in kept])
    middle = np.array([np.average(age[place == p], weights=np.maximum(trucks[place == p], 1e-9)) for p in kept])
    if decisions.life.strength_growth == "none":
        return total, np.ones(len(kept))
    then, now = (np.clip(years * YEAR, YOUNGEST, OLDEST_GROWTH) for years in (middle, state.age))
    return total, np.asarray(flexural_ratio_2004(then)) / float(flexural_ratio_2004(now))


def surface_ranges(state: SectionState, decisions: Decisions) -> Ranges:
    """What the stress surface of a section must reach: three standard deviations and every month's k."""
    ends = _ends(state, decisions)
    thin, thick = thickness_ends(decisions)
    low, high = ({**end, "overlay": end["overlay"] * h} for end, h in zip(ends, (thin, thick), strict=True))
    high["overlay_modulus"] *= float(ageing_of(decisions).nodes[-1])
    return _rounded(low, high)


def old_ranges(state: SectionState, decisions: Decisions) -> Ranges:
    """The same for the old slab alone, whose overlay does not exist."""
    none = {"overlay": 0.0, "overlay_modulus": decisions.design.overlay_modulus, "delaminated": 0.0}
    low, high = ({**end, **none} for end in _ends(state, decisions))
    low["slab_modulus"] *= float(old_ratios(state, decisions)[1].min())
    return _rounded(low, high)


def _ends(state: SectionState, decisions: Decisions) -> tuple[dict[str, float], dict[str, float]]:
    inputs, factors = uncertainties(state, decisions), monthly_factors(decisions.life)
    low, high = (
        {name: float(inputs[name].at(np.array(reach))) for name in PavementState.names()} for reach in (-REACH, REACH)
    )
    return (
        {**low, "foundation": low["foundation"] * float(factors.min()), "delaminated": 0.0},
        {**high, "foundation": high["foundation"] * float(factors.max())},
    )


def _rounded(low: dict[str, float], high: dict[str, float]) -> Ranges:
    """Ranges that differ are rounded outward in steps of five per cent."""
    least, most = ({**low}, {**high})
    for name in PavementState.names():
        if 0 < low[name] < high[name]:
            least[name] = STEP ** float(np.floor(np.log(low[name]) / np.log(STEP)))
        if low[name] < high[name] and high[name] > 0:
            most[name] = STEP ** float(np.ceil(np.log(high[name]) / np.log(STEP)))
    return PavementState(**least), PavementState(**most)


def thickness_ends(decisions: Decisions) -> tuple[float, float]:
    choice = decisions.design
    if choice.thinnest >= choice.thickest:
        raise InputError(
            "the practical minimum of the overlay is not below its greatest thickness",
            given=f"{choice.thinnest / INCH:.2f} in and {choice.thickest / INCH:.2f} in",
        )
    return choice.thinnest, choice.thickest


def old_grid(grid: StressGrid) -> StressGrid:
    """The grid for the old slab alone, at its four places."""
    return replace(grid, points=OLD_POINTS)


def truck_passes(facts: Facts, decisions: Decisions) -> AxlePasses:
    """Axle groups of an average truck: from the loaded spectrum, or from the published category."""
    if not len(facts.axles):
        return axle_passes(*pca_spectrum(decisions.traffic.axle_category))
    codes = facts.axles["axle"].map(AXLE_CODES).to_numpy(dtype=float)
    return axle_passes(facts.axles["load"].to_numpy(), codes, facts.axles["per_thousand_trucks"].to_numpy())


def exposure_of(passes: AxlePasses, climate: Climate, grid: StressGrid, decisions: Decisions) -> Exposure:
    """Axles, wander and the seasons of a climate, as decided."""
    choice = decisions.life
    return Exposure(
        passes,
        wander(choice.wander_mean, choice.wander_deviation, float(grid.offsets[-1])),
        seasons_of(climate, monthly_factors(choice)),
        choice.built_in_difference,
        choice.overlay_shrinkage,
        decisions.design.thermal_expansion,
    )
