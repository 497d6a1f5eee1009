"""Editing a table of facts on a page: plain inputs, rows added, removed and pasted, one save for the whole table."""

from __future__ import annotations

from dataclasses import replace
from html import escape

import pandas as pd
from nicegui import ui

from slabwright.records.display import heading
from slabwright.records.facts import FACTS
from slabwright.records.table import Column
from slabwright.units import System
from slabwright.web.parts import drafts
from slabwright.web.parts.drafts import Draft, Finished
from slabwright.web.parts.html import act, element, text
from slabwright.web.parts.unsent import settled
from slabwright.web.view import View

__all__ = ["edit_table", "rows_html"]

PAGE_ROWS = 30
LONGEST_PASTE = 500_000  # characters that one message of the web socket can carry with room to spare
PROBLEMS_LISTED = 12
CELL = (
    "(e) => { const c = e.target.closest('[data-column]'); if (c) emit([+c.dataset.key, c.dataset.column, c.value]); }"
)
REMOVE = "(e) => { const b = e.target.closest('button[data-remove]'); if (b) emit(+b.dataset.remove); }"
PASTE = f"(e) => emit(e.target.value.length > {LONGEST_PASTE} ? null : e.target.value)"
MARK = """(() => { const bad = new Set(%s); for (const c of document.querySelectorAll('[data-column]'))
 c.setAttribute('aria-invalid', bad.has(c.dataset.key + ' ' + c.dataset.column)); })()"""


def edit_table(view: View, name: str) -> None:
    """The editor of a table; what was typed but not saved stays in the tab when the page is drawn again."""
    _Editor(view, name).draw()


def rows_html(draft: Draft, keys: tuple[int, ...], first: int) -> str:
    """Some rows as escaped HTML inputs, each with its own label; ``first`` is the number of the first row."""
    columns = draft.schema.columns
    head = "".join(f'<th scope="col">{escape(heading(c, draft.system))}</th>' for c in columns)
    rows = "".join(
        f'<tr><th scope="row">{number}</th>{"".join(_input(draft, key, c, number) for c in columns)}'
        f'<td><button type="button" data-remove="{key}" aria-label="Remove row {number}">Remove</button></td></tr>'
        for number, key in enumerate(keys, start=first)
    )
    title = escape(draft.schema.title)
    return (
        f'<table class="data edit rows"><caption>{title}</caption><thead><tr><th scope="col">Row</th>{head}'
        f'<th scope="col">Remove</th></tr></thead><tbody>{rows}</tbody></table>'
    )


def _input(draft: Draft, key: int, column: Column, number: int) -> str:
    label = heading(column, draft.system)
    name = escape(f"{label}, row {number}{', required' if column.required else ''}", quote=True)
    about = f'data-key="{key}" data-column="{column.name}" aria-label="{name}"'
    value = drafts.shown(draft, key, column.name)
    if column.kind == "choice":
        options = ("", *column.choices) if value in ("", *column.choices) else ("", value, *column.choices)
        listed = "".join(f"<option{' selected' if o == value else ''}>{escape(o)}</option>" for o in options)
        field = f'<select class="plain-select" {about}>{listed}</select>'
    else:
        kind = "words" if column.is_text else "number"
        field = f'<input class="plain-input {kind}" type="text" autocomplete="off" {about} value="{escape(value, quote=True)}">'
    return f'<td data-label="{escape(label, quote=True)}">{field}</td>'


