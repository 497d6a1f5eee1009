"""The fatigue life of one section with a bonded overlay, at a reliability, and the thickness that reaches its target.

The spread of an input that is a mean of tests is the standard error of that mean, so it bears on every slab alike; how
slabs of one section differ among themselves is in the published curve of cracked slabs against damage. Before anything
is promised, the same model is held against what the old slab has shown.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from scipy.special import ndtr, ndtri

from slabwright.calculation import Array
from slabwright.errors import InputError, MissingFact
from slabwright.life.cracking import (
    LONGEST,
    TruckTraffic,
    cracking_exponent,
    damage_at_cracking,
    median_share_at,
    years_to_level,
)
from slabwright.life.damage import LAWS, AxlePasses, Law
from slabwright.life.damage_surface import DamageSurface, fit_damage
from slabwright.life.exposure import SLAB_MODULUS, Climate, Exposure, Pavements, exact_damage, outside_grid
from slabwright.life.inputs import (
    SectionState,
    ageing_of,
    exposure_of,
    old_ratios,
    thickness_ends,
    uncertainties,
)
from slabwright.life.past import REFUTED, UNSETTLED, Calibration, Past, PastCheck, check_past, quantiles
from slabwright.life.reliability import (
    INPUTS,
    LifeModel,
    Lives,
    Sample,
    Uncertain,
    aged,
    cracking,
    lives,
    normals,
    pavements_of,
    sample_of,
    thickness_for,
    values_of,
)
from slabwright.life.surface import StressSurface
from slabwright.records.decisions import Decisions
from slabwright.records.remarks import Remark, remark
from slabwright.records.words import NOT_EXAMINED
from slabwright.statistics.sensitivity import Indices, variance_shares
from slabwright.terms import LONGEST_LIFE
from slabwright.units import INCH, format_quantity

__all__ = ["RELIABILITIES", "LawLife", "OldSlab", "SectionLife", "at_medians", "require_past", "section_life"]

RELIABILITIES = np.array([0.5, 0.75, 0.9, 0.95])
CURVE_STEP = 0.5 * INCH
DAMAGE_SUMS = 1024  # exact sums behind a damage surface
SENSITIVITY_ROWS = 1024
WIDENED = 1.25  # the samples behind a damage surface reach a little farther than those of the lives
SURE = 1e-12  # the nearest a probability comes to 0 or 1
# m. New slabs of 15 ft carry half to all of the 1993 equation's axles by this analysis, those of 20 ft a tenth to a hundredth,
# and the federal record of cracked slabs refutes the latter: ``examples/new_slabs.py``.
LONGEST_SLAB = 5.0
PROMISED, UNEXAMINED, REFUSED = "yes", "past not examined", "no"
SHOWN_YEARS = np.array([0.0, 1.0, 2.0, 3.0, 5.0, 7.0, *np.arange(10.0, LONGEST_LIFE + 1, 5.0)])  # after the overlay
FEW = 100.0  # samples in effect, below which a calibrated section says so


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

    years, curve_years: (thicknesses, reliabilities), by the scatter of the inputs and by the standard error published
    with the cracking curve. found: NaN with a remark when no thickness reaches the target or nothing is promised.
    ``overlay`` is the thickness chosen, or the nearest end of the range; of it are the lives of every sample
    (``detail``), the other laws and the sensitivities (in the order of ``reliability.INPUTS``). outside: share of samples
    that lie beyond the stress surface and are taken at its ends. cracking: (``SHOWN_YEARS``, 3) share of the sound slabs that has
    cracked, median and at both ends of the reliability. promised: one of ``PROMISED``, ``UNEXAMINED``,
    ``REFUSED``: whether the model may speak of the future.
    """

    state: SectionState
    overlays: Array
    reliabilities: Array
    years: Array
    curve_years: Array
    target: float
    reliability: float
    found: float
    remark: Remark
    overlay: float
    overlay_years: float
    overlay_curve_years: float
    detail: Lives
    laws: tuple[LawLife, ...]
    sensitivities: Indices
    model: LifeModel
    sample: Sample
    law: str
    past: PastCheck
    promised: str
    outside: float
    cracking: Array
    notes: tuple[Remark, ...]


