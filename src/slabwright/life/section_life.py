"""The fatigue life of one section with a bonded overlay, at a reliability, and the thickness that reaches its target.

A spread of an input is taken as the standard error of the section's mean, so it bears on every slab alike; how slabs of one
section differ among themselves is in the published curve of cracked slabs against damage.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from scipy.special import ndtr, ndtri

from slabwright.calculation import Array
from slabwright.errors import MissingFact
from slabwright.life.damage import LAWS, AxlePasses, Law
from slabwright.life.damage_surface import DamageSurface, fit_damage
from slabwright.life.exposure import Climate, Exposure, Pavements, exact_damage, outside_grid
from slabwright.life.inputs import SectionState, exposure_of, thickness_ends, uncertainties
from slabwright.life.reliability import (
    CRACKING_CURVES,
    INPUTS,
    LONGEST,
    LifeModel,
    Lives,
    TruckTraffic,
    Uncertain,
    cracking_exponent,
    damage_at_cracking,
    lives,
    normals,
    pavements_of,
    quantiles,
    thickness_for,
    values_of,
    years_to_limit,
)
from slabwright.life.surface import StressSurface
from slabwright.records.decisions import Decisions
from slabwright.records.remarks import Remark, remark
from slabwright.statistics.sensitivity import Indices, variance_shares
from slabwright.units import INCH

__all__ = ["RELIABILITIES", "LawLife", "OldSlab", "SectionLife", "section_life"]

RELIABILITIES = np.array([0.5, 0.75, 0.9, 0.95])
CURVE_STEP = 0.5 * INCH
DAMAGE_SUMS = 1024  # exact sums behind a damage surface
SENSITIVITY_ROWS = 1024
WIDENED = 1.25  # the samples behind a damage surface reach a little farther than those of the lives
SURE = 1e-12  # the nearest a probability comes to 0 or 1


@dataclass(frozen=True)
class OldSlab:
    """What the damage so far is computed from: stresses of the old slab alone, and its temperatures."""

    surface: StressSurface
    climate: Climate


@dataclass(frozen=True)
class LawLife:
    """Life by one law with every input at its median, and damage of a truck over that by the chosen law."""

    law: str
    years: float
    ratio: float


@dataclass(frozen=True)
class SectionLife:
    """What was found for one section, SI and years.

    years: (thicknesses, reliabilities). found: NaN with a remark when no thickness reaches the target. ``overlay`` is
    AASHTO 1993's thickness, or the nearest end of the range; of it are the lives of every sample (``detail``), the
    other laws and the sensitivities (in the order of ``reliability.INPUTS``). outside: share of samples that lie
    beyond the stress surface and are taken at its ends.
    """

    state: SectionState
    overlays: Array
    reliabilities: Array
    years: Array
    target: float
    reliability: float
    found: float
    remark: Remark
    overlay: float
    overlay_years: float
    detail: Lives
    laws: tuple[LawLife, ...]
    sensitivities: Indices
    model: LifeModel
    law: str
    outside: float
    notes: tuple[Remark, ...]


def section_life(
    state: SectionState,
    surface: StressSurface,
    climate: Climate,
    passes: AxlePasses,
    decisions: Decisions,
    old: OldSlab | None = None,
) -> SectionLife:
    """Lives over thickness and reliability, and the thickness for the target, of one section.

    ``old`` is needed where past damage comes from past traffic. Raises MissingFact without it, or without the share
    of cracked slabs where past damage comes from that; OutOfRange for an axle beyond the stress grid.
    """
    exposure = exposure_of(passes, climate, surface.grid, decisions)
    before = exposure_of(passes, old.climate, old.surface.grid, decisions) if old else None
    model = _model(state, surface, exposure, old, before, decisions)
    choice = decisions.life
    numbers = normals(2 ** round(choice.sample_power), round(choice.seed))
    thin, thick = thickness_ends(decisions)
    overlays = np.append(np.arange(thin, thick - CURVE_STEP / 10, CURVE_STEP), thick)
    years = np.stack([quantiles(lives(model, float(h), numbers).years, RELIABILITIES) for h in overlays])
    target = choice.target_years or decisions.traffic.design_period
    reliability = decisions.design.reliability
    found, said = thickness_for(
        lambda h: float(quantiles(lives(model, h, numbers).years, [reliability])[0]), target, thin, thick
    )
    overlay = float(np.clip(state.aashto, thin, thick)) if np.isfinite(state.aashto) else thick
    detail = lives(model, overlay, numbers)
    pavements = pavements_of(values_of(model.inputs, numbers), overlay, surface.grid)
    outside = float(surface.outside(pavements.states).mean())
    return SectionLife(
        state,
        overlays,
        RELIABILITIES,
        years,
        target,
        reliability,
        found,
        said,
        overlay,
        float(quantiles(detail.years, [reliability])[0]),
        detail,
        _laws(model, surface, exposure, old, before, overlay, choice.fatigue_law),
        _sensitivities(model, overlay, round(choice.seed)),
        model,
        choice.fatigue_law,
        outside,
        tuple(_notes(state, model, detail, exposure, pavements, outside, decisions)),
    )


def _model(
    state: SectionState,
    surface: StressSurface,
    exposure: Exposure,
    old: OldSlab | None,
    before: Exposure | None,
    decisions: Decisions,
) -> LifeModel:
    choice, inputs = decisions.life, uncertainties(state, decisions)
    law = LAWS[choice.fatigue_law]
    model = LifeModel(
        inputs,
        surface.grid,
        _damage(surface, exposure, law, inputs, thickness_ends(decisions), round(choice.seed)),
        surface.error,
        TruckTraffic(state.trucks, decisions.traffic.growth, state.past_trucks),
        damage_at_cracking(choice.cracking_level, choice.cracking_curve),
        cracking_exponent(choice.cracking_curve),
    )
    if choice.past_damage_from == "observed cracking":
        return replace(model, observed=_observed(state, choice.cracking_curve))
    if old is None or before is None:
        raise MissingFact(
            "damage by past traffic needs the stresses and temperatures of the old slab alone",
            where=f"section {state.name}",
        )
    past = _damage(old.surface, before, law, inputs, (0.0, 0.0), round(choice.seed))
    return replace(model, old=past, old_grid=old.surface.grid, old_stress_error=old.surface.error)


def _observed(state: SectionState, curve: str) -> float:
    if not np.isfinite(state.cracking):
        raise MissingFact(
            "the share of cracked slabs is not known, and past damage was to come from it",
            where=f"section {state.name}",
            remedy="Load the distress survey, or take past damage from past traffic (life.past_damage_from).",
        )
    return damage_at_cracking(min(state.cracking, 0.999), curve)


def _damage(
    surface: StressSurface,
    exposure: Exposure,
    law: Law,
    inputs: dict[str, Uncertain],
    ends: tuple[float, float],
    seed: int,
) -> DamageSurface:
    """The damage surface between two overlay thicknesses, through exact sums for a sample a little wider than the lives'."""
    numbers = normals(DAMAGE_SUMS, seed + 1)
    values = values_of(inputs, WIDENED * numbers)
    spread = ndtr(numbers[:, list(INPUTS).index("overlay")])  # even over the thicknesses and their own scatter
    reach = 3 * inputs["overlay"].variation
    built = ends[0] * (1 - reach) + spread * (ends[1] * (1 + reach) - ends[0] * (1 - reach))
    pavements = pavements_of({**values, "overlay": np.ones(len(numbers))}, built, surface.grid)
    return fit_damage(law, pavements, exact_damage(surface, exposure, law, pavements))


