"""Result and fact tables as plain HTML: captioned, scrollable by keyboard, every number a door to its working."""

from __future__ import annotations

from collections.abc import Callable
from html import escape
from typing import Any

import pandas as pd
from nicegui import ui

from slabwright import units
from slabwright.records.display import cell, heading
from slabwright.records.table import Column, Schema
from slabwright.web.parts.html import act, element, text

__all__ = ["data_table", "table_html"]

PAGE_ROWS = 40
LONGEST = 300
WIDE = 28
WORDS = {"suited": "good", "suited after repair": "mend", "not suited": "bad", "not judged": "bad", "no": "bad"}


def data_table(
    schema: Schema, frame: pd.DataFrame, system: units.System, *, open_cell: Callable[[int, str], Any] | None = None,
    columns: tuple[str, ...] = (), caption: str = "",
) -> None:  # fmt: skip
    """A table of results or facts, forty rows at a time. ``open_cell(row, column)`` is called for a number."""
    state = {"first": 0}

    @ui.refreshable
    def body() -> None:
        if frame.empty:
            text("p", f"{caption or schema.title}: no rows.", "quiet")
            return
        first = state["first"]
        part = frame.iloc[first : first + PAGE_ROWS]
        html = table_html(schema, part, system, columns=columns, caption=caption, doors=open_cell is not None)
        region = ui.html(html, sanitize=False).classes("scroll")
        region.props.update({"tabindex": "0", "role": "region", "aria-label": caption or schema.title})
        if open_cell is not None:
            region.on("click", lambda e: _opened(e.args, open_cell), js_handler=DOOR)
        if len(frame) > PAGE_ROWS:
            _pager(len(frame))

    def _pager(total: int) -> None:
        def move(by: int) -> None:
            state["first"] = min(max(state["first"] + by, 0), (total - 1) // PAGE_ROWS * PAGE_ROWS)
            body.refresh()

        with element("div", cls="line"):
            act("Earlier rows", lambda: move(-PAGE_ROWS))
            last = min(state["first"] + PAGE_ROWS, total)
            text("span", f"Rows {state['first'] + 1} to {last} of {total}", "quiet")
            act("Later rows", lambda: move(PAGE_ROWS))

    body()


DOOR = "(e) => { const b = e.target.closest('button[data-row]'); if (b) emit({row: b.dataset.row, column: b.dataset.column}); }"


def _opened(found: Any, open_cell: Callable[[int, str], Any]) -> None:
    open_cell(int(found["row"]), str(found["column"]))


def table_html(
    schema: Schema,
    frame: pd.DataFrame,
    system: units.System,
    *,
    columns: tuple[str, ...] = (),
    caption: str = "",
    doors: bool = False,
) -> str:
    """The table as escaped HTML; row numbers in doors are those of the frame's index."""
    shown = [c for c in schema.columns if (c.name in columns if columns else c.is_text or frame[c.name].notna().any())]
    head = "".join(f'<th scope="col">{escape(heading(c, system))}</th>' for c in shown)
    texts = [[_cell(v, c, system, row, doors) for row, v in frame[c.name].items()] for c in shown]
    rows = "".join(f"<tr>{''.join(cells)}</tr>" for cells in zip(*texts, strict=True))
    return f'<table class="data"><caption>{escape(caption or schema.title)}</caption><thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table>'


def _cell(value: Any, column: Column, system: units.System, row: Any, doors: bool) -> str:
    words = cell(value, column, system)
    words = words if len(words) <= LONGEST else words[:LONGEST] + " …"
    shown = escape(words)
    if column.is_text or column.kind == "station":
        mark = WORDS.get(words, "wide" if len(words) > WIDE else "")
        return f'<td class="{mark}">{shown}</td>' if mark else f"<td>{shown}</td>"
    if doors and words != "–":
        label = escape(f"{column.meaning}: {words}. Show how it was found.", quote=True)
        shown = f'<button type="button" data-row="{row}" data-column="{escape(column.name, quote=True)}" aria-label="{label}">{shown}</button>'
    return f'<td class="n">{shown}</td>'