def section_life(
    state: SectionState,
    surface: StressSurface,
    climate: Climate,
    passes: AxlePasses,
    decisions: Decisions,
    old: OldSlab,
) -> SectionLife:
    """Lives over thickness and reliability, and the thickness for the target, of one section.

    Raises MissingFact where the section is to be calibrated, or its past damage to come from observed cracking, and no
    survey was made; OutOfRange for an axle beyond the stress grid.
    """
    exposure = exposure_of(passes, climate, surface.grid, decisions)
    before = exposure_of(passes, old.climate, old.surface.grid, decisions)
    model = _model(state, surface, exposure, old, before, decisions)
    choice = decisions.life
    numbers = normals(2 ** round(choice.sample_power), round(choice.seed))
    sample = sample_of(model, numbers)
    past = _held_against_the_past(model, numbers, state, decisions)
    doubt = None if model.calibration is not None else _no_promise(state, past)
    thin, thick = thickness_ends(decisions)
    overlays = np.append(np.arange(thin, thick - CURVE_STEP / 10, CURVE_STEP), thick)
    years = np.stack([lives(model, sample, float(h)).quantiles(RELIABILITIES) for h in overlays])
    target, reliability = choice.target_years or decisions.traffic.design_period, decisions.design.reliability
    found, said = (np.nan, doubt) if doubt else _thickness(model, sample, target, reliability, (thin, thick))
    overlay = float(np.clip(state.overlay, thin, thick))
    detail = lives(model, sample, overlay)
    pavements = pavements_of(sample.values, overlay, surface.grid)
    outside = float(surface.outside(pavements.states).mean())
    return SectionLife(
        state,
        overlays,
        RELIABILITIES,
        years,
        np.stack([_curve_years(model, sample, float(h), RELIABILITIES) for h in overlays]),
        target,
        reliability,
        found,
        said,
        overlay,
        float(detail.quantiles([reliability])[0]),
        float(_curve_years(model, sample, overlay, [reliability])[0]),
        detail,
        _laws(model, sample, surface, exposure, old, before, overlay, choice.fatigue_law),
        _sensitivities(model, overlay, round(choice.seed)),
        model,
        sample,
        choice.fatigue_law,
        past,
        _standing(model, past, doubt),
        outside,
        _cracking(model, sample, overlay, reliability),
        tuple(_notes(state, model, sample, exposure, pavements, outside)),
    )


def _cracking(model: LifeModel, sample: Sample, overlay: float, reliability: float) -> Array:
    shares = cracking(model, sample, overlay, SHOWN_YEARS)
    return np.stack([quantiles(row, [0.5, 1 - reliability, reliability], sample.weight) for row in shares])


def _thickness(
    model: LifeModel, sample: Sample, target: float, reliability: float, ends: tuple[float, float]
) -> tuple[float, Remark]:
    return thickness_for(lambda h: float(lives(model, sample, h).quantiles([reliability])[0]), target, *ends)


def _no_promise(state: SectionState, past: PastCheck) -> Remark | None:
    """Why a section as published promises nothing; None where nothing speaks against it."""
    if past.surveyed is not None and past.standing in (REFUTED, UNSETTLED):
        words = "refutes" if past.refuted else "does not bear out"
        return remark(
            f"The road's own past {words} the model: it predicts {{predicted}} of slabs cracked so far, the survey found"
            " {found}; damage would have to be {factor} times as much ({low} to {high}). Nothing is promised until the section"
            " is calibrated to its past (life.calibration) or another law is chosen.",
            predicted=("share", past.predicted),
            found=("share", past.surveyed.share),
            factor=("number", past.factor),
            low=("number", past.factor_low),
            high=("number", past.factor_high),
        )
    if state.length > LONGEST_SLAB:
        return remark(
            "Slabs of {length} are longer than the {longest} up to which the analysis agrees with known roads; with longer ones"
            " it cracks them far too soon. Nothing is promised until the section is calibrated to its past (life.calibration).",
            length=("length", state.length),
            longest=("length", LONGEST_SLAB),
        )
    return None


def _standing(model: LifeModel, past: PastCheck, doubt: Remark | None) -> str:
    if doubt:
        return REFUSED
    return UNEXAMINED if past.standing == NOT_EXAMINED and model.calibration is None else PROMISED


def _held_against_the_past(model: LifeModel, numbers: Array, state: SectionState, decisions: Decisions) -> PastCheck:
    """With the multiplier at one, whatever is decided."""
    assert model.past is not None
    plain = sample_of(replace(model, calibration=None), numbers)
    assert plain.past is not None
    normal = numbers[:, list(INPUTS).index("multiplier")]
    choice, surveyed = decisions.life, state.surveyed if model.past.trucks.sum() > 0 else None
    return check_past(
        model.past, plain.past, normal, model.exponent, surveyed, choice.damage_spread, choice.past_factor
    )


