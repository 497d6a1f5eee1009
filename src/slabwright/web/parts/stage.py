"""What every stage page has: its tables, notes, the section that charts speak of, and the page made from a declaration."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

import pandas as pd

from slabwright.records.remarks import Remark, worded
from slabwright.records.stage import Stage
from slabwright.stages import outcomes
from slabwright.web.parts.choices import decision_form
from slabwright.web.parts.drawer import open_working
from slabwright.web.parts.html import act, element, text
from slabwright.web.parts.layout import laid_out
from slabwright.web.parts.live import piece
from slabwright.web.parts.meant import meant
from slabwright.web.parts.tables import data_table
from slabwright.web.view import View

__all__ = ["chosen_section", "elsewhere", "notes", "result_table", "section_names", "standard_page", "when_current"]


def result_table(
    view: View, stage: str, table: str, *, columns: tuple[str, ...] = (), window: bool = True, whole: bool = False
) -> None:
    """A result table whose numbers open, within the window marked on the strip.

    Where a section has several rows it shows those of the chosen section, unless the reader asks for all or ``whole``.
    """
    schema = outcomes()[table]
    all_of = view.state.setdefault("all sections", set())

    def read() -> tuple[pd.DataFrame, str, bool, bool]:
        frame = _within(view.results()[stage].tables[table], view.state.get("window") if window else None)
        many = not whole and "section" in frame and bool(frame["section"].duplicated().any())
        if many and table not in all_of and (frame["section"] == view.section).any():
            return frame[frame["section"] == view.section], view.section, many, False
        return frame, view.section, many, True

    def door(row: int, column: str) -> None:
        open_working(view, stage, table, row, column)

    def turn() -> None:
        all_of.symmetric_difference_update({table})
        shown.refresh()

    def draw(content: tuple[pd.DataFrame, str, bool, bool]) -> Callable[[Any], None]:
        drawn = data_table(schema, content[0], view.system, open_cell=door, columns=columns, here=content[1])
        if content[2]:
            with drawn.tools:
                act("This section only" if content[3] else "All sections", turn, cls="slim")
        at = content[1:]

        def mend(now: tuple[pd.DataFrame, str, bool, bool]) -> None:
            if now[1:] != at:
                shown.redraw()
            else:
                drawn.show(now[0])

        return mend

    shown = piece(view, read, draw)


def _within(frame: pd.DataFrame, window: tuple[float, float] | None) -> pd.DataFrame:
    """The rows that reach into a stretch of the road."""
    if window is None or not ("station" in frame or "begin" in frame):
        return frame
    begin, end = (frame[c] for c in (("station", "station") if "station" in frame else ("begin", "end")))
    return frame[(end >= window[0]) & (begin <= window[1])]


def notes(view: View, stage: str, kept: Callable[[Remark], bool] = lambda _: True) -> None:
    """The notes of a stage, or those of them that are ``kept`` here."""

    def draw(found: tuple[str, ...]) -> None:
        if found:
            with element("ul"):
                for note in found:
                    text("li", note)

    def read() -> tuple[str, ...]:
        return tuple(meant(worded(note, view.system)) for note in view.results()[stage].notes if kept(note))

    piece(view, read, draw)


def chosen_section(view: View, names: Callable[[], list[str]], draw: Callable[[str], Any], none: str = "") -> None:
    """What is drawn for the chosen section; ``none`` where nothing is known of it."""

    def show(content: tuple[str, bool]) -> None:
        if content[1]:
            draw(content[0])
        elif none:
            text("p", f"{none.format(section=content[0])} {elsewhere(view)}", "quiet").props["role"] = "status"

    piece(view, lambda: (view.section, view.section in names()), show)


def elsewhere(view: View) -> str:
    """Where else to look, from a section without an overlay."""
    design = view.results().get("design")
    if design is not None and (design.tables["thicknesses"]["overlay"] > 0).any():
        return "Choose another section on the strip."
    return "No section has one: settle the open points on the page Evaluation first."


def section_names(view: View, stage: str, table: str) -> list[str]:
    """The sections of a result table, each once."""
    return [str(name) for name in view.results()[stage].tables[table]["section"].drop_duplicates()]


async def standard_page(view: View, *, stage: Stage) -> None:
    """A stage's page made from its declaration: the question, the road, its own decisions, notes and tables."""
    from slabwright.web.parts.long_stage import LongStage, long_stage

    readable = [schema for schema in stage.outcomes if not schema.bulk]

    def first() -> None:
        notes(view, stage.name)
        for schema in readable[:1]:
            result_table(view, stage.name, schema.name)

    def rest() -> None:
        for schema in readable[1:]:
            result_table(view, stage.name, schema.name)

    def decisions() -> None:
        if stage.name in stage.decisions:
            decision_form(view, stage.name)

    about = LongStage(stage.name, stage.question, "It takes minutes.")
    laid_out(
        view,
        stage.name,
        layers=(),
        picture=partial(long_stage, view, about, first) if stage.long else first,
        decisions=decisions,
        below=partial(when_current, view, stage.name, rest) if stage.long else rest,
    )


def when_current(view: View, stage: str, draw: Callable[[], Any]) -> None:
    """What is drawn while the results of a long stage are current."""
    piece(view, lambda: view.states().get(stage) == "current", lambda is_current: draw() if is_current else None)
