"""The evaluation stage: moduli, load transfer, voids, loading, state and suitability of each section."""

from __future__ import annotations

from collections.abc import Iterator

import pandas as pd

from slabwright.evaluation.assumptions import assumptions
from slabwright.evaluation.cores import core_states, settled_names
from slabwright.evaluation.examined import examined, off_decks, rows_of
from slabwright.evaluation.expected_voids import expected_voids
from slabwright.evaluation.joint_tests import bending_by_section, load_transfers, void_tests
from slabwright.evaluation.loading import Loading, load_by_year
from slabwright.evaluation.moduli import backcalculate
from slabwright.evaluation.open_points import open_points
from slabwright.evaluation.preconditions import first_year
from slabwright.evaluation.state import assess_sections
from slabwright.evaluation.suitability import Evidence, reasons, summarise
from slabwright.evaluation.walked import stated_lanes, walked
from slabwright.records.decisions import Decisions
from slabwright.records.decisions.evaluation import EVERY_LANE, EvaluationDecisions
from slabwright.records.facts import Facts
from slabwright.records.outcomes.evaluation import TABLES
from slabwright.records.remarks import Remark, remark
from slabwright.records.results import StageResult
from slabwright.records.stage import Given
from slabwright.records.words import listed
from slabwright.roadway.places import directions_of_lanes
from slabwright.roadway.structures import decks, on_deck

__all__ = ["run"]


def run(given: Given) -> StageResult:
    """Judge the old slab: moduli [Pa], load transfer [1], voids [m], loading and verdict of each section.

    Tables in SI units by the schemas of ``records.outcomes.evaluation``. Raises MissingFact when traffic counts, their truck
    shares or all years of construction are missing, OutOfRange for a single value outside the bounds of a calculation.
    """
    facts, decisions, tables = given.facts, given.decisions, dict(given.tables("survey"))
    sections, basins, directions = tables["sections"], tables["basins"], directions_of_lanes(facts)
    tables |= {name: off_decks(facts, tables[name]) for name in ("core_strengths", "rated_distresses")}
    where = rows_of(facts, sections, directions, basins)
    raw = rows_of(facts, sections, directions, facts.deflections)
    moduli = _off_decks_told(
        facts, backcalculate(facts, basins, where, decisions.survey.standard_load, decisions.evaluation)
    )
    transfers = load_transfers(basins, where, bending_by_section(basins, where, decisions.survey.bending_factor))
    voids = void_tests(facts.deflections, raw, decisions.evaluation)
    loading = load_by_year(
        facts,
        decisions.traffic,
        first_year(facts),
        float(facts.layers["thickness"].mean()),
        decisions.evaluation.terminal_serviceability,
    )
    tests = {"moduli": moduli, "transfers": transfers, "voids": voids}
    named = {name: _with_names(frame, sections) for name, frame in tests.items()}
    held = rows_of(facts, sections, directions, facts.cores)
    cores = core_states(facts.cores, held, sections["section"].to_numpy(), decisions.evaluation)
    walks = walked(facts, sections, directions, decisions.evaluation)
    seen = examined(facts, sections, cores, named["transfers"], named["voids"], walks)
    condition = assess_sections(facts, tables, moduli, transfers, voids, (seen, walks), loading, decisions)
    evidence = Evidence(
        facts,
        directions,
        cores,
        tables["rated_distresses"],
        named["voids"],
        walks,
        decisions.evaluation,
        decisions.repair.restore_load_transfer == "yes",
        moduli=named["moduli"],
        expected=expected_voids(facts, condition, named["voids"], decisions.evaluation.sample_confidence),
    )
    made = named | {
        "traffic": loading.frame(),
        "condition": condition,
        "core_states": cores,
        "lanes_walked": walks,
        "expected_voids": evidence.expected,
    }
    made |= _judged(condition, seen, evidence, decisions, loading)
    notes = [*_unknown_names(facts, directions, decisions.evaluation), *_notes(named, loading)]
    return StageResult("evaluation", {s.name: made[s.name] for s in TABLES}, tuple(notes))


def _judged(
    condition: pd.DataFrame, seen: pd.DataFrame, evidence: Evidence, decisions: Decisions, loading: Loading
) -> dict[str, pd.DataFrame]:
    """Reasons, verdicts, assumptions and open points."""
    found = [
        list(reasons(row, seen.iloc[i], evidence)) for i, (_, row) in enumerate(condition.iterrows())
    ]  # one section at a time: a handful of rows, each a page of prose
    suitability, verdicts = summarise(condition, found)
    return {
        "suitability": suitability,
        "verdicts": verdicts,
        "assumptions": assumptions(condition, seen, evidence, decisions, loading),
        "open_points": open_points(condition, seen, evidence, decisions),
    }


def _off_decks_told(facts: Facts, moduli: pd.DataFrame) -> pd.DataFrame:
    deck = on_deck(moduli["station"], decks(facts))
    return moduli.assign(excluded=moduli["excluded"].where(~deck, "on the deck of a bridge"))


def _with_names(frame: pd.DataFrame, sections: pd.DataFrame) -> pd.DataFrame:
    """Section rows replaced by section names; -1 becomes empty."""
    names = dict(zip(map(str, range(len(sections))), sections["section"], strict=True))
    return frame.assign(section=frame["section"].map(names).fillna("").astype(object))


def _unknown_names(facts: Facts, directions: dict[str, str], decisions: EvaluationDecisions) -> Iterator[Remark]:
    """Names in decisions that settle or state nothing, because no core or lane has them."""
    for decision, said, names, known in (
        ("settled_cores", "core", settled_names(decisions), set(facts.cores["core"])),
        ("lanes_walked_whole", "lane", stated_lanes(decisions), {*directions, EVERY_LANE}),
    ):
        if unknown := [name for name in names if name not in known]:
            told = f"evaluation.{decision} names what is no {said} of the road: {{names}}. It settles nothing there."
            yield remark(told, names=("text", listed(unknown)))


def _notes(tables: dict[str, pd.DataFrame], loading: Loading) -> list[Remark]:
    left_out = tables["moduli"].query("excluded != ''")["excluded"].value_counts()
    no_area = tables["moduli"].query("excluded == '' and no_area != ''")["no_area"].value_counts()
    return [
        *(
            remark(
                "{number} mid-slab tests left out: {reason}.", number=("count", number), reason=("text", str(reason))
            )
            for reason, number in left_out.items()
        ),
        *(
            remark(
                "{number} mid-slab tests have no rival value by basin area: {reason}.",
                number=("count", number),
                reason=("text", str(reason)),
            )
            for reason, number in no_area.items()
        ),
        remark(
            "{equivalence} equivalent axles per truck; {share} of the direction's trucks in the design lane.",
            equivalence=("number", loading.equivalence),
            share=("share", loading.lane_share),
        ),
    ]
