"""The tables of the bond, from what was found for each section."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from slabwright.bond.demand import (
    CAUSES,
    DAY_ALL,
    NIGHT_ALL,
    PLACES,
    WITHOUT_WHEELS,
    BondDemand,
    BondQuestion,
    Energy,
    PlaceDemand,
)
from slabwright.bond.history import History
from slabwright.bond.patches import Patch
from slabwright.bond.stage import STAGE
from slabwright.bond.strength import concrete_tension, mode
from slabwright.bond.verdict import growth, outcome, remedy
from slabwright.design.section_model import ModelledSection
from slabwright.records.decisions import Decisions
from slabwright.records.table import empty, table

__all__ = ["Asked", "made_tables"]

BY_WEATHER = "the loaded year of weather"
UNCOVERED = "without weather, the gradients decided (Teller and Sutherland, from memory)"
DECIDED = "without weather, the humidity decided"
BY_STRIP = "strip theory, on the safe side of the plate"
INSIDE, OUTSIDE = "inside the range of the elements", "outside the range of the elements: a guess"


@dataclass(frozen=True)
class Asked:
    """What one section was asked, the life of its concrete by the model decided and by the other, and its air."""

    question: BondQuestion
    chosen: History
    other: History
    humidity: float
    humidity_by_weather: bool
    differences_by_weather: bool


Made = tuple[BondDemand, tuple[Patch, ...], pd.DataFrame]


def made_tables(
    sections: Sequence[ModelledSection], asked: Sequence[Asked], made: Sequence[Made], decisions: Decisions
) -> dict[str, pd.DataFrame]:
    """Every table of the stage, SI, by the schemas of ``records.outcomes.bond``. Raises InputError for a strange column."""
    frames: dict[str, list[pd.DataFrame]] = {schema.name: [] for schema in STAGE.outcomes}
    for section, given, (demand, found, deflections) in zip(sections, asked, made, strict=True):
        head = {"section": section.name, "overlay": section.state.overlay}
        frames["bond_verdicts"].append(pd.DataFrame([head | _verdict(demand, given, decisions)]))
        frames["bond_places"].append(pd.DataFrame([head | _place(p, given, decisions) for p in demand.places]))
        frames["bond_ages"].append(_ages(demand, given).assign(section=section.name))
        frames["bond_patches"].append(pd.DataFrame([head | _patch(p, given, decisions) for p in found]))
        frames["bond_map"].append(_map(demand).assign(section=section.name))
        frames["bond_deflections"].append(deflections.assign(**head))
    return {
        name: table(STAGE.outcome(name), pd.concat(parts, ignore_index=True)) if parts else empty(STAGE.outcome(name))
        for name, parts in frames.items()
    }


def _cause(place: PlaceDemand, wheels: bool) -> str:
    """What acts at that age: before wheels come, the cause without them."""
    return place.cause if wheels else WITHOUT_WHEELS.get(place.cause, place.cause)


def _asking(place: PlaceDemand, age: int, given: Asked) -> dict[str, object]:
    """Means, strengths and factor of a place under a cause at one age."""
    bond = given.question.aged.bond
    shear, peel = float(place.shear[age]), float(place.peel[age])
    return {
        "mean_shear": shear,
        "mean_peel": peel,
        "tension": float(bond.tension[age]),
        "shear_strength": float(bond.shear[age]),
        "factor": float(place.factor[age]),
    }


def _place(place: PlaceDemand, given: Asked, decisions: Decisions) -> dict[str, object]:
    age = place.worst
    factor = float(place.factor[age])
    asking = _asking(place, age, given)
    return asking | {
        "place": place.place,
        "cause": _cause(place, bool(given.question.wheels[age])),
        "age": float(given.chosen.ages[age]),
        "peak_shear": float(place.peak[age]),
        "mode": mode(*(float(str(asking[c])) for c in ("mean_shear", "mean_peel", "tension", "shear_strength"))),
        "required": decisions.design.bond_strength / factor,
        "strength": decisions.design.bond_strength,
        "passes": _yes(factor >= given.question.factor),
    }


def _verdict(demand: BondDemand, given: Asked, decisions: Decisions) -> dict[str, object]:
    worst, bond, design = demand.worst, decisions.bond, decisions.design
    age = worst.worst
    found = _place(worst, given, decisions)
    strain, held = given.question.aged.both(age)
    passes = outcome(found["passes"] == "no", demand.energy.released >= bond.fracture_energy)
    return {name: found[name] for name in ("place", "cause", "age", "mode", "factor", "required", "strength")} | {
        "passes": passes,
        "least_factor": bond.least_factor,
        "test": design.bond_test,
        "test_age": bond.test_age,
        "averaging": bond.averaging_length,
        "other_criterion": min(float(p.beside["criterion"].min()) for p in demand.places),
        "other_model": min(float(p.beside["model"].min()) for p in demand.places),
        "other_support": min(float(p.beside["support"].min()) for p in demand.places),
        "day": given.question.day,
        "night": given.question.night,
        "differences_from": BY_WEATHER if given.differences_by_weather else UNCOVERED,
        "humidity": given.humidity,
        "humidity_from": BY_WEATHER if given.humidity_by_weather else DECIDED,
        "free": float(given.chosen.free[age]),
        "strain": strain,
        "held": held,
        "short_cut": float(given.chosen.short_cut[age]),
        **_energy(demand.energy, given),
        "fracture_energy": bond.fracture_energy,
        **_pulled(given.chosen, decisions),
        "note": remedy(passes, found["passes"] == "no", worst.cause),
    }


def _energy(energy: Energy, given: Asked) -> dict[str, float]:
    """The most energy, and what it rests on; no age where nothing is released."""
    age = float(given.chosen.ages[energy.age]) if energy.released > 0 else np.nan
    return {
        "energy_age": age,
        "energy_strain": energy.strain,
        "energy_held": energy.held,
        "energy": energy.released,
    }


def _pulled(chosen: History, decisions: Decisions) -> dict[str, float]:
    """The overlay's own tension, both ways at once, at the age when it is the greatest share of its tensile strength."""
    both_ways = 1 / (1 - decisions.evaluation.poisson)
    strength = concrete_tension(decisions.bond.concrete_strength, chosen.ages, decisions.bond.cement)
    most = int(np.argmax(np.maximum(chosen.pull, chosen.pull_held) / strength))
    return {
        "pull": float(chosen.pull[most]) * both_ways,
        "pull_held": float(chosen.pull_held[most]) * both_ways,
        "pull_age": float(chosen.ages[most]),
        "tensile": float(strength[most]),
    }