def _curve_years(model: LifeModel, sample: Sample, overlay: float, reliabilities: Array | list[float]) -> Array:
    """Years (reliabilities,) with every input at its median, at which the predicted share and so many published standard errors
    reach the level."""
    middle = at_medians(model, sample)
    shares = [median_share_at(model.level, float(z)) for z in ndtri(np.asarray(reliabilities))]
    return np.array([lives(model, middle, overlay, c).years[0] if c > 0 else 0.0 for c in shares])


def at_medians(model: LifeModel, sample: Sample) -> Sample:
    """A sample of one (n = 1) with every input at its median, the multiplier at that of the sample. Raises nothing."""
    plain = sample_of(replace(model, calibration=None), np.zeros((1, len(INPUTS))))
    return replace(plain, multiplier=np.atleast_1d(_median_multiplier(sample)))


def _median_multiplier(sample: Sample) -> float:
    return float(np.quantile(sample.multiplier, 0.5, weights=sample.weight, method="inverted_cdf"))


def _model(
    state: SectionState,
    surface: StressSurface,
    exposure: Exposure,
    old: OldSlab,
    before: Exposure,
    decisions: Decisions,
) -> LifeModel:
    choice, inputs = decisions.life, uncertainties(state, decisions)
    law, seed = LAWS[choice.fatigue_law], round(choice.seed)
    trucks, ratios = old_ratios(state, decisions)
    alone = _damage(old.surface, before, law, inputs, (0.0, 0.0), seed, ratios)
    exponent, ageing = cracking_exponent(choice.cracking_curve), ageing_of(decisions)
    calibrated = choice.calibration != "as published"
    return LifeModel(
        inputs,
        surface.grid,
        _damage(surface, exposure, law, inputs, thickness_ends(decisions), seed, ageing.nodes),
        surface.error,
        TruckTraffic(state.trucks, decisions.traffic.growth),
        choice.cracking_level,
        exponent,
        ageing,
        Past(alone, old.surface.grid, old.surface.error, trucks, ratios),
        _calibration(state, choice.damage_spread, trucks) if calibrated else None,
        choice.overlay_correlation,
        _observed(state, exponent) if choice.past_damage_from == "observed cracking" else np.nan,
    )


def require_past(state: SectionState, decisions: Decisions) -> None:
    """Raise MissingFact or InputError where a section's past is to be used as the decisions say, and is not known, or was that of
    a thicker slab."""
    if decisions.design.milling_depth > 0:
        raise InputError(
            "the life of a slab that is milled is not computed: its past is that of the whole slab",
            where="design.milling_depth",
            given=format_quantity(decisions.design.milling_depth, "thickness"),
            allowed="0",
            remedy="Build on AASHTO 1993 (basis.method), or do not mill the whole surface.",
        )
    trucks, _ = old_ratios(state, decisions)
    if decisions.life.calibration != "as published":
        _calibration(state, decisions.life.damage_spread, trucks)
    if decisions.life.past_damage_from == "observed cracking":
        _observed(state, 1.0)


def _calibration(state: SectionState, spread: float, trucks: Array) -> Calibration:
    if state.surveyed is None:
        raise MissingFact(
            "the share of cracked slabs is not known, and damage was to be calibrated to it",
            where=f"section {state.name}",
            remedy="Load the distress survey, or take damage as published (life.calibration).",
        )
    if not trucks.sum() > 0:
        raise InputError(
            "no truck has passed so far, so that damage cannot be calibrated to the section's past",
            where=f"section {state.name}",
            remedy="Check the year of construction and the counts, or take damage as published (life.calibration).",
        )
    return Calibration(state.surveyed, spread)


def _observed(state: SectionState, exponent: float) -> float:
    if state.surveyed is None:
        raise MissingFact(
            "the share of cracked slabs is not known, and past damage was to come from it",
            where=f"section {state.name}",
            remedy="Load the distress survey, or take past damage from past traffic (life.past_damage_from).",
        )
    return damage_at_cracking(min(state.surveyed.share, 0.999), exponent)


