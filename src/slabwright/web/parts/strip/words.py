"""The road strip in words: what is read out, hovered over, or shown as tables. All user text leaves here escaped."""

from __future__ import annotations

import html
from collections.abc import Iterable, Sequence

import numpy as np

from slabwright import units
from slabwright.figures.layers import Layer, in_window
from slabwright.figures.road import Mark, Road, Section, Window
from slabwright.records.remarks import reads
from slabwright.web.parts.paint import escaped, plain

__all__ = [
    "PAGE",
    "bridge_words",
    "extent",
    "layer_table",
    "pages",
    "ramp_words",
    "record_text",
    "road_tables",
    "section_words",
    "summary",
]

PAGE = 50  # records of a layer on one page of its table


def extent(begin: float, end: float, system: units.System) -> str:
    """A station, or a stretch from one to another."""
    first, last = units.format_station(begin, system), units.format_station(end, system)
    return first if first == last or not np.isfinite(end) else f"{first} to {last}"


def value_words(value: float, layer: Layer, system: units.System) -> str:
    return units.format_quantity(value, layer.kind, system) if np.isfinite(value) else "no value"


def record_text(layer: Layer, i: int, system: units.System) -> str:
    """What hovering over a record shows, in the chart's markup."""
    end = layer.station[i] if layer.end is None else layer.end[i]
    measured = "length" if layer.shape == "marks" else layer.title
    lines = (
        f"<b>{extent(layer.station[i], end, system)}</b>  {escaped(str(layer.lane[i]), 40)}",
        f"{measured}: <b>{value_words(float(layer.value[i]), layer, system)}</b>",
        str(layer.group[i]) if layer.shape == "points" else "",
        escaped(reads(layer.label[i], system)),
    )
    return "<br>".join(line for line in lines if line)


def section_words(section: Section, system: units.System) -> str:
    parts = (section.name, section.verdict or "no verdict yet", extent(section.begin, section.end, system))
    return ", ".join(plain(p) for p in parts)


def bridge_words(bridge: Mark) -> str:
    carried = {"under the road": "carries the road", "over the road": "passes over the road"}
    return f"{plain(bridge.name)}, {carried.get(bridge.kind, 'bridge')}"


def ramp_words(ramp: Mark) -> str:
    kind = f"{ramp.kind}-ramp" if ramp.kind else "ramp"
    return f"{plain(ramp.name)}, {kind} at lane {plain(ramp.lane, 40)}"


def summary(layers: Sequence[Layer], road: Road, window: Window, system: units.System) -> str:
    """The strip in a few sentences, for those who do not see it. Not escaped: it goes where text goes."""
    sections = [s for s in road.sections if s.begin <= window[1] and s.end >= window[0]]
    said = [
        f"Road strip from {units.format_station(window[0], system)} to {units.format_station(window[1], system)}.",
        f"{len(road.lanes)} lanes, {len(road.bridges)} bridges, {len(road.ramps)} ramps on the whole road.",
    ]
    if sections:
        said.append("Sections: " + "; ".join(section_words(s, system) for s in sections[:40]) + ".")
    return " ".join([*said, *(_layer_summary(layer, window, system) for layer in layers)])


def _layer_summary(layer: Layer, window: Window, system: units.System) -> str:
    here = in_window(layer, *window)
    known = here.value[np.isfinite(here.value)]
    told = f"{layer.full_title}: {len(here)} records"
    if len(known) and layer.shape != "marks":
        low, middle, high = (
            units.format_quantity(float(f(known)), layer.kind, system) for f in (np.min, np.median, np.max)
        )
        told += f", lowest {low}, median {middle}, highest {high}"
    return told + "."


def pages(layer: Layer, window: Window) -> int:
    """How many pages the table of a layer has in a window, at least one."""
    return max(1, -(-len(in_window(layer, *window)) // PAGE))


def layer_table(layer: Layer, window: Window, system: units.System, page: int = 0) -> str:
    """One page of the records of a layer in the window as an HTML table, in the order of the stations."""
    here = in_window(layer, *window)
    order = np.argsort(here.station, kind="stable")
    shown = here.take(order[page * PAGE : (page + 1) * PAGE])
    unit = units.label(units.unit_of(layer.kind, system))
    measured = "length" if layer.shape == "marks" else "value"
    first = page * PAGE + 1
    caption = (
        f"{layer.full_title}: {first} to {first + len(shown) - 1} of {len(here)}"
        if len(shown)
        else f"{layer.full_title}: none here"
    )
    return _table(
        caption,
        (
            "station",
            "direction" if layer.shape in ("bars", "steps", "stacked") else "lane",
            f"{measured} [{unit}]",
            "group",
            "record",
        ),
        (_row(shown, i, system) for i in range(len(shown))),
    )


def _row(layer: Layer, i: int, system: units.System) -> tuple[tuple[str, ...], str, int]:
    end = layer.station[i] if layer.end is None else layer.end[i]
    cells = (
        extent(layer.station[i], end, system),
        str(layer.lane[i]),
        units.format_quantity(float(layer.value[i]), layer.kind, system, unit=False),
        str(layer.group[i]),
        reads(layer.label[i], system),
    )
    return cells, layer.table, int(layer.row[i])


def road_tables(road: Road, window: Window, system: units.System) -> str:
    """Sections, bridges and ramps in the window as HTML tables."""
    sections = [
        (
            (extent(s.begin, s.end, system), s.name, s.direction, s.verdict or "no verdict yet", s.reasons),
            s.table,
            s.row,
        )
        for s in road.sections
        if s.begin <= window[1] and s.end >= window[0]
    ]
    marks = [
        (
            (extent(m.begin, m.end, system), m.name, bridge_words(m) if m.table == "bridges" else ramp_words(m)),
            m.table,
            m.row,
        )
        for m in (*road.bridges, *road.ramps)
        if m.begin <= window[1] and m.end >= window[0]
    ]
    marks.sort(key=lambda m: road_place(road, m[1], m[2]))
    return _table("Sections", ("station", "section", "direction", "verdict", "reasons"), sections) + _table(
        "Bridges and ramps", ("station", "name", "what it is"), marks
    )


def road_place(road: Road, table: str, row: int) -> float:
    """Station of a bridge or ramp."""
    return (road.bridges if table == "bridges" else road.ramps)[row].begin


def _table(caption: str, heads: Sequence[str], rows: Iterable[tuple[Sequence[str], str, int]]) -> str:
    """An HTML table whose rows can be opened; the first cell of a row names it."""
    body = "".join(
        f'<tr><th scope="row">{escaped(cells[0])}</th>'
        + "".join(f"<td>{escaped(cell, 200)}</td>" for cell in cells[1:])
        + f'<td><button type="button" data-table="{html.escape(table)}" data-row="{row}" '
        f'aria-label="Open {html.escape(plain(f"{cells[-1]} at {cells[0]}"))}">Open</button></td></tr>'
        for cells, table, row in rows
    )
    if not body:
        return f'<p class="strip-none">{escaped(caption)}: nothing in this stretch.</p>'
    head = "".join(f'<th scope="col">{escaped(h)}</th>' for h in (*heads, "open"))
    return f"<table><caption>{escaped(caption)}</caption><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>"
