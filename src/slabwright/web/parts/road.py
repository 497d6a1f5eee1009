"""The road strip on a page, with what its brush and its clicks do there."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from slabwright.records.display import cell, heading
from slabwright.records.facts import FACTS
from slabwright.stages import outcomes
from slabwright.web.parts.html import act, element, text
from slabwright.web.parts.live import piece
from slabwright.web.parts.strip.strip import road_strip
from slabwright.web.view import View

__all__ = ["show_strip"]


def show_strip(view: View, layers: tuple[str, ...] = ()) -> None:
    """The strip of the road with the layers that matter to the page; a brush filters the page's tables, a click on a section
    chooses it, one on a record opens it."""
    state = view.state.setdefault("strip", {"layers": list(layers)} if layers else {})

    def brushed(window: tuple[float, float] | None) -> None:
        view.state["window"] = window
        view.refresh()

    def read() -> tuple[Any, ...]:
        return view.computation.facts, view.decisions, view.section, *view.results().items()

    def draw(content: tuple[Any, ...]) -> Callable[[tuple[Any, ...]], None] | None:
        show = road_strip(
            facts=content[0],
            results=dict(content[3:]),
            decisions=content[1],
            system=view.system,
            dark=view.dark,
            on_window=brushed,
            on_record=lambda table, row: _record(view, table, row),
            on_section=view.choose,
            section=content[2],
            state=state,
        )
        return (lambda now: show(now[0], dict(now[3:]), now[1], now[2])) if show else None

    def brush(window: tuple[float, float] | None) -> None:
        if window:
            with element("div", cls="line"):
                text(
                    "span",
                    "Tables of places show the stretch marked on the strip; those of sections stay whole.",
                    "quiet",
                )
                act("Show all stations", clear)

    def clear() -> None:
        state["mark"] = None
        brushed(None)
        strip.redraw()

    strip = piece(view, read, draw)
    piece(view, lambda: view.state.get("window"), brush)


def _record(view: View, table: str, row: int) -> None:
    """One record in words."""
    from nicegui import ui

    schema = outcomes().get(table) or FACTS[table]
    frame = next((r.tables[table] for r in view.results().values() if table in r.tables), None)
    if frame is None:
        frame = getattr(view.computation.facts, table)
    if not 0 <= row < len(frame):
        return  # the road changed since the strip was drawn
    record = frame.iloc[row]
    with (
        ui.dialog().props(f'position=right aria-label="{schema.title}"') as dialog,
        ui.element("div").classes("drawer"),
    ):
        with element("div", cls="line"):
            text("h2", schema.title)
            act("Close", dialog.close)
        with element("dl"):
            for column in schema.columns:
                words = cell(record[column.name], column, view.system)
                if words not in ("", "–"):
                    text("dt", heading(column, view.system), "quiet")
                    text("dd", words)
    dialog.open()
