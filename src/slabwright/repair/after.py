"""The old slab after repair: joints and cracks that the marking leaves, load transfer, and what the design takes of both."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import numpy.typing as npt
import pandas as pd

from slabwright.calculation import Array
from slabwright.evaluation.condition import effective_thickness_condition, joints_and_cracks_factor
from slabwright.evaluation.examined import Kind, assumed
from slabwright.evaluation.joints import load_transfer_coefficient
from slabwright.evaluation.restored import falls_short, transfer_after_repair
from slabwright.evaluation.walked import NOT_WALKED
from slabwright.records.decisions import Decisions
from slabwright.records.outcomes.repair import AFTER_REPAIR
from slabwright.records.remarks import Remark, remark
from slabwright.records.table import table
from slabwright.records.words import NOT_SUITED
from slabwright.survey.distress import deteriorated
from slabwright.units import MILE

__all__ = ["DECIDED", "FROM_MARKING", "after_repair", "worth_by_condition"]

FROM_MARKING, DECIDED, UNSEEN = "marking of repairs", "decision", "not surveyed"
MOST_UNREPAIRED = 200 / MILE  # where the published curve of the factor ends


def after_repair(
    rated: pd.DataFrame,
    mended: npt.NDArray[np.bool_],
    evaluation: Mapping[str, pd.DataFrame],
    decisions: Decisions,
) -> pd.DataFrame:
    """The table ``after_repair``: one row for each section; in a section that is not suited nothing is repaired.

    ``evaluation`` are the tables of that stage. ``mended`` (n,) says which of the rated distresses (n rows) a full- or partial-depth repair replaces. A crack that is
    routed and filled still works and counts as left.
    """
    condition, verdicts, walks = (evaluation[name] for name in ("condition", "verdicts", "lanes_walked"))
    repaired = (verdicts["verdict"] != NOT_SUITED).to_numpy()
    counts = _counted(rated, mended, condition, walks, repaired, decisions)
    density = counts["left"].to_numpy(dtype=float) / counts["counted"].to_numpy(dtype=float)
    decided = decisions.evaluation.unrepaired
    unrepaired = np.full(len(condition), decided) if decided > 0 else density
    known = np.where(unrepaired <= MOST_UNREPAIRED, unrepaired, np.nan)
    found = condition["transfer"].to_numpy(dtype=float)
    restored = falls_short(found, decisions) & repaired & (condition["pavement"] != "CRCP").to_numpy()
    restored &= not decisions.evaluation.load_transfer_coefficient > 0
    after = np.where(restored, transfer_after_repair(found, decisions), found)
    j = condition["load_transfer_coefficient"].to_numpy(dtype=float)
    made = counts.assign(
        **{c: condition[c] for c in ("section", "direction", "begin", "end")},
        unrepaired=unrepaired,
        unrepaired_from=np.where(np.isnan(unrepaired), UNSEEN, DECIDED if decided > 0 else FROM_MARKING),
        joints_factor=joints_and_cracks_factor(known),
        transfer=found,
        transfer_after=after,
        coefficient_found=j,
        coefficient=np.where(restored, load_transfer_coefficient(after), j),
        note=pd.Series(_notes(repaired, restored, unrepaired), dtype=object),
    )
    factors = condition[["thickness", "durability_factor", "fatigue_factor"]]
    return table(AFTER_REPAIR, worth_by_condition(pd.concat([made, factors], axis=1))[list(AFTER_REPAIR.names)])


def worth_by_condition(frame: pd.DataFrame) -> pd.DataFrame:
    """Rows with thickness [m] and the three condition factors, and the effective thickness made from them."""
    names = ("thickness", "joints_factor", "durability_factor", "fatigue_factor")
    effective = effective_thickness_condition(*(frame[c].to_numpy(dtype=float) for c in names))
    return frame.assign(effective_condition=effective)


def _counted(
    rated: pd.DataFrame,
    mended: npt.NDArray[np.bool_],
    condition: pd.DataFrame,
    walks: pd.DataFrame,
    repaired: npt.NDArray[np.bool_],
    decisions: Decisions,
) -> pd.DataFrame:
    """Deteriorated joints and cracks of the lane in which most are left to the length, those left, and that length [m].

    ``walks``: the table ``lanes_walked``, over whose lengths the lanes are counted.
    """
    bad = deteriorated(rated)
    unseen = 0.0 if assumed(decisions.evaluation, Kind.SURVEY) else np.nan
    rows = []
    for s, mends in zip(condition.itertuples(index=False), repaired, strict=True):  # a handful of sections
        here = walks[(walks["section"] == s.section) & (walks["standing"] != NOT_WALKED) & (walks["counted"] > 0)]
        lanes, counted = here["lane"].tolist(), here["counted"].to_numpy(dtype=float)
        inside = (rated["lane"].isin(lanes) & rated["station"].between(s.begin, s.end)).to_numpy() & bad
        every, left = (
            rated["lane"][chosen].value_counts().reindex(lanes, fill_value=0).to_numpy()
            for chosen in (inside, inside & ~(mended & mends))
        )
        worst = int(np.lexsort((-every / counted, -left / counted))[0]) if lanes else -1
        rows.append((lanes[worst], every[worst], left[worst], counted[worst]) if lanes else ("", unseen, unseen, 1.0))
    return pd.DataFrame(rows, columns=["lane", "deteriorated", "left", "counted"])


def _notes(repaired: npt.NDArray[np.bool_], restored: Array, unrepaired: Array) -> list[Remark | str]:
    beyond = remark(
        "more deteriorated joints and cracks are left than the curve of the factor knows, {most}: repair more of them",
        most=("frequency", MOST_UNREPAIRED),
    )
    notes: list[Remark | str] = []
    for mends, restores, left in zip(repaired, restored, unrepaired, strict=True):
        if left > MOST_UNREPAIRED:
            notes.append(beyond)
        elif not mends:
            notes.append("not suited: nothing is repaired")
        else:
            notes.append("load transfer is restored" if restores else "")
    return notes