def _laws(
    model: LifeModel,
    surface: StressSurface,
    exposure: Exposure,
    old: OldSlab | None,
    before: Exposure | None,
    overlay: float,
    chosen: str,
) -> tuple[LawLife, ...]:
    """Every law with every input at its median, by the exact sum; damage is compared where the chosen law cracks first."""
    values = values_of(model.inputs, np.zeros((1, len(INPUTS))))
    now = pavements_of(values, overlay, surface.grid)
    found = {name: exact_damage(surface, exposure, law, now) for name, law in LAWS.items()}
    years = {name: _median_years(model, damage, LAWS[name], old, before, values) for name, damage in found.items()}
    point = int(years[chosen].argmin())
    per_truck = np.maximum(found[chosen][0, point], 1e-300)
    return tuple(LawLife(name, float(years[name].min()), float(found[name][0, point] / per_truck)) for name in LAWS)


def _median_years(
    model: LifeModel, per_truck: Array, law: Law, old: OldSlab | None, before: Exposure | None, values: dict[str, Array]
) -> Array:
    """Years (points,) to the limit."""
    past = model.observed_past(1)
    if model.old is not None and old is not None and before is not None:
        alone = pavements_of(values, 0.0, old.surface.grid)
        past = model.placed(exact_damage(old.surface, before, law, alone) * model.trucks.past)
    return years_to_limit(model, past, per_truck, values["traffic"])[0]


def _sensitivities(model: LifeModel, overlay: float, seed: int) -> Indices:
    """Shares of the variance of the logarithm of life."""

    def log_life(rows: Array) -> Array:
        numbers = ndtri(np.clip(rows, SURE, 1 - SURE))
        return np.log10(np.clip(lives(model, overlay, numbers).years, 1e-3, LONGEST))

    return variance_shares(log_life, list(INPUTS), SENSITIVITY_ROWS, seed)


def _notes(
    state: SectionState,
    model: LifeModel,
    detail: Lives,
    exposure: Exposure,
    pavements: Pavements,
    outside: float,
    decisions: Decisions,
) -> list[Remark]:
    """What a reader should know before using the numbers."""
    notes = []
    coldest, warmest = model.grid.differences[[0, -1]]
    beyond = outside_grid(exposure, pavements, model.grid)
    if beyond >= 0.0005:
        notes.append(
            remark(
                "{beyond} of trucks pass at temperature differences beyond {coldest} to {warmest} and are counted at these"
                " ends.",
                state.name,
                beyond=("share", beyond),
                coldest=("temperature_change", coldest),
                warmest=("temperature_change", warmest),
            )
        )
    if outside >= 0.0005:
        notes.append(
            remark(
                "{outside} of samples lie beyond the stress surface and are taken at its ends.",
                state.name,
                outside=("share", outside),
            )
        )
    if model.old is not None and np.isfinite(state.cracking):
        curve = CRACKING_CURVES[decisions.life.cracking_curve]
        predicted = float(curve(float(np.clip(np.median(detail.past.max(axis=1)), 0.0, 1e6))))
        notes.append(
            remark(
                "the damage of past traffic predicts {predicted} cracked slabs; the survey found {found}"
                " (life.past_damage_from chooses which is carried on).",
                state.name,
                predicted=("share", predicted),
                found=("share", state.cracking),
            )
        )
    return notes
