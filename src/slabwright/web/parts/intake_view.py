"""What the page shows of one dropped file: recognised, mapped, questioned, first rows; and how it is corrected."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from html import escape
from typing import Any

import pandas as pd
from nicegui import ui

from slabwright.errors import shorten
from slabwright.intake import ColumnMatch, Reading, grouped, preview
from slabwright.records.facts import FACTS
from slabwright.records.findings import Finding
from slabwright.units import System
from slabwright.web.parts import dropped as files
from slabwright.web.parts.asked import draw_posts, draw_questions, draw_words
from slabwright.web.parts.dropped import Answer, Dropped
from slabwright.web.parts.field import pick
from slabwright.web.parts.html import act, element, text
from slabwright.web.parts.remedies import remedy_here

__all__ = ["draw_file", "findings_html", "first_html", "mapping_html"]

Change = Callable[[Dropped], Any]
NOT_USED, AS_RECOGNISED, NO_FILE = "not used", "as its headings say", "no file: its rows are added"
SYSTEMS: dict[str, System] = {"US customary": "us", "metric": "metric"}
HOW = {
    "exact": "same name",
    "synonym": "known wording",
    "fuzzy": "similar spelling",
    "remembered": "as loaded before",
    "given": "your choice",
    "offset": "distance of the sensor",
    "none": "not recognised",
}
WORDS = (("accepted", "Accept"), ("rejected", "Reject"))
NOTES_LISTED = 60
FILTERED_FROM = 8  # findings
FILTER = """(e) => {
  const words = e.target.value.toLowerCase().split(/\\s+/).filter(Boolean);
  const here = e.target.closest('.findings');
  for (const row of here.querySelectorAll('table.told tbody tr, li')) {
    const text = row.textContent.toLowerCase();
    row.hidden = !words.every((word) => text.includes(word));
  }
}"""
MAPPED = (
    "(e) => { const c = e.target.closest('[data-header]'); if (c) emit([c.dataset.what, c.dataset.header, c.value]); }"
)
SAID = "(e) => { const b = e.target.closest('button.word'); if (b) emit([b.id, +b.dataset.place, b.dataset.word]); }"


def draw_file(
    dropped: Dropped, shown: System, change: Change, again: Callable[[], Any], leave: Callable[[], Any]
) -> None:
    """One file on the page; ``change`` takes the corrected file, ``again`` reads it again, ``leave`` takes it off."""
    with element("section", cls="panel", aria_label=shorten(dropped.name)).style("margin: .6rem 0"):
        with element("div", cls="line"):
            text("h2", dropped.name)
            act("Leave this file out", leave, aria_label=f"Leave out {dropped.name}")
        if dropped.refusal:
            text("p", dropped.refusal, "mend" if dropped.questions else "bad").props["role"] = "alert"
        draw_questions(dropped, change)
        draw_posts(dropped, change)
        _told(dropped, change, again)
        if dropped.refusal and dropped.headings and dropped.table:
            _mapping(dropped, 0, tuple(_unmatched(dropped)), dropped.table, change)
        for number, reading in enumerate(dropped.readings):
            _reading(dropped, number, reading, shown, change)


def _told(dropped: Dropped, change: Change, again: Callable[[], Any]) -> None:
    """How the whole file is to be read."""
    with element("div", cls="line").style("align-items: end"):
        for fields in (_table_pick, _system_pick, *((_place_pick,) if dropped.held else ())):
            with ui.element("div").style("max-width: 18rem; flex: 1 1 12rem"):
                fields(dropped, change)
        act("Read again", again, main=dropped.pending, aria_label=f"Read {dropped.name} again")
    if dropped.pending:
        text("p", "Corrected: read it again to see what follows.", "mend").props["role"] = "status"


def _table_pick(dropped: Dropped, change: Change) -> None:
    titles = {FACTS[name].title: name for name in FACTS}
    chosen = FACTS[dropped.table].title if dropped.table else AS_RECOGNISED
    pick("Table", [AS_RECOGNISED, *titles], chosen, lambda t: change(files.of_table(dropped, titles.get(t))))


def _system_pick(dropped: Dropped, change: Change) -> None:
    chosen = next(words for words, system in SYSTEMS.items() if system == dropped.system)
    pick("Numbers without a unit are", list(SYSTEMS), chosen, lambda t: change(files.in_system(dropped, SYSTEMS[t])))


def _place_pick(dropped: Dropped, change: Change) -> None:
    chosen = dropped.in_place_of or NO_FILE
    pick(
        "In place of",
        [NO_FILE, *dropped.held],
        chosen,
        lambda t: change(files.in_place(dropped, "" if t == NO_FILE else t)),
    )


def _unmatched(dropped: Dropped) -> list[ColumnMatch]:
    return [
        ColumnMatch(
            h,
            dropped.mapping.get(h),
            None,
            "given" if h in dropped.mapping else "none",
            1.0 if h in dropped.mapping else 0.0,
            i,
        )
        for i, h in enumerate(dict.fromkeys(dropped.headings))
    ]


def _reading(dropped: Dropped, number: int, reading: Reading, shown: System, change: Change) -> None:
    found = preview(reading, shown)
    counts = ", ".join(
        f"{found.counts[w]} {w}{'' if found.counts[w] == 1 else 's'}" for w in ("error", "warning", "note")
    )
    text("h3", f"Recognised: {FACTS[reading.table].title}, {len(reading.frame):,} rows")
    place = f"{reading.place}. " if reading.place != dropped.name else ""
    text("p", f"{place}{counts}.")
    with element("div", cls="findings"):
        _filter(reading)
        _errors(reading)
        _warnings(dropped, number, reading, change)
        _notes(reading)
    draw_words(dropped, reading, change)
    _mapping(dropped, number, reading.mapping, reading.table, change)
    text("h3", "First rows")
    _scroll(first_html(found.first), f"First rows of {reading.place}")


def _scroll(html: str, label: str) -> ui.element:
    region = ui.html(html, sanitize=False).classes("scroll")
    region.props.update({"tabindex": "0", "role": "region", "aria-label": shorten(label)})
    return region


def _filter(reading: Reading) -> None:
    """A field that leaves only the findings with its words in sight; shown where there are more than a glance takes in."""
    if len(reading.findings) < FILTERED_FROM:
        return
    field = ui.element("input").classes("plain-input").style("max-width: 24rem; margin: .3rem 0")
    name = f"Show only findings of {shorten(reading.place)} with these words"
    field.props.update({"type": "search", "placeholder": "Filter the findings", "aria-label": name})
    field.on("input", js_handler=FILTER)


def _errors(reading: Reading) -> None:
    """One line a kind, and every error below it, kind by kind."""
    groups = [
        g for g in grouped(reading.findings, reading.suspicious, reading.source_rows.tolist()) if g.weight == "error"
    ]
    if groups:
        text("h3", "Errors: nothing can be loaded while they stand", "bad")
        if len(groups) > 1 or groups[0].count > 1:
            with element("ul"):
                for group in groups:
                    text("li", str(group))
        _scroll(findings_html([reading.findings[p] for g in groups for p in g.places]), "Errors")


def _notes(reading: Reading) -> None:
    found = [f for f in reading.findings if f.weight == "note"]
    if found:
        with element("details", cls="group"):
            text("summary", f"Notes ({len(found)})")
            with element("ul"):
                for note in found[:NOTES_LISTED]:
                    text("li", str(replace(note, remedy=remedy_here(note.remedy))))
                if len(found) > NOTES_LISTED:
                    text("li", f"and {len(found) - NOTES_LISTED} more")


def _warnings(dropped: Dropped, number: int, reading: Reading, change: Change) -> None:
    """The warnings rule by rule, each finding with its own two words."""
    rules: dict[str, list[int]] = {}
    for place, finding in enumerate(reading.findings):
        if finding.weight == "warning":
            rules.setdefault(finding.rule, []).append(place)
    if rules:
        text("h3", "Warnings: accept the values as they are, or reject them")
    for rule, places in rules.items():
        _rule(dropped, number, reading, rule, places, change)


def _rule(dropped: Dropped, number: int, reading: Reading, rule: str, places: list[int], change: Change) -> None:
    waiting = sum((number, p) not in dropped.answers for p in places)
    rows = preview_rows(reading, places)

    def say(answer: Answer, chosen: Sequence[int]) -> None:
        change(files.answered(dropped, [(number, p) for p in chosen], answer))

    with element("div", cls="line", role="group", aria_label=f"{rule} in {shorten(reading.place)}"):
        text("strong", rule[:1].upper() + rule[1:])
        text(
            "span",
            f"{rows} row{'' if rows == 1 else 's'}, {f'{waiting} open' if waiting else 'answered'}",
            "mend" if waiting else "good",
        )
        act("Accept all", lambda: say("accepted", places), aria_label=f"Accept all: {rule}")
        act("Reject all", lambda: say("rejected", places), aria_label=f"Reject all: {rule}")
    said = {p: dropped.answers.get((number, p), "") for p in places}
    html = findings_html([reading.findings[p] for p in places], said, key=f"{abs(hash(str(dropped.path))):x}-{number}")
    region = _scroll(html, f"Warnings of {rule}")
    region.on("click", lambda e: _word(e.args, say), js_handler=SAID)


def _word(args: Sequence[Any], say: Callable[[Answer, Sequence[int]], None]) -> None:
    """A word on one finding; the keyboard stays on the button that was pressed though it is drawn anew."""
    key, place, answer = str(args[0]), int(args[1]), args[2]
    say("rejected" if answer == "rejected" else "accepted", [place])
    if key.replace("-", "").isalnum():
        ui.run_javascript(f"setTimeout(() => document.getElementById('{key}')?.focus(), 60)")


def preview_rows(reading: Reading, places: Sequence[int]) -> int:
    """How many rows some findings speak of together."""
    return len({int(row) for p in places for row in reading.suspicious[p].rows})


def findings_html(found: Sequence[Finding], said: dict[int, str] | None = None, *, key: str = "") -> str:
    """Findings as an escaped table; with ``said`` (answer by place) each has its two buttons."""
    heads = ["Row", "Column", "Value", "What", "What to do", *(["Your word"] if said is not None else [])]
    head = "".join(f'<th scope="col">{h}</th>' for h in heads)
    rows = []
    for finding, place in zip(found, said or range(len(found)), strict=True):
        cells = [
            "" if finding.row is None else str(finding.row),
            finding.column,
            finding.value,
            finding.message,
            remedy_here(finding.remedy),
        ]
        row = "".join(f"<td>{escape(c)}</td>" for c in cells)
        rows.append(f"<tr>{row}{_buttons(place, said[place], cells[0], key) if said is not None else ''}</tr>")
    return f'<table class="data told"><thead><tr>{head}</tr></thead><tbody>{"".join(rows)}</tbody></table>'


def _buttons(place: int, said: str, row: str, key: str) -> str:
    where = f"row {row}" if row else "this"
    made = "".join(
        f'<button type="button" class="word" id="word-{key}-{place}-{word}" data-place="{place}" data-word="{word}" '
        f'aria-pressed="{"true" if said == word else "false"}" aria-label="{label} {where}">{label}</button> '
        for word, label in WORDS
    )
    return f'<td style="white-space: nowrap">{made}</td>'


def _mapping(dropped: Dropped, number: int, matches: Sequence[ColumnMatch], table: str, change: Change) -> None:
    text("h3", "Headings and columns")
    region = _scroll(mapping_html(matches, table, dropped), f"Headings of {dropped.name}")

    def told(args: Sequence[Any]) -> None:
        what, header, value = args[0], str(args[1]), str(args[2])
        if what == "unit":
            change(files.in_unit(dropped, header, value))
        else:
            change(files.matched(dropped, header, None if value == NOT_USED else value, number))

    region.on("change", lambda e: told(e.args), js_handler=MAPPED)


def mapping_html(matches: Sequence[ColumnMatch], table: str, dropped: Dropped) -> str:
    """Every heading with the column and unit it was taken for, to be corrected."""
    head = "".join(f'<th scope="col">{h}</th>' for h in ("Heading in the file", "Column", "Unit", "How", "Sure"))
    rows = "".join(_match_row(m, table, dropped) for m in matches if m.header.strip())
    return f'<table class="data edit told"><thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table>'


def _match_row(match: ColumnMatch, table: str, dropped: Dropped) -> str:
    header = escape(match.header, quote=True)
    if match.is_unit:
        return f"<tr><td>{header}</td><td>units of {escape(match.column or '')}</td><td></td><td>{HOW[match.how]}</td><td>{match.confidence:.0%}</td></tr>"
    chosen = dropped.mapping.get(match.header, match.column) or NOT_USED
    options = "".join(
        f'<option value="{escape(name, quote=True)}"{" selected" if name == chosen else ""}>{escape(words)}</option>'
        for name, words in [(NOT_USED, NOT_USED), *((c.name, f"{c.name}: {c.meaning}") for c in FACTS[table].columns)]
    )
    select = f'<select class="plain-select" data-what="column" data-header="{header}" aria-label="Column for {header}">{options}</select>'
    unit = escape(dropped.units.get(match.header, match.unit or match.unread_unit), quote=True)
    has_unit = chosen in FACTS[table].names and FACTS[table][chosen].unit_kind not in (None, "count", "number")
    field = f'<input class="plain-input" type="text" size="8" data-what="unit" data-header="{header}" aria-label="Unit of {header}" value="{unit}">'
    return (
        f'<tr><td data-label="Heading">{header}</td><td data-label="Column">{select}</td><td data-label="Unit">{field if has_unit else ""}</td>'
        f'<td data-label="How">{HOW[match.how]}</td><td data-label="Sure">{f"{match.confidence:.0%}" if match.column else ""}</td></tr>'
    )


def first_html(first: pd.DataFrame) -> str:
    """The first rows as an escaped table."""
    head = "".join(f'<th scope="col">{escape(str(name))}</th>' for name in first.columns)
    texts = [[_shown(v) for v in first[name]] for name in first.columns]
    rows = "".join(f"<tr>{''.join(f'<td>{escape(t)}</td>' for t in row)}</tr>" for row in zip(*texts, strict=True))
    return f'<table class="data"><thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table>'


def _shown(value: object) -> str:
    if isinstance(value, float):
        return "–" if value != value else f"{value:.6g}"
    words = str(value)
    return words if len(words) <= 200 else words[:200] + " …"
