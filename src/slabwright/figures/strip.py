"""The rows of the road strip as figures: a plan of the road, and one figure for each layer beneath it.

Lanes lie as on a plan sheet: travel with the stationing below the median, travel against it above. Positions along the
road stay in metres. What lies outside the window is left out; many records in it become bins.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from slabwright.calculation import Array
from slabwright.figures.layer_tables import DENSITY
from slabwright.figures.layers import MOST, Bins, Layer, Levels, aggregated, by_group, in_window
from slabwright.figures.looks import group, verdict
from slabwright.figures.record import Axis, Bars, Figure, Points, Rule, Series, Spans, Steps, Stretches, Whiskers, Words
from slabwright.figures.road import AGAINST, WITH, Mark, Road, Section, Window, lane_rows
from slabwright.figures.shown import short_name
from slabwright.roadway.places import directions_in_order

__all__ = ["PRINTED", "plan_figure", "row_figure", "rows_of"]

PRINTED = ("deflection", "foundation", "modulus", "transfer", "voids", DENSITY, "repairs", "overlay")
BINNED = "median, lowest to highest of many records; zoom in for each"
NO_LANE = -0.5  # height of what lies in no lane of the plan
LOW = 0.34  # of the height of a row: a lower bar has its number over its middle, off the number across the axis
NO_VERDICT = "no verdict yet"


def row_figure(layer: Layer, road: Road, window: Window) -> Figure:
    """One layer over the stations of a window."""
    draw = {"points": _points, "steps": _steps, "bars": _bars, "stacked": _stacked, "marks": _marks}[layer.shape]
    made: Figure = draw(layer, road, window)
    words = made.words
    if not made.series:
        words = (Words("none in this stretch", sum(window) / 2, sum(made.y.limits or (0.0, 1.0)) / 2),)
    return Figure(
        layer.title,
        Axis("station", "station", window),
        made.y,
        made.series,
        (*_boundaries(road, window), *made.marks),
        words,
        (*layer.notes, *made.notes),
    )


def _row(
    layer: Layer,
    y: Axis,
    series: list[Series],
    marks: tuple[Rule, ...] = (),
    words: tuple[Words, ...] = (),
    notes: tuple[str, ...] = (),
) -> Figure:
    return Figure(layer.title, Axis("station", "station"), y, tuple(series), marks, words, notes)


def _boundaries(road: Road, window: Window) -> tuple[Rule, ...]:
    """Section boundaries through a row."""
    met = {s.begin for s in road.sections} | {s.end for s in road.sections}
    places = tuple(sorted(x for x in met if window[0] <= x <= window[1]))
    return (Rule("", "boundary", "x", places),) if places else ()


def _value_axis(layer: Layer) -> Axis:
    """Range of the values of the whole layer, with zero, so that it stays the same wherever one looks."""
    beside = [] if layer.levels is None else [layer.levels.value]
    values = np.concatenate([layer.value, *beside, [0.0 if layer.limit is None else layer.limit]])
    known = values[np.isfinite(values)]
    low, high = min(0.0, float(np.min(known, initial=0.0))), max(0.0, float(np.max(known, initial=0.0)))
    spare = 0.08 * (high - low) or 1.0
    return Axis(layer.title, layer.kind, (low - (spare if low < 0 else 0), high + spare))


def _role(layer: Layer, name: str) -> str:
    return group(layer.groups.index(name))


def _points(layer: Layer, _road: Road, window: Window) -> Figure:
    series: list[Series] = []
    groups = by_group(layer)
    for place, (name, part) in enumerate(groups.items()):
        view = aggregated(part, *window, most=MOST // len(groups))
        if view.bins is not None:
            series.append(_whiskers(layer, name, view.bins, (place + 1) / (len(groups) + 1)))
        elif len(view.records):
            series.append(Points(name, _role(layer, name), _middle(view.records), view.records.value, of=view.records))
    missing = int(np.sum(~np.isfinite(layer.value)))
    notes = (
        *([f"{missing} without a value"] if missing else []),
        *([BINNED] if any(isinstance(s, Whiskers) for s in series) else []),
    )
    limit = () if layer.limit is None else (Rule("limit", "limit", "y", (layer.limit,)),)
    return _row(
        layer, _value_axis(layer), [*series, *_means(layer.levels, window)] if series else [], limit, notes=notes
    )


def _middle(records: Layer) -> Array:
    """The middle of each record."""
    return (records.station + _ends(records)) / 2


def _ends(records: Layer) -> Array:
    return records.station if records.end is None else np.fmax(records.station, records.end)


def _whiskers(layer: Layer, name: str, bins: Bins, share: float) -> Whiskers:
    """Bins at a share of their width, so that the groups do not hide each other."""
    known = np.isfinite(bins.median)
    held = Bins(
        bins.begin[known],
        bins.end[known],
        bins.count[known],
        bins.missing[known],
        bins.low[known],
        bins.median[known],
        bins.high[known],
    )
    place = held.begin + share * (held.end - held.begin)
    return Whiskers(name, _role(layer, name), place, held.low, held.median, held.high, held)


def _means(levels: Levels | None, window: Window) -> list[Series]:
    """The value of each section in the window, by direction where there is more than one."""
    if levels is None:
        return []
    ways = directions_in_order(levels.direction)
    made: list[Series] = []
    for i, way in enumerate(ways):
        here = levels.take((levels.direction == way) & (levels.begin <= window[1]) & (levels.end >= window[0]))
        name = f"{levels.name}, {way}" if len(ways) > 1 else levels.name
        if len(here.value):
            made.append(Steps(name, ("mean", "other mean")[i % 2], here.begin, here.end, here.value))
    return made


def _steps(layer: Layer, _road: Road, window: Window) -> Figure:
    """A level for each stretch."""
    series: list[Series] = []
    for name, part in by_group(layer).items():
        here = in_window(part, *window)
        here = here.take(np.isfinite(here.value))
        if len(here):
            series.append(Steps(name, _role(layer, name), here.station, _ends(here), here.value, here))
    return _row(layer, _value_axis(layer), series)


def _mirrored(layer: Layer, top: float) -> Axis:
    """Travel against the stationing grows upward and travel with it downward, as on the plan, where there are both."""
    both = {WITH, AGAINST} <= set(layer.lane)
    return Axis(layer.title, layer.kind, (-top if both else 0.0, top), mirrored=True)


def _signs(layer: Layer, axis: Axis) -> Array:
    both = (axis.limits or (0.0,))[0] < 0
    return np.where((layer.lane == WITH) & both, -1.0, 1.0)


def _bars(layer: Layer, _road: Road, window: Window) -> Figure:
    """A bar for each stretch with its value; "none" where there is no bar."""
    top = (_value_axis(layer).limits or (0.0, 1.0))[1]
    axis = _mirrored(layer, top)
    series: list[Series] = []
    words: list[Words] = []
    for name, part in by_group(layer).items():
        here = in_window(part, *window)
        if not len(here):
            continue
        sign, ends = _signs(here, axis), _ends(here)
        heights = np.nan_to_num(sign * here.value)
        series.append(Bars(name, _role(layer, name), here.station, ends, np.zeros(len(here)), heights, of=here))
        for i, value in enumerate(here.value):
            begin, end = max(float(here.station[i]), window[0]), min(float(ends[i]), window[1])
            known = bool(np.isfinite(value))
            height = sign[i] * max(abs(heights[i]), LOW * top) if known else sign[i] * top
            words.append(
                Words(
                    "" if known else "none",
                    (begin + end) / 2,
                    float(height) / 2,
                    end - begin,
                    value=float(value) if known else None,
                    kind=layer.kind,
                )
            )
    return _row(layer, axis, series, _limits(layer, axis) if series else (), tuple(words))


def _limits(layer: Layer, axis: Axis) -> tuple[Rule, ...]:
    """The limit of a layer on both sides of a mirrored axis."""
    if layer.limit is None:
        return ()
    both = (axis.limits or (0.0,))[0] < 0
    return (Rule("", "limit", "y", (layer.limit, -layer.limit) if both else (layer.limit,)),)


def _stacked(layer: Layer, _road: Road, window: Window) -> Figure:
    """Groups on each other in each stretch of a direction."""
    key = [f"{way}|{begin}" for way, begin in zip(layer.lane, layer.station, strict=True)]
    _, cell = np.unique(np.array(key, dtype=str), return_inverse=True)
    tops = np.bincount(cell, layer.value) if len(layer) else np.zeros(1)
    axis = _mirrored(layer, 1.08 * float(tops.max()))
    floor = np.zeros(len(tops))
    series: list[Series] = []
    for name in by_group(layer):
        chosen = np.flatnonzero(layer.group == name)
        base = floor[cell[chosen]]
        floor[cell[chosen]] += layer.value[chosen]
        seen = (layer.station[chosen] <= window[1]) & (_ends(layer)[chosen] >= window[0])
        here = layer.take(chosen[seen])
        if len(here):
            sign = _signs(here, axis)
            series.append(
                Bars(
                    name,
                    _role(layer, name),
                    here.station,
                    _ends(here),
                    sign * base[seen],
                    sign * (base[seen] + here.value),
                    of=here,
                )
            )
    return _row(layer, axis, series)


def _marks(layer: Layer, road: Road, window: Window) -> Figure:
    """Records in the row of their lane; how many to each stretch when they are too many."""
    view = aggregated(layer, *window)
    if view.bins is not None:
        return _numbers(layer, view.bins)
    rows = lane_rows(road.lanes)
    series: list[Series] = []
    for name, part in by_group(view.records).items():
        at = np.array([rows.get(str(lane), NO_LANE) for lane in part.lane], dtype=float)
        series.append(Stretches(name, _role(layer, name), part.station, _ends(part), at, part))
    outside = any(str(lane) not in rows for lane in layer.lane)
    axis = _lane_axis(road, -1.1 if outside else -0.1, max(rows.values(), default=0.5) + 0.6)
    if outside:
        places, words, short = (
            (first, *of) for first, of in ((NO_LANE, axis.places), ("no lane", axis.words), ("no lane", axis.short))
        )
        axis = Axis("", "words", axis.limits, places, words, short)
    return _row(layer, axis, series)


def _numbers(layer: Layer, bins: Bins) -> Figure:
    """Bars of the number of records in each stretch, whatever their group."""
    bars = Bars("records", group(0), bins.begin, bins.end, np.zeros(len(bins.count)), bins.count.astype(float), of=bins)
    axis = Axis(layer.title, "count", (0.0, float(bins.count.max()) * 1.08))
    return _row(layer, axis, [bars], notes=("number in each stretch",))


def _lane_axis(road: Road, low: float, high: float) -> Axis:
    rows, keys = lane_rows(road.lanes), {lane.name: lane.key for lane in road.lanes}
    return Axis("", "words", (low, high), tuple(rows.values()), tuple(rows), tuple(keys[name] or name for name in rows))


# The plan ------------------------------------------------------------------------------------------------


def plan_figure(road: Road, window: Window) -> Figure:
    """Lanes, sections with their verdicts, bridges and ramps."""
    rows = lane_rows(road.lanes)
    top = max(rows.values(), default=0.5) + 0.5
    sides = {_side(road, ramp) for ramp in road.ramps}
    low = -0.95 if "below" in sides else -0.1
    high = top + (1.0 if "above" in sides else 0.1) + (0.9 if road.bridges else 0)
    verdicts = dict.fromkeys(s.verdict for s in road.sections)
    series: list[Series] = [
        *(_sections(road, v, window) for v in verdicts),
        *_bridges(road, window, top, high - 0.45),
        *_ramps(road, window, top),
    ]
    dividers = tuple((a + b) / 2 for a, b in pairwise(sorted(rows.values())) if b - a < 1.01)
    lines = (Rule("", "lane line", "y", dividers),) if dividers else ()
    return Figure(
        road.title,
        Axis("station", "station", window),
        _lane_axis(road, low, high),
        tuple(s for s in series if len(s.of)),  # type: ignore[union-attr]
        (*_boundaries(road, window), *lines),
        _section_names(road, window),
    )


def rows_of(road: Road, direction: str) -> tuple[float, float]:
    """Lowest and highest edge of the lanes of a direction; of all lanes when it has none."""
    rows = lane_rows(road.lanes)
    here = [rows[lane.name] for lane in road.lanes if lane.direction == direction] or list(rows.values()) or [0.5]
    return min(here) - 0.5, max(here) + 0.5


def _sees(mark: Section | Mark, window: Window) -> bool:
    return mark.begin <= window[1] and mark.end >= window[0]


def _array(values: list[float]) -> Array:
    return np.array(values, dtype=float)


def _sections(road: Road, words: str, window: Window) -> Spans:
    here = [s for s in road.sections if s.verdict == words and _sees(s, window)]
    edges = [rows_of(road, s.direction) for s in here]
    return Spans(
        words or NO_VERDICT,
        verdict(words),
        _array([s.begin for s in here]),
        _array([s.end for s in here]),
        _array([low + 0.04 for low, _ in edges]),
        _array([high - 0.04 for _, high in edges]),
        here,
    )


def _section_names(road: Road, window: Window) -> tuple[Words, ...]:
    """The name of each section, with its verdict, in the middle of what is seen of it."""
    made = []
    for s in road.sections:
        begin, end = max(s.begin, window[0]), min(s.end, window[1])
        if end > begin:
            short = short_name(s.name, "·")
            made.append(
                Words(
                    s.name, (begin + end) / 2, sum(rows_of(road, s.direction)) / 2, end - begin, short, s.verdict, True
                )
            )
    return tuple(made)


def _bridges(road: Road, window: Window, top: float, height: float) -> list[Series]:
    here = sorted((b for b in road.bridges if _sees(b, window)), key=lambda b: b.begin)
    begin, end = (_array([getattr(b, edge) for b in here]) for edge in ("begin", "end"))
    middle = (np.maximum(begin, window[0]) + np.minimum(end, window[1])) / 2
    low, high = np.full(len(here), -0.1), np.full(len(here), top + 0.1)
    names, keys = tuple(b.name for b in here), tuple(b.key for b in here)
    return [
        Spans("bridges", "bridge", begin, end, low, high, here),
        Points("", "bridge name", middle, np.full(len(here), height), names, keys, here),
    ]


def _side(road: Road, ramp: Mark) -> str:
    """Where the outer lane of a ramp's direction is on the plan."""
    against = any(lane.name == ramp.lane and lane.direction == AGAINST for lane in road.lanes)
    return "above" if against else "below"


def _ramps(road: Road, window: Window, top: float) -> list[Series]:
    """Signs outside the outer lane: they point the way that traffic goes."""
    made: list[Series] = []
    for side, height in (("above", top + 0.5), ("below", -0.5)):
        for kind in dict.fromkeys(r.kind for r in road.ramps):
            here = sorted(
                (r for r in road.ramps if r.kind == kind and _side(road, r) == side and _sees(r, window)),
                key=lambda r: r.begin,
            )
            names, keys = tuple(r.name for r in here), tuple(r.key for r in here)
            place = _array([r.begin for r in here])
            role = f"ramp {'off' if kind == 'off' else 'on'}, {side}"
            made.append(
                Points(f"{kind}-ramps" if kind else "ramps", role, place, np.full(len(here), height), names, keys, here)
            )
    return made
