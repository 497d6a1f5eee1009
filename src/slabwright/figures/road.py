"""The road under the layers of the strip: limits, lanes, sections with their verdicts, bridges and ramps."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from slabwright.figures.shown import short_name
from slabwright.records.facts import Facts
from slabwright.records.results import StageResult
from slabwright.roadway.places import directions_of_lanes, road_limits

if TYPE_CHECKING:
    import pandas as pd

__all__ = [
    "AGAINST",
    "CLOSEST",
    "UNKNOWN",
    "WITH",
    "Lane",
    "Mark",
    "Road",
    "Section",
    "Window",
    "clamped",
    "lane_rows",
    "moved",
    "road_of",
    "zoomed",
]

Window = tuple[float, float]

WITH, AGAINST, UNKNOWN = "with stationing", "against stationing", "direction unknown"
CLOSEST = 6.0  # m, the shortest window
MEDIAN = 0.6  # of a lane's width on the plan


@dataclass(frozen=True)
class Lane:
    """A lane; its position counts from the median. ``key`` stands for a name that a small drawing cannot hold."""

    name: str
    direction: str
    position: float
    key: str = ""


@dataclass(frozen=True)
class Section:
    """A homogeneous section with the verdict on a bonded overlay, "" before there is one."""

    name: str
    direction: str
    begin: float
    end: float
    verdict: str
    reasons: str
    table: str
    row: int


@dataclass(frozen=True)
class Mark:
    """A bridge (``kind`` "over the road" or "under the road") or a ramp ("on" or "off", with the lane it meets).

    ``key`` is B1, B2 ... for the bridges and a, b ... for the ramps of a direction, in the order of the road.
    """

    name: str
    kind: str
    begin: float
    end: float
    lane: str
    table: str
    row: int
    key: str = ""


@dataclass(frozen=True)
class Road:
    """The road that the layers lie on: limits in m, lanes, sections, bridges and ramps."""

    begin: float
    end: float
    lanes: tuple[Lane, ...]
    sections: tuple[Section, ...]
    bridges: tuple[Mark, ...]
    ramps: tuple[Mark, ...]
    title: str = "Road"

    def only(self, direction: str) -> Road:
        """One direction of the road by itself."""
        lanes = tuple(lane for lane in self.lanes if lane.direction == direction)
        names = {lane.name for lane in lanes}
        way = {WITH: "travel →", AGAINST: "← travel"}.get(direction, "")
        median = {WITH: "median above", AGAINST: "median below"}.get(direction, "")
        return replace(
            self,
            lanes=lanes,
            sections=tuple(s for s in self.sections if s.direction == direction),
            ramps=tuple(r for r in self.ramps if r.lane in names),
            title=", ".join(w for w in ("Road", median, way) if w),
        )


def clamped(begin: float, end: float, road: Road) -> Window:
    """A window that lies on the road, is not closer than ``CLOSEST``, and keeps its length where it can. [m]"""
    begin, end = min(begin, end), max(begin, end)
    length = min(max(end - begin, CLOSEST), max(road.end - road.begin, CLOSEST))
    middle = (begin + end) / 2
    first = min(max(middle - length / 2, road.begin), max(road.end - length, road.begin))
    return first, first + length


def zoomed(window: Window, times: float, road: Road) -> Window:
    """The window drawn ``times`` as large about its middle."""
    middle, half = (window[0] + window[1]) / 2, (window[1] - window[0]) / 2 / times
    return clamped(middle - half, middle + half, road)


def moved(window: Window, share: float, road: Road) -> Window:
    """The window moved along the road by a share of its length."""
    step = share * (window[1] - window[0])
    return clamped(window[0] + step, window[1] + step, road)


def road_of(facts: Facts, results: Mapping[str, StageResult]) -> Road:
    """The road under the layers. Raises MissingFact when its limits are unknown."""
    begin, end = road_limits(facts)
    lanes = _lanes(facts)
    return Road(begin, end, lanes, _sections(results), _bridges(facts.bridges), _ramps(facts.ramps, lanes))


def _lanes(facts: Facts) -> tuple[Lane, ...]:
    position = dict(zip(facts.lanes["lane"], facts.lanes["position"], strict=True))
    return tuple(
        Lane(
            name,
            direction,
            float(position.get(name, np.nan)),
            short_name(name, _lane_key(float(position.get(name, np.nan)), i)),
        )
        for i, (name, direction) in enumerate(directions_of_lanes(facts).items())
    )


def _lane_key(position: float, place: int) -> str:
    return f"lane {position:.0f}" if math.isfinite(position) else f"lane no. {place + 1}"


def lane_rows(lanes: Sequence[Lane]) -> dict[str, float]:
    """Height of the middle of each lane on the plan, in lanes from the foot."""
    rows: dict[str, float] = {}
    height = 0.5
    for direction, outward in (("", 1), (WITH, -1), (AGAINST, 1)):
        here = [lane for lane in lanes if lane.direction == direction]
        here.sort(key=lambda lane: (outward * lane.position if math.isfinite(lane.position) else math.inf, lane.name))
        for lane in here:
            rows[lane.name] = height
            height += 1
        height += MEDIAN if here else 0
    return rows


def _sections(results: Mapping[str, StageResult]) -> tuple[Section, ...]:
    """Sections with their verdicts, or as the survey cut them when there are no verdicts yet."""
    for stage, table in (("evaluation", "verdicts"), ("survey", "sections")):
        if stage in results:
            rows: Sequence[Any] = list(results[stage].tables[table].itertuples(index=False))
            return tuple(
                Section(
                    s.section,
                    s.direction,
                    float(s.begin),
                    float(s.end),
                    getattr(s, "verdict", ""),
                    getattr(s, "reasons", ""),
                    table,
                    i,
                )
                for i, s in enumerate(rows)
            )
    return ()


def _bridges(frame: pd.DataFrame) -> tuple[Mark, ...]:
    begin, end = (frame[name].to_numpy(dtype=float) for name in ("begin", "end"))
    rank = np.argsort(np.argsort(begin, kind="stable"))
    return tuple(
        Mark(name, passes, float(begin[i]), float(end[i]), "", "bridges", i, f"B{rank[i] + 1}")
        for i, (name, passes) in enumerate(zip(frame["name"], frame["passes"], strict=True))
    )


def _ramps(frame: pd.DataFrame, lanes: Sequence[Lane]) -> tuple[Mark, ...]:
    """Keys run through each direction by itself."""
    directions = {lane.name: lane.direction for lane in lanes}
    station = frame["station"].to_numpy(dtype=float)
    made: dict[int, Mark] = {}
    met: dict[str, int] = {}
    for i in np.argsort(station, kind="stable").tolist():
        name, kind, lane = (str(frame[column].iloc[i]) for column in ("name", "kind", "lane"))
        place = met[directions.get(lane, "")] = met.get(directions.get(lane, ""), -1) + 1
        key = chr(97 + place) if place < 26 else f"a{place}"
        made[i] = Mark(name, kind, float(station[i]), float(station[i]), lane, "ramps", i, key)
    return tuple(made[i] for i in range(len(frame)))
