"""The long stage ``life``: response surfaces of the plate model, and the life of every section at a reliability."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import astuple, dataclass, replace
from functools import partial

import numpy as np
import numpy.typing as npt
import pandas as pd

from slabwright.calculation import Array
from slabwright.climate.temperature import HourlyWeather, hourly_weather, yearly_classes
from slabwright.design.section_model import ModelledSection, modelled_sections
from slabwright.evaluation.loading import opening_year
from slabwright.evaluation.walked import NOT_WALKED
from slabwright.life.damage import AxlePasses, with_tractors
from slabwright.life.effects import (
    SHOULDER,
    TIE,
    WIDENING,
    Effect,
    middle_state,
    section_effects,
    variant_stresses,
    variants,
)
from slabwright.life.exposure import Climate
from slabwright.life.inputs import (
    SectionState,
    old_grid,
    old_ranges,
    surface_ranges,
    thickness_ends,
    truck_passes,
)
from slabwright.life.order import order_notes
from slabwright.life.past import Surveyed
from slabwright.life.section_life import OldSlab, SectionLife, section_life
from slabwright.life.surface import Ranges, StressSurface, build, from_table, plates_table, to_table
from slabwright.life.tables import life_tables
from slabwright.plate.plate_stresses import PlateStresses
from slabwright.plate.stresses import PavementState, StressGrid, usual_grid
from slabwright.records.decisions import Decisions
from slabwright.records.facts import Facts
from slabwright.records.remarks import Remark, remark, together
from slabwright.records.results import StageResult
from slabwright.records.stage import Given, RunContext
from slabwright.roadway.joints import joints_of_road, slab_numbers
from slabwright.roadway.places import design_lane, directions_of_lanes, section_index, section_layers
from slabwright.roadway.structures import decks, on_deck
from slabwright.survey.cores import strength_tested

__all__ = ["run", "section_states"]

SURFACE = "stress_surface"
SURFACE_VERSION = 2
SURFACES_SHARE = 0.8  # of the work, roughly: what the progress shown is made of
DAYS = 365
THICKNESS_STEP = 0.01  # m, to which the old slab is rounded for its temperatures
MODULUS_STEP = 5e9  # Pa, the same for its modulus, which only weighs the temperatures
CLIMATE_POINTS = 3  # overlay thicknesses for which the heat is computed; shares are blended between them


@dataclass(frozen=True)
class Group:
    """Sections whose slabs and joints agree, served by one surface for the composite and one for the old slab."""

    model: PlateStresses
    members: tuple[SectionState, ...]


def run(given: Given) -> StageResult:
    """Life [years] and thickness [m] of every jointed plain section with an overlay.

    Tables in SI units by the schemas of ``records.outcomes.life``. Raises MissingFact without weather, counts of trucks or
    slab sizes, InputError for decisions, or a table of weather or axles, that cannot be used,
    OutOfRange for an axle heavier than the stresses cover, NotConverged where a plate or the heat does not settle.
    """
    facts, decisions, context = given.facts, given.decisions, given.context
    passes = truck_passes(facts, decisions)
    years = _Years(hourly_weather(facts), decisions.design.overlay_modulus)
    sections, jointed, states = section_states(given)
    groups = _groups(jointed, states)
    found: list[tuple[SectionLife, tuple[Effect, ...]]] = []
    overlays = np.linspace(*thickness_ends(decisions), CLIMATE_POINTS)
    for number, group in enumerate(groups):
        progress = _Progress(context, number, len(groups))
        surface, old = _surfaces(group, decisions, context, progress)
        climates = [years.of(state, overlays) for state in group.members]
        alone = [OldSlab(old, years.of(state, np.zeros(1))) for state in group.members]
        trucks = with_tractors(passes, group.model.tractors)
        each = partial(_one, surface, trucks, decisions)
        lives = (context.executor.map if context.executor else map)(each, group.members, climates, alone)
        for done, life in enumerate(lives, start=1):
            known = _plates(group.model, life, surface.grid, context)
            climate = climates[done - 1]
            effects = section_effects(life, surface, known, group.model, climate, trucks, decisions)
            found.append((life, effects))
            progress.lives(done / len(group.members))
    notes = [_left_out(s) for s in sections if s.pavement != "JPCP"]
    order = [s.name for s in jointed]
    found.sort(key=lambda one: order.index(one[0].state.name))
    others = {s.name: s.pavement or "not given" for s in sections if s.pavement != "JPCP"}
    tables = life_tables([life for life, _ in found], [effects for _, effects in found], others)
    notes += [note for life, _ in found for note in life.notes]
    return StageResult("life", tables, together([*notes, *order_notes([life for life, _ in found])]))


def _plates(model: PlateStresses, life: SectionLife, grid: StressGrid, context: RunContext) -> Array:
    """Stresses of the plates with one thing changed (variants, *grid.shape) [Pa], or those that equal inputs gave before."""
    changed, state = variants(model), middle_state(life)

    def make() -> pd.DataFrame:
        ask = partial(variant_stresses, state=state, grid=grid)
        solved = (context.executor.map if context.executor else map)(ask, changed)
        return plates_table(np.stack([np.asarray(s, dtype=np.float64).ravel() for s in solved]))

    key = (SURFACE_VERSION, "effects", model, state, grid)
    frame = context.remember(SURFACE, key, make)
    return frame["value"].to_numpy(dtype=np.float64).reshape(len(changed), *grid.shape)


def _one(
    surface: StressSurface,
    passes: AxlePasses,
    decisions: Decisions,
    state: SectionState,
    climate: Climate,
    old: OldSlab,
) -> SectionLife:
    return section_life(state, surface, climate, passes, decisions, old)


def _left_out(section: ModelledSection) -> Remark:
    return remark(
        "no fatigue life, because the published curve of cracked slabs holds for jointed plain concrete and this is"
        " {pavement}: its life is that of AASHTO 1993 alone.",
        section.name,
        pavement=("text", section.pavement),
    )


def section_states(given: Given) -> tuple[tuple[ModelledSection, ...], list[ModelledSection], list[SectionState]]:
    """Every section with an overlay, those of jointed plain concrete, and the state of each of these (same length).

    Raises MissingFact where a slab's size is not known.
    """
    facts, decisions = given.facts, given.decisions
    evaluation, design = given.results["evaluation"], given.results["design"]
    sections = modelled_sections(facts, evaluation.tables["condition"], design.tables["thicknesses"], decisions)
    jointed = [s for s in _edged(sections, facts) if s.pavement == "JPCP"]
    reflected = given.tables("repair")["reflected_cracks"]
    return sections, jointed, _section_states(jointed, facts, evaluation, design, reflected, decisions)


def _section_states(
    sections: list[ModelledSection],
    facts: Facts,
    evaluation: StageResult,
    design: StageResult,
    reflected: pd.DataFrame,
    decisions: Decisions,
) -> list[SectionState]:
    """What each section brings to its life; trucks are those of the design lane, k the dynamic one."""
    traffic = evaluation.tables["traffic"]
    years, base = traffic["year"].astype(float).to_numpy(), decisions.traffic.base_year
    trucks = traffic["trucks"].to_numpy(dtype=float) * DAYS
    first, before = opening_year(traffic, "trucks", decisions.traffic) * DAYS, years < base
    needed = dict(zip(design.tables["thicknesses"]["section"], design.tables["thicknesses"]["bonded"], strict=True))
    built, cores = _years_built(sections, facts), _cores(sections, facts)
    cracked = reflected.drop_duplicates("section").set_index("section")["share"]  # the worst lane is the first
    return [
        SectionState(
            s.name,
            s.state.slab,
            s.state.slab_modulus,
            float(s.condition["rupture"]),
            s.state.foundation,
            float(needed[s.name]),
            s.state.overlay,
            first,
            tuple(
                (float(year - opened + 0.5), float(number))
                for year, number in zip(years[before], trucks[before], strict=True)
                if year >= opened
            ),
            float(base - opened),
            _surveyed(s, facts, evaluation.tables["lanes_walked"]),
            int(s.condition["tests"]),
            bored,
            s.model.length,
            float(cracked.get(s.name, np.nan)),
        )
        for s, opened, bored in zip(sections, built, cores, strict=True)
    ]


def _layers(sections: list[ModelledSection], facts: Facts) -> npt.NDArray[np.int64]:
    """Row of the layers table under the middle of each section in its design lane (n,)."""
    rows = pd.DataFrame([s.condition for s in sections])
    return section_layers(facts, rows) if sections else np.array([], dtype=np.int64)


def _edged(sections: Sequence[ModelledSection], facts: Facts) -> list[ModelledSection]:
    """The sections with the edge that their shoulder makes: tied, widened or free."""
    edges = {"tied concrete": {"shoulder": SHOULDER, "tie": TIE}, "widened lane": {"widening": WIDENING}}
    kinds = facts.layers["shoulder"].to_numpy()[_layers(list(sections), facts)]
    return [replace(s, model=replace(s.model, **edges.get(k, {}))) for s, k in zip(sections, kinds, strict=True)]


def _years_built(sections: list[ModelledSection], facts: Facts) -> Array:
    """Year in which the slab of each section was built; where that is not given, the first of the road."""
    found = facts.layers["year_built"].to_numpy(dtype=float)[_layers(sections, facts)]
    return np.where(np.isfinite(found), found, np.nanmin(facts.layers["year_built"].to_numpy(dtype=float)))


def _cores(sections: list[ModelledSection], facts: Facts) -> list[int]:
    """Sound cores tested for strength in each section: the tests behind its mean."""
    if not sections:
        return []
    rows, tested = pd.DataFrame([s.condition for s in sections]), facts.cores[strength_tested(facts.cores)]
    place = section_index(rows, directions_of_lanes(facts), tested["station"].to_numpy(), tested["lane"])
    return np.bincount(place[place >= 0], minlength=len(sections)).tolist()


def _surveyed(section: ModelledSection, facts: Facts, walks: pd.DataFrame) -> Surveyed | None:
    """Slabs of the design lane on the ground, and how many have a transverse crack of any severity, as the curve counts them.

    The design lane is the outermost of the direction, which the counted trucks use. None where nobody walked it; where it
    was walked partly (``walks``, the table ``lanes_walked``), the slabs are those of the length walked.
    """
    begin, end = float(section.condition["begin"]), float(section.condition["end"])
    lanes = facts.lanes[facts.lanes["direction"] == section.condition["direction"]]
    if lanes.empty:
        return None
    outer, spans = design_lane(facts, section.condition["direction"]), decks(facts)
    here = facts.distresses[(facts.distresses["lane"] == outer) & facts.distresses["station"].between(begin, end)]
    here = here[~on_deck(here["station"], spans)]
    walk = walks[(walks["section"] == section.name) & (walks["lane"] == outer) & (walks["standing"] != NOT_WALKED)]
    if walk.empty or not walk["counted"].iloc[0] > 0:
        return None
    cracks = here.loc[here["kind"] == "transverse crack", "station"].to_numpy(dtype=float)
    joints = joints_of_road(facts, pd.DataFrame([section.condition])).query("lane == @outer")
    slabs = max(round(float(walk["counted"].iloc[0]) / float(joints["spacing"].iloc[0])), 1)
    cracked = len(np.unique(slab_numbers(joints["station"].to_numpy(dtype=float), cracks)))
    return Surveyed(slabs, min(cracked, slabs))


def _groups(sections: list[ModelledSection], states: list[SectionState]) -> list[Group]:
    members: dict[PlateStresses, list[SectionState]] = {}
    for section, state in zip(sections, states, strict=True):
        members.setdefault(section.model, []).append(state)
    return [Group(model, tuple(found)) for model, found in members.items()]


@dataclass
class _Progress:
    """Share of the whole stage: groups in turn, each first its two surfaces and then its lives."""

    context: RunContext
    group: int
    groups: int
    begun: float = 0.0
    length: float = SURFACES_SHARE

    def part(self, begun: float, length: float) -> None:
        self.begun, self.length = begun, length

    def __call__(self, share: float) -> None:
        self.context.tell("life", (self.group + self.begun + self.length * share) / self.groups)

    def lives(self, share: float) -> None:
        self.part(SURFACES_SHARE, 1 - SURFACES_SHARE)
        self(share)


def _surfaces(
    group: Group, decisions: Decisions, context: RunContext, progress: _Progress
) -> tuple[StressSurface, StressSurface]:
    """The surface of the composite, and of the old slab alone."""
    samples, grid = 2 ** round(decisions.life.surface_power), usual_grid()
    progress.part(0.0, SURFACES_SHARE * 0.8)
    ranges = _around([surface_ranges(state, decisions) for state in group.members])
    surface = _surface(group.model, ranges, grid, samples, decisions, context, progress)
    progress.part(SURFACES_SHARE * 0.8, SURFACES_SHARE * 0.2)
    ranges = _around([old_ranges(state, decisions) for state in group.members])
    return surface, _surface(group.model, ranges, old_grid(grid), max(samples // 4, 16), decisions, context, progress)


def _surface(
    model: PlateStresses,
    ranges: Ranges,
    grid: StressGrid,
    samples: int,
    decisions: Decisions,
    context: RunContext,
    progress: _Progress,
) -> StressSurface:
    """Built, or the one that equal inputs built before."""
    seed = round(decisions.life.seed)

    def make() -> pd.DataFrame:
        return to_table(build(model, ranges, grid, samples, seed, context.executor, progress))

    return from_table(context.remember(SURFACE, (SURFACE_VERSION, model, *ranges, grid, samples, seed), make))


def _around(ranges: list[Ranges]) -> Ranges:
    """The ranges that hold all of them."""
    low, high = (np.array([astuple(r[i]) for r in ranges]) for i in (0, 1))
    return PavementState(*map(float, low.min(axis=0))), PavementState(*map(float, high.max(axis=0)))


class _Years:
    """The year's temperatures of slabs, worked out once for sections whose slabs are alike."""

    def __init__(self, weather: HourlyWeather, overlay_modulus: float) -> None:
        self._weather, self._modulus = weather, overlay_modulus
        self._known: dict[tuple[float, ...], Climate] = {}

    def of(self, state: SectionState, overlays: Array) -> Climate:
        """Classes at some overlay thicknesses on this slab; thickness and modulus, which weighs them, rounded."""
        slab, modulus = (
            float(np.round(value / step) * step)
            for value, step in ((state.slab, THICKNESS_STEP), (state.slab_modulus, MODULUS_STEP))
        )
        key = (slab, modulus, *overlays.tolist())
        if key not in self._known:
            self._known[key] = Climate(overlays, yearly_classes(self._weather, overlays, slab, self._modulus, modulus))
        return self._known[key]
