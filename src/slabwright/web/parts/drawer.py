"""The working drawer: one number with its equation, source, values, and what it feeds; copied or printed."""

from __future__ import annotations

import json

from nicegui import ui

from slabwright.provenance import Record, record, scene
from slabwright.web.parts.html import act, element, text
from slabwright.web.view import View

__all__ = ["explained", "open_working"]


def explained(view: View, stage: str, table: str, row: int, column: str) -> Record:
    """How a number that a tab shows was found, in the units of the tab."""
    seen = scene(view.computation.facts, view.decisions, view.results())
    return record(seen, stage, table, row, column, view.system)


def _facts(found: Record) -> str:
    """The facts that its own stage reads; the rest reaches it through the results of other stages."""
    own = f"Facts read by its own stage: {', '.join(found.facts)}." if found.facts else "Its own stage reads no facts."
    return f"{own} All other facts reach it through the results that its working names."


def open_working(view: View, stage: str, table: str, row: int, column: str) -> None:
    """Show how a number of a result table was found."""
    found = explained(view, stage, table, row, column)
    if (before := view.state.pop("working", None)) is not None:
        before.close()
    # The page beside it stays at hand: its numbers take the place of the one shown.
    with (
        ui.dialog().props('position=right seamless aria-label="How this number was found"') as dialog,
        ui.element("div").classes("drawer"),
    ):
        with element("div", cls="line"):
            text("h2", found.title)
            act("Close", dialog.close)
            act("Copy as text", lambda: ui.run_javascript(f"navigator.clipboard.writeText({json.dumps(found.text())})"))
            act("Print", lambda: ui.run_javascript("window.print()"))
        text("p", found.value).style("font-size: 1.6rem")
        text("p", found.meaning, "quiet")
        for words in filter(None, (found.copied, found.method, *found.equations)):
            text("p", words)
        for working in found.workings:
            text("pre", working.text(), "working")
        text("h2", "Rests on")
        text("p", _facts(found))
        with element("details", cls="group"):
            text("summary", f"{len(found.decisions)} decisions")
            for name, value in found.decisions:
                text("p", f"{name} = {value}")
        text("h2", "Feeds")
        text("p", ", ".join(found.feeds) or "Nothing further: this is the last stage.")
    view.state["working"] = dialog
    dialog.open()
