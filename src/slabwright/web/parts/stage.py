"""What every stage page has: its tables, notes, and the section that charts speak of."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from slabwright.records.outcomes import OUTCOMES
from slabwright.web.parts.drawer import open_working
from slabwright.web.parts.html import element, pick, text
from slabwright.web.parts.tables import data_table
from slabwright.web.view import View

__all__ = ["chosen_section", "notes", "result_table"]


def result_table(view: View, stage: str, table: str, *, columns: tuple[str, ...] = (), window: bool = True) -> None:
    """A result table whose numbers open; filtered to the window brushed on the strip."""
    frame = view.results()[stage].tables[table]
    brushed = view.state.get("window") if window else None
    if brushed is not None and ("station" in frame or "begin" in frame):
        begin, end = (frame[c] for c in (("station", "station") if "station" in frame else ("begin", "end")))
        frame = frame[(end >= brushed[0]) & (begin <= brushed[1])]

    def door(row: int, column: str) -> None:
        open_working(view, stage, table, row, column)

    with element("div", cls="panel"):
        data_table(OUTCOMES[table], frame, view.system, open_cell=door, columns=columns)


def notes(view: View, stage: str) -> None:
    """The plain notes of a stage."""
    found = view.results()[stage].notes
    if found:
        with element("ul"):
            for note in found:
                text("li", note)


def chosen_section(view: View, names: list[str], draw: Callable[[str], Any]) -> None:
    """A picker of sections and what is drawn for the chosen one."""
    chosen = view.state.get("section")
    if chosen not in names:
        chosen = names[0]

    def choose(name: str) -> None:
        view.state["section"] = name
        view.redraw()

    pick("Section", names, str(chosen), choose)
    draw(str(chosen))
