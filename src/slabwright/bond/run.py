"""The long stage ``bond``: demand on the bond of every section, and what deflection tests should find."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import partial

import numpy as np
import pandas as pd

from slabwright.bond.demand import CAUSES, BondDemand, BondQuestion, PlaceDemand, bond_demand
from slabwright.bond.stage import STAGE
from slabwright.calculation import Array
from slabwright.climate.heat_year import heat_year
from slabwright.climate.temperature import hourly_weather, linear_part
from slabwright.design.section_model import ModelledSection, modelled_sections
from slabwright.materials.relaxation import relieved_stress
from slabwright.plate.grid import grid
from slabwright.plate.loads import circles
from slabwright.plate.pavement import Interface, LayeredPavement
from slabwright.plate.plate import layered_plate
from slabwright.plate.plate_stresses import PlateStresses, element_size, pavement_of
from slabwright.plate.response import deflection
from slabwright.plate.stresses import PavementState
from slabwright.records.decisions import Decisions
from slabwright.records.facts import Facts
from slabwright.records.remarks import Remark, remark
from slabwright.records.results import StageResult
from slabwright.records.stage import Given
from slabwright.records.table import empty, table
from slabwright.terms import PLATE_RADIUS

__all__ = ["expected_deflections", "run"]

PREPARED = 0.3  # share of the work, roughly, that the temperatures of a year take
PART_DELAMINATED = 0.1  # share of the slab without bond in the column ``part_delaminated``
EXTREME = 0.005  # share of the year's hours beyond the day and the night that are designed for
UNCOVERED = "without weather, the gradients decided (Teller and Sutherland, from memory)"


def run(given: Given) -> StageResult:
    """Demand [Pa] and expected deflections [m] of every section with an overlay, one after the other or side by side.

    Tables in SI units by the schemas of ``records.outcomes.bond``. Raises MissingFact where slab sizes are not known,
    InputError where the plate model cannot take a section, NotConverged where contact does not settle.
    """
    facts, decisions, context = given.facts, given.decisions, given.context
    sections = modelled_sections(
        facts, given.tables("evaluation")["condition"], given.tables("design")["thicknesses"], decisions
    )
    questions = []
    for number, section in enumerate(sections):
        context.tell("bond", PREPARED * number / len(sections))
        questions.append(_question(section, facts, decisions))
    each = partial(_one, load=decisions.survey.standard_load)
    found: Iterator[tuple[BondDemand, pd.DataFrame]] = (context.executor.map if context.executor else map)(
        each, [s.model for s in sections], [s.state for s in sections], questions
    )
    made = []
    for done, answer in enumerate(found, start=1):
        made.append(answer)
        context.tell("bond", PREPARED + (1 - PREPARED) * done / len(sections))
    tables = _tables(sections, questions, made, facts)
    return StageResult("bond", tables, tuple(_notes(tables["bond_verdicts"])))


def _one(
    model: PlateStresses, state: PavementState, question: BondQuestion, load: float
) -> tuple[BondDemand, pd.DataFrame]:
    return bond_demand(model, state, question), expected_deflections(model, state, load)


def _question(section: ModelledSection, facts: Facts, decisions: Decisions) -> BondQuestion:
    choice = decisions.bond
    day, night = _differences(section, facts, decisions)
    return BondQuestion(
        choice.axle_load,
        day,
        night,
        _shrinkage(decisions),
        decisions.design.bond_strength,
        choice.least_factor,
        choice.averaging_length,
        choice.shear_ratio,
    )


def _shrinkage(decisions: Decisions) -> float:
    """Shrinkage that creep leaves, as the strain of the stress that remains."""
    choice, modulus = decisions.bond, decisions.design.overlay_modulus
    stress = relieved_stress(modulus, decisions.design.shrinkage, choice.creep_coefficient, choice.ageing_coefficient)
    return float(stress) / modulus


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


def _tables(
    sections: tuple[ModelledSection, ...],
    questions: list[BondQuestion],
    made: list[tuple[BondDemand, pd.DataFrame]],
    facts: Facts,
) -> dict[str, pd.DataFrame]:
    frames: dict[str, list[pd.DataFrame]] = {
        name: [] for name in ("bond_verdicts", "bond_places", "bond_map", "bond_deflections")
    }
    origin = "the loaded year of weather" if len(facts.weather) else UNCOVERED
    for section, question, (demand, deflections) in zip(sections, questions, made, strict=True):
        head = {"section": section.name, "overlay": section.state.overlay}
        frames["bond_verdicts"].append(pd.DataFrame([head | _verdict(demand, question, origin)]))
        frames["bond_places"].append(pd.DataFrame([head | _place(p, question) for p in demand.places]))
        frames["bond_map"].append(_map(demand).assign(section=section.name))
        frames["bond_deflections"].append(deflections.assign(**head))
    return {
        name: table(STAGE.outcome(name), pd.concat(parts, ignore_index=True)) if parts else empty(STAGE.outcome(name))
        for name, parts in frames.items()
    }


def _place(place: PlaceDemand, question: BondQuestion) -> dict[str, object]:
    return {
        "place": place.place,
        "cause": place.cause,
        "peak_shear": place.peak_shear,
        "mean_shear": place.mean_shear,
        "mean_peel": place.mean_peel,
        "required": place.required,
        "strength": question.strength,
        "factor": place.reserve,
        "passes": "yes" if place.passes else "no",
    }


def _verdict(demand: BondDemand, question: BondQuestion, origin: str) -> dict[str, object]:
    worst = min(demand.places, key=lambda p: p.reserve)
    return {
        "place": worst.place,
        "cause": worst.cause,
        "required": worst.required,
        "strength": question.strength,
        "factor": worst.reserve,
        "least_factor": question.factor,
        "passes": "yes" if demand.passes else "no",
        "day": question.day,
        "night": question.night,
        "differences_from": origin,
        "strain": question.shrinkage,
        "energy": demand.energy,
        "note": "" if demand.passes else _remedy(worst),
    }


def _remedy(worst: PlaceDemand) -> str:
    if "shrinkage" in worst.cause:
        return "shrinkage governs: cure longer, lower the shrinkage of the mix, cut joints early, or ask for a stronger bond"
    return "ask for a stronger bond, or a thinner or thicker overlay"


def _map(demand: BondDemand) -> pd.DataFrame:
    along, across = np.meshgrid(demand.x, demand.y, indexing="ij")
    by_cause = dict(zip(CAUSES, demand.shear, strict=True))
    both = np.stack([by_cause["wheels, day and shrinkage"], by_cause["wheels, night and shrinkage"]])
    return pd.DataFrame({
        "along": along.ravel(),
        "across": across.ravel(),
        **{cause: by_cause[cause].ravel() for cause in ("wheels", "day", "night", "shrinkage")},
        "together": both.max(axis=0).ravel(),
        "when": np.where(both.argmax(axis=0) == 0, "day", "night").ravel(),
    })


def _notes(verdicts: pd.DataFrame) -> list[Remark]:
    notes = [
        remark(
            "Peak shears at edges are elastic indices for comparing designs. The verdict rests on means over the averaging"
            " length, because bond strength is itself a mean over a core."
        )
    ]
    failing = verdicts[verdicts["passes"] == "no"]
    return notes + [
        remark(
            "the bond is short of the least factor at the {place} under {cause}; {remedy}.",
            v.section,
            place=("text", v.place),
            cause=("text", v.cause),
            remedy=("text", v.note),
        )
        for v in failing.itertuples(index=False)
    ]