class _Editor:
    def __init__(self, view: View, name: str) -> None:
        self.view, self.name, self.schema = view, name, FACTS[name]
        self.kept: dict[str, Draft] = view.state.setdefault("drafts", {})
        self.texts: dict[str, str | None] = view.state.setdefault("pastes", {})
        self.systems: dict[str, System] = view.state.setdefault("paste systems", {})
        if not self.texts.get(name):
            self.systems[name] = view.system  # what was pasted before a switch of units is read in those it came in
        self.present: pd.DataFrame = getattr(view.computation.facts, name)
        held = self.kept.get(name)
        self.draft = drafts.in_system(held, view.system) if held else self._fresh()
        if held:
            self.kept[name] = self.draft
        self.first = 0
        self.said = element("div", role="status")

    def _fresh(self) -> Draft:
        return drafts.begin(self.schema, self.present, self.view.system, self.view.head)

    def draw(self) -> None:
        if not self.present.equals(self.draft.original):
            self._overtaken()
        self.body()
        with element("div", cls="line"):
            act("Add a row", self._add)
            act("Save this table", self._save, main=True, aria_label=f"Save the table {self.schema.title}")
            act("Drop what was not saved", self._drop)
        with element("details", cls="group"):
            text("summary", "Paste rows from a spreadsheet")
            self._paste()
        self._tell(quiet=not self.draft.touched)

    def _overtaken(self) -> None:
        with element("div", cls="caution", role="alert"):
            text(
                "p",
                "This table was changed elsewhere after you began to edit it. What you typed is below and is not saved.",
            )
            with element("div", cls="line"):
                act("Show the table as it is now", self._drop)
                act("Let mine take its place when saved", self._insist)

    def _insist(self) -> None:
        project = self.view.project
        head = project.head
        self._keep(replace(self.draft, original=getattr(project.facts(), self.name), head=head))
        self.view.redraw()

    @ui.refreshable_method
    def body(self) -> None:
        """The rows of one page of the table, as inputs."""
        keys = self.draft.order[self.first : self.first + PAGE_ROWS]
        if not keys:
            text("p", f"{self.schema.title}: no rows yet. Each row is {self.schema.row}.", "quiet")
            return
        region = ui.html(rows_html(self.draft, keys, self.first + 1), sanitize=False).classes("scroll")
        region.props.update({"tabindex": "0", "role": "region", "aria-label": f"{self.schema.title}, to edit"})
        region.on("input", lambda e: self._type(*e.args), js_handler=CELL)
        region.on("change", lambda _: self._tell(), args=[])
        region.on("click", lambda e: self._remove(int(e.args)), js_handler=REMOVE)
        if len(self.draft.order) > PAGE_ROWS:
            self._pager(len(keys))

    def _pager(self, here: int) -> None:
        with element("div", cls="line"):
            act("Previous rows", lambda: self._move(self.first - PAGE_ROWS))
            text("span", f"Rows {self.first + 1} to {self.first + here} of {len(self.draft.order)}", "quiet")
            act("Next rows", lambda: self._move(self.first + PAGE_ROWS))

    def _move(self, first: int) -> None:
        last = (max(len(self.draft.order), 1) - 1) // PAGE_ROWS * PAGE_ROWS
        self.first = min(max(first, 0), last)
        self.body.refresh()
        self._mark(self._finished())

    def _keep(self, draft: Draft) -> None:
        self.draft = self.kept[self.name] = draft
        ui.run_javascript("window.onbeforeunload = () => true")

    def _type(self, key: int, column: str, value: str) -> None:
        if key in self.draft.order:
            self._keep(drafts.typed(self.draft, key, column, value))

    def _add(self) -> None:
        self._keep(drafts.blank(self.draft))
        self._move(len(self.draft.order))
        ui.run_javascript(
            f"setTimeout(() => document.querySelector('[data-key=\"{self.draft.order[-1]}\"]')?.focus(), 80)"
        )

    def _remove(self, key: int) -> None:
        self._keep(drafts.without(self.draft, key))
        self._move(self.first)
        self._tell()

    def _drop(self) -> None:
        self.kept.pop(self.name, None)
        self._settled()
        self.view.redraw()

    def _settled(self) -> None:
        settled(self.schema.title)
        if not self.kept:
            ui.run_javascript("window.onbeforeunload = null")

    def _finished(self) -> Finished:
        road = self.view.computation.facts.road
        limits = None if road.empty else (float(road["begin"].min()), float(road["end"].max()))
        return drafts.finished(self.draft, None if self.name == "road" else limits)

    def _save(self) -> None:
        done = self._finished()
        if done.problems:
            self._tell()
            ui.notify("Nothing was saved: some cells must be corrected first.", type="negative")
            return
        if self.view.attempt(lambda: drafts.save(self.view.project, self.draft, done.frame)):
            self.kept.pop(self.name, None)
            self._settled()
            ui.notify(f"{self.schema.title}: saved.", type="positive")

    def _tell(self, *, quiet: bool = False) -> None:
        """Say what forbids saving and what is odd; mark the cells."""
        self.said.clear()
        if quiet:
            return
        done = self._finished()
        with self.said:
            if done.problems:
                sentences = [p.sentence for p in done.problems]
                _list(f"{len(sentences)} to correct before saving", sentences, "bad")
            else:
                text("p", "Not saved yet.", "mend")
            if done.cautions:
                _list("Allowed, but look again", list(done.cautions), "mend")
        self._mark(done)

    def _mark(self, done: Finished) -> None:
        bad = [f"{p.key} {p.column}" for p in done.problems]
        ui.run_javascript(MARK % repr(bad))

    def _paste(self) -> None:
        key = f"paste-{self.name}"
        order = ", ".join(heading(c, self.systems[self.name]) for c in self.schema.columns)
        with element("div", cls="field"):
            text("label", f"Rows for {self.schema.title}").props["for"] = key
            given = escape(self.texts.get(self.name) or "")
            area = ui.html(
                f'<textarea class="plain" id="{key}" rows="6" spellcheck="false" aria-describedby="{key}-hint">\n{given}</textarea>',
                sanitize=False,
            )
            area.on("input", lambda e: self.texts.update({self.name: e.args}), js_handler=PASTE)
            text("span", f"With their headings, or without in this order: {order}.", "hint").props["id"] = f"{key}-hint"
        told = ui.element("div")
        with element("div", cls="line"):
            act("Add these rows", lambda: self._take(told, alone=False))
            act("Replace the table with these rows", lambda: self._take(told, alone=True))

    def _take(self, told: ui.element, *, alone: bool) -> None:
        told.clear()
        given = self.texts.get(self.name, "")
        if given is None:
            found = drafts.Pasted(
                self.present.iloc[:0], ("This is too much to paste: load it as a file on Field files.",)
            )
        else:
            found = drafts.pasted(given, self.schema, self.systems[self.name])
        with told, element("div", role="status"):
            if found.problems:
                _list("Nothing was added", list(found.problems), "bad")
                return
            rows = f"{len(found.frame)} row{'' if len(found.frame) == 1 else 's'}"
            text("p", f"{rows} {'put in place of the table' if alone else 'added'}, not saved yet.")
            if found.cautions:
                _list("Allowed, but look again", list(found.cautions), "mend")
        self._keep(drafts.with_rows(self.draft, found.frame, alone=alone))
        self._move(0 if alone else len(self.draft.order))
        self._tell()


def _list(title: str, sentences: list[str], cls: str) -> None:
    text("p", title, cls)
    with element("ul"):
        for sentence in sentences[:PROBLEMS_LISTED]:
            text("li", sentence)
        if len(sentences) > PROBLEMS_LISTED:
            text("li", f"and {len(sentences) - PROBLEMS_LISTED} more")
