"""What every stage page has: its tables, notes, the section that charts speak of, and the page made from a declaration."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pandas as pd

from slabwright.records.remarks import Remark, worded
from slabwright.records.stage import Stage
from slabwright.stages import outcomes
from slabwright.web.parts.choices import decision_form
from slabwright.web.parts.drawer import open_working
from slabwright.web.parts.field import pick
from slabwright.web.parts.html import element, text
from slabwright.web.parts.live import piece
from slabwright.web.parts.road import show_strip
from slabwright.web.parts.tables import data_table
from slabwright.web.view import View

__all__ = ["chosen_section", "notes", "result_table", "section_names", "standard_page"]


def result_table(
    view: View, stage: str, table: str, *, columns: tuple[str, ...] = (), window: bool = True, section: str = ""
) -> None:
    """A result table whose numbers open; filtered to the window brushed on the strip, or to one section."""

    def read() -> pd.DataFrame:
        frame = view.results()[stage].tables[table]
        if section:
            return frame[frame["section"] == section]
        return _within(frame, view.state.get("window") if window else None)

    def door(row: int, column: str) -> None:
        open_working(view, stage, table, row, column)

    def draw(frame: pd.DataFrame) -> Callable[[pd.DataFrame], None]:
        with element("div", cls="panel"):
            return data_table(outcomes()[table], frame, view.system, open_cell=door, columns=columns)

    piece(view, read, draw)


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
        return tuple(worded(note, view.system) for note in view.results()[stage].notes if kept(note))

    piece(view, read, draw)


def section_names(view: View, stage: str, table: str) -> list[str]:
    """The sections of a result table, each once."""
    return [str(name) for name in view.results()[stage].tables[table]["section"].drop_duplicates()]


def chosen_section(view: View, names: Callable[[], list[str]], draw: Callable[[str], Any]) -> None:
    """A picker of sections and what is drawn for the chosen one; nothing while there is no section."""

    def read() -> tuple[tuple[str, ...], str]:
        known = tuple(names())
        chosen = str(view.state.get("section", ""))
        return known, chosen if chosen in known else next(iter(known), "")

    def choose(name: str) -> None:
        view.state["section"] = name
        view.refresh()

    def show(content: tuple[tuple[str, ...], str]) -> None:
        if content[1]:
            pick("Section", list(content[0]), content[1], choose)
            draw(content[1])

    piece(view, read, show)


async def standard_page(view: View, *, stage: Stage) -> None:
    """A stage's page made from its declaration: the question, the road, its own decisions, notes and tables."""
    from slabwright.web.parts.long_stage import LongStage, long_stage

    text("p", stage.question)
    show_strip(view)
    with element("div", cls="desk"):
        with element("div", cls="panel"):
            if stage.name in stage.decisions:
                decision_form(view, stage.name)

        def draw() -> None:
            notes(view, stage.name)
            for schema in stage.outcomes:
                if not schema.bulk:
                    result_table(view, stage.name, schema.name)

        with element("div"):
            if stage.long:
                long_stage(view, LongStage(stage.name, stage.question, "It takes minutes."), draw)
            else:
                draw()
