"""Where things lie: directions of lanes, limits of the road, the section and the pavement of a station."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import numpy as np
import numpy.typing as npt
import pandas as pd

from slabwright.calculation import Array
from slabwright.errors import MissingFact
from slabwright.records.facts import Facts

__all__ = [
    "by_section",
    "design_lane",
    "directions_in_order",
    "directions_of_lanes",
    "lane_width",
    "layer_rows",
    "road_limits",
    "section_index",
    "section_layers",
]

WITH = "with stationing"
USUAL_LANE_WIDTH = 3.6576  # 12 ft, where there is no lanes table; told as an open point


def directions_of_lanes(facts: Facts) -> dict[str, str]:
    """Direction of travel by lane; lanes that the lanes table does not hold have the direction "". Names, no unit.

    Raises nothing.
    """
    named = dict(zip(facts.lanes["lane"], facts.lanes["direction"], strict=True))
    met = [*facts.deflections["lane"], *facts.distresses["lane"], *facts.cores["lane"]]
    return {**dict.fromkeys(met, ""), **named}


def directions_in_order(directions: Iterable[str]) -> list[str]:
    """Each direction of travel once, that with the stationing first: the order of sections in every table. Names, no unit.

    Raises nothing.
    """
    return sorted(set(directions), key=lambda way: (way != WITH, way))


def by_section(frame: pd.DataFrame, sections: Iterable[str]) -> pd.DataFrame:
    """The rows of a table with a column section in the order of the ``sections``, those of one section as they were.

    ``frame`` (n,) rows and ``sections`` (m,) names, no unit; gives (n,) rows, those of no such section last. Raises nothing.
    """
    place = frame["section"].map({name: row for row, name in enumerate(sections)})
    return frame.iloc[place.fillna(np.inf).argsort(kind="stable").to_numpy()].reset_index(drop=True)


def design_lane(facts: Facts, direction: str) -> str:
    """The lane that a direction is designed for: the outermost, which carries most trucks; "" where the direction has none. Scalars: names,
    no unit.

    The outermost has the highest position from the median. Where positions do not tell, it is the lane with most deflection
    tests, then the last by name; the order of rows says nothing. Raises nothing.
    """
    declared = facts.lanes[facts.lanes["direction"] == direction]
    outermost = declared.loc[declared["position"] == declared["position"].max(), "lane"]
    if len(outermost) == 1:
        return str(outermost.iloc[0])
    lanes = [lane for lane, way in directions_of_lanes(facts).items() if way == direction]
    tests = facts.deflections["lane"].value_counts()
    return max(set(outermost) or lanes, key=lambda lane: (tests.get(lane, 0), lane), default="")


def lane_width(facts: Facts, lane: str) -> float:
    """Width of a lane [m], scalar: of the lanes table, 12 ft where that does not hold the lane, NaN where its width is empty.

    Raises nothing.
    """
    found = facts.lanes.loc[facts.lanes["lane"] == lane, "width"]
    return float(found.iloc[0]) if len(found) else USUAL_LANE_WIDTH


def road_limits(facts: Facts) -> tuple[float, float]:
    """First and last station [m], scalars: from the road table, else from the layers, else from the tests.

    Raises MissingFact when all three are empty.
    """
    for frame, begin, end in (
        (facts.road, "begin", "end"),
        (facts.layers, "begin", "end"),
        (facts.deflections, "station", "station"),
    ):
        if len(frame):
            return float(frame[begin].min()), float(frame[end].max())
    raise MissingFact("the limits of the road are unknown", remedy="Load the road, its layers or its deflection tests.")


def layer_rows(facts: Facts, stations: Array, lanes: npt.ArrayLike) -> npt.NDArray[np.int64]:
    """Row of the layers table that holds at each station (n,) [m] and lane (n,): (n,), -1 where none does.

    A row for the very lane wins over a row for all lanes; a later row wins over an earlier one. Raises nothing.
    """
    found = np.full(len(stations), -1, dtype=np.int64)
    lane = np.asarray(lanes, dtype=object)
    general_first = facts.layers["lane"].to_numpy() != ""
    for row in np.argsort(general_first, kind="stable"):  # one pass for each stretch of pavement, all stations at once
        layer = facts.layers.iloc[row]
        here = (
            (stations >= layer["begin"])
            & (stations <= layer["end"])
            & (lane == layer["lane"] if layer["lane"] else True)
        )
        found[here] = row
    return found


def section_layers(facts: Facts, sections: pd.DataFrame) -> npt.NDArray[np.int64]:
    """Row of the layers table under the middle of each section in its design lane: (n,), -1 where none is. Raises nothing.

    ``sections`` has direction, begin and end [m].
    """
    lanes = sections["direction"].map({way: design_lane(facts, way) for way in sections["direction"].unique()})
    return layer_rows(facts, sections[["begin", "end"]].mean(axis=1).to_numpy(dtype=float), lanes)


def section_index(
    sections: pd.DataFrame, directions: Mapping[str, str], stations: Array, lanes: npt.ArrayLike
) -> npt.NDArray[np.int64]:
    """Row of the sections table for each station (n,) [m] and lane (n,): (n,), -1 outside all sections.

    ``directions``: direction by lane (``directions_of_lanes``). Raises nothing.
    """
    found = np.full(len(stations), -1, dtype=np.int64)
    lane_directions = np.array(
        [directions.get(str(lane), "") for lane in np.asarray(lanes, dtype=object)], dtype=object
    )
    for row, (direction, begin, end) in enumerate(
        zip(sections["direction"], sections["begin"], sections["end"], strict=True)
    ):
        found[(lane_directions == direction) & (stations >= begin) & (stations <= end) & (found < 0)] = row
    return found
