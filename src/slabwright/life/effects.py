"""What else acts on a life: one thing changed at a time, every input at its median, by exact sums and plates of their own."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace

import numpy as np

from slabwright.calculation import Array
from slabwright.life.cracking import NO_AGEING, years_to_level
from slabwright.life.damage import LAWS, AxlePasses, Wander
from slabwright.life.exposure import FOUNDATION, Climate, Exposure, Pavements, exact_damage
from slabwright.life.inputs import exposure_of
from slabwright.life.reliability import LifeModel, Sample, aged, pavements_of
from slabwright.life.section_life import SectionLife, at_medians
from slabwright.plate.plate_stresses import PlateStresses
from slabwright.plate.stresses import PavementState, StressGrid, StressModel
from slabwright.records.decisions import Decisions
from slabwright.records.remarks import Remark, remark

__all__ = ["SHOULDER", "TIE", "WIDENING", "DirectStresses", "Effect", "section_effects"]

LENGTHS = (4.6, 6.1)  # m: 15 and 20 ft
LOST = 0.1  # of the stiffness of the joints: about half the load transfer of a good joint is gone
SHOULDER, TIE = 3.0, 3.0  # m, and stiffness of its joint over k l: a load transfer of about 70 %
WIDENING = 0.6  # m: 2 ft, the usual widening (common practice, no source)


@dataclass(frozen=True)
class DirectStresses:
    """A stress model asked for each pavement, where a response surface would not pay; used like one."""

    model: StressModel
    grid: StressGrid
    _known: dict[bytes, Array] = field(default_factory=dict, compare=False, repr=False)

    def stresses(self, states: Array) -> Array:
        """Stresses (n, *grid.shape) [Pa] of pavements (n, 6); each is computed once."""
        return np.stack([self._of(row) for row in states])

    def _of(self, row: Array) -> Array:
        key = row.tobytes()
        if key not in self._known:
            self._known[key] = self.model(PavementState(*map(float, row)), self.grid)
        return self._known[key]


@dataclass(frozen=True)
class Effect:
    """One thing changed: years to the cracking level, NaN for what the model does not hold; over those as computed."""

    change: Remark
    years: float
    ratio: float
    place: str


@dataclass(frozen=True)
class _Case:
    """What one life with medians is computed from."""

    stresses: DirectStresses
    exposure: Exposure
    pavements: Pavements
    model: LifeModel
    sample: Sample
    decisions: Decisions

    def years(self) -> tuple[float, str]:
        """Years, and the place where cracking governs."""
        law, grid = LAWS[self.decisions.life.fatigue_law], self.model.grid
        nodes = [aged(self.pavements, float(r), grid) for r in self.model.ageing.nodes]
        exact = np.stack([exact_damage(self.stresses, self.exposure, law, p) for p in nodes])
        causes, factor = self.model.causes, self.sample.multiplier[0]
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


def section_effects(
    life: SectionLife, plate: PlateStresses, climate: Climate, passes: AxlePasses, decisions: Decisions
) -> tuple[Effect, ...]:
    """The life of the overlay chosen with every input at its median, and with one thing after the other changed.

    Raises NotConverged where a plate does not settle.
    """
    sample, grid = at_medians(life.model, life.sample), life.model.grid
    base = _Case(
        DirectStresses(plate, grid),
        exposure_of(passes, climate, grid, decisions),
        pavements_of(sample.values, life.overlay, grid),
        life.model,
        sample,
        decisions,
    )
    years, place = base.years()
    found = [Effect(remark("as computed"), years, 1.0, place)]
    for change, changed in _changes(plate, decisions):
        lived, where = changed(base).years()
        found.append(Effect(change, lived, lived / years if years > 0 else np.nan, where))
    missing = remark("friction and bond between slab and base: not in the model, which lets the slab slide freely")
    return (*found, Effect(missing, np.nan, np.nan, ""))


Change = Callable[[_Case], _Case]


def _changes(plate: PlateStresses, decisions: Decisions) -> list[tuple[Remark, Change]]:
    """What is changed, in words, and how."""
    curl = decisions.life.built_in_difference
    made: list[tuple[Remark, Change]] = [
        (remark("slabs of {length}", length=("length", length)), _on(replace(plate, length=length)))
        for length in LENGTHS
        if abs(length - plate.length) > 0.05
    ]
    made += [
        (remark("joints that have lost nine tenths of their stiffness"), _on(replace(plate, joint=plate.joint * LOST))),
        *_edges(plate),
        (remark("no permanent curl"), _exposed(built_in=0.0)),
        (remark("permanent curl of {curl}", curl=("temperature_change", 2 * curl)), _exposed(built_in=2 * curl)),
        (remark("temperatures straight through the depth"), _straight),
        (remark("half the dynamic k"), _supported(0.5)),
        (remark("twice the dynamic k"), _supported(2.0)),
    ]
    if decisions.life.strength_growth != "none":
        made.append((remark("no growth of the overlay's strength and modulus"), _young))
    return made


def _edges(plate: PlateStresses) -> list[tuple[Remark, Change]]:
    """The edges that the slab has not; a free one where it is held or widened."""
    if plate.shoulder > 0 or plate.widening > 0:
        return [(remark("a free edge"), _on(replace(plate, shoulder=0.0, tie=0.0, widening=0.0)))]
    return [
        (remark("a tied concrete shoulder"), _on(replace(plate, shoulder=SHOULDER, tie=TIE))),
        (remark("a lane widened by {width}", width=("length", WIDENING)), _widened),
    ]


def _on(plate: PlateStresses) -> Change:
    return lambda case: replace(case, stresses=DirectStresses(plate, case.stresses.grid))


def _exposed(built_in: float) -> Change:
    return lambda case: replace(case, exposure=replace(case.exposure, built_in=built_in))


def _widened(case: _Case) -> _Case:
    places = case.exposure.places
    offset = np.minimum(places.offset + WIDENING, case.model.grid.offsets[-1])
    return replace(case, exposure=replace(case.exposure, places=Wander(offset, places.share)))


def _straight(case: _Case) -> _Case:
    seasons = tuple(
        replace(s, classes=tuple(replace(c, residual=0 * c.residual) for c in s.classes)) for s in case.exposure.seasons
    )
    return replace(case, exposure=replace(case.exposure, seasons=seasons))


def _supported(factor: float) -> Change:
    def changed(case: _Case) -> _Case:
        states = case.pavements.states.copy()
        states[:, FOUNDATION] *= factor
        return replace(case, pavements=replace(case.pavements, states=states))

    return changed


def _young(case: _Case) -> _Case:
    return replace(case, model=replace(case.model, ageing=NO_AGEING))
