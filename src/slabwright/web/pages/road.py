"""Road: what the project holds, what each stage still needs, and the tables that are entered by hand."""

from __future__ import annotations

from nicegui import ui

from slabwright.records.facts import FACTS
from slabwright.records.stage import Stage
from slabwright.stages import plan, stages
from slabwright.web.answers import Answer
from slabwright.web.pages import Page
from slabwright.web.parts.edit_table import edit_table
from slabwright.web.parts.field import pick
from slabwright.web.parts.html import element, text
from slabwright.web.parts.layout import answered
from slabwright.web.parts.tables import data_table
from slabwright.web.view import View

__all__ = ["PAGE"]

BY_HAND = ("road", "lanes", "layers", "bridges", "ramps", "distresses", "counts")
STATES = {"current": "computed", "stale": "ready to compute", "waiting": "waits for facts"}
MARKS = {"current": "good", "stale": "mend", "waiting": "bad"}


async def draw(view: View) -> None:
    answered(view, lambda: Answer(_next(view)[0]))
    _, link, slug = _next(view)
    ui.link(link, view.address(slug))
    with element("div", cls="below"):
        with element("div"):
            _chosen(view)
        with element("div", cls="beside"):
            with element("div"):
                _holdings(view)
            with element("div"):
                _stages(view)


def _counts(view: View) -> dict[str, int]:
    return {name: len(getattr(view.computation.facts, name)) for name in FACTS}


def _next(view: View) -> tuple[str, str, str]:
    """What to do next in a sentence, the words of a link and the page it leads to."""
    counts = _counts(view)
    missing = [name for name in _needed(None) if not counts[name]]
    if not any(counts.values()):
        empty = "This road is empty. Load its field files, or enter its tables below, row by row or pasted from a spreadsheet."
        return empty, "Load field files", "files"
    if missing:
        titles = ", ".join(FACTS[name].title for name in missing)
        return f"Next: give what is still missing for a design: {titles}.", "Load field files", "files"
    stage = next((s for s in stages() if view.states()[s.name] != "current"), None)
    last = ("the report", "report") if stage is None else (stage.title, stage.name)
    return "Everything that a design needs is here.", f"Go on to {last[0]}", last[1]


def _holdings(view: View) -> None:
    text("h2", "What the project holds")
    counts = _counts(view)
    for title, names in (
        ("Entered here or loaded", BY_HAND),
        ("Loaded from files", [n for n in FACTS if n not in BY_HAND]),
    ):
        text("h3", title)
        with element("ul").style("padding-left: 1.1rem; margin: 0"):
            for name in names:
                with element("li"):
                    _holding(view, name, counts[name])


def _holding(view: View, name: str, count: int) -> None:
    address = view.address("road")
    ui.link(FACTS[name].title, f"{address}{'&' if '?' in address else '?'}table={name}#table")
    text("span", f": {count:,} row{'' if count == 1 else 's'}" if count else ": none", "" if count else "quiet")


def _stages(view: View) -> None:
    text("h2", "How far the job is")
    states = view.states()
    for stage in stages():
        state = states[stage.name]
        with element("div").style("margin: .45rem 0"):
            ui.link(stage.title, view.address(stage.name))
            text("span", f" {STATES[state]}", MARKS[state])
            _lacks(view, stage)


def _needed(until: str | None) -> list[str]:
    """The tables without which a stage, or the whole short job, cannot be computed."""
    return list(dict.fromkeys(name for stage in plan(until) for name in stage.needed))


def _lacks(view: View, stage: Stage) -> None:
    counts = _counts(view)
    behind = _needed(stage.name)
    needed = [FACTS[n].title for n in behind if not counts[n]]
    better = [FACTS[n].title for n in stage.facts if not counts[n] and n not in behind]
    if needed:
        text("p", f"Needs: {', '.join(needed)}.")
    if better:
        text("p", f"Would also use: {', '.join(better)}.", "quiet")


def _chosen(view: View) -> None:
    """The table that is open: to edit where people enter it by hand, else to read."""
    name = str(view.state.get("table") or view.state.get("query", {}).get("table", "road"))
    if name not in FACTS:
        name = "road"
    titles = {FACTS[n].title: n for n in (*BY_HAND, *(n for n in FACTS if n not in BY_HAND))}

    def choose(title: str) -> None:
        view.state["table"] = titles[title]
        view.redraw()

    element("span", id="table")
    with element("div").style("max-width: 22rem"):
        pick("Table", list(titles), FACTS[name].title, choose)
    if name in BY_HAND:
        edit_table(view, name)
    else:
        text(
            "p",
            f"Each row is {FACTS[name].row}. This table comes from files; take its file out to replace it.",
            "quiet",
        )
        data_table(FACTS[name], getattr(view.computation.facts, name), view.system, exact=True)


PAGE = Page("road", "Road", 10, draw)