def _damage(
    surface: StressSurface,
    exposure: Exposure,
    law: Law,
    inputs: dict[str, Uncertain],
    ends: tuple[float, float],
    seed: int,
    ratios: Array,
) -> DamageSurface:
    """The damage surface between two overlay thicknesses, through exact sums for a sample a little wider than the lives'.

    ``ratios`` are those of strength and modulus that age gives: to the overlay, or to the old slab where it is alone.
    """
    numbers = normals(DAMAGE_SUMS, seed + 1)
    values = values_of(inputs, WIDENED * numbers)
    names = list(INPUTS)
    spread = ndtr(numbers[:, names.index("overlay")])  # even over the thicknesses and their own scatter
    reach = 3 * inputs["overlay"].variation
    built = ends[0] * (1 - reach) + spread * (ends[1] * (1 + reach) - ends[0] * (1 - reach))
    pavements = pavements_of({**values, "overlay": np.ones(len(numbers))}, built, surface.grid)
    older = ndtr(numbers[:, names.index("multiplier")])  # even over the ages
    ratio = ratios.min() + older * np.ptp(ratios)
    grown = aged(pavements, ratio, surface.grid, *([SLAB_MODULUS] if ends[1] == 0 else []))
    return fit_damage(law, grown, exact_damage(surface, exposure, law, grown))


def _laws(
    model: LifeModel,
    sample: Sample,
    surface: StressSurface,
    exposure: Exposure,
    old: OldSlab,
    before: Exposure,
    overlay: float,
    chosen: str,
) -> tuple[LawLife, ...]:
    """Every law with every input at its median, by the exact sum; damage is compared where the chosen law cracks first."""
    middle = at_medians(model, sample)
    now = pavements_of(middle.values, overlay, surface.grid)
    found = {name: _exact_nodes(model, surface, exposure, law, now) for name, law in LAWS.items()}
    ended = {name: _median_years(model, middle, d, LAWS[name], old, before) for name, d in found.items()}
    cause = int(ended[chosen][1][0].argmax())
    point = model.causes.place(cause, found[chosen][0, 0])
    per_truck = np.maximum(found[chosen][0, 0, point], 1e-300)
    return tuple(LawLife(n, float(ended[n][0][0]), float(found[n][0, 0, point] / per_truck)) for n in LAWS)


def _exact_nodes(model: LifeModel, surface: StressSurface, exposure: Exposure, law: Law, now: Pavements) -> Array:
    """Exact damage of a truck (nodes of age, n, points)."""
    return np.stack([
        exact_damage(surface, exposure, law, aged(now, float(r), surface.grid)) for r in model.ageing.nodes
    ])


def _median_years(
    model: LifeModel, middle: Sample, at_nodes: Array, law: Law, old: OldSlab, before: Exposure
) -> tuple[Array, Array]:
    """Years (1,) and each cause's part (1, causes) by a law; a multiplier that was fitted with one law serves all."""
    assert model.past is not None
    alone = pavements_of({**middle.values, "overlay": np.zeros(1)}, 0.0, old.surface.grid)
    each = zip(model.past.trucks, model.past.ratio, strict=True)
    so_far = sum(
        trucks * exact_damage(old.surface, before, law, aged(alone, float(r), old.surface.grid, SLAB_MODULUS))
        for trucks, r in each
    )
    by_cause = model.ageing.spread(model.causes.worst(at_nodes))
    factor = middle.multiplier[0]
    return years_to_level(
        model.level,
        model.exponent,
        model.carried(factor * np.asarray(so_far), 1),
        factor * by_cause,
        model.trucks,
        middle.values["traffic"],
        model.ageing,
    )


def _sensitivities(model: LifeModel, overlay: float, seed: int) -> Indices:
    """Shares of the variance of the logarithm of life, each multiplier of a calibration kept and no sample weighted."""

    def log_life(rows: Array) -> Array:
        numbers = ndtri(np.clip(rows, SURE, 1 - SURE))
        sample = sample_of(model, numbers, weighted=False)
        return np.log10(np.clip(lives(model, sample, overlay).years, 1e-3, LONGEST))

    return variance_shares(log_life, list(INPUTS), SENSITIVITY_ROWS, seed)


def _notes(
    state: SectionState,
    model: LifeModel,
    sample: Sample,
    exposure: Exposure,
    pavements: Pavements,
    outside: float,
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
    effective = 1 / float((sample.weight**2).sum())
    if effective < FEW:
        notes.append(
            remark(
                "only {effective} samples in effect agree with the section's past: its lives are rough.",
                state.name,
                effective=("count", effective),
            )
        )
    return notes
