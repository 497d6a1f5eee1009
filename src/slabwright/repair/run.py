"""The repair stage: what is mended before the overlay, where, and how much."""

from __future__ import annotations

import numpy as np
import pandas as pd

from slabwright.records.facts import Facts
from slabwright.records.outcomes.repair import REPAIR_QUANTITIES, REPAIRS
from slabwright.records.remarks import remark
from slabwright.records.results import StageResult
from slabwright.records.stage import Given
from slabwright.records.table import table
from slabwright.records.words import CRACK, FULL, NOT_SUITED, PARTIAL, VOID
from slabwright.repair.after import after_repair
from slabwright.repair.marking import (
    COLUMNS,
    covered_by,
    full_depth,
    needs_partial_depth,
    open_cracks,
    partial_depth,
)
from slabwright.repair.reflection import reflected_cracks, reflection_notes
from slabwright.repair.transfers import restorations
from slabwright.roadway.areas import section_areas
from slabwright.roadway.joints import joints_of_road
from slabwright.roadway.places import by_section, directions_of_lanes, lane_width, section_index
from slabwright.roadway.slabs import slab_thickness
from slabwright.roadway.structures import decks, off_deck_pieces, on_deck

__all__ = ["run"]


def run(given: Given) -> StageResult:
    """Mark out the repairs of every section that is not refused: stations and lengths [m], areas [m2], depths [m].

    Nothing is marked on a deck that carries the road. Tables in SI units by the schemas of ``records.outcomes.repair``. Raises nothing; what is not known is NaN.
    """
    facts, decisions, evaluation = given.facts, given.decisions, given.results["evaluation"]
    spans = decks(facts)
    every = given.tables("survey")["rated_distresses"]
    rated = every[~on_deck(every["station"], spans)].reset_index(drop=True)
    widths = {lane: lane_width(facts, lane) for lane in directions_of_lanes(facts)}
    thickness = slab_thickness(facts, rated)[0]
    width = rated["lane"].map(widths).to_numpy(dtype=float)
    condition, verdicts = evaluation.tables["condition"], evaluation.tables["verdicts"]
    joints = joints_of_road(facts, condition)
    full = full_depth(rated, thickness, width, decisions.repair, joints)
    covered = covered_by(rated["station"], rated["lane"], full)
    marked = pd.concat(
        [
            full,
            partial_depth(rated, thickness, covered, decisions.repair),
            open_cracks(rated, covered, decisions.repair),
            _voids(evaluation.tables["voids"], widths),
            restorations(joints, evaluation.tables["transfers"], condition, full, widths, decisions),
        ],
        ignore_index=True,
    )
    mended = covered | needs_partial_depth(rated, thickness, covered, decisions.repair)
    marked = off_deck_pieces(marked, spans)
    repairs, refused = _placed(marked, facts, verdicts)
    measured = _measured(repairs)
    quantities = _quantities(measured, verdicts, facts)
    note = remark(
        "{refused} possible repairs lie in sections that do not suit a bonded overlay and are not listed.",
        refused=("count", refused),
    )
    tables = {
        "repairs": measured,
        "repair_quantities": quantities,
        "after_repair": after_repair(rated, mended, evaluation.tables, decisions),
        "reflected_cracks": reflected_cracks(facts, rated, measured[measured["kind"] == FULL], evaluation.tables),
    }
    notes = [*([note] if refused else []), *reflection_notes(tables["reflected_cracks"])]
    return StageResult("repair", tables, tuple(notes))


def _voids(voids: pd.DataFrame, widths: dict[str, float]) -> pd.DataFrame:
    here = voids[voids["void"] == "yes"]
    reasons = [remark("deflection at zero load {intercept}", intercept=("deflection", d)) for d in here["intercept"]]
    return pd.DataFrame(
        {
            "lane": here["lane"].to_numpy(),
            "begin": here["station"].to_numpy(),
            "end": here["station"].to_numpy(),
            "kind": VOID,
            "width": here["lane"].map(widths).to_numpy(dtype=float),
            "depth": np.nan,
            "reason": pd.Series(reasons, dtype=object),
        },
        columns=COLUMNS,
    )


def _placed(marked: pd.DataFrame, facts: Facts, verdicts: pd.DataFrame) -> tuple[pd.DataFrame, int]:
    """Repairs with their section, in the order of the road; those of refused sections are counted and left out."""
    row = section_index(
        verdicts,
        directions_of_lanes(facts),
        marked[["begin", "end"]].mean(axis=1).to_numpy(dtype=float),
        marked["lane"],
    )
    names = verdicts["section"].to_numpy()
    placed = marked.assign(section=np.where(row >= 0, names[row], "") if len(names) else "")
    refused = placed["section"].isin(verdicts.loc[verdicts["verdict"] == NOT_SUITED, "section"])
    kept = placed[~refused].sort_values(["lane", "begin", "kind"], kind="stable").reset_index(drop=True)
    return kept.assign(repair=[f"R{i + 1}" for i in range(len(kept))]), int(refused.sum())


def _measured(repairs: pd.DataFrame) -> pd.DataFrame:
    """Lengths [m] and areas [m2] by kind of repair."""
    kind, width = repairs["kind"].to_numpy(), repairs["width"].to_numpy(dtype=float)
    along = (repairs["end"] - repairs["begin"]).to_numpy(dtype=float)
    length = np.where(kind == CRACK, np.maximum(along, width), along)
    area = np.where(np.isin(kind, [FULL, PARTIAL]), along * width, 0.0)
    return table(REPAIRS, repairs.assign(length=length, area=area)[list(REPAIRS.names)])


def _quantities(repairs: pd.DataFrame, verdicts: pd.DataFrame, facts: Facts) -> pd.DataFrame:
    grouped = repairs.groupby(["section", "kind"], sort=True)
    summed = grouped.agg(number=("repair", "size"), length=("length", "sum"), area=("area", "sum")).reset_index()
    areas = section_areas(verdicts, facts)
    summed["area_share"] = summed["area"].to_numpy() / summed["section"].map(areas).to_numpy(dtype=float)
    return table(REPAIR_QUANTITIES, by_section(summed, verdicts["section"]))
