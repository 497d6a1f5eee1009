"""The answer of the bond in words: how many sections pass, what stands against it, and what would settle what is open."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import pandas as pd

from slabwright.bond.history import rival
from slabwright.bond.strength import rival_criterion
from slabwright.bond.verdict import NO, OPEN, YES
from slabwright.materials.terms import YEAR
from slabwright.records.decisions import Decisions
from slabwright.records.remarks import Remark, remark

__all__ = ["aged_words", "notes"]

UNIT = 1e-6  # 1/K: for which the strain of unlike expansion is told


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
        *_failing(verdicts[verdicts["passes"] != YES]),
        *_unfactored(verdicts[verdicts["passes"] == OPEN]),
        *_cracking(verdicts[verdicts[["pull", "pull_held"]].max(axis=1) > verdicts["tensile"]]),
        *_expanding(decisions),
    ]


def _failing(verdicts: pd.DataFrame) -> Iterator[Remark]:
    """One remark for all sections with the same place and remedy."""
    for (passes, place, said), found in verdicts.groupby(["passes", "place", "note"], sort=False):
        yield remark(
            "The bond {fails} at the {place} in section {names}: {said}.",
            fails=("text", "fails" if passes == NO else "is open"),
            place=("text", str(place)),
            names=("text", ", ".join(found["section"])),
            said=("text", str(said)),
        )


def _unfactored(verdicts: pd.DataFrame) -> Iterator[Remark]:
    """Energy goes with the square of the load: which open sections would fail had it the factor that stress has."""
    factored = verdicts["energy"] * verdicts["least_factor"] ** 2
    near = verdicts[(factored >= verdicts["fracture_energy"]) & (verdicts["energy"] < verdicts["fracture_energy"])]
    if len(near):
        yield remark(
            "Energy is held against its limit without a factor. With the factor of {least} on the load, which is {square} on"
            " energy, it too would reach the limit in section {names}: open there is near to a failure.",
            least=("number", float(near["least_factor"].iloc[0])),
            square=("number", float(near["least_factor"].iloc[0]) ** 2),
            names=("text", ", ".join(near["section"])),
        )


def _cracking(verdicts: pd.DataFrame) -> Iterator[Remark]:
    """Where shrinkage alone pulls the overlay beyond its tensile strength: the worst section with its numbers."""
    if verdicts.empty:
        return
    share = verdicts[["pull", "pull_held"]].max(axis=1) / verdicts["tensile"]
    worst = verdicts.loc[share.idxmax()]
    yield remark(
        "The overlay would crack between joints by these numbers in section {names}: in section {name} its own tension from"
        " shrinkage after {age} is {curled} where it is free to curl and {held} where it is held flat, against a tensile"
        " strength of {strength}. A crack would relieve the bond there and begin new edges; neither is in the model.",
        names=("text", ", ".join(verdicts["section"])),
        name=("text", str(worst["section"])),
        age=aged_words(float(worst["pull_age"])),
        curled=("stress", float(worst["pull"])),
        held=("stress", float(worst["pull_held"])),
        strength=("stress", float(worst["tensile"])),
    )


def _expanding(decisions: Decisions) -> Iterator[Remark]:
    """What unlike expansion adds, or would."""
    bond = decisions.bond
    if bond.expansion_difference > 0:
        yield remark(
            "Overlay and old slab expand unlike by {difference}: over {change} that adds {strain} to what shrinkage leaves,"
            " unrelieved by creep.",
            difference=("expansion", bond.expansion_difference),
            change=("temperature_change", bond.yearly_change),
            strain=("strain", bond.expansion_difference * bond.yearly_change),
        )
        return
    yield remark(
        "Overlay and old slab are taken to expand alike. Each {difference} between them would add {strain} over {change} from"
        " placing, unrelieved by creep: where aggregates differ, test both and decide the difference.",
        difference=("expansion", UNIT),
        change=("temperature_change", bond.yearly_change),
        strain=("strain", UNIT * bond.yearly_change),
    )


def _answer(verdicts: pd.DataFrame, decisions: Decisions) -> Iterator[Remark]:
    """How many pass, and the least factor with its place, age, mode, averaging length and test."""
    worst = verdicts.loc[verdicts["factor"].idxmin()]
    yield remark(
        "By stress and energy together the bond passes in {passing} of {all} sections, is open in {open} and fails in"
        " {failing}. The most energy released is {energy}, of {fracture} decided. The least factor of stress is {factor}, where"
        " {least} is required, in section"
        " {name} at the {place} after {age}: {mode} as means over {length}, under {cause}, against {strength} by {test} at"
        " {tested}.",
        least=("number", float(worst["least_factor"])),
        passing=("count", float((verdicts["passes"] == YES).sum())),
        open=("count", float((verdicts["passes"] == OPEN).sum())),
        failing=("count", float((verdicts["passes"] == NO).sum())),
        energy=("energy_release", float(verdicts["energy"].max())),
        fracture=("energy_release", decisions.bond.fracture_energy),
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
        "By {criterion} in place of {chosen} the least factor is {first}; by {model} in place of {decided} it is {second};"
        " by creep of a pair held flat, the other end of the support, {third}.",
        criterion=("text", f"the {rival_criterion(decisions.bond.criterion)}"),
        chosen=("text", f"the {decisions.bond.criterion}"),
        first=("number", float(verdicts["other_criterion"].min())),
        model=("text", rival(decisions.bond.model)),
        decided=("text", decisions.bond.model),
        second=("number", float(verdicts["other_model"].min())),
        third=("number", float(verdicts["other_support"].min())),
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
