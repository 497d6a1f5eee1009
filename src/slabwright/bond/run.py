"""The long stage ``bond``: demand on the bond of every section, and what deflection tests should find."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import partial

import numpy as np
import pandas as pd

from slabwright.bond.answers import Asked, made_tables
from slabwright.bond.demand import Aged, BondDemand, BondQuestion, bond_demand
from slabwright.bond.history import AGES, History, Slab, concrete_of, history, rival
from slabwright.bond.notes import notes
from slabwright.bond.patches import Patch, patches
from slabwright.bond.strength import Bond, rival_criterion
from slabwright.calculation import Array
from slabwright.climate.heat_year import heat_year
from slabwright.climate.temperature import hourly_weather, linear_part
from slabwright.design.section_model import ModelledSection, modelled_sections
from slabwright.plate.grid import grid
from slabwright.plate.loads import circles
from slabwright.plate.pavement import Interface, LayeredPavement
from slabwright.plate.plate import layered_plate
from slabwright.plate.plate_stresses import PlateStresses, element_size, pavement_of
from slabwright.plate.response import deflection
from slabwright.plate.stresses import PavementState
from slabwright.records.decisions import Decisions
from slabwright.records.decisions.bond import BondDecisions
from slabwright.records.facts import Facts
from slabwright.records.results import StageResult
from slabwright.records.stage import Given
from slabwright.terms import PLATE_RADIUS

__all__ = ["expected_deflections", "mean_humidity", "run"]

PREPARED = 0.3  # share of the work, roughly, that the temperatures of a year take
PART_DELAMINATED = 0.1  # share of the slab without bond in the column ``part_delaminated``
EXTREME = 0.005  # share of the year's hours beyond the day and the night that are designed for
DRIEST, WETTEST = 0.40, 1.0  # relative humidity that the models of shrinkage take
SECOND = 1.0  # s: an age is that of opening to traffic within a second


def run(given: Given) -> StageResult:
    """Demand [Pa] and expected deflections [m] of every section with an overlay, one after the other or side by side.

    Tables in SI units by the schemas of ``records.outcomes.bond``. Raises MissingFact where slab sizes are not known,
    InputError where the plate model cannot take a section, OutOfRange where a model of the concrete cannot take a
    decision, NotConverged where contact does not settle.
    """
    facts, decisions, context = given.facts, given.decisions, given.context
    sections = modelled_sections(
        facts, given.tables("evaluation")["condition"], given.tables("design")["thicknesses"], decisions
    )
    asked = []
    for number, section in enumerate(sections):
        context.tell("bond", PREPARED * number / len(sections))
        asked.append(_asked(section, facts, decisions))
    each = partial(_one, load=decisions.survey.standard_load)
    found: Iterator[tuple[BondDemand, tuple[Patch, ...], pd.DataFrame]] = (
        context.executor.map if context.executor else map
    )(each, [s.model for s in sections], [s.state for s in sections], [a.question for a in asked])
    made = []
    for done, answer in enumerate(found, start=1):
        made.append(answer)
        context.tell("bond", PREPARED + (1 - PREPARED) * done / len(sections))
    tables = made_tables(sections, asked, made, decisions)
    return StageResult("bond", tables, tuple(notes(tables, decisions)))


def _one(
    model: PlateStresses, state: PavementState, question: BondQuestion, load: float
) -> tuple[BondDemand, tuple[Patch, ...], pd.DataFrame]:
    demand = bond_demand(model, state, question)
    return demand, patches(model, state, question, demand), expected_deflections(model, state, load)


def _asked(section: ModelledSection, facts: Facts, decisions: Decisions) -> Asked:
    """What is asked of one section: the life of its concrete by both models, its temperatures, and the bond's strength."""
    bond, design, state = decisions.bond, decisions.design, section.state
    day, night = _differences(section, facts, decisions)
    humidity, weathered = mean_humidity(facts, decisions)
    concrete = concrete_of(state.overlay, humidity, bond, design)
    chosen, other = (
        history(name, concrete, Slab(state.slab, state.slab_modulus, bond.slab_creep), bond, design)
        for name in (bond.model, rival(bond.model))
    )
    aged = _aged(chosen, bond.criterion, bond)
    rivals = {
        "criterion": _aged(chosen, rival_criterion(bond.criterion), bond),
        "model": _aged(other, bond.criterion, bond),
        "support": replace(aged, strain=aged.held_flat),
    }
    question = BondQuestion(
        bond.axle_load,
        day,
        night,
        bond.opening_age - SECOND <= AGES,
        aged,
        bond.least_factor,
        bond.averaging_length,
        rivals,
    )
    return Asked(question, chosen, other, humidity, weathered, bool(len(facts.weather)))


