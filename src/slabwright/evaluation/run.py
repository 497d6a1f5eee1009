"""The evaluation stage: moduli, load transfer, voids, loading, state and suitability of each section."""

from __future__ import annotations

import pandas as pd

from slabwright.errors import MissingFact
from slabwright.evaluation.joint_tests import bending_by_section, load_transfers, void_tests
from slabwright.evaluation.loading import Loading, load_by_year
from slabwright.evaluation.moduli import backcalculate
from slabwright.evaluation.state import assess_sections
from slabwright.evaluation.suitability import reasons, summarise
from slabwright.records.facts import Facts
from slabwright.records.remarks import Remark, remark
from slabwright.records.results import StageResult
from slabwright.records.stage import Given
from slabwright.roadway.places import directions_of_lanes, section_index

__all__ = ["run"]

SECTIONED = ("moduli", "transfers", "voids")


def run(given: Given) -> StageResult:
    """Judge the old slab: moduli [Pa], load transfer [1], voids [m], loading and verdict of each section.

    Tables in SI units by the schemas of ``records.outcomes.evaluation``. Raises MissingFact when traffic counts, their truck
    shares or all years of construction are missing, OutOfRange for a single value outside the bounds of a calculation.
    """
    facts, decisions, tables = given.facts, given.decisions, dict(given.tables("survey"))
    sections, basins, directions = tables["sections"], tables["basins"], directions_of_lanes(facts)
    where = section_index(sections, directions, basins["station"].to_numpy(), basins["lane"])
    raw = section_index(sections, directions, facts.deflections["station"].to_numpy(), facts.deflections["lane"])
    moduli = backcalculate(facts, basins, where, decisions.survey.standard_load, decisions.evaluation)
    transfers = load_transfers(basins, where, bending_by_section(basins, where, decisions.survey.bending_factor))
    voids = void_tests(facts.deflections, raw, decisions.evaluation)
    loading = load_by_year(
        facts,
        decisions.traffic,
        _first_year(facts),
        float(facts.layers["thickness"].mean()),
        decisions.evaluation.terminal_serviceability,
    )
    condition = assess_sections(facts, tables, moduli, transfers, voids, loading, decisions)
    found = [
        list(reasons(row, facts, tables, directions, decisions.evaluation)) for _, row in condition.iterrows()
    ]  # one section at a time: a handful of rows, each a page of prose
    suitability, verdicts = summarise(condition, found)
    made = {
        "moduli": moduli,
        "transfers": transfers,
        "voids": voids,
        "traffic": loading.frame(),
        "condition": condition,
        "suitability": suitability,
        "verdicts": verdicts,
    }
    named = {name: _with_names(frame, sections) if name in SECTIONED else frame for name, frame in made.items()}
    return StageResult("evaluation", named, tuple(_notes(named, loading)))


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


def _notes(tables: dict[str, pd.DataFrame], loading: Loading) -> list[Remark]:
    left_out = tables["moduli"].query("excluded != ''")["excluded"].value_counts()
    return [
        *(
            remark(
                "{number} mid-slab tests left out: {reason}.", number=("count", number), reason=("text", str(reason))
            )
            for reason, number in left_out.items()
        ),
        remark(
            "{equivalence} equivalent axles per truck; {share} of the direction's trucks in the design lane.",
            equivalence=("number", loading.equivalence),
            share=("share", loading.lane_share),
        ),
    ]
