"""What else acts on a life: one thing changed at a time, every input at its median, by exact sums and plates of their own."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from scipy.constants import g

from slabwright.calculation import Array
from slabwright.life.cracking import NO_AGEING, years_to_level
from slabwright.life.damage import LAWS, AxlePasses, Law, Wander
from slabwright.life.exposure import Climate, Exposure, Pavements, Stresses, exact_damage
from slabwright.life.inputs import exposure_of
from slabwright.life.reliability import LifeModel, Sample, aged, pavements_of
from slabwright.life.section_life import SectionLife, at_medians
from slabwright.plate.plate_stresses import PlateStresses
from slabwright.plate.stresses import PavementState, StressGrid
from slabwright.records.decisions import Decisions
from slabwright.records.remarks import Remark, remark

__all__ = [
    "SHOULDER",
    "TIE",
    "WIDENING",
    "Effect",
    "KnownStresses",
    "Variant",
    "base_drag",
    "middle_state",
    "section_effects",
    "variant_stresses",
    "variants",
]

LENGTHS = (4.6, 6.1)  # m: 15 and 20 ft
LOST = 0.1  # of the stiffness of the joints: about half the load transfer of a good joint is gone
SHOULDER, TIE = 3.0, 3.0  # m, and stiffness of its joint over k l: a load transfer of about 70 %
LEAST = 1e-30  # of damage by a truck
WIDENING = 0.6  # m: 2 ft, the usual widening (common practice, no source)


@dataclass(frozen=True)
class Variant:
    """A plate to be solved anew: what is changed, the plate, and the factor on k."""

    change: Remark
    plate: PlateStresses
    support: float = 1.0


@dataclass(frozen=True)
class KnownStresses:
    """Stresses (1, *grid.shape) [Pa] of one pavement, used like a response surface."""

    grid: StressGrid
    known: Array

    def stresses(self, states: Array) -> Array:
        return np.broadcast_to(self.known, (len(states), *self.grid.shape))


@dataclass(frozen=True)
class Effect:
    """One thing changed: years to the cracking level, NaN for what the model does not hold; over those as computed."""

    change: Remark
    years: float
    ratio: float
    place: str


@dataclass(frozen=True)
class _Case:
    """What one life with every input at its median is computed from; ``scale`` (points,) multiplies damage."""

    stresses: Stresses
    exposure: Exposure
    pavements: Pavements
    model: LifeModel
    sample: Sample
    law: Law
    scale: Array

    def years(self) -> tuple[float, str]:
        """Years, and the place where cracking governs."""
        grid, causes, factor = self.model.grid, self.model.causes, self.sample.multiplier[0]
        nodes = [aged(self.pavements, float(r), grid) for r in self.model.ageing.nodes]
        exact = np.stack([exact_damage(self.stresses, self.exposure, self.law, p) for p in nodes]) * self.scale
        past = None if self.sample.past is None else factor * self.sample.past
        years, part = years_to_level(
            self.model.level,
            self.model.exponent,
            self.model.carried(past, 1),
            factor * self.model.ageing.spread(causes.worst(exact)),
            self.model.trucks,
            self.sample.values["traffic"],
            self.model.ageing,
        )
        return float(years[0]), grid.points[causes.place(int(part[0].argmax()), exact[0, 0])].name


def variants(plate: PlateStresses) -> list[Variant]:
    """The plates that are solved for a section, the one as it is first."""
    lengths = [
        Variant(remark("slabs of {length}", length=("length", length)), replace(plate, length=length))
        for length in LENGTHS
        if abs(length - plate.length) > 0.05
    ]
    weak = replace(plate, joint=plate.joint * LOST)
    if plate.shoulder > 0 or plate.widening > 0:
        edge = Variant(remark("a free edge"), replace(plate, shoulder=0.0, tie=0.0, widening=0.0))
    else:
        edge = Variant(remark("a tied concrete shoulder"), replace(plate, shoulder=SHOULDER, tie=TIE))
    return [
        Variant(remark("as computed"), plate),
        *lengths,
        Variant(remark("joints that have lost nine tenths of their stiffness"), weak),
        edge,
        Variant(remark("half the dynamic k"), plate, 0.5),
        Variant(remark("twice the dynamic k"), plate, 2.0),
    ]


def middle_state(life: SectionLife) -> PavementState:
    """The pavement with the overlay chosen, every input at its median and the overlay at its middle age."""
    return PavementState(*map(float, _middle(life).states[0]))


def _middle(life: SectionLife) -> Pavements:
    sample = at_medians(life.model, life.sample)
    nodes = life.model.ageing.nodes
    return aged(
        pavements_of(sample.values, life.overlay, life.model.grid), float(nodes[len(nodes) // 2]), life.model.grid
    )


def variant_stresses(variant: Variant, state: PavementState, grid: StressGrid) -> Array:
    """Stresses ``grid.shape`` [Pa] of one variant of a pavement. Raises NotConverged where a plate does not settle."""
    return variant.plate(replace(state, foundation=state.foundation * variant.support), grid)


def section_effects(
    life: SectionLife,
    surface: Stresses,
    known: Array,
    plate: PlateStresses,
    climate: Climate,
    passes: AxlePasses,
    decisions: Decisions,
) -> tuple[Effect, ...]:
    """The life of the overlay chosen with every input at its median, and with one thing after the other changed.

    known: (variants, *grid.shape) [Pa] of ``variants`` at ``middle_state``; their damage over that of the first scales the
    damage of the surface. Raises OutOfRange for an axle beyond the stress grid.
    """
    sample, grid = at_medians(life.model, life.sample), life.model.grid
    exposure, law = exposure_of(passes, climate, grid, decisions), LAWS[decisions.life.fatigue_law]
    pavements = pavements_of(sample.values, life.overlay, grid)
    base = _Case(surface, exposure, pavements, life.model, sample, law, np.ones(len(grid.points)))
    middle = _middle(life)
    damage = [exact_damage(KnownStresses(grid, one[None]), exposure, law, middle)[0] for one in known]
    years, place = base.years()
    found = [Effect(remark("as computed"), years, 1.0, place)]
    scaled: list[tuple[Remark, Change]] = [
        (variant.change, _scaled(np.maximum(one, LEAST) / np.maximum(damage[0], LEAST)))
        for variant, one in zip(variants(plate)[1:], damage[1:], strict=True)
    ]
    for change, changed in (*scaled, *_changes(plate, decisions)):
        lived, where = changed(base).years()
        found.append(Effect(change, lived, lived / years if years > 0 else np.nan, where))
    dragged = exact_damage(KnownStresses(grid, known[:1] + base_drag(plate, grid, decisions)), exposure, law, middle)[0]
    scale = _scaled(np.maximum(dragged, LEAST) / np.maximum(damage[0], LEAST))
    lived, where = scale(base).years()
    friction = remark(
        "the slab shrinks on a base with friction {friction}, at all hours",
        friction=("number", decisions.design.friction),
    )
    found.append(Effect(friction, lived, lived / years if years > 0 else np.nan, where))
    missing = remark(
        "bond between slab and base: not in the model beyond what the moduli from deflection tests hold of it"
    )
    return (*found, Effect(missing, np.nan, np.nan, ""))


def base_drag(plate: PlateStresses, grid: StressGrid, decisions: Decisions) -> Array:
    """Tension (points,) [Pa] in a slab that shortens on its base: friction times the weight from the nearer joint.

    Subgrade drag as in the design of steel (Huang 2004, from memory): even over the depth, and the most that friction can ask.
    Raises nothing.
    """
    reach = np.array([min(point.along, 1.0 - point.along) for point in grid.points]) * plate.length
    return np.asarray(decisions.design.friction * decisions.design.overlay_density * g * reach)


Change = Callable[[_Case], _Case]


SHRINKAGE = 50e-6  # of the overlay beyond the old slab's, left by creep: a part of what the bond stage finds


def _changes(plate: PlateStresses, decisions: Decisions) -> list[tuple[Remark, Change]]:
    """What is changed without a plate of its own, in words, and how."""
    curl = decisions.life.built_in_difference
    made: list[tuple[Remark, Change]] = [
        (remark("no permanent curl"), _exposed(built_in=0.0)),
        (remark("permanent curl of {curl}", curl=("temperature_change", 2 * curl)), _exposed(built_in=2 * curl)),
        (remark("temperatures straight through the depth"), _straight),
    ]
    if decisions.life.overlay_shrinkage < SHRINKAGE:
        words = "the overlay shrinks by {millionths} millionths more than the old slab, left by creep"
        made.append((remark(words, millionths=("count", 1e6 * SHRINKAGE)), _shrunk))
    if plate.shoulder == 0 and plate.widening == 0:
        made.append((remark("a lane widened by {width}", width=("length", WIDENING)), _widened))
    if decisions.life.strength_growth != "none":
        made.append((remark("no growth of the overlay's strength and modulus"), _young))
    return made


def _scaled(scale: Array) -> Change:
    return lambda case: replace(case, scale=scale)


def _exposed(built_in: float) -> Change:
    return lambda case: replace(case, exposure=replace(case.exposure, built_in=built_in))


def _shrunk(case: _Case) -> _Case:
    return replace(case, exposure=replace(case.exposure, shrinkage=SHRINKAGE))


def _widened(case: _Case) -> _Case:
    places = case.exposure.places
    offset = np.minimum(places.offset + WIDENING, case.model.grid.offsets[-1])
    return replace(case, exposure=replace(case.exposure, places=Wander(offset, places.share)))


def _straight(case: _Case) -> _Case:
    seasons = tuple(
        replace(s, classes=tuple(replace(c, residual=0 * c.residual) for c in s.classes)) for s in case.exposure.seasons
    )
    return replace(case, exposure=replace(case.exposure, seasons=seasons))


def _young(case: _Case) -> _Case:
    return replace(case, model=replace(case.model, ageing=NO_AGEING))
