"""The panels of the road strip beneath the plan: points, levels, bars, and marks in the row of their lane."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from slabwright import units
from slabwright.web.parts.strip.data import AGAINST, MOST, UNKNOWN, WITH, Bins, Layer, aggregated, by_group
from slabwright.web.parts.strip.look import (
    DASHES,
    LETTER,
    SYMBOLS,
    Drawn,
    Panel,
    Sheet,
    faint,
    key,
    lane_ticks,
    words_at,
)
from slabwright.web.parts.strip.words import escaped, extent, record_text

__all__ = ["layer_panel"]

BINNED = "(median, lowest to highest of many records; zoom in for each)"


def layer_panel(sheet: Sheet, layer: Layer) -> Panel:
    draw = {"points": _points, "steps": _steps, "bars": _bars, "marks": _marks}[layer.shape]
    panel = draw(sheet, layer)
    if not panel.traces:
        middle = sum(panel.axis["range"]) / 2
        words = words_at(sheet, "none in this stretch", sum(sheet.window) / 2, middle)
        return Panel(panel.title, panel.keys, panel.height, panel.axis, [{"type": "scatter", "x": [], "y": []}], [words])  # fmt: skip
    return panel


def _group_look(sheet: Sheet, layer: Layer, group: str) -> tuple[str, str, str]:
    """Colour, marker and dash of a group."""
    place = layer.groups.index(group) % len(SYMBOLS)
    return sheet.look.groups[place], SYMBOLS[place][0], DASHES[place]


def _titled(sheet: Sheet, layer: Layer) -> tuple[str, tuple[str, ...]]:
    """Title with unit, and a key for each group that the layer holds."""
    unit = units.label(units.unit_of(layer.kind, sheet.system)) if layer.shape != "marks" else ""
    held = [g for g in layer.groups if (layer.group == g).any()]
    signs = {g: SYMBOLS[layer.groups.index(g) % len(SYMBOLS)][1] for g in held}
    if layer.shape == "steps":
        signs = {g: ("━━", "╍╍", "┅┅")[layer.groups.index(g) % 3] for g in held}
    if layer.shape == "bars":
        signs = {g: {WITH: "▼", AGAINST: "▲"}.get(g, "▲") for g in held}
    keys = [key(signs[g], _group_look(sheet, layer, g)[0], escaped(g or UNKNOWN)) for g in held]
    missing = int(np.sum(~np.isfinite(layer.value))) if layer.shape == "points" else 0
    keys += [f"({missing} without a value)"] if missing else []
    title, _, more = layer.title.partition(", ")
    return title + (f" [{unit}]" if unit else ""), tuple(k for k in (more, *keys) if k)


def _scale(sheet: Sheet, layer: Layer) -> list[float]:
    """Range of the values of the whole layer, with zero, so that it stays the same wherever one looks."""
    shown = units.convert(layer.value[np.isfinite(layer.value)], layer.kind, sheet.system)
    low, high = min(0.0, float(np.min(shown, initial=0.0))), max(0.0, float(np.max(shown, initial=0.0)))
    spare = 0.08 * (high - low) or 1.0
    return [low - (spare if low < 0 else 0), high + spare]


def _points(sheet: Sheet, layer: Layer) -> Panel:
    title, keys = _titled(sheet, layer)
    traces, groups = [], by_group(layer)
    for place, (group, part) in enumerate(groups.items()):
        color, symbol, _ = _group_look(sheet, layer, group)
        view = aggregated(part, *sheet.window, most=MOST // len(groups))
        if view.bins is not None:
            traces.append(_whiskers(sheet, layer, view.bins, color, symbol, (place + 1) / (len(groups) + 1)))
        elif len(view.records):
            traces.append(_dots(sheet, view.records, units.convert(view.records.value, layer.kind, sheet.system), color, symbol))  # fmt: skip
    if any(trace["meta"] == "zoom" for trace in traces):
        keys = (*keys, BINNED)
    return Panel(title, keys, 112, {"range": _scale(sheet, layer)}, traces)


def _dots(sheet: Sheet, records: Layer, heights: Any, color: str, symbol: str, size: float = 7) -> Drawn:
    """Records one by one; a click on one names its row."""
    middle = records.station if records.end is None else (records.station + np.fmax(records.station, records.end)) / 2
    return {
        "type": "scatter", "mode": "markers", "meta": records.table, "customdata": records.row.tolist(),
        "x": middle.tolist(), "y": [y if math.isfinite(y) else None for y in np.asarray(heights).tolist()],
        "hovertext": [record_text(records, i, sheet.system) for i in range(len(records))], "hoverinfo": "text",
        "marker": {"symbol": symbol, "size": size if sheet.width > 600 else size - 2, "color": color, "line": {"color": color, "width": 1.2}},
    }  # fmt: skip


def _whiskers(sheet: Sheet, layer: Layer, bins: Bins, color: str, symbol: str, share: float) -> Drawn:
    """Bins as median with a whisker from the lowest to the highest value, at a share of the bin; a click zooms to it."""
    low, middle, high = (units.convert(v, layer.kind, sheet.system) for v in (bins.low, bins.median, bins.high))
    known = np.isfinite(middle)
    return {
        "type": "scatter", "mode": "markers", "meta": "zoom", "customdata": np.stack([bins.begin, bins.end], axis=1)[known].tolist(),
        "x": (bins.begin + share * (bins.end - bins.begin))[known].tolist(), "y": middle[known].tolist(),
        "error_y": {"type": "data", "symmetric": False, "array": (high - middle)[known].tolist(), "arrayminus": (middle - low)[known].tolist(),
                    "width": 0, "thickness": 1.6, "color": color},
        "hovertext": [_bin_text(sheet, layer, bins, int(i)) for i in np.flatnonzero(known)], "hoverinfo": "text",
        "marker": {"symbol": symbol, "size": 4, "color": color, "line": {"color": color, "width": 1}},
    }  # fmt: skip


def _bin_text(sheet: Sheet, layer: Layer, bins: Bins, i: int) -> str:
    low, middle, high = (units.format_quantity(float(v[i]), layer.kind, sheet.system) for v in (bins.low, bins.median, bins.high))  # fmt: skip
    missing = f", {bins.missing[i]} without a value" if bins.missing[i] else ""
    return (
        f"<b>{extent(bins.begin[i], bins.end[i], sheet.system)}</b><br>{bins.count[i]} records{missing}"
        f"<br>lowest {low}, median {middle}, highest {high}<br>click to zoom in"
    )


def _steps(sheet: Sheet, layer: Layer) -> Panel:
    """A level for each stretch."""
    title, keys = _titled(sheet, layer)
    traces = []
    for group, part in by_group(layer).items():
        color, _, dash = _group_look(sheet, layer, group)
        here = aggregated(part, *sheet.window, most=len(part)).records
        levels = units.convert(here.value, layer.kind, sheet.system)
        ends = np.fmax(here.station, here.station if here.end is None else here.end)
        for i in np.flatnonzero(np.isfinite(levels)):
            inner = np.linspace(here.station[i], ends[i], 9).tolist()
            traces.append({
                "type": "scatter", "mode": "lines", "meta": layer.table, "customdata": [int(here.row[i])] * len(inner), "x": inner,
                "y": [float(levels[i])] * len(inner), "line": {"color": color, "width": 2.6, "dash": dash},
                "hovertext": record_text(here, int(i), sheet.system), "hoverinfo": "text",
            })  # fmt: skip
    return Panel(title, keys, 84, {"range": _scale(sheet, layer)}, traces)


def _bars(sheet: Sheet, layer: Layer) -> Panel:
    """A bar for each stretch, upward for travel against the stationing and downward for travel with it, as on the plan."""
    title, keys = _titled(sheet, layer)
    both = {WITH, AGAINST} <= set(layer.group)
    top = _scale(sheet, layer)[1]
    traces, words = [], []
    for group, part in by_group(layer).items():
        sign = -1 if group == WITH and both else 1
        here = aggregated(part, *sheet.window, most=len(part)).records
        heights = np.nan_to_num(units.convert(here.value, layer.kind, sheet.system))
        if len(here):
            traces.append(_bar(sheet, here, sign * heights, *_group_look(sheet, layer, group)[:1]))
            words += _bar_words(sheet, here, sign * heights, sign * top / 2)
    ticks = [t for t in _round_ticks(top) for t in ((-t, t) if both and t else (t,))]
    axis = {"range": [-top if both else 0, top], "tickmode": "array", "tickvals": ticks, "ticktext": [f"{abs(t):,g}" for t in ticks]}  # fmt: skip
    return Panel(title, keys, 132 if both else 84, axis, traces, words)


def _bar(sheet: Sheet, here: Layer, heights: Any, color: str) -> Drawn:
    ends = here.station if here.end is None else np.fmax(here.station, here.end)
    return {
        "type": "bar", "meta": here.table, "customdata": here.row.tolist(), "x": ((here.station + ends) / 2).tolist(),
        "width": (ends - here.station).tolist(), "y": np.asarray(heights).tolist(), "hoverinfo": "text",
        "hovertext": [record_text(here, i, sheet.system) for i in range(len(here))],
        "marker": {"color": faint(color, 0.24), "line": {"color": color, "width": 1.5}},
    }  # fmt: skip


def _bar_words(sheet: Sheet, here: Layer, heights: Any, empty: float) -> list[Drawn]:
    """The value in each bar where it fits; "none" where there is no bar."""
    made = []
    for i, height in enumerate(np.asarray(heights).tolist()):
        end = here.station[i] if here.end is None else here.end[i]
        begin, end = max(float(here.station[i]), sheet.window[0]), min(float(end), sheet.window[1])
        known = math.isfinite(here.value[i])
        text = units.format_quantity(float(here.value[i]), here.kind, sheet.system, unit=False) if known else "none"
        if sheet.pixel(end) - sheet.pixel(begin) >= LETTER * len(text) + 4:
            made.append(words_at(sheet, text, (begin + end) / 2, height / 2 if known else empty, captureevents=False))
    return made


def _round_ticks(top: float) -> list[float]:
    power = 10 ** math.floor(math.log10(top)) if top > 0 else 1.0
    step = next(power * f for f in (0.2, 0.5, 1, 2, 5, 10) if top / (power * f) <= 2.5)
    return [step * i for i in range(int(top / step) + 1)]


def _marks(sheet: Sheet, layer: Layer) -> Panel:
    """Records in the row of their lane; how many to each stretch when they are too many."""
    title, keys = _titled(sheet, layer)
    view = aggregated(layer, *sheet.window)
    if view.bins is not None:
        return _counted(sheet, view.bins, f"{title}, number in each stretch")
    below = -0.5
    traces = []
    for group, part in by_group(view.records).items():
        color, symbol, _ = _group_look(sheet, layer, group)
        heights = [sheet.rows.get(str(lane), below) for lane in part.lane]
        if part.end is not None:
            traces.append(_stretches(part, heights, color))
        traces.append(_dots(sheet, part, heights, color, symbol, 6.5))
    ticks = lane_ticks(sheet)
    top = max(sheet.rows.values(), default=0.5) + 0.6
    low = -0.1
    if any(str(lane) not in sheet.rows for lane in layer.lane):
        low = -1.1
        ticks = {**ticks, "tickvals": [below, *ticks["tickvals"]], "ticktext": ["no lane", *ticks["ticktext"]]}
    axis = {**ticks, "showgrid": True, "range": [low, top]}
    return Panel(title, keys, 19 * (top - low), axis, traces)


def _stretches(part: Layer, heights: list[float], color: str) -> Drawn:
    ends = part.station if part.end is None else np.fmax(part.station, part.end)
    return {
        "type": "bar", "orientation": "h", "base": part.station.tolist(), "x": (ends - part.station).tolist(), "y": heights,
        "width": 0.62, "hoverinfo": "skip", "marker": {"color": color, "opacity": 0.35, "line": {"width": 0}},
    }  # fmt: skip


def _counted(sheet: Sheet, bins: Bins, title: str) -> Panel:
    """Bars of the number of records in each stretch, whatever their group."""
    middle = (bins.begin + bins.end) / 2
    words = [
        f"<b>{extent(b, e, sheet.system)}</b><br>{n} records<br>click to zoom in"
        for b, e, n in zip(bins.begin, bins.end, bins.count, strict=True)
    ]
    trace = {
        "type": "bar", "meta": "zoom", "customdata": np.stack([bins.begin, bins.end], axis=1).tolist(), "x": middle.tolist(),
        "y": bins.count.tolist(), "width": (bins.end - bins.begin).tolist(), "hovertext": words, "hoverinfo": "text",
        "marker": {"color": sheet.look.groups[0], "line": {"width": 0}},
    }  # fmt: skip
    return Panel(title, (), 84, {"range": [0, float(bins.count.max()) * 1.08]}, [trace])
