"""The state of the old slab, section by section: everything the thickness equation needs of it."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from slabwright.calculation import Array
from slabwright.evaluation.backcalculation import static_foundation
from slabwright.evaluation.condition import (
    DRAINAGE_COEFFICIENTS,
    condition_factor,
    durability_factor,
    effective_thickness_remaining_life,
    fatigue_factor,
    remaining_life,
    rupture_from_modulus,
    rupture_from_split,
    rupture_from_strength,
)
from slabwright.evaluation.examined import Kind, assumed, missing
from slabwright.evaluation.joints import load_transfer_coefficient
from slabwright.evaluation.loading import Loading
from slabwright.records.decisions import Decisions
from slabwright.records.decisions.evaluation import TRANSFER_CLASSES, EvaluationDecisions
from slabwright.records.facts import Facts
from slabwright.records.outcomes.evaluation import CONDITION
from slabwright.records.table import table
from slabwright.roadway.joints import joints_of_road, slab_numbers
from slabwright.roadway.places import directions_of_lanes, section_layers
from slabwright.slab.serviceability import rigid_allowable_axles
from slabwright.survey.cores import sound_cores

__all__ = ["ASSUMED_TRANSFER", "CONTINUOUS_TRANSFER", "FAILURE", "assess_sections", "durability_states", "worth"]

CONTINUOUS_TRANSFER = 2.4  # middle of 2.2 to 2.6, continuous reinforcement repaired (AASHTO 1993 III-5.8.5, memory)
# A load transfer within each class that may be assumed, from which the load transfer coefficient follows.
ASSUMED_TRANSFER = dict(zip(TRANSFER_CLASSES, (0.8, 0.6, 0.4), strict=True))
FAILURE: dict[str, Any] = {"reliability": 0.5, "standard_deviation": 0.0, "terminal_serviceability": 1.5}
STRUCTURAL_CRACKS = ("transverse crack", "corner break")
COUNTED = ("moderate", "high", "none")  # a crack that nobody rated is not taken for a slight one


def assess_sections(
    facts: Facts,
    survey: dict[str, pd.DataFrame],
    moduli: pd.DataFrame,
    transfers: pd.DataFrame,
    voids: pd.DataFrame,
    looked: tuple[pd.DataFrame, pd.DataFrame],
    loading: Loading,
    decisions: Decisions,
) -> pd.DataFrame:
    """The table ``condition``: one row for each section; ``looked`` are the frame of ``examined`` and ``lanes_walked``.

    What follows from an examination that was neither made nor assumed is NaN.
    """
    sections, evaluation = survey["sections"], decisions.evaluation
    n = len(sections)
    layer = section_layers(facts, sections)
    used = moduli[moduli["excluded"] == ""]
    means = _section_means(used, n, evaluation.moduli_from)
    drainage = _drainage(facts, layer, evaluation.drainage_coefficient)
    transfer = _mean(transfers, "efficiency", n)
    J = _load_transfer(sections, transfer, evaluation)
    cores = survey["core_strengths"]
    cores = cores.assign(direction=cores["lane"].map(directions_of_lanes(facts)))
    strength = _strengths(cores, sections, means["modulus"].to_numpy(), evaluation.strength_from)
    years = facts.layers["year_built"].to_numpy()[layer]
    base_year = decisions.traffic.base_year
    past = np.array([loading.between(y, base_year - 1) if np.isfinite(y) else np.nan for y in years])
    future = loading.between(base_year, base_year + decisions.traffic.design_period - 1)
    frame = pd.DataFrame({
        **{c: sections[c] for c in ("section", "direction", "begin", "end", "pavement")},
        **means,
        **strength,
        "foundation": static_foundation(means["dynamic_foundation"].to_numpy(), evaluation.static_ratio),
        "transfer": transfer,
        "load_transfer_coefficient": J,
        "drainage_coefficient": drainage,
        "void_share": _void_share(voids, n),
        "past_axles": past,
        "future_axles": future,
    })
    factored = _factors(frame, facts, survey, looked, decisions)
    return table(CONDITION, worth(factored, evaluation.initial_serviceability))


def _mean(frame: pd.DataFrame, column: str, n: int) -> Array:
    return np.asarray(frame[column].groupby(frame["section"]).mean().reindex(map(str, range(n))), dtype=float)


def _void_share(voids: pd.DataFrame, n: int) -> Array:
    """Share of the corners judged that have a void. (sections,)"""
    judged = voids[voids["void"].isin(["yes", "no"])]
    return _mean(judged.assign(found=(judged["void"] == "yes").astype(float)), "found", n)


def _section_means(used: pd.DataFrame, n: int, moduli_from: str) -> pd.DataFrame:
    k, e = ("foundation_area", "modulus_area") if moduli_from == "basin area" else ("foundation_fit", "modulus_fit")
    grouped = used.groupby("section")
    slab = grouped["slab_modulus"]
    made = pd.DataFrame({
        "thickness": grouped["thickness"].mean(),
        "tests": grouped[e].count(),
        "dynamic_foundation": grouped[k].mean(),
        "foundation_variation": grouped[k].std(ddof=1) / grouped[k].mean(),
        "modulus": slab.mean(),
        "modulus_variation": slab.std(ddof=1) / slab.mean(),
    }).reindex(map(str, range(n)))
    return made.assign(tests=made["tests"].fillna(0)).reset_index(drop=True)


def _drainage(facts: Facts, layer: npt.NDArray[np.int64], decided: float) -> Array:
    if decided > 0:
        return np.full(len(layer), decided)
    return facts.layers["drainage"].map(DRAINAGE_COEFFICIENTS).fillna(1.0).to_numpy()[layer]


def _load_transfer(sections: pd.DataFrame, transfer: Array, decisions: EvaluationDecisions) -> Array:
    """J decided, of the measured load transfer, of the one assumed by name, or NaN. (sections,)"""
    if decisions.load_transfer_coefficient > 0:
        return np.full(len(sections), decisions.load_transfer_coefficient)
    by_name = ASSUMED_TRANSFER.get(decisions.assume_without_joint_tests, np.nan)
    efficiency = np.where(np.isfinite(transfer), transfer, by_name)
    jointed = np.where(np.isfinite(efficiency), load_transfer_coefficient(efficiency), np.nan)
    return np.where(sections["pavement"] == "CRCP", CONTINUOUS_TRANSFER, jointed)


def _strengths(cores: pd.DataFrame, sections: pd.DataFrame, modulus: Array, strength_from: str) -> dict[str, Array]:
    """Modulus of rupture by sound cores and by E. (sections,) [Pa]

    Cores of the section, which are of its direction, in compression go before those split, and both before the cores of the
    whole road. ``cores``: the table ``core_strengths`` with the direction of each.
    """
    compressed, all_compressed = _of_cores(cores, sections, "strength")
    split, all_split = _of_cores(cores, sections, "split_strength")
    mean = np.where(np.isfinite(compressed), compressed, np.where(np.isfinite(split), np.nan, all_compressed))
    tensile = np.where(np.isfinite(mean), np.nan, np.where(np.isfinite(split), split, all_split))
    by_split, from_modulus = rupture_from_split(tensile), rupture_from_modulus(modulus)
    from_cores = np.where(np.isfinite(mean), rupture_from_strength(mean), by_split)
    both = {"cores": from_cores, "modulus": from_modulus, "lower of both": np.fmin(from_cores, from_modulus)}
    return {
        "core_strength": mean,
        "core_split": tensile,
        "rupture_cores": from_cores,
        "rupture_modulus": from_modulus,
        "rupture": both[strength_from],
    }


def _of_cores(cores: pd.DataFrame, sections: pd.DataFrame, column: str) -> tuple[Array, float]:
    """Mean of a strength over the sound cores of each section (sections,) and over all; NaN where there is none."""
    sound = cores[sound_cores(cores)].dropna(subset=[column])
    places = zip(sections["direction"], sections["begin"], sections["end"], strict=True)
    station, way = sound["station"], sound["direction"]
    means = [sound.loc[(way == d) & (station >= b) & (station <= e), column].mean() for d, b, e in places]
    return np.array(means, dtype=float), float(sound[column].mean()) if len(sound) else np.nan


def _cracking_by_section(facts: Facts, rated: pd.DataFrame, sections: pd.DataFrame, walks: pd.DataFrame) -> Array:
    """Load-caused cracking of the worst lane of each section: share of slabs (JPCP) or number per m (JRCP, CRCP).

    Plain slabs are counted as the guide's classes do, with a crack of any severity, between the joints of their lane; in reinforced
    ones a slight crack is held by the steel and does not count.
    ``walks``: the table ``lanes_walked``, over whose lengths the lanes are counted; where there is none, NaN.
    """
    found, rows = np.full(len(sections), np.nan), {name: row for row, name in enumerate(sections["section"])}
    layer = section_layers(facts, sections)
    spacing = facts.layers["joint_spacing"].to_numpy()[layer]
    joints = joints_of_road(facts, sections)
    for walk in walks[walks["counted"] > 0].itertuples(index=False):
        row = rows[walk.section]
        s = sections.iloc[row]
        kinds = ("punchout",) if s["pavement"] == "CRCP" else STRUCTURAL_CRACKS
        here = rated[
            (rated["lane"] == walk.lane)
            & rated["kind"].isin(kinds)
            & (rated["severity"].isin(COUNTED) | (s["pavement"] == "JPCP"))
            & rated["station"].between(s["begin"], s["end"])
        ]
        own = joints.loc[(joints["section"] == walk.section) & (joints["lane"] == walk.lane), "station"].to_numpy(float)
        slabs = len(np.unique(slab_numbers(own, here["station"]))) * spacing[row]
        most = min(slabs / walk.counted, 1.0) if s["pavement"] == "JPCP" else len(here) / walk.counted
        found[row] = np.fmax(found[row], most)
    return found


def durability_states(survey: dict[str, pd.DataFrame], sections: pd.DataFrame, directions: dict[str, str]) -> list[str]:
    """Durability of each section from its distress survey and the codes of its cores."""
    rated, cores = survey["rated_distresses"], survey["core_strengths"]
    durable = rated[rated["kind"] == "durability cracking"]
    states = []
    for s in sections.itertuples(index=False):
        way = durable["lane"].map(directions) == s.direction
        here = durable[way & (durable["station"] >= s.begin) & (durable["station"] <= s.end)]
        bad = ~sound_cores(cores) & (cores["lane"].map(directions) == s.direction)
        cored = int((bad & (cores["station"] >= s.begin) & (cores["station"] <= s.end)).sum())
        spalled = bool((here["severity"] == "high").any())
        some = len(here) > 0 or cored > 0
        states.append("cracking and spalling" if spalled else "cracking, no spalling" if some else "sound")
    return states


def _factors(
    frame: pd.DataFrame,
    facts: Facts,
    survey: dict[str, pd.DataFrame],
    looked: tuple[pd.DataFrame, pd.DataFrame],
    decisions: Decisions,
) -> pd.DataFrame:
    """Cracking, and the condition factors that no repair changes."""
    seen, walks = looked
    evaluation, sections, directions = decisions.evaluation, survey["sections"], directions_of_lanes(facts)
    cracking = _cracking_by_section(facts, survey["rated_distresses"], sections, walks)
    unseen = {kind: missing(seen, kind) & (not assumed(evaluation, kind)) for kind in (Kind.CORES, Kind.SURVEY)}
    cracking = np.where(missing(seen, Kind.SURVEY), 0.0 if assumed(evaluation, Kind.SURVEY) else np.nan, cracking)
    kinds = frame["pavement"].replace("", "JPCP")
    fatigue = np.array([
        float(fatigue_factor(k, c)) if np.isfinite(c) else np.nan for k, c in zip(kinds, cracking, strict=True)
    ])
    states = durability_states(survey, sections, directions)
    durable = np.array([float(durability_factor(s)) for s in states])
    durable = np.where(unseen[Kind.CORES] | unseen[Kind.SURVEY], np.nan, durable)
    plain = (frame["pavement"] == "JPCP").to_numpy()
    return frame.assign(
        cracking=np.where(plain, cracking, np.nan),
        crack_density=np.where(plain, np.nan, cracking),
        durability_factor=evaluation.durability_factor or durable,
        fatigue_factor=fatigue,
    )


def worth(frame: pd.DataFrame, initial_serviceability: float) -> pd.DataFrame:
    """The rows of the condition table with remaining life and the effective thickness by it, made from their other columns."""
    h = frame["thickness"].to_numpy(dtype=float)
    failure = rigid_allowable_axles(
        h,
        *(frame[c].to_numpy(dtype=float) for c in ("rupture", "modulus", "foundation", "load_transfer_coefficient")),
        drainage=frame["drainage_coefficient"].to_numpy(dtype=float),
        initial_serviceability=initial_serviceability,
        **FAILURE,
    ).axles
    life = remaining_life(frame["past_axles"].to_numpy(dtype=float), failure)
    factor = condition_factor(life)
    return frame.assign(
        failure_axles=failure,
        remaining_life=life,
        condition_factor=factor,
        effective_life=effective_thickness_remaining_life(h, factor),
    )
