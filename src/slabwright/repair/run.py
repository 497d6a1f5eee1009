"""The repair stage: what is mended before the overlay, where, and how much."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from slabwright.records.decisions import Decisions
from slabwright.records.facts import Facts
from slabwright.records.outcomes.repair import REPAIR_QUANTITIES, REPAIRS
from slabwright.records.remarks import Remark, remark
from slabwright.records.results import StageResult
from slabwright.records.stage import Given
from slabwright.records.table import table
from slabwright.records.words import CRACK, FULL, NOT_SUITED, PARTIAL, TRANSFER, VOID
from slabwright.repair.marking import COLUMNS, full_depth, open_cracks, partial_depth
from slabwright.roadway.areas import section_areas
from slabwright.roadway.places import directions_of_lanes, lane_width, layer_rows, section_index
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
    full = full_depth(rated, thickness, width, decisions.repair)
    covered = _covered(rated, full)
    marked = pd.concat(
        [
            full,
            partial_depth(rated, thickness, covered, decisions.repair),
            open_cracks(rated, covered, decisions.repair),
            _voids(evaluation.tables["voids"], widths),
            _transfers(facts, evaluation, widths, decisions),
        ],
        ignore_index=True,
    )
    marked = off_deck_pieces(marked, spans)
    repairs, refused = _placed(marked, facts, evaluation.tables["verdicts"])
    measured = _measured(repairs)
    quantities = _quantities(measured, evaluation.tables["verdicts"], facts)
    note = remark(
        "{refused} possible repairs lie in sections that do not suit a bonded overlay and are not listed.",
        refused=("count", refused),
    )
    tables = {"repairs": measured, "repair_quantities": quantities}
    return StageResult("repair", tables, (note,) if refused else ())


def _covered(rated: pd.DataFrame, full: pd.DataFrame) -> npt.NDArray[np.bool_]:
    """Which distresses lie inside a full-depth repair of their lane."""
    inside = np.zeros(len(rated), dtype=bool)
    station = rated["station"].to_numpy()
    for lane, repairs in full.groupby("lane"):
        begin, end = repairs["begin"].to_numpy(), repairs["end"].to_numpy()
        order = np.argsort(begin)
        place = np.searchsorted(begin[order], station, side="right") - 1
        held = (place >= 0) & (station <= end[order][np.clip(place, 0, None)])
        inside |= held & (rated["lane"] == lane).to_numpy()
    return inside


def _voids(voids: pd.DataFrame, widths: dict[str, float]) -> pd.DataFrame:
    here = voids[voids["void"] == "yes"]
    reasons = [remark("deflection at zero load {intercept}", intercept=("deflection", d)) for d in here["intercept"]]
    return _rows(here, widths, VOID, reasons)


def _rows(here: pd.DataFrame, widths: dict[str, float], kind: str, reasons: list[Remark]) -> pd.DataFrame:
    return pd.DataFrame(
        {
            "lane": here["lane"].to_numpy(),
            "begin": here["station"].to_numpy(),
            "end": here["station"].to_numpy(),
            "kind": kind,
            "width": here["lane"].map(widths).to_numpy(dtype=float),
            "depth": np.nan,
            "reason": pd.Series(reasons, dtype=object),
        },
        columns=COLUMNS,
    )


def _transfers(facts: Facts, evaluation: StageResult, widths: dict[str, float], decisions: Decisions) -> pd.DataFrame:
    """Every joint of a tested lane whose section falls short on average; elsewhere the tested joints that do."""
    if decisions.repair.restore_load_transfer == "no":
        return pd.DataFrame(columns=COLUMNS)
    transfers, condition = evaluation.tables["transfers"], evaluation.tables["condition"]
    limit = decisions.evaluation.lowest_load_transfer
    parts = []
    for s in condition[condition["pavement"] != "CRCP"].itertuples(index=False):
        here = transfers[transfers["section"] == s.section]
        if here.empty:
            continue
        if s.transfer < limit:
            parts.append(_all_joints(facts, s, sorted(set(here["lane"])), widths))
        else:
            short = here[here["efficiency"] < limit]
            reasons = [remark("load transfer {found}", found=("share", e)) for e in short["efficiency"]]
            parts.append(_rows(short, widths, TRANSFER, reasons))
    return pd.concat(parts, ignore_index=True) if parts else pd.DataFrame(columns=COLUMNS)


def _all_joints(facts: Facts, section: Any, lanes: list[str], widths: dict[str, float]) -> pd.DataFrame:
    layer = int(layer_rows(facts, np.array([(section.begin + section.end) / 2]), [lanes[0]])[0])
    spacing = float(facts.layers["joint_spacing"].iloc[layer]) if layer >= 0 else np.nan
    stations = np.arange(section.begin, section.end, spacing) if np.isfinite(spacing) else np.array([])
    frame = pd.DataFrame({"station": np.tile(stations, len(lanes)), "lane": np.repeat(lanes, len(stations))})
    reason = remark("mean load transfer of the section {mean}", mean=("share", section.transfer))
    return _rows(frame, widths, TRANSFER, [reason] * len(frame))


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
    return table(REPAIR_QUANTITIES, summed)
