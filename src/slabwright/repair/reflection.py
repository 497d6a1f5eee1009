"""Cracks that the repairs leave in the old slab: they work, and a bonded overlay above them cracks with them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
import pandas as pd

from slabwright.calculation import Array
from slabwright.evaluation.walked import NOT_WALKED
from slabwright.records.facts import Facts
from slabwright.records.outcomes.repair import REFLECTED_CRACKS
from slabwright.records.remarks import Remark, remark
from slabwright.records.table import empty, table
from slabwright.records.words import NOT_JUDGED, NOT_SUITED
from slabwright.repair.marking import covered_by
from slabwright.roadway.joints import joints_of_road, slab_numbers, slabs_of_length
from slabwright.roadway.places import by_section

__all__ = ["WORKING", "reflected_cracks", "reflection_notes"]

# What divides a slab of plain concrete, at any severity or none given; joints and spalls are not among them.
WORKING = ("transverse crack", "longitudinal crack", "corner break")
AT_JOINT = (
    1e-6  # of a slab: a crack recorded at a joint lies in the slab after it, whatever the last bit of its station
)
MEANING = remark(
    "A crack that works comes through a bonded overlay, as a rule within the first years (common practice, no source):"
    " replace the slab full depth, saw a joint above the crack, or accept it."
)
SOME = 0.005  # of the slabs of a lane: less is not worth a word


def reflected_cracks(
    facts: Facts, rated: pd.DataFrame, full: pd.DataFrame, evaluation: Mapping[str, pd.DataFrame]
) -> pd.DataFrame:
    """The table ``reflected_cracks``: slabs of every lane that was walked, the worst lane of a section first.

    ``evaluation``: the tables of that stage. A lane walked partly has the slabs of the length walked. ``full``: the full-depth
    repairs that are made (lane, begin, end [m]); only they take a crack out, one that is routed and
    filled works as before. Sections that take no overlay are left out, and continuously reinforced pavement, whose steel
    holds its cracks tight. Slabs lie between the joints of ``roadway.joints``; without a joint spacing, slabs and shares are
    NaN and cracks are counted.
    """
    condition, verdicts, walks = (evaluation[name] for name in ("condition", "verdicts", "lanes_walked"))
    joints = joints_of_road(facts, condition)
    refused = verdicts["verdict"].isin([NOT_SUITED, NOT_JUDGED]).to_numpy()
    last = condition["end"].max() if len(condition) else np.nan
    rows = []
    for s in condition[~refused & (condition["pavement"] != "CRCP").to_numpy()].itertuples(index=False):
        cracks = _working(rated, s.begin, s.end, s.pavement, last=s.end == last)
        walked = walks[(walks["section"] == s.section) & (walks["standing"] != NOT_WALKED) & (walks["counted"] > 0)]
        for lane, counted in zip(walked["lane"], walked["counted"], strict=True):
            here = joints[(joints["section"] == s.section) & (joints["lane"] == lane)]
            spacing = float(here["spacing"].iloc[0]) if len(here) else np.nan
            found, left = _slabs(cracks[cracks["lane"] == lane], here["station"].to_numpy(dtype=float), full, spacing)
            rows.append((s.section, lane, float(slabs_of_length(counted, spacing)), found, left))
    if not rows:
        return empty(REFLECTED_CRACKS)
    made = pd.DataFrame(rows, columns=["section", "lane", "slabs", "cracked", "left"])
    made["share"] = np.minimum(made["left"] / made["slabs"], 1.0)
    made = made.sort_values("share", ascending=False, kind="stable")
    return table(REFLECTED_CRACKS, by_section(made, condition["section"]))


def _working(rated: pd.DataFrame, begin: float, end: float, pavement: str, *, last: bool) -> pd.DataFrame:
    """The cracks of a section that work; the steel of a jointed reinforced slab holds those that are slight."""
    before = rated["station"] <= end if last else rated["station"] < end
    here = rated[rated["kind"].isin(WORKING) & (rated["station"] >= begin) & before]
    return here[here["severity"] != "low"] if pavement == "JRCP" else here


def _slabs(cracks: pd.DataFrame, joints: Array, full: pd.DataFrame, spacing: float) -> tuple[int, int]:
    """Slabs of a lane with a crack, and those with one that no repair takes out; cracks where no slab is known."""
    pieces = [_pieces(row, joints) for row in cracks.itertuples(index=False)]  # some dozens in a lane of a section
    number, begin, end = (np.concatenate(part) for part in zip(*pieces, strict=True)) if pieces else [np.zeros(0)] * 3
    if not spacing > 0:
        number = np.repeat(np.arange(len(pieces)), [len(p[0]) for p in pieces])
    lane = np.repeat(cracks["lane"].to_numpy(), [len(p[0]) for p in pieces])
    out = np.logical_and.reduce([covered_by(at, lane, full) for at in (begin, (begin + end) / 2, end)])
    return len(np.unique(number)), len(np.unique(number[~out]))


def _pieces(crack: Any, joints: Array) -> tuple[Array, Array, Array]:
    """Slab numbers, begins and ends [m] of a crack; one along the lane reaches into every slab of its length."""
    along = crack.length if crack.kind == "longitudinal crack" and crack.length > 0 else 0.0
    begin, end = crack.station, crack.station + along
    cuts = np.array([begin, *joints[(joints > begin) & (joints < end)], end])
    return slab_numbers(joints, cuts[:-1]).astype(float), cuts[:-1], cuts[1:]


def reflection_notes(found: pd.DataFrame) -> list[Remark]:
    """How many cracks are left, for the sections where they are more than a few, and what they do to the overlay."""
    worst = found.drop_duplicates("section")
    notes = [
        remark(
            "{left} of {slabs} slabs of lane {lane} keep a crack that works after repair.",
            str(row.section),
            left=("count", row.left),
            slabs=("count", row.slabs),
            lane=("text", row.lane),
        )
        for row in worst[worst["share"] >= SOME].itertuples(index=False)
    ]
    return [*notes, MEANING] if notes else []