def _yes(holds: bool) -> str:
    return "yes" if holds else "no"


def _ages(demand: BondDemand, given: Asked) -> pd.DataFrame:
    """Every place at every age under what asks most of it then."""
    rows = []
    for name in PLACES:
        both = [demand.at(name, cause) for cause in (DAY_ALL, NIGHT_ALL)]
        for age, seconds in enumerate(given.chosen.ages):
            place = min(both, key=lambda p, i=age: float(p.factor[i]))  # type: ignore[misc]
            asking = _asking(place, age, given)
            rows.append(
                asking
                | {
                    "place": name,
                    "age": float(seconds),
                    "cause": _cause(place, bool(given.question.wheels[age])),
                    "free": float(given.chosen.free[age]),
                    "strain": float(given.question.aged.strain[age]),
                    "held": given.question.aged.both(age)[1],
                    "short_cut": float(given.chosen.short_cut[age]),
                    "other_strain": float(max(given.other.strain[age], 0.0)),
                    "demand": float(str(asking["tension"])) / float(place.factor[age]),
                    "other_criterion": min(float(p.beside["criterion"][age]) for p in both),
                    "other_model": min(float(p.beside["model"][age]) for p in both),
                    "other_support": min(float(p.beside["support"][age]) for p in both),
                }
            )
    return pd.DataFrame(rows)


def _patch(patch: Patch, given: Asked, decisions: Decisions) -> dict[str, object]:
    limit = decisions.bond.fracture_energy
    energy = patch.energy or Energy(np.nan, 0, np.nan, np.nan)
    return {
        "place": patch.place,
        "size": patch.size,
        "age": float(given.chosen.ages[patch.age]),
        "mean_shear": patch.shear,
        "mean_peel": patch.peel,
        "factor": patch.factor,
        "sound": patch.sound,
        "passes": _yes(patch.factor >= given.question.factor),
        "opening": patch.opening,
        **_energy(energy, given),
        "fracture_energy": limit,
        "growth": growth(energy.released, limit, decisions.bond.least_factor),
        "trust": BY_STRIP if patch.energy is None else INSIDE if patch.fitted else OUTSIDE,
    }


def _map(demand: BondDemand) -> pd.DataFrame:
    along, across = np.meshgrid(demand.x, demand.y, indexing="ij")
    by_cause = dict(zip(CAUSES, demand.map, strict=True))
    both = np.stack([by_cause[DAY_ALL], by_cause[NIGHT_ALL]])
    return pd.DataFrame({
        "along": along.ravel(),
        "across": across.ravel(),
        **{cause: by_cause[cause].ravel() for cause in ("wheels", "day", "night", "shrinkage")},
        "together": both.max(axis=0).ravel(),
        "when": np.where(both.argmax(axis=0) == 0, "day", "night").ravel(),
    })
