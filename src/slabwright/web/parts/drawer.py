"""The working drawer: one number with its equation, source, values, and what it feeds; copied or printed.

It stays open and keeps to its number: after a change it shows the new value, and the section chosen meanwhile.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from nicegui import ui

from slabwright.provenance import Record, record, scene
from slabwright.records.display import cell
from slabwright.records.table import Schema
from slabwright.stages import outcomes
from slabwright.units import System
from slabwright.web.parts.html import act, element, text
from slabwright.web.parts.live import same
from slabwright.web.parts.meant import meant
from slabwright.web.view import View

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["Number", "explained", "found_row", "number_at", "open_working"]

SECTION = "section"


@dataclass(frozen=True)
class Number:
    """One number of a result table: its stage, table and column, and by which cells its row is known."""

    stage: str
    table: str
    column: str
    known_by: tuple[tuple[str, Any], ...]

    def of(self, section: str) -> Number:
        """The same number of another section; itself where its table has no sections."""
        return replace(self, known_by=tuple((name, section if name == SECTION else v) for name, v in self.known_by))

    def place(self, system: System) -> str:
        """Of what it speaks, in words: the section, and what else tells its row apart."""
        schema = outcomes()[self.table]
        return ", ".join(_cell_said(schema, name, value, system) for name, value in self.known_by)


def _cell_said(schema: Schema, name: str, value: Any, system: System) -> str:
    about = schema[name]
    said = f"{about.brief or about.meaning} {cell(value, about, system)}"
    return said[:1].upper() + said[1:] if name == schema.names[0] else said


def number_at(frame: pd.DataFrame, stage: str, table: str, row: int, column: str) -> Number:
    """The number in a row (index) and column of a result table; its row is known by the first columns that tell it apart."""
    place = int(frame.index.get_loc(row))
    names = list(frame.columns)
    count = next((n for n in range(1, len(names)) if not frame.duplicated(names[:n]).any()), len(names))
    return Number(stage, table, column, tuple((name, frame[name].iloc[place]) for name in names[:count]))


def found_row(frame: pd.DataFrame, number: Number) -> int | None:
    """The index of the row that a number stands in; None where there is none now."""
    for name, value in number.known_by:
        frame = frame[frame[name] == value]
    return int(frame.index[0]) if len(frame) else None


def explained(view: View, stage: str, table: str, row: int, column: str) -> Record:
    """How a number that a tab shows was found, in the units of the tab."""
    seen = scene(view.computation.facts, view.decisions, view.results())
    return record(seen, stage, table, row, column, view.system)


def open_working(view: View, stage: str, table: str, row: int, column: str) -> None:
    """Show how a number of a result table was found."""
    if (before := view.state.pop("working", None)) is not None:
        before.close()
    frame = view.results()[stage].tables[table]
    view.state["working"] = opened = _Drawer(view, number_at(frame, stage, table, row, column))
    view.aside = opened.refresh


class _Drawer:
    """The open drawer. It stands outside the pieces of the page, so that none of them takes it away when drawn anew."""

    def __init__(self, view: View, number: Number) -> None:
        self.view, self.number, self.section = view, number, view.section
        self.shown: Record | str = ""
        # The page beside it stays at hand: its numbers take the place of the one shown.
        with ui.context.client.layout:
            self.dialog = ui.dialog().props('position=right seamless aria-label="How this number was found"')
        with self.dialog:
            self.inside = ui.element("div").classes("drawer")
        self.dialog.on_value_change(lambda change: None if change.value else self._rest())
        self.refresh()
        self.dialog.open()

    def close(self) -> None:
        self.dialog.close()

    def _rest(self) -> None:
        """A closed drawer follows nothing; another one may have been opened in its place."""
        if self.view.aside == self.refresh:
            self.view.aside = lambda: None

    def refresh(self) -> None:
        """Show the number as it is now, of the section that is chosen now."""
        if self.view.section not in ("", self.section):
            self.section = self.view.section
            self.number = self.number.of(self.section)
        wanted = self._look()
        if not same(wanted, self.shown):
            self.shown = wanted
            self.inside.clear()
            with self.inside:
                self._nothing(wanted) if isinstance(wanted, str) else self._working(wanted)

    def _look(self) -> Record | str:
        """How the number was found, or why there is none."""
        number = self.number
        result = self.view.results().get(number.stage)
        if result is None:
            return "This number is not computed for the road as it is now."
        row = found_row(result.tables[number.table], number)
        if row is None:
            return "The table has no such number."
        return explained(self.view, number.stage, number.table, row, number.column)

    def _nothing(self, why: str) -> None:
        schema = outcomes()[self.number.table]
        with element("div", cls="line"):
            text("h2", schema[self.number.column].meaning.capitalize())
            act("Close", self.close)
        text("p", self.number.place(self.view.system))
        text("p", why, "mend").props["role"] = "status"

    def _working(self, found: Record) -> None:
        place = self.number.place(self.view.system)
        copied = json.dumps(f"{place}\n\n{meant(found.text())}")
        with element("div", cls="line"):
            text("h2", found.title)
            act("Close", self.close)
            act("Copy as text", lambda: ui.run_javascript(f"navigator.clipboard.writeText({copied})"))
            act("Print", lambda: ui.run_javascript("window.print()"))
        text("p", place)
        text("p", found.value).style("font-size: 1.6rem")
        text("p", found.meaning, "quiet")
        for words in filter(None, (found.copied, found.method, *found.equations)):
            text("p", meant(words))
        for working in found.workings:
            text("pre", meant(working.text()), "working")
        _rests_on(found)
        text("h2", "Feeds")
        text("p", ", ".join(found.feeds) or "Nothing further: this is the last stage.")


def _rests_on(found: Record) -> None:
    text("h2", "Rests on")
    text("p", _facts(found.facts))
    with element("details", cls="group"):
        text("summary", f"{len(found.decisions)} decisions")
        for name, value in found.decisions:
            text("p", f"{meant(name)}: {value}")


def _facts(facts: Iterable[str]) -> str:
    """The facts that its own stage reads; the rest reaches it through the results of other stages."""
    own = f"Facts read by its own stage: {', '.join(facts)}." if facts else "Its own stage reads no facts."
    return f"{own} All other facts reach it through the results that its working names."
