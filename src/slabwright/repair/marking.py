"""Repairs marked out from the distress survey by rules that an agency can change."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pandas as pd

from slabwright.calculation import Array
from slabwright.records.decisions.repair import RepairDecisions
from slabwright.records.remarks import remark
from slabwright.records.words import CRACK, FILLED_BY_OVERLAY, FILLED_FIRST, FULL, PARTIAL
from slabwright.roadway.joints import SAME_JOINT

__all__ = [
    "COLUMNS",
    "covered_by",
    "full_depth",
    "merge_intervals",
    "needs_partial_depth",
    "open_cracks",
    "partial_depth",
]

COLUMNS = ["lane", "begin", "end", "kind", "width", "depth", "reason"]
SEVERE = {"moderate": ("moderate", "high"), "high": ("high",)}
# Kinds that are replaced full depth from the chosen severity on, and those that are so only when high.
FROM_CHOSEN = ("transverse crack", "corner break", "punchout")
ONLY_HIGH = ("joint spalling", "durability cracking", "patch")
CRACKS = ("transverse crack", "longitudinal crack")
AT_JOINT, AT_ASSUMED = "end moved to a joint", "end moved to an assumed joint"
NO_JOINTS = pd.DataFrame({"lane": [], "station": [], "assumed": []})
NEARLY = 1e-6  # m: an end this near a joint stands at it
USUAL_LOSS = 0.05  # m: depth of loss at a spall whose depth was not measured (common practice, no source)


def full_depth(
    rated: pd.DataFrame, thickness: Array, width: Array, decisions: RepairDecisions, joints: pd.DataFrame = NO_JOINTS
) -> pd.DataFrame:
    """Full-depth repairs over the full lane, apart from one another. ``rated`` rows with slab thickness and lane width [m].

    Intervals are centred on the distress and at least the shortest length; a distress longer along the lane than
    that is covered whole. An end near a joint is moved to it, from either side; a distress at a joint is replaced on both
    sides of it; neighbours that overlap, or leave a short sound piece, are one.
    ``joints``: lane, station [m] and whether it is assumed, as of ``roadway.joints``.
    """
    chosen = _needs_full_depth(rated, thickness, decisions)
    here, h, w = rated[chosen], thickness[chosen], width[chosen]
    along = np.where(here["kind"].isin(["punchout", "patch"]), here["length"].fillna(0), 0.0)
    half = np.maximum(along, decisions.full_depth_shortest) / 2
    station = here["station"].to_numpy()
    frame = pd.DataFrame(
        {
            "lane": here["lane"].to_numpy(),
            "begin": station - half,
            "end": station + half,
            "kind": FULL,
            "width": w,
            "depth": h,
            "reason": (here["severity"] + " " + here["kind"]).to_numpy(),
        },
        columns=COLUMNS,
    )
    frame = _off_slivers(frame, station, np.where(along > 0, along / 2, 0.0), joints, decisions)
    parts = [
        _settled(lane, joints[joints["lane"] == name].sort_values("station"), decisions)
        for name, lane in frame.groupby("lane", sort=True)
    ]
    return pd.concat(parts, ignore_index=True) if parts else frame


def _needs_full_depth(rated: pd.DataFrame, thickness: Array, decisions: RepairDecisions) -> npt.NDArray[np.bool_]:
    kind, level = rated["kind"], rated["severity"]
    deep = (rated["depth"] > decisions.partial_depth_deepest * thickness) & kind.isin(["joint spalling", "scaling"])
    chosen = kind.isin(FROM_CHOSEN) & level.isin(SEVERE[decisions.full_depth_severity])
    shallow = kind.eq("joint spalling") & rated["depth"].notna() & ~deep
    high = kind.isin(ONLY_HIGH) & level.eq("high") & ~shallow
    return np.asarray(chosen | high | deep, dtype=bool)


def _off_slivers(
    repairs: pd.DataFrame, station: Array, reach: Array, joints: pd.DataFrame, decisions: RepairDecisions
) -> pd.DataFrame:
    """Repairs that cut into the next slab by less than the distance to a joint end at that joint, and keep their length.

    Where the distress itself, ``reach`` [m] either way of its ``station`` (n,) [m], comes to the joint, they go that far past it.
    """
    begin, end = repairs["begin"].to_numpy(dtype=float).copy(), repairs["end"].to_numpy(dtype=float).copy()
    reason, distance = repairs["reason"].to_numpy(dtype=object).copy(), decisions.joint_distance
    for i, lane in enumerate(repairs["lane"]):  # a handful of repairs
        here = joints[joints["lane"] == lane]
        inside = here[(here["station"] > begin[i] + NEARLY) & (here["station"] < end[i] - NEARLY)]
        for joint in inside.itertuples(index=False):
            back, ahead = joint.station - begin[i], end[i] - joint.station
            if min(back, ahead) >= distance - NEARLY:
                continue
            if abs(joint.station - station[i]) <= reach[i] + SAME_JOINT / 2:
                begin[i] -= max(distance - back, 0.0)
                end[i] += max(distance - ahead, 0.0)
                continue
            length = max(decisions.full_depth_shortest, end[i] - joint.station if back < ahead else back)
            begin[i], end[i] = (
                (joint.station, joint.station + length) if back < ahead else (joint.station - length, joint.station)
            )
            reason[i] = f"{reason[i]}, {AT_ASSUMED if joint.assumed else AT_JOINT}"
    return repairs.assign(begin=begin, end=end, reason=reason)


def _settled(lane: pd.DataFrame, joints: pd.DataFrame, decisions: RepairDecisions) -> pd.DataFrame:
    """Repairs of one lane merged, and their ends moved to joints, until neither changes any: each can call for the other."""
    while True:
        merged = _merged(lane, decisions)
        moved = _ends_at_joints(merged, joints, decisions.joint_distance)
        if len(moved) == len(lane) and moved[["begin", "end"]].equals(merged[["begin", "end"]]):
            return moved
        lane = moved


def _merged(lane: pd.DataFrame, decisions: RepairDecisions) -> pd.DataFrame:
    """Merge where the sound piece between is short; what it would cost to keep it, the economics stage says."""
    group = merge_intervals(lane["begin"].to_numpy(), lane["end"].to_numpy(), decisions.merge_gap)
    merged = lane.groupby(group)
    return pd.DataFrame({
        "lane": merged["lane"].first(),
        "begin": merged["begin"].min(),
        "end": merged["end"].max(),
        "kind": FULL,
        "width": merged["width"].max(),
        "depth": merged["depth"].max(),
        "reason": merged["reason"].agg(lambda r: ", ".join(dict.fromkeys(", ".join(r).split(", ")))),
    })[COLUMNS]


def _ends_at_joints(repairs: pd.DataFrame, joints: pd.DataFrame, distance: float) -> pd.DataFrame:
    """Each end moved outward to the next joint where that is nearer than ``distance`` [m]; no repair gets shorter."""
    if not len(joints):
        return repairs
    station, assumed = joints["station"].to_numpy(dtype=float), joints["assumed"].to_numpy(dtype=bool)
    reason = repairs["reason"].to_numpy(dtype=object).copy()
    ends = {}
    for name, way in (("begin", -1.0), ("end", 1.0)):
        end = repairs[name].to_numpy(dtype=float)
        outward = way * (station - end[:, None])
        ahead = np.where(outward > NEARLY, outward, np.inf)
        nearest = ahead.argmin(axis=1)
        moves = ahead.min(axis=1) < distance
        ends[name] = np.where(moves, station[nearest], end)
        words = np.where(assumed[nearest], AT_ASSUMED, AT_JOINT)
        reason[moves] = [
            text if word in text.split(", ") else f"{text}, {word}"
            for text, word in zip(reason[moves], words[moves], strict=True)
        ]
    return repairs.assign(**ends, reason=reason)


def covered_by(
    stations: npt.ArrayLike, lanes: npt.ArrayLike, full: pd.DataFrame, reach: float = 0.0
) -> npt.NDArray[np.bool_]:
    """Whether each station (n,) [m] of a lane (n,) lies inside a full-depth repair of that lane, or within ``reach`` [m] of it.

    ``full``: repairs apart from one another. (n,)
    """
    station, lane = np.asarray(stations, dtype=float), np.asarray(lanes, dtype=object)
    inside = np.zeros(len(station), dtype=bool)
    for name, repairs in full.groupby("lane"):
        begin, end = np.sort(repairs["begin"].to_numpy()) - reach, np.sort(repairs["end"].to_numpy()) + reach
        place = np.searchsorted(begin, station, side="right") - 1
        inside |= (place >= 0) & (station <= end[np.clip(place, 0, None)]) & (lane == name)
    return inside


def merge_intervals(begin: Array, end: Array, gap: float) -> npt.NDArray[np.int64]:
    """Number of the merged interval for each interval: those whose gap is at most ``gap`` belong together."""
    order = np.argsort(begin, kind="stable")
    reach = np.maximum.accumulate(end[order])
    apart = begin[order][1:] - reach[:-1] > gap
    number = np.empty(len(begin), dtype=np.int64)
    number[order] = np.concatenate([[0], np.cumsum(apart)]) if len(begin) else []
    return number


def needs_partial_depth(
    rated: pd.DataFrame, thickness: Array, covered: npt.NDArray[np.bool_], decisions: RepairDecisions
) -> npt.NDArray[np.bool_]:
    """Which distresses (n rows) get a partial-depth repair: spalls not already inside a full-depth repair. (n,)"""
    deep = (rated["depth"] > decisions.partial_depth_deepest * thickness).to_numpy()
    spall = rated["kind"].eq("joint spalling") & rated["severity"].isin(["moderate", "high"])
    return np.asarray((spall | rated["kind"].eq("scaling")).to_numpy() & ~covered & ~deep, dtype=bool)


def partial_depth(
    rated: pd.DataFrame, thickness: Array, covered: npt.NDArray[np.bool_], decisions: RepairDecisions
) -> pd.DataFrame:
    """Partial-depth repairs at spalls that are not already inside a full-depth repair."""
    chosen = needs_partial_depth(rated, thickness, covered, decisions)
    here = rated[chosen]
    margin = 2 * decisions.partial_depth_margin
    across = here["length"].fillna(0.3).to_numpy() + margin
    along = np.maximum(here["spall_width"].fillna(0.1).to_numpy() * 2, 0.15) + margin
    station = here["station"].to_numpy()
    by_overlay = decisions.fill_partial_with_overlay == "yes"
    return pd.DataFrame(
        {
            "lane": here["lane"].to_numpy(),
            "begin": station - along / 2,
            "end": station + along / 2,
            "kind": PARTIAL,
            "width": across,
            "depth": here["depth"].fillna(USUAL_LOSS).to_numpy(),
            "reason": (here["severity"] + " " + here["kind"]).to_numpy(),
            "filled_with": FILLED_BY_OVERLAY if by_overlay else FILLED_FIRST,
        },
        columns=[*COLUMNS, "filled_with"],
    )


def open_cracks(rated: pd.DataFrame, covered: npt.NDArray[np.bool_], decisions: RepairDecisions) -> pd.DataFrame:
    """Cracks routed and filled with polymer concrete: open ones outside full-depth repairs.

    A transverse crack runs across the lane (its length is the repair's width), a longitudinal one along it.
    """
    open_enough = (rated["crack_width"] >= decisions.crack_width_to_fill).to_numpy()
    here = rated[rated["kind"].isin(CRACKS).to_numpy() & open_enough & ~covered]
    length = here["length"].fillna(0.0).to_numpy()
    along = here["kind"].eq("longitudinal crack").to_numpy()
    station = here["station"].to_numpy()
    reasons = [
        remark(f"{severity} {kind}, {{opening}} open", opening=("width", width))
        for severity, kind, width in zip(here["severity"], here["kind"], here["crack_width"], strict=True)
    ]
    return pd.DataFrame(
        {
            "lane": here["lane"].to_numpy(),
            "begin": station,
            "end": np.where(along, station + length, station),
            "kind": CRACK,
            "width": np.where(along, 0.0, length),
            "depth": np.nan,
            "reason": pd.Series(reasons, dtype=object),
        },
        columns=COLUMNS,
    )
