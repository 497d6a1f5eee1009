"""The tables of the bond and its answer in words, from what was found for each section."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
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
    PlaceDemand,
)
from slabwright.bond.history import History, rival
from slabwright.bond.patches import Patch
from slabwright.bond.stage import STAGE
from slabwright.bond.strength import mode, rival_criterion
from slabwright.design.section_model import ModelledSection
from slabwright.materials.terms import YEAR
from slabwright.records.decisions import Decisions
from slabwright.records.remarks import Remark, remark
from slabwright.records.table import empty, table

__all__ = ["Asked", "aged_words", "made_tables", "notes"]

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
    passes = found["passes"] == "yes"
    return {
        name: found[name] for name in ("place", "cause", "age", "mode", "factor", "required", "strength", "passes")
    } | {
        "least_factor": bond.least_factor,
        "test": design.bond_test,
        "test_age": bond.test_age,
        "averaging": bond.averaging_length,
        "other_criterion": min(float(p.beside["criterion"].min()) for p in demand.places),
        "other_model": min(float(p.beside["model"].min()) for p in demand.places),
        "day": given.question.day,
        "night": given.question.night,
        "differences_from": BY_WEATHER if given.differences_by_weather else UNCOVERED,
        "humidity": given.humidity,
        "humidity_from": BY_WEATHER if given.humidity_by_weather else DECIDED,
        "free": float(given.chosen.free[age]),
        "strain": float(given.question.aged.strain[age]),
        "short_cut": float(given.chosen.short_cut[age]),
        "energy": demand.energy,
        "note": "" if passes else _remedy(worst),
    }


def _yes(holds: bool) -> str:
    return "yes" if holds else "no"


def _remedy(worst: PlaceDemand) -> str:
    if "shrinkage" in worst.cause:
        return (
            "shrinkage governs: lower the shrinkage of the mix and prove it by a test, cure longer, cut joints early, or ask"
            " for a stronger bond"
        )
    return "ask for a stronger bond, or a thinner or thicker overlay"


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
                    "short_cut": float(given.chosen.short_cut[age]),
                    "other_strain": float(max(given.other.strain[age], 0.0)),
                    "demand": float(str(asking["tension"])) / float(place.factor[age]),
                    "other_criterion": min(float(p.beside["criterion"][age]) for p in both),
                    "other_model": min(float(p.beside["model"][age]) for p in both),
                }
            )
    return pd.DataFrame(rows)


def _patch(patch: Patch, given: Asked, decisions: Decisions) -> dict[str, object]:
    limit = decisions.bond.fracture_energy
    known = np.isfinite(patch.energy)
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
        "strain": patch.strain,
        "energy": patch.energy,
        "fracture_energy": limit,
        "growth": "no energy from an even strain"
        if not known
        else "may grow"
        if patch.energy > limit
        else "does not grow",
        "trust": BY_STRIP if not known else INSIDE if patch.fitted else OUTSIDE,
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


def aged_words(age: float) -> tuple[str, float]:
    """An age [s] as what a remark takes: years from one year on, days before. Raises nothing."""
    return ("years", age / YEAR) if age >= YEAR else ("age", age)


def notes(tables: Mapping[str, pd.DataFrame], decisions: Decisions) -> list[Remark]:
    """The answer first, then what stands against it. Raises nothing."""
    verdicts, patch = tables["bond_verdicts"], tables["bond_patches"]
    if verdicts.empty:
        return []
    return [
        *_answer(verdicts, decisions),
        *_beside(verdicts, decisions),
        *_patched(patch),
        remark(
            "Peak shears at edges are elastic indices for comparing designs. The verdict rests on means over the averaging"
            " length, because bond strength is itself a mean over a core."
        ),
        *_failing(verdicts[verdicts["passes"] == "no"]),
    ]


def _failing(verdicts: pd.DataFrame) -> Iterator[Remark]:
    """One remark for all sections with the same place and remedy."""
    for (place, remedy), found in verdicts.groupby(["place", "note"], sort=False):
        yield remark(
            "The bond is short of the least factor at the {place} in section {names}; {remedy}.",
            place=("text", str(place)),
            names=("text", ", ".join(found["section"])),
            remedy=("text", str(remedy)),
        )


def _answer(verdicts: pd.DataFrame, decisions: Decisions) -> Iterator[Remark]:
    """How many pass, and the least factor with its place, age, mode, averaging length and test."""
    worst = verdicts.loc[verdicts["factor"].idxmin()]
    yield remark(
        "The bond reaches the least factor of {least} in {passing} of {all} sections. The least factor is {factor}, in section"
        " {name} at the {place} after {age}: {mode} as means over {length}, under {cause}, against {strength} by {test} at"
        " {tested}.",
        least=("number", float(worst["least_factor"])),
        passing=("count", float((verdicts["passes"] == "yes").sum())),
        all=("count", float(len(verdicts))),
        factor=("number", float(worst["factor"])),
        name=("text", str(worst["section"])),
        place=("text", worst["place"]),
        age=aged_words(float(worst["age"])),
        mode=("text", worst["mode"]),
        length=("thickness", decisions.bond.averaging_length),
        cause=("text", worst["cause"]),
        strength=("stress", decisions.design.bond_strength),
        test=("text", decisions.design.bond_test),
        tested=aged_words(decisions.bond.test_age),
    )


def _beside(verdicts: pd.DataFrame, decisions: Decisions) -> Iterator[Remark]:
    yield remark(
        "By {criterion} in place of {chosen} the least factor is {first}; by {model} in place of {decided} it is {second}.",
        criterion=("text", f"the {rival_criterion(decisions.bond.criterion)}"),
        chosen=("text", f"the {decisions.bond.criterion}"),
        first=("number", float(verdicts["other_criterion"].min())),
        model=("text", rival(decisions.bond.model)),
        decided=("text", decisions.bond.model),
        second=("number", float(verdicts["other_model"].min())),
    )


def _patched(found: pd.DataFrame) -> Iterator[Remark]:
    worst = found.loc[found["factor"].idxmin()]
    yield remark(
        "Where sounding finds a patch without bond, the least factor beside it is {factor}: section {name}, {place}, {size}"
        " square. The plates of this model cannot part: demand beside an edge, joint or corner patch is the sound one times a"
        " ratio fitted to elements of three dimensions, for {low} to {high}.",
        factor=("number", float(worst["factor"])),
        name=("text", str(worst["section"])),
        place=("text", worst["place"]),
        size=("length", float(worst["size"])),
        low=("length", 0.3),
        high=("length", 1.0),
    )
    most = found.loc[found["energy"].fillna(0.0).idxmax()]
    yield remark(
        "By energy the worst patch at an edge or corner, in section {name}, releases {energy} as it grows, of {limit} decided: it"
        " {grows}. Energy asks about a long crack, stress about where one begins; where they disagree, act on the worse.",
        name=("text", str(most["section"])),
        energy=("energy_release", float(most["energy"])),
        limit=("energy_release", float(most["fracture_energy"])),
        grows=("text", str(most["growth"])),
    )
