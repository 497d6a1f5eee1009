"""Section boundaries of one direction: from the pavement, from durability cracking, from deflection, or by hand."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, floor

import numpy as np
import numpy.typing as npt
import pandas as pd

from slabwright.calculation import Array
from slabwright.errors import InputError
from slabwright.records.decisions import stations
from slabwright.records.decisions.survey import SurveyDecisions
from slabwright.survey.sections import (
    boundaries_by_change_points,
    boundaries_by_cumulative_difference,
    cumulative_difference,
    drop_weak_boundaries,
)
from slabwright.units import format_station

__all__ = [
    "Boundary",
    "by_deflection",
    "by_hand",
    "by_hand_on_road",
    "choose_boundaries",
    "mid_slab_response",
]

CELL = 45.72  # 150 ft: ten usual slabs, enough joints in a cell to speak of a share
MOST_CELLS = 2000  # longer roads get longer cells: the search takes the square of their number


@dataclass(frozen=True)
class Boundary:
    """One boundary with what made it."""

    station: float
    reason: str
    hard: bool = False


def mid_slab_response(basins: pd.DataFrame, lanes: list[str]) -> tuple[Array, Array]:
    """Stations (ascending, distinct) and mean centre deflection of mid-slab tests in the given lanes; one of nothing is no test."""
    here = basins[(basins["position"] == "mid-slab") & basins["lane"].isin(lanes) & (basins["deflection_1"] > 0)]
    mean = here.groupby("station")["deflection_1"].mean().dropna()
    return mean.index.to_numpy(dtype=float), mean.to_numpy(dtype=float)


def _middles(stations: Array, boundaries: npt.NDArray[np.int64]) -> list[float]:
    return [float((stations[b - 1] + stations[b]) / 2) for b in boundaries]


def by_deflection(stations: Array, response: Array, method: str, shortest: float) -> list[Boundary]:
    """Boundaries from centre deflection by the named method, weak ones dropped."""
    if len(stations) < 6:
        return []
    if method == "cumulative difference":
        raw = boundaries_by_cumulative_difference(cumulative_difference(stations, response))
    else:
        raw = boundaries_by_change_points(np.log(response), 3)
    kept = drop_weak_boundaries(stations, np.log(response), raw, shortest)
    return [Boundary(s, f"deflection, {method}") for s in _middles(stations, kept)]


def _by_durability(
    distresses: pd.DataFrame, lanes: list[str], limits: tuple[float, float], shortest: float
) -> list[Boundary]:
    """Boundaries where the number of joints with durability cracking in a cell of the road changes."""
    here = distresses[(distresses["kind"] == "durability cracking") & distresses["lane"].isin(lanes)]
    looked = distresses.loc[distresses["lane"].isin(lanes), "station"].dropna().clip(*limits)
    if here.empty or looked.empty:
        return []
    first = limits[0] + CELL * floor((looked.min() - limits[0]) / CELL)
    last = limits[0] + CELL * ceil((looked.max() - limits[0]) / CELL)  # what nobody surveyed is not free of cracking
    edges = np.arange(first, last + CELL, max(CELL, (last - first) / MOST_CELLS))
    if len(edges) < 7:
        return []
    count = np.histogram(here["station"], bins=edges)[0].astype(float)
    middle = (edges[:-1] + edges[1:]) / 2
    kept = drop_weak_boundaries(middle, count, boundaries_by_change_points(count, 3), shortest)
    return [Boundary(s, "durability cracking") for s in _middles(middle, kept)]


SAME_PLACE = 1.0  # m: two boundaries nearer than this, or one so near to an end, are the same; no section is shorter


def _by_pavement(layers: pd.DataFrame, lanes: list[str], limits: tuple[float, float]) -> list[Boundary]:
    """Hard boundaries where the kind, thickness or joint spacing of the pavement changes."""
    here = layers[(layers["lane"] == "") | layers["lane"].isin(lanes)]
    found = []
    for station in np.unique(here[["begin", "end"]].to_numpy()):
        before, after = (
            {
                (p, t, j)
                for p, t, j, b, e in here.assign(joint_spacing=here["joint_spacing"].fillna(0.0))[
                    ["pavement", "thickness", "joint_spacing", "begin", "end"]
                ].itertuples(index=False)
                if b <= s <= e
            }
            for s in (station - 0.01, station + 0.01)
        )
        if limits[0] + SAME_PLACE < station < limits[1] - SAME_PLACE and before != after:
            found.append(Boundary(float(station), "change of pavement", hard=True))
    return found


def by_hand(text: str) -> list[Boundary]:
    """Boundaries that the engineer set, as stations separated by semicolons."""
    return [Boundary(station, "set by hand", hard=True) for station in stations(text)]


def by_hand_on_road(decisions: SurveyDecisions, limits: tuple[float, float]) -> list[Boundary]:
    """The boundaries set by hand; InputError for one that cannot be read or lies off the road."""
    chosen = by_hand(decisions.section_boundaries)
    off = [b.station for b in chosen if not limits[0] < b.station < limits[1]]
    if off:
        raise InputError(
            "a section boundary set by hand lies off the road",
            given=format_station(off[0]),
            allowed=f"between {format_station(limits[0])} and {format_station(limits[1])}",
            remedy="Change the decision survey.section_boundaries.",
        )
    return chosen


def choose_boundaries(candidates: list[Boundary], limits: tuple[float, float], shortest: float) -> list[Boundary]:
    """Boundaries at least ``shortest`` apart and from the ends; hard ones stay unless they name the same place."""
    kept: list[Boundary] = []
    for boundary in sorted(candidates, key=lambda b: not b.hard):
        apart = [abs(boundary.station - s) for s in (*limits, *(k.station for k in kept))]
        if min(apart) >= (SAME_PLACE if boundary.hard else shortest):
            kept.append(boundary)
    return sorted(kept, key=lambda b: b.station)


def direction_boundaries(
    basins: pd.DataFrame,
    distresses: pd.DataFrame,
    layers: pd.DataFrame,
    lanes: list[str],
    limits: tuple[float, float],
    decisions: SurveyDecisions,
) -> list[Boundary]:
    """The boundaries of one direction; boundaries by hand replace those found from deflection and durability."""
    hard = _by_pavement(layers, lanes, limits)
    if decisions.section_boundaries.strip():
        chosen = by_hand_on_road(decisions, limits)
        return choose_boundaries([*hard, *chosen], limits, decisions.shortest_section)
    stations, response = mid_slab_response(basins, lanes)
    soft = _by_durability(distresses, lanes, limits, decisions.shortest_section)
    for begin, end in zip(
        [limits[0], *(b.station for b in hard)], [*(b.station for b in hard), limits[1]], strict=True
    ):
        here = (stations >= begin) & (stations <= end)
        soft += by_deflection(stations[here], response[here], decisions.section_method, decisions.shortest_section)
    return choose_boundaries([*hard, *soft], limits, decisions.shortest_section)
