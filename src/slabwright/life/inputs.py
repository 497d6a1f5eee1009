"""What a section's life is computed from: its state, the inputs that scatter, and what the stress surfaces must reach."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from slabwright.calculation import Array
from slabwright.errors import InputError
from slabwright.life.damage import AxlePasses, axle_passes, wander
from slabwright.life.exposure import Climate, Exposure, seasons_of
from slabwright.life.reliability import Uncertain
from slabwright.life.surface import Ranges
from slabwright.plate.stresses import PavementState, StressGrid
from slabwright.records.decisions import Decisions
from slabwright.records.decisions.life import LifeDecisions
from slabwright.records.facts import Facts
from slabwright.traffic.axles import AXLE_CODES, pca_spectrum
from slabwright.units import INCH

__all__ = [
    "SectionState",
    "exposure_of",
    "monthly_factors",
    "old_grid",
    "old_ranges",
    "surface_ranges",
    "thickness_ends",
    "truck_passes",
    "uncertainties",
]

REACH = 3.0  # standard deviations that a stress surface reaches
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

    aashto: overlay thickness by AASHTO 1993; trucks: of the design lane in the first year to come and so far;
    cracking: share of the old slabs that are cracked, NaN when not known.
    """

    name: str
    slab: float
    slab_modulus: float
    slab_strength: float
    foundation: float
    aashto: float
    trucks: float
    past_trucks: float
    cracking: float = np.nan


def monthly_factors(choice: LifeDecisions) -> Array:
    """Factors on k, January to December."""
    return np.array([getattr(choice, f"foundation_{season}") for season in MONTHS])


def uncertainties(state: SectionState, decisions: Decisions) -> dict[str, Uncertain]:
    """Warning about the section's means, by name; the overlay's is the ratio of the built to the ordered thickness.

    How slabs of one section scatter about these means is in the published curve of cracked slabs against damage.
    """
    choice = decisions.life
    bond = choice.delaminated_deviation / choice.delaminated_mean if choice.delaminated_mean > 0 else 0.0
    mean = choice.tests_behind_mean**-0.5  # the standard error of a mean
    error = Uncertain("normal", 1.0, 1.0)  # a number of standard deviations; its size comes from the surfaces
    return {
        "overlay": Uncertain("normal", 1.0, choice.overlay_thickness_variation * mean),
        "slab": Uncertain("normal", state.slab, choice.slab_thickness_variation * mean),
        "overlay_modulus": Uncertain(
            "lognormal", decisions.design.overlay_modulus, choice.overlay_modulus_variation * mean
        ),
        "slab_modulus": Uncertain("lognormal", state.slab_modulus, choice.slab_modulus_variation * mean),
        "foundation": Uncertain("lognormal", state.foundation, choice.foundation_variation * mean),
        "delaminated": Uncertain("beta", choice.delaminated_mean, bond),
        "overlay_strength": Uncertain(
            "lognormal", decisions.design.overlay_strength, choice.overlay_strength_variation * mean
        ),
        "slab_strength": Uncertain("lognormal", state.slab_strength, choice.slab_strength_variation * mean),
        "temperature": Uncertain("normal", 1.0, choice.temperature_variation),
        "traffic": Uncertain("lognormal", 1.0, choice.traffic_variation),
        "stress_error": error,
        "damage_error": error,
    }


def surface_ranges(state: SectionState, decisions: Decisions) -> Ranges:
    """What the stress surface of a section must reach: three standard deviations and every month's k."""
    ends = _ends(state, decisions)
    thin, thick = thickness_ends(decisions)
    low, high = ({**end, "overlay": end["overlay"] * h} for end, h in zip(ends, (thin, thick), strict=True))
    return _rounded(low, high)


def old_ranges(state: SectionState, decisions: Decisions) -> Ranges:
    """The same for the old slab alone, whose overlay does not exist."""
    none = {"overlay": 0.0, "overlay_modulus": decisions.design.overlay_modulus, "delaminated": 0.0}
    low, high = ({**end, **none} for end in _ends(state, decisions))
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
    """The grid for the old slab alone: only its own points."""
    return StressGrid(grid.loads, grid.offsets, grid.differences, tuple(p for p in grid.points if p.face >= 2))


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
        decisions.evaluation.poisson,
    )
