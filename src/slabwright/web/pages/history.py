"""History: who changed what and when, what changed since the report, and the alternatives."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from html import escape

from nicegui import ui

from slabwright import units
from slabwright.errors import shorten
from slabwright.project import Change
from slabwright.records.changes import in_words
from slabwright.records.decisions import Entry, entries
from slabwright.web.answers import Answer
from slabwright.web.pages import Page
from slabwright.web.parts.field import entry, pick
from slabwright.web.parts.html import act, element, text
from slabwright.web.parts.layout import answered
from slabwright.web.parts.meant import meant
from slabwright.web.view import View

__all__ = ["PAGE"]

PAGE_CHANGES = 100
LONGEST = 400


async def draw(view: View) -> None:
    changes = view.project.history()
    answered(view, lambda: _answer(view))
    with element("div", cls="below"):
        with element("div"):
            _changes(view, changes)
        with element("div", cls="beside"):
            with element("div"):
                _since_report(view)
            with element("div"):
                _alternatives(view)


def _answer(view: View) -> Answer:
    """How many changes hold, the last of them, and how many came since the report."""
    holding = [c for c in view.project.history() if c.holds]
    since = view.project.changes_since_report()
    if not holding:
        return Answer("Nothing has been changed in this project yet.")
    last = holding[-1]
    count = 0 if since is None else len(since.made) + len(since.undone) + len(since.taken_back)
    told = "no report has been written" if since is None else f"{count} since the last report"
    return Answer(
        f"{len(holding)} changes hold, {told}; the last is by {last.user}, {last.time:%Y-%m-%d %H:%M} UTC:"
        f" {meant(last.what)[:LONGEST]}."
    )


def _changes(view: View, changes: tuple[Change, ...]) -> None:
    text("h2", "Every change")
    holding, undone = [c for c in changes if c.holds], [c for c in changes if c.can_be_redone]
    with element("div", cls="line"):
        _step(view, "undo", f"Undo: {meant(holding[-1].what)[:60]}" if holding else "Nothing to undo", bool(holding))
        _step(
            view, "redo", f"Do again: {meant(undone[0].what)[:60]}" if undone else "Nothing to do again", bool(undone)
        )
    if not changes:
        text(
            "p", "Nothing has been changed yet. Loaded files, edited tables and decisions will be listed here.", "quiet"
        )
        return
    known = {e.name: e for e in entries(view.decisions)}
    newest = tuple(reversed(changes))[:PAGE_CHANGES]
    region = ui.html(_history_html(newest, known, view.system), sanitize=False).classes("scroll")
    region.props.update({"tabindex": "0", "role": "region", "aria-label": "Every change, newest first"})
    if len(changes) > PAGE_CHANGES:
        text("p", f"The newest {PAGE_CHANGES} of {len(changes)} changes are shown.", "quiet")


def _step(view: View, which: str, label: str, possible: bool) -> None:
    button = act(label, lambda: view.step(which))
    if not possible:
        button.props["disabled"] = True


def _history_html(changes: tuple[Change, ...], known: Mapping[str, Entry], system: units.System) -> str:
    """The changes as an escaped table, quantities in the units shown."""
    head = "".join(
        f'<th scope="col">{h}</th>' for h in ("No.", "When (UTC)", "Who", "What", "Before", "After", "Holds")
    )
    rows = "".join(
        f"<tr><td>{c.id}</td><td>{c.time:%Y-%m-%d %H:%M}</td>"
        + "".join(
            f'<td data-label="{label}">{escape(words[:LONGEST])}</td>'
            for label, words in (
                ("Who", c.user),
                ("What", meant(c.what)),
                ("Before", meant(in_words(c.before, known, system))),
                ("After", meant(in_words(c.after, known, system))),
            )
        )
        + f'<td data-label="Holds" class="{"mend" if c.undone else ""}">{_state(c)}</td></tr>'
        for c in changes
    )
    return f'<table class="data told changes"><thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table>'


def _state(entry: Change) -> str:
    """Whether an entry holds; an undo or redo holds nothing."""
    if entry.is_step:
        return ""
    if entry.replaced is not None:
        return f"undone, replaced by no. {entry.replaced}"
    return "undone" if entry.undone else "yes"


def _since_report(view: View) -> None:
    since = view.project.changes_since_report()
    if since is None:
        text("h2", "Changed since the report")
        text("p", "No report has been written yet.", "quiet")
        return
    text("h2", f"Changed since the report of {since.time:%Y-%m-%d %H:%M} UTC")
    text("p", f"Written by {since.user}.", "quiet")
    listed = (
        [f"{c.what} ({c.user}){_values(view, c)}" for c in since.made]
        + [f"undone: {c.what}{_values(view, c)}" for c in since.undone]
        + list(since.taken_back)
    )
    if not listed:
        text("p", "Nothing has changed.")
    with element("ul"):
        for line in listed[:PAGE_CHANGES]:
            text("li", meant(line)[:LONGEST])


def _values(view: View, made: Change) -> str:
    """Of a decision, what it was and what it became."""
    known = {e.name: e for e in entries(view.decisions)}
    if not known.keys() & made.after.keys():
        return ""
    return f": {in_words(made.before, known, view.system)} → {in_words(made.after, known, view.system)}"


def _alternatives(view: View) -> None:
    """Named sets of decisions: those there are, and a new one like one of them."""
    text("h2", "Alternatives")
    names = view.project.alternatives()
    with element("ul").style("padding-left: 1.1rem"):
        for name in names:
            with element("li"):
                ui.link(name, view.address("design", name))
                text("span", " ")
                if name != "base":
                    act("Remove", partial(_remove, view, name), aria_label=f"Remove the alternative {shorten(name)}")
    wanted = {"name": "", "like": view.alternative}

    def add() -> None:
        if view.attempt(lambda: view.project.add_alternative(wanted["name"], wanted["like"], expected=view.head)):
            ui.navigate.to(view.address("design", wanted["name"].strip()))

    entry("Name of a new alternative", "", lambda t: wanted.update(name=t), hint="up to 60 characters")
    pick("Begin with the decisions of", list(names), view.alternative, lambda t: wanted.update(like=t))
    act("Add the alternative", add)


def _remove(view: View, name: str) -> None:
    if view.attempt(lambda: view.project.remove_alternative(name, expected=view.head)) and name == view.alternative:
        ui.navigate.to(view.address("history", "base"))


PAGE = Page("history", "History", 910, draw)
