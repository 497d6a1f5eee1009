"""Plan of a stretch of lanes to scale: slabs, what was surveyed and the repairs marked."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from slabwright.figures.looks import group
from slabwright.figures.record import Axis, Figure, Points, Rule, Series, Spans, Words
from slabwright.figures.road import AGAINST, Window
from slabwright.figures.shown import short_name
from slabwright.records.facts import Facts
from slabwright.records.results import StageResult
from slabwright.records.words import FULL
from slabwright.roadway.joints import joints_of_road
from slabwright.roadway.places import directions_of_lanes, lane_width

__all__ = ["LONGEST_STRETCH", "STRETCH", "repair_plan", "stretch_of"]

STRETCH = 60.0  # m drawn where the reader marked none
LONGEST_STRETCH = 250.0  # m: longer, a patch would be thinner than a line


def stretch_of(results: Mapping[str, StageResult], section: str, marked: Window | None) -> Window:
    """The stretch to draw: that marked by the reader if it is short enough, else where most full-depth repairs of the section lie,
    or most repairs where it has none."""
    row = _section(results, section)
    if (
        marked is not None
        and marked[1] - marked[0] <= LONGEST_STRETCH
        and marked[0] < row.end
        and marked[1] > row.begin
    ):
        return marked
    repairs = results["repair"].tables["repairs"]
    here = repairs[repairs["section"] == section]
    deep = here[here["kind"] == FULL]
    begins = np.sort((deep if len(deep) else here)["begin"].to_numpy(dtype=float))
    length = min(STRETCH, float(row.end - row.begin))
    if not len(begins):
        return float(row.begin), float(row.begin) + length
    within = np.searchsorted(begins, begins + 0.9 * length, side="right") - np.arange(len(begins))
    first = float(np.clip(begins[int(within.argmax())] - 0.05 * length, row.begin, row.end - length))
    return first, first + length


def repair_plan(facts: Facts, results: Mapping[str, StageResult], section: str, window: Window) -> Figure:
    """Lanes of the section's direction from the median outward, joints, distresses and repairs in a window [m], to one scale.

    Across the lane the place of a patch is not recorded: it is drawn in the middle of its lane.
    """
    direction = str(_section(results, section).direction)
    edges = _lane_edges(facts, direction)
    widest = max((high for _, high in edges.values()), default=3.6)
    joints, assumed = _joints(facts, results, section, window)
    places = [Rule("joint", "boundary used", "x", joints)] if joints else []
    places += [Rule("joint, assumed", "boundary", "x", assumed)] if assumed else []
    lines = tuple(sorted({edge for pair in edges.values() for edge in pair}))
    return Figure(
        f"Section {section}: repairs marked, in plan",
        Axis("station", "station", window),
        Axis(
            "",
            "words",
            (-0.4, widest + 0.4),
            tuple((low + high) / 2 for low, high in edges.values()),
            tuple(edges),
            tuple(edges),
            reversed=direction != AGAINST,
        ),
        (*_distresses(results, edges, window), *_repairs(results, edges, window)),
        (Rule("", "lane line", "y", lines), *places),
        words=(Words("median", window[0] + 0.04 * (window[1] - window[0]), -0.25, strong=False),),
        notes=("to one scale; across the lane a patch is drawn in the middle, for its place there is not recorded",),
        subject=short_name(section, "section"),
        equal=True,
        description=f"Plan of the lanes beside section {section} with joints, surveyed distresses and the repairs marked, the"
        " outer lane on the side that it has on the strip.",
    )


def _section(results: Mapping[str, StageResult], section: str) -> Any:
    sections = results["survey"].tables["sections"]
    return next(sections[sections["section"] == section].itertuples(index=False))


def _lane_edges(facts: Facts, direction: str) -> dict[str, tuple[float, float]]:
    """Both edges of each lane of a direction, from the median outward [m]."""
    ways = directions_of_lanes(facts)
    lanes = facts.lanes[[ways.get(str(lane)) == direction for lane in facts.lanes["lane"]]].sort_values("position")
    names = [str(name) for name in lanes["lane"]]
    ends = np.concatenate([[0.0], np.cumsum([lane_width(facts, name) for name in names])])
    return {name: (float(a), float(b)) for name, a, b in zip(names, ends, ends[1:], strict=False)}


def _joints(
    facts: Facts, results: Mapping[str, StageResult], section: str, window: Window
) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Stations of joints that are known and of those assumed by their spacing."""
    sections = results["survey"].tables["sections"]
    found = joints_of_road(facts, sections[sections["section"] == section])
    here = found[found["station"].between(*window)]
    known = np.unique(np.round(here.loc[~here["assumed"].astype(bool), "station"].to_numpy(dtype=float), 2))
    others = np.unique(np.round(here["station"].to_numpy(dtype=float), 2))
    return tuple(known), tuple(x for x in others if not np.isclose(x, known, atol=0.3).any())


def _repairs(
    results: Mapping[str, StageResult], edges: Mapping[str, tuple[float, float]], window: Window
) -> list[Series]:
    repairs = results["repair"].tables["repairs"]
    here = repairs[(repairs["end"] >= window[0]) & (repairs["begin"] <= window[1]) & repairs["lane"].isin(list(edges))]
    made: list[Series] = []
    for number, (kind, rows) in enumerate(here.groupby("kind", sort=False)):
        sides = np.array([edges[str(lane)] for lane in rows["lane"]])
        middle, wide = sides.mean(axis=1), sides[:, 1] - sides[:, 0]
        own = rows["width"].to_numpy(dtype=float)
        half = np.minimum(np.where(np.isfinite(own) & (own > 0), own, wide), wide) / 2
        begin, end = (rows[c].to_numpy(dtype=float) for c in ("begin", "end"))
        made.append(Spans(str(kind), group(number), begin, np.maximum(end, begin + 0.3), middle - half, middle + half))
    return made


def _distresses(
    results: Mapping[str, StageResult], edges: Mapping[str, tuple[float, float]], window: Window
) -> list[Series]:
    frame = results["survey"].tables["rated_distresses"]
    here = frame[frame["station"].between(*window) & frame["lane"].isin(list(edges))]
    if here.empty:
        return []
    y = np.array([sum(edges[str(lane)]) / 2 for lane in here["lane"]])
    return [Points("distress surveyed", "surveyed", here["station"].to_numpy(dtype=float), y)]
