"""The evaluation stage: moduli, load transfer, voids, loading, state and suitability of each section."""

from __future__ import annotations

import numpy as np
import pandas as pd

from slabwright.calculation import Working
from slabwright.errors import MissingFact
from slabwright.evaluation.backcalculation import (
    deflection_coefficient,
    foundation_from_deflection,
    modulus_from_relative_stiffness,
    relative_stiffness_area_36,
    slab_size_factors,
    static_foundation,
)
from slabwright.evaluation.condition import (
    condition_factor,
    effective_thickness_condition,
    effective_thickness_remaining_life,
    remaining_life,
)
from slabwright.evaluation.joint_tests import bending_by_section, load_transfers, void_tests
from slabwright.evaluation.loading import Loading, load_by_year
from slabwright.evaluation.moduli import backcalculate
from slabwright.evaluation.state import FAILURE, assess_sections
from slabwright.evaluation.suitability import reasons, summarise
from slabwright.records.decisions import Decisions
from slabwright.records.facts import Facts
from slabwright.records.remarks import Remark, remark
from slabwright.records.results import StageResult
from slabwright.records.stage import Given
from slabwright.roadway.places import directions_of_lanes, section_index
from slabwright.slab.serviceability import rigid_allowable_axles
from slabwright.survey.basins import area_36

__all__ = ["run"]

SECTIONED = ("moduli", "transfers", "voids")


def run(given: Given) -> StageResult:
    """Judge the old slab. Raises MissingFact when traffic counts, years of construction or lanes are missing."""
    facts, decisions, tables = given.facts, given.decisions, dict(given.tables("survey"))
    sections, basins, directions = tables["sections"], tables["basins"], directions_of_lanes(facts)
    where = section_index(sections, directions, basins["station"].to_numpy(), basins["lane"])
    raw = section_index(sections, directions, facts.deflections["station"].to_numpy(), facts.deflections["lane"])
    moduli = backcalculate(facts, basins, where, decisions.survey.standard_load, decisions.evaluation)
    transfers = load_transfers(basins, where, bending_by_section(basins, where, decisions.survey.bending_factor))
    voids = void_tests(facts.deflections, raw, decisions.evaluation)
    loading = load_by_year(
        facts, decisions.traffic, _first_year(facts), float(facts.layers["thickness"].mean()),
        decisions.evaluation.terminal_serviceability,
    )  # fmt: skip
    condition = assess_sections(facts, tables, moduli, transfers, voids, loading, decisions)
    found = [
        list(reasons(row, facts, tables, directions, decisions.evaluation)) for _, row in condition.iterrows()
    ]  # one section at a time: a handful of rows, each a page of prose
    suitability, verdicts = summarise(condition, found)
    made = {
        "moduli": moduli, "transfers": transfers, "voids": voids, "traffic": loading.frame(), "condition": condition,
        "suitability": suitability, "verdicts": verdicts,
    }  # fmt: skip
    named = {name: _with_names(frame, sections) if name in SECTIONED else frame for name, frame in made.items()}
    workings = _workings(named, tables["basins"], decisions)
    return StageResult("evaluation", named, workings, tuple(_notes(named, loading)))


def _first_year(facts: Facts) -> float:
    years = facts.layers["year_built"].dropna()
    if years.empty:
        raise MissingFact(
            "no layer has a year of construction",
            remedy="Give year_built in the layers table: past traffic counts from it.",
        )
    return float(years.min())


def _with_names(frame: pd.DataFrame, sections: pd.DataFrame) -> pd.DataFrame:
    """Section rows replaced by section names; -1 becomes empty."""
    names = dict(zip(map(str, range(len(sections))), sections["section"], strict=True))
    return frame.assign(section=frame["section"].map(names).fillna("").astype(object))


def _workings(tables: dict[str, pd.DataFrame], basins: pd.DataFrame, decisions: Decisions) -> tuple[Working, ...]:
    """The chain for the first usable test, then for each section its remaining life and effective thickness."""
    usable = tables["moduli"][tables["moduli"]["excluded"] == ""]
    chain = _basin_chain(usable.iloc[0], basins, decisions) if len(usable) else ()
    return (*chain, *(w for _, s in tables["condition"].iterrows() for w in _section_chain(s, decisions)))


