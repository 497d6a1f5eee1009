"""Where the transverse joints of the road lie: those surveyed or tested, and between and beyond them by the joint spacing."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from slabwright.calculation import Array
from slabwright.records.facts import Facts
from slabwright.roadway.places import directions_of_lanes, layer_rows

__all__ = [
    "SAME_JOINT",
    "Joints",
    "joints_by_spacing",
    "joints_of_road",
    "known_joints",
    "slab_numbers",
    "slabs_of_length",
]

SAME_JOINT = 1.0  # m: what was tested or surveyed this close together is one joint (common practice, no source)
# Distresses that lie on a joint and nowhere else, and the places of the plate that touch one.
ON_JOINTS = ("joint spalling", "joint seal damage")
TOUCHING = ("joint approach", "joint leave", "corner")


AT_JOINT = 1e-3  # m: what is recorded at a joint lies in the slab after it, whatever the last bits of its station


def slab_numbers(joints: Array, stations: npt.ArrayLike) -> npt.NDArray[np.int64]:
    """Number of the slab (n,) that each station (n,) [m] lies in, counted from the first joint (m,) [m], rising. Raises nothing."""
    return np.searchsorted(joints, np.asarray(stations, dtype=float) + AT_JOINT, side="right")


def slabs_of_length(length: npt.ArrayLike, spacing: npt.ArrayLike) -> Array:
    """Whole slabs (n,) of a lane in a length (n,) [m], at least one; NaN without a joint spacing (n,) [m]. Raises nothing."""
    along, apart = np.broadcast_arrays(np.asarray(length, dtype=float), np.asarray(spacing, dtype=float))
    number = np.divide(along, apart, out=np.full(apart.shape, np.nan), where=apart > 0)
    return np.maximum(np.round(number), 1.0)


@dataclass(frozen=True)
class Joints:
    """Stations (n,) [m], rising, and whether each is assumed from the spacing (n,)."""

    station: Array
    assumed: npt.NDArray[np.bool_]


def known_joints(facts: Facts, lane: str) -> Array:
    """Stations (n,) [m], rising, of the joints of a lane that were surveyed or tested. Raises nothing.

    What lies within a metre is one joint: at the mean of the surveyed stations, else of the tested ones, where the plate stood
    beside the joint.
    """
    surveyed, tested = facts.distresses, facts.deflections
    seen = surveyed[(surveyed["lane"] == lane) & surveyed["kind"].isin(ON_JOINTS)]["station"].dropna().to_numpy()
    felt = tested[(tested["lane"] == lane) & tested["position"].isin(TOUCHING)]["station"].dropna().unique()
    station = np.concatenate([seen, felt]).astype(float)
    weight = np.concatenate([np.ones(len(seen)), np.zeros(len(felt))])
    order = np.argsort(station, kind="stable")
    station, weight = station[order], weight[order]
    group = np.concatenate([[0], np.cumsum(np.diff(station) > SAME_JOINT)]) if len(station) else station
    frame = pd.DataFrame({"group": group, "station": station, "weight": weight})
    best = frame[frame["weight"] == frame.groupby("group")["weight"].transform("max")]
    return best.groupby("group")["station"].mean().to_numpy(dtype=float)


def joints_by_spacing(begin: float, end: float, known: Array, spacing: float) -> Joints:
    """Joints from ``begin`` up to, not at, ``end`` [m], of which ``known`` (n,) [m] rising, the others at ``spacing`` [m].

    Between two known ones as many slabs of equal length as come nearest the spacing; beyond the outermost, in steps of the
    spacing from it. Where none is known, in steps from ``begin``. Without a spacing, the known ones alone. Raises nothing.
    """
    known = known[(known >= begin) & (known < end)]
    if not spacing > 0:
        return Joints(known, np.zeros(len(known), dtype=bool))
    if not len(known):
        stations = np.arange(begin, end, spacing)
        return Joints(stations, np.ones(len(stations), dtype=bool))
    slabs = np.maximum(np.round(np.diff(known) / spacing), 1).astype(int)
    between = [np.linspace(a, b, n + 1)[1:-1] for a, b, n in zip(known[:-1], known[1:], slabs, strict=True)]
    before = np.arange(known[0] - spacing, begin - 1e-9, -spacing)
    after = np.arange(known[-1] + spacing, end, spacing)
    assumed = np.concatenate([before, *between, after])
    station = np.concatenate([known, assumed])
    order = np.argsort(station, kind="stable")
    return Joints(station[order], (np.arange(len(station)) >= len(known))[order])


def joints_of_road(facts: Facts, sections: pd.DataFrame) -> pd.DataFrame:
    """Joints (n,) of every lane in its jointed sections: section, lane, station [m], assumed, spacing [m]. Raises nothing.

    ``sections`` has section, direction, begin, end and pavement. A lane of which no joint is known in a section has those that
    are known in the lanes beside it, assumed there: joints run across the lanes (common practice, no source).
    """
    parts = []
    directions = directions_of_lanes(facts)
    own = {lane: known_joints(facts, lane) for lane in directions}
    for s in sections[sections["pavement"] != "CRCP"].itertuples(index=False):  # a handful of sections
        lanes = [lane for lane, way in directions.items() if way == s.direction]
        beside = np.sort(np.concatenate([own[lane] for lane in lanes])) if lanes else np.zeros(0)
        beside = beside[np.concatenate([[True], np.diff(beside) > SAME_JOINT])] if len(beside) else beside
        layers = layer_rows(facts, np.full(len(lanes), (s.begin + s.end) / 2), lanes)
        for lane, layer in zip(lanes, layers, strict=True):
            spacing = float(facts.layers["joint_spacing"].iloc[layer]) if layer >= 0 else np.nan
            mine = bool(((own[lane] >= s.begin) & (own[lane] < s.end)).any())
            found = joints_by_spacing(s.begin, s.end, own[lane] if mine else beside, spacing)
            assumed = found.assumed if mine else np.ones(len(found.station), dtype=bool)
            parts.append(
                pd.DataFrame({
                    "section": s.section,
                    "lane": lane,
                    "station": found.station,
                    "assumed": assumed,
                    "spacing": spacing,
                })
            )
    empty = pd.DataFrame(columns=["section", "lane", "station", "assumed", "spacing"])
    return pd.concat(parts, ignore_index=True) if parts else empty
