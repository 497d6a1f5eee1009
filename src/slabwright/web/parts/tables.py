"""Result and fact tables as plain HTML: sorted, filtered, widened, copied; every number a door to its working."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass, replace
from html import escape
from typing import Any

import numpy as np
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
from slabwright.web.parts.meant import meant
from slabwright.web.parts.written import as_read, written

__all__ = ["Shown", "data_table"]

PAGE_ROWS, FIRST_COLUMNS, FILTERED = 40, 8, 8  # rows and columns shown at once; rows from which a filter helps
LONGEST, WIDE = 300, 28  # letters of a cell, and of one that may be broken
WORDS = {
    SUITED: "good",
    SUITED_AFTER_REPAIR: "mend",
    NOT_SUITED: "bad",
    NOT_JUDGED: "open",
    "no": "bad",
    FAILS: "bad",
    NOT_EXAMINED: "open",
    UNKNOWN: "open",
}
UNMARKED = ("weight", "chosen")  # what a failing would mean, beside what holds too; which of several was taken
HERE = '<tr class="here">'
ON_CLICK = """(e) => { const b = e.target.closest('button'); if (!b) return;
  if (b.dataset.sort) emit({sort: b.dataset.sort}); else if (b.dataset.row) emit({row: b.dataset.row, column: b.dataset.column}); }"""


Seen = Callable[[Any, str, str], tuple[str, str]]


@dataclass(frozen=True)
class _Seen:
    """How a reader looks at a table."""

    first: int = 0
    wide: bool = False
    sort: str = ""
    falling: bool = False
    words: str = ""


def data_table(
    schema: Schema,
    frame: pd.DataFrame,
    system: units.System,
    *,
    open_cell: Callable[[int, str], Any] | None = None,
    columns: tuple[str, ...] = (),
    caption: str = "",
    here: str = "",
    seen: Seen | None = None,
    exact: bool = False,
) -> Shown:
    """A table of results or facts, forty rows and eight columns at a time; returns what shows other rows in its place.

    ``open_cell(row, column)`` is called for a number; ``columns`` come first; the rows of section ``here`` stand out.
    ``seen(row, column, words)`` gives the words of a number and the class of its cell, "" for none. Facts are ``exact``:
    every digit of what was loaded is shown.
    """
    return Shown(schema, frame, system, open_cell, columns, caption or schema.title, here, seen, exact)


class Shown:
    """A table on a page: one element of literal HTML under its tools."""

    def __init__(
        self,
        schema: Schema,
        frame: pd.DataFrame,
        system: units.System,
        open_cell: Callable[[int, str], Any] | None,
        columns: tuple[str, ...],
        caption: str,
        here: str,
        seen: Seen | None = None,
        exact: bool = False,
    ) -> None:
        self.told, self.exact = seen, exact
        self.schema, self.frame, self.system, self.here = schema, frame, system, here
        self.columns, self.caption, self.open_cell = columns, caption, open_cell
        self.seen = _Seen()
        with element("div", cls="tabled"):
            with element("div", cls="line"):
                text("h2", caption)
                self.own = ui.element("div").style("display: contents")
                self.tools = ui.element("div").style("display: contents")  # of who draws the table
            self.region = ui.html("", sanitize=False).classes("scroll")
            self.region.props.update({"tabindex": "0", "role": "region", "aria-label": caption})
            self.region.on("click", lambda e: self._clicked(e.args), js_handler=ON_CLICK)
            self.pager = ui.element("div").style("display: contents")
        self._tools()
        self._draw()

    def show(self, frame: pd.DataFrame) -> None:
        """Show these rows."""
        few = len(self.frame) <= FILTERED
        self.frame = frame
        if few != (len(frame) <= FILTERED) or frame.empty:
            self._tools()
        self._look(first=0)

    def _look(self, **changed: Any) -> None:
        self.seen = replace(self.seen, **changed)
        self._draw()

    def _all(self) -> list[Column]:
        """Every column that holds something, those named first ahead."""
        frame, order = self.frame, {name: i for i, name in enumerate(self.columns)}
        held = [c for c in self.schema.columns if c.name in order or (_filled(frame[c.name]) if len(frame) else True)]
        held.sort(key=lambda c: order.get(c.name, len(order)))
        return held if self.exact else [as_read(c, frame[c.name]) for c in held]

    def _words(self, value: Any, column: Column) -> str:
        if self.exact:
            return cell(value, column, self.system)
        words = written(value, column, self.system)
        return meant(words) if column.is_text else words

    def _shown(self) -> list[Column]:
        held = self._all()
        return held if self.seen.wide else held[: self._first()]

    def _first(self) -> int:
        """How many columns are shown at first: those named, at most eight."""
        return min(len(self.columns) or FIRST_COLUMNS, FIRST_COLUMNS)

    def _rows(self) -> pd.DataFrame:
        """The rows that the filter leaves, in the order chosen."""
        frame, seen = self.frame, self.seen
        if seen.words:
            wanted = seen.words.casefold()
            texts = (frame[c.name].map(lambda v, c=c: self._words(v, c)) for c in self._shown())
            kept = np.logical_or.reduce([t.str.casefold().str.contains(wanted, regex=False).to_numpy() for t in texts])
            frame = frame[kept]
        if seen.sort:
            frame = frame.sort_values(seen.sort, ascending=not seen.falling, kind="stable", na_position="last")
        return frame

    # What the reader does ------------------------------------------------------------------------------------

    def _clicked(self, found: dict[str, str]) -> None:
        if "sort" in found:
            name = found["sort"]
            again = self.seen.sort == name
            if name in self.schema.names:
                over = again and self.seen.falling
                self._look(sort="" if over else name, falling=again and not over, first=0)
        elif self.open_cell is not None:
            self.open_cell(int(found["row"]), found["column"])

    def _tools(self) -> None:
        self.own.clear()
        if self.frame.empty:
            return
        with self.own:
            if len(self.frame) > FILTERED:
                box = element("input", cls="plain-input", type="search", placeholder="Filter the rows")
                box.props["aria-label"] = f"Filter the rows of {self.caption}"
                box.on("input", lambda e: self._look(words=str(e.args), first=0), js_handler=TYPED, throttle=0.25)
            if len(self._all()) > self._first():
                self.widen = act(self._widen_words(), self._widen, cls="slim", aria_pressed="false")
            act("Copy", self._copy, cls="slim", aria_label=f"Copy the table {self.caption}")

    def _widen_words(self) -> str:
        more = len(self._all()) - self._first()
        return "Fewer columns" if self.seen.wide else f"{more} more column{'' if more == 1 else 's'}"

    def _widen(self) -> None:
        self._look(wide=not self.seen.wide)
        self.widen.content = self._widen_words()
        self.widen.props["aria-pressed"] = str(self.seen.wide).lower()
        self.widen.update()

    def _copy(self) -> None:
        """The rows and columns at hand as a spreadsheet pastes them, to every digit that is shown."""
        shown = self._shown()
        lines = ["\t".join(heading(c, self.system) for c in shown)]
        columns = [[self._words(v, c) for v in self._rows()[c.name]] for c in shown]
        lines += ["\t".join(" ".join(words.split()) for words in row) for row in zip(*columns, strict=True)]
        ui.run_javascript(f"navigator.clipboard.writeText({json.dumps(chr(10).join(lines))})")
        ui.notify(f"{len(lines) - 1} rows of {self.caption} are ready to paste.")

    # Drawing -------------------------------------------------------------------------------------------------

    def _draw(self) -> None:
        rows = self._rows()
        first = min(self.seen.first, max(len(rows) - 1, 0) // PAGE_ROWS * PAGE_ROWS)
        self.seen = replace(self.seen, first=first)
        self.region.content = self._html(rows.iloc[first : first + PAGE_ROWS])
        self.region.classes(add="wide" if self.seen.wide else "", remove="" if self.seen.wide else "wide")
        self.pager.clear()
        if len(rows) > PAGE_ROWS:
            with self.pager, element("div", cls="line"):
                act("Previous rows", lambda: self._look(first=max(first - PAGE_ROWS, 0)), cls="slim")
                text("span", f"Rows {first + 1} to {min(first + PAGE_ROWS, len(rows))} of {len(rows)}", "quiet")
                act("Next rows", lambda: self._look(first=first + PAGE_ROWS), cls="slim")

    def _html(self, rows: pd.DataFrame) -> str:
        if rows.empty:
            return f'<p class="quiet">{"No row holds these words." if self.seen.words else "No rows."}</p>'
        shown = self._shown()
        head = "".join(self._head(c) for c in shown)
        texts = [[self._cell(v, c, row) for row, v in rows[c.name].items()] for c in shown]
        several = self.here and "section" in rows and self.frame["section"].nunique() > 1
        marked = rows["section"].astype(str).eq(self.here) if several else [False] * len(rows)
        body = "".join(
            (HERE if is_here else "<tr>") + "".join(cells) + "</tr>"
            for cells, is_here in zip(zip(*texts, strict=True), marked, strict=True)
        )
        return f'<table class="data"><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>'

    def _head(self, column: Column) -> str:
        name = escape(column.name, quote=True)
        words, whole = escape(heading(column, self.system, brief=True)), escape(column.meaning, quote=True)
        sorted_by = self.seen.sort == column.name
        way = f' aria-sort="{"descending" if self.seen.falling else "ascending"}"' if sorted_by else ""
        cls = "" if column.is_text or column.kind == "station" else ' class="n"'
        return (
            f'<th scope="col"{cls}{way} title="{whole}"><button type="button" data-sort="{name}">{words}</button></th>'
        )

    def _cell(self, value: Any, column: Column, row: Any) -> str:
        words = self._words(value, column)
        words = words if len(words) <= LONGEST else words[:LONGEST] + " …"
        shown = escape(words)
        if column.is_text or column.kind == "station":
            word = "" if column.name in UNMARKED else WORDS.get(words, "")
            mark = word or ("wide" if len(words) > WIDE else "")
            return f'<td class="{mark}">{shown}</td>' if mark else f"<td>{shown}</td>"
        cls = "n"
        if self.told is not None:
            shown, found = self.told(row, column.name, shown)
            cls = f"n {found}" if found else "n"
        if self.open_cell is not None and words != "–":
            label = escape(f"{column.meaning}: {words}. Show how it was found.", quote=True)
            name = escape(column.name, quote=True)
            shown = f'<button type="button" data-row="{row}" data-column="{name}" aria-label="{label}">{shown}</button>'
        return f'<td class="{cls}">{shown}</td>'


TYPED = "(e) => emit(e.target.value)"


def _filled(values: pd.Series) -> bool:
    """Whether a column says anything."""
    return (
        bool((values != "").any())
        if values.dtype == object or str(values.dtype).startswith("str")
        else bool(values.notna().any())
    )
