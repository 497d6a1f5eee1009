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
from slabwright.records.words import (
    FAILS,
    NOT_EXAMINED,
    NOT_JUDGED,
    NOT_SUITED,
    SUITED,
    SUITED_AFTER_REPAIR,
    UNKNOWN,
)
from slabwright.web.parts.html import act, element, text

__all__ = ["data_table"]

PAGE_ROWS = 40
LONGEST = 300
WIDE = 28
WORDS = {SUITED: "good", SUITED_AFTER_REPAIR: "mend", NOT_SUITED: "bad", NOT_JUDGED: "bad", "no": "bad"} | {
    FAILS: "bad",
    NOT_EXAMINED: "mend",
    UNKNOWN: "mend",
}


def data_table(
    schema: Schema,
    frame: pd.DataFrame,
    system: units.System,
    *,
    open_cell: Callable[[int, str], Any] | None = None,
    columns: tuple[str, ...] = (),
    caption: str = "",
) -> Callable[[pd.DataFrame], None]:
    """A table of results or facts, forty rows at a time; returns what shows other rows in its place.

    ``open_cell(row, column)`` is called for a number.
    """
    return _Table(schema, frame, system, open_cell, columns, caption or schema.title).show


class _Table:
    """A table on a page: one element of literal HTML, and beneath it where the reader is in it."""

    def __init__(
        self,
        schema: Schema,
        frame: pd.DataFrame,
        system: units.System,
        open_cell: Callable[[int, str], Any] | None,
        columns: tuple[str, ...],
        caption: str,
    ) -> None:
        self.schema, self.frame, self.system = schema, frame, system
        self.columns, self.caption, self.doors = columns, caption, open_cell is not None
        self.first = 0
        self.region = ui.html(self._html(), sanitize=False).classes("scroll")
        self.region.props.update({"tabindex": "0", "role": "region", "aria-label": caption})
        if open_cell is not None:
            self.region.on("click", lambda e: _opened(e.args, open_cell), js_handler=DOOR)
        self.pager = ui.element("div").style("display: contents")
        self.told: ui.html | None = None
        self._page()

    def show(self, frame: pd.DataFrame) -> None:
        """Show these rows."""
        self.frame = frame
        self._move(0)

    def _html(self) -> str:
        if self.frame.empty:
            return f'<p class="quiet">{escape(self.caption)}: no rows.</p>'
        part = self.frame.iloc[self.first : self.first + PAGE_ROWS]
        return _table_html(self.schema, part, self.system, columns=self.columns, caption=self.caption, doors=self.doors)

    def _move(self, by: int) -> None:
        last = max(len(self.frame) - 1, 0) // PAGE_ROWS * PAGE_ROWS
        self.first = min(max(self.first + by, 0), last)
        self.region.content = self._html()
        self._page()

    def _page(self) -> None:
        """Where the reader is, and the way to the other rows, when there are more than stand on a page."""
        if len(self.frame) <= PAGE_ROWS:
            self.pager.clear()
            self.told = None
            return
        if self.told is None:
            with self.pager, element("div", cls="line"):
                act("Previous rows", lambda: self._move(-PAGE_ROWS))
                self.told = text("span", "", "quiet")
                act("Next rows", lambda: self._move(PAGE_ROWS))
        last = min(self.first + PAGE_ROWS, len(self.frame))
        self.told.content = f"Rows {self.first + 1} to {last} of {len(self.frame)}"


DOOR = "(e) => { const b = e.target.closest('button[data-row]'); if (b) emit({row: b.dataset.row, column: b.dataset.column}); }"


def _opened(found: Any, open_cell: Callable[[int, str], Any]) -> None:
    open_cell(int(found["row"]), str(found["column"]))


def _table_html(
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