def _basin_chain(test: pd.Series, basins: pd.DataFrame, decisions: Decisions) -> tuple[Working, ...]:
    row = basins[
        (basins["station"] == test["station"]) & (basins["lane"] == test["lane"]) & (basins["position"] == "mid-slab")
    ].iloc[0]
    if not np.isfinite(row["area_36"]):
        return ()
    from slabwright.survey.basins import DEFLECTIONS, OFFSETS, at_offset
    from slabwright.units import INCH, format_station

    label = f"station {format_station(test['station'])}, lane {test['lane']}"
    d, r = row[DEFLECTIONS].to_numpy(dtype=float)[None], row[OFFSETS].to_numpy(dtype=float)[None]
    d12, d24, d36 = (float(at_offset(d, r, x * INCH)[0]) for x in (12, 24, 36))
    d0, load = float(row["deflection_1"]), decisions.survey.standard_load
    l = float(relative_stiffness_area_36(row["area_36"]))
    coefficient = float(deflection_coefficient(l))
    k = float(foundation_from_deflection(load, d0, coefficient, l))
    chain = [
        area_36.working(label, d0=d0, d12=d12, d24=d24, d36=d36),
        relative_stiffness_area_36.working(label, area=float(row["area_36"])),
        deflection_coefficient.working(label, relative_stiffness=l),
        foundation_from_deflection.working(
            label, load=load, deflection=d0, coefficient=coefficient, relative_stiffness=l
        ),
    ]
    if decisions.evaluation.slab_size_correction == "yes":
        ratio = float(test["stiffness_area"]) / l  # the factor found, from which the slab size follows
        size = l * (np.log(0.89434 / (1 - ratio)) / 0.61662) ** (1 / 1.04831)
        chain.append(slab_size_factors.working(label, size=float(size), relative_stiffness=l))
        l, k = float(test["stiffness_area"]), float(test["foundation_area"])
    chain.append(modulus_from_relative_stiffness.working(
        f"{label}, after the slab-size correction" if decisions.evaluation.slab_size_correction == "yes" else label,
        foundation=k, relative_stiffness=l, thickness=float(test["thickness"]), poisson=decisions.evaluation.poisson,
    ))  # fmt: skip
    return tuple(chain)


def _section_chain(s: pd.Series, decisions: Decisions) -> tuple[Working, ...]:
    if not np.isfinite(s["effective_life"]):
        return ()
    label = f"section {s['section']}"
    return (
        static_foundation.working(label, dynamic_foundation=s["dynamic_foundation"], ratio=decisions.evaluation.static_ratio),
        rigid_allowable_axles.working(
            f"{label}, to failure", thickness=s["thickness"], rupture=s["rupture"], modulus=s["modulus"],
            foundation=s["foundation"], load_transfer=s["load_transfer_coefficient"], drainage=s["drainage_coefficient"],
            initial_serviceability=decisions.evaluation.initial_serviceability, **FAILURE,
        ),
        remaining_life.working(label, past_axles=s["past_axles"], failure_axles=s["failure_axles"]),
        condition_factor.working(label, remaining_life=s["remaining_life"]),
        effective_thickness_remaining_life.working(label, thickness=s["thickness"], factor=s["condition_factor"]),
        effective_thickness_condition.working(
            label, thickness=s["thickness"], joints_and_cracks=s["joints_factor"], durability=s["durability_factor"],
            fatigue=s["fatigue_factor"],
        ),
    )  # fmt: skip


def _notes(tables: dict[str, pd.DataFrame], loading: Loading) -> list[Remark]:
    left_out = tables["moduli"].query("excluded != ''")["excluded"].value_counts()
    return [
        *(
            remark("{number} mid-slab tests left out: {reason}.", number=("count", number), reason=("text", str(reason)))
            for reason, number in left_out.items()
        ),
        remark(
            "{equivalence} equivalent axles per truck; {share} of the direction's trucks in the design lane.",
            equivalence=("number", loading.equivalence), share=("share", loading.lane_share),
        ),
    ]  # fmt: skip