def _aged(found: History, criterion: str, choice: BondDecisions) -> Aged:
    """Strain and strength at every age. Swelling earns nothing; the season's unlike expansion is not relieved by creep."""
    season = choice.expansion_difference * choice.yearly_change
    strain, held = (np.maximum(each, 0.0) + season for each in (found.strain, found.held))
    return Aged(strain, Bond(criterion, choice.interface_friction, found.tension, found.shear), held)


def mean_humidity(facts: Facts, decisions: Decisions) -> tuple[float, bool]:
    """Mean relative humidity [1] of the loaded year, or the one decided, and whether it is the weather's. Raises nothing."""
    given = facts.weather["relative_humidity"].to_numpy(dtype=np.float64) if len(facts.weather) else np.array([])
    if not np.isfinite(given).any():
        return decisions.bond.humidity, False
    return float(np.round(np.clip(np.nanmean(np.minimum(given, 1.0)), DRIEST, WETTEST), 3)), True


def _differences(section: ModelledSection, facts: Facts, decisions: Decisions) -> tuple[float, float]:
    """Temperature differences by day and by night, rounded to 0.1 K so that like sections agree."""
    state = section.state
    if not len(facts.weather):
        depth = state.overlay + state.slab
        return decisions.bond.day_gradient * depth, -decisions.bond.night_gradient * depth
    weather = hourly_weather(facts)
    year = heat_year(weather.air, weather.wind, weather.sun, weather.sky, np.array([state.overlay]), state.slab)
    profile, depths = year.temperature[:, 0], year.depths[0]
    hours = linear_part(profile, depths, state.overlay, state.overlay_modulus, state.slab_modulus).difference
    return float(np.round(np.quantile(hours, 1 - EXTREME), 1)), float(np.round(np.quantile(hours, EXTREME), 1))


def expected_deflections(model: PlateStresses, state: PavementState, load: float) -> pd.DataFrame:
    """Deflection under the test plate before and after, at the tested positions of one slab.

    Supported everywhere, as a sound slab in mild weather is. The warning begins half way from bonded to unbonded.
    """
    radius = float(PLATE_RADIUS)
    places = {
        "mid-slab": (model.length, model.width / 2),
        "edge": (model.length, radius),
        "joint": (model.length / 2 + radius, model.width / 2),
        "corner": (model.length / 2 + radius, radius),
    }
    after = pavement_of(model, state)
    pavements = {
        "before": pavement_of(model, replace(state, overlay=0.0)),
        "bonded": after,
        "part_delaminated": pavement_of(model, replace(state, delaminated=PART_DELAMINATED)),
        "unbonded": replace(after, interface=Interface(0.0)),
    }
    found = {name: _under_load(p, np.array(list(places.values())), load) for name, p in pavements.items()}
    return pd.DataFrame({
        "position": list(places),
        **found,
        "fall": 1 - found["bonded"] / found["before"],
        "unbonded_reduction": 1 - found["unbonded"] / found["before"],
        "warning_above": (found["bonded"] + found["unbonded"]) / 2,
    })


def _under_load(pavement: LayeredPavement, places: Array, load: float) -> Array:
    """Deflection below the middle of the plate at each place."""
    radius = float(PLATE_RADIUS)
    focus = [sorted({(float(v), radius / 2) for v in column}) for column in places.T]
    plate = layered_plate(pavement, grid(pavement, element_size(pavement), focus_x=focus[0], focus_y=focus[1]))
    solution = plate.solve(plate.load(circles(load, radius, places[:, 0], places[:, 1])))
    return np.diagonal(deflection(solution, places)).copy()
