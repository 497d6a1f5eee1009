"""A table being edited, apart from any page: what was typed is kept beside the values it stands for.

A ``Draft`` never changes in place. Cells that nobody touched, and cells typed back to what they showed, come back
bit for bit; only the others are read from their text, in the units shown. What intake checks is checked here too.
"""

from __future__ import annotations

import csv
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
import pandas as pd

from slabwright import units
from slabwright.errors import InputError, SlabwrightError
from slabwright.intake import read_bytes
from slabwright.intake.cells import dates
from slabwright.intake.headings import fit
from slabwright.intake.rules import Log
from slabwright.intake.table_checks import Context, check_table
from slabwright.project import Project
from slabwright.records.display import cell
from slabwright.records.facts import FACTS
from slabwright.records.findings import Finding
from slabwright.records.table import Column, Schema, table

__all__ = [
    "Draft",
    "Finished",
    "Pasted",
    "Problem",
    "as_text",
    "as_value",
    "begin",
    "blank",
    "finished",
    "in_system",
    "pasted",
    "save",
    "shown",
    "typed",
    "with_rows",
    "without",
]

LONGEST_TEXT = 10_000
CAUTIONS_LISTED = 8


@dataclass(frozen=True, eq=False)
class Draft:
    """The edited table: ``base`` holds SI values by key, ``order`` the keys of the rows, ``changed`` the new texts.

    ``original`` is the project's table that the editing began from, as it stood at ``head``.
    """

    schema: Schema
    system: units.System
    original: pd.DataFrame
    head: int
    base: pd.DataFrame
    order: tuple[int, ...]
    changed: Mapping[tuple[int, str], str] = field(default_factory=dict)

    @property
    def touched(self) -> bool:
        return bool(self.changed) or self.order != tuple(range(len(self.original)))


@dataclass(frozen=True)
class Problem:
    """A cell that cannot be saved as it is (a whole row has no column), and the sentence that says why."""

    key: int
    column: str
    sentence: str


@dataclass(frozen=True, eq=False)
class Finished:
    """The table in SI with what forbids its saving, and what is odd but allowed."""

    frame: pd.DataFrame
    problems: tuple[Problem, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class Pasted:
    """Rows read from pasted text in SI; with problems there are none."""

    frame: pd.DataFrame
    problems: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


def begin(schema: Schema, frame: pd.DataFrame, system: units.System, head: int) -> Draft:
    """A draft of the project's table as it stands at ``head``."""
    return Draft(schema, system, frame, head, frame.reset_index(drop=True), tuple(range(len(frame))))


def as_text(value: object, column: Column, system: units.System) -> str:
    """A value as it stands in its input: in the units shown, empty when missing."""
    if column.is_text:
        return str(value)
    return "" if np.isnan(float(value)) else cell(value, column, system)  # type: ignore[arg-type]


def as_value(text: str, column: Column, system: units.System) -> object:
    """The SI value or word of a text; InputError when it is none of that column."""
    plain = text.strip()
    if column.is_text:
        return _word(plain, column, system)
    if plain in ("", "–"):
        return np.nan
    if column.kind == "station":
        return units.parse_station(plain, system)
    number = units.parse(plain, column.unit_kind or "number", system)
    if column.kind == "integer" and number != round(number):
        raise InputError("a whole number is needed", given=plain)
    return number


def _word(plain: str, column: Column, system: units.System) -> str:
    if len(plain) > LONGEST_TEXT:
        raise InputError("the text is too long", given=f"{len(plain)} characters", allowed=f"{LONGEST_TEXT:,}")
    if column.kind == "choice" and plain and plain not in column.choices:
        raise InputError("there is no such choice", given=plain, allowed=", ".join(column.choices))
    if column.kind != "date":
        return plain
    read = dates(np.array([plain], dtype=object), system)
    if len(read.unread):
        raise InputError("this is not a date", given=plain, allowed="for example 2025-06-04")
    return str(read.values[0])


def shown(draft: Draft, key: int, column: str) -> str:
    """The text of a cell: as typed, or as its value reads."""
    if (key, column) in draft.changed:
        return draft.changed[key, column]
    return as_text(draft.base[column].iloc[key], draft.schema[column], draft.system)


def typed(draft: Draft, key: int, column: str, text: str) -> Draft:
    """The draft with another text in a cell; the text that its value reads as is no change."""
    changed = dict(draft.changed)
    changed.pop((key, column), None)
    if text != as_text(draft.base[column].iloc[key], draft.schema[column], draft.system):
        changed[key, column] = text
    return replace(draft, changed=changed)


def in_system(draft: Draft, system: units.System) -> Draft:
    """The draft to be shown in other units. What was typed keeps every digit: it is given the unit that it was typed in."""
    if system == draft.system:
        return draft
    changed = {place: _stated(text, draft.schema[place[1]], draft.system) for place, text in draft.changed.items()}
    return replace(draft, system=system, changed=changed)


def _stated(text: str, column: Column, system: units.System) -> str:
    """A typed text that means the same in any units; text that nobody can read stays as it is, and is still refused."""
    kind = "length" if column.kind == "station" else column.unit_kind  # a plus sign says itself what station it is
    unit = units.unit_of(kind, system) if kind and not column.is_text else "1"
    return f"{text.strip()} {unit}" if unit != "1" and _is_number(text.replace(",", "")) else text


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


def with_rows(draft: Draft, frame: pd.DataFrame, *, alone: bool = False) -> Draft:
    """The draft with rows in SI at its end, or with these rows alone."""
    first = len(draft.base)
    base = (
        pd.concat([draft.base, table(draft.schema, frame)], ignore_index=True) if first else table(draft.schema, frame)
    )
    order = () if alone else draft.order
    return replace(draft, base=base, order=(*order, *range(first, first + len(frame))))


def blank(draft: Draft) -> Draft:
    """The draft with one empty row more."""
    return with_rows(draft, table(draft.schema, pd.DataFrame(index=pd.RangeIndex(1))))


def without(draft: Draft, key: int) -> Draft:
    """The draft without a row."""
    changed = {place: text for place, text in draft.changed.items() if place[0] != key}
    return replace(draft, order=tuple(k for k in draft.order if k != key), changed=changed)


def finished(draft: Draft, road: tuple[float, float] | None = None) -> Finished:
    """The table in SI, every changed cell read, every rule of intake applied."""
    frame = draft.base.iloc[list(draft.order)].reset_index(drop=True)
    place = {key: row for row, key in enumerate(draft.order)}
    problems = []
    for (key, name), text in draft.changed.items():
        column = draft.schema[name]
        try:
            value = as_value(text, column, draft.system)
        except SlabwrightError as refusal:
            problems.append(Problem(key, name, f"row {place[key] + 1}, {column.meaning}: {refusal}"))
            value = "" if column.is_text else np.nan
        frame.loc[place[key], name] = value
    found, cautions = _checked(frame, draft, road)
    unread = {(p.key, p.column) for p in problems}
    problems += [p for p in found if (p.key, p.column) not in unread]
    return Finished(frame, tuple(sorted(problems, key=lambda p: place[p.key])), cautions)


def _checked(
    frame: pd.DataFrame, draft: Draft, road: tuple[float, float] | None
) -> tuple[list[Problem], tuple[str, ...]]:
    """What the rules of intake say of the rows: errors by cell, warnings as cautions."""
    log = Log("")
    log.source_rows = np.arange(1, len(frame) + 1, dtype=np.int64)
    check_table(frame, draft.schema, {}, log, Context(draft.system, road))
    problems, cautions = [], []
    for finding, cells in zip(log.findings, log.cells, strict=True):
        if finding.weight == "error":
            problems += [
                Problem(draft.order[row], name, _sentence(replace(finding, row=int(row) + 1), draft.schema))
                for row in cells.rows
                for name in cells.columns or ("",)
            ]
        elif finding.weight == "warning":
            cautions.append(_sentence(replace(finding, remedy=""), draft.schema))
    more = len(cautions) - CAUTIONS_LISTED
    return problems, (*cautions[:CAUTIONS_LISTED], *([f"and {more} more of this sort"] if more > 0 else []))


def _sentence(finding: Finding, schema: Schema) -> str:
    """A finding with the column's meaning in place of its name."""
    names = [n for n in finding.column.split(", ") if n]
    words = " and ".join(schema[n].meaning if n in schema.names else n for n in names)
    where = ", ".join(p for p in (f"row {finding.row}" if finding.row is not None else "", words) if p)
    given = f" (given {finding.value})" if finding.value else ""
    return f"{where}: {finding.message}{given}. {finding.remedy}".strip()


def pasted(text: str, schema: Schema, system: units.System, road: tuple[float, float] | None = None) -> Pasted:
    """Rows copied from a spreadsheet, with or without their headings, read by the rules of intake.

    Without headings the columns are those of the table in its order, and bare numbers are in the units shown.
    """
    lines = text.strip("\r\n")
    try:
        if not lines.strip():
            raise InputError("nothing was pasted", remedy="Copy the rows in the spreadsheet and paste them here.")
        first = _cells(lines)
        headed = _is_heading(first, schema)
        whole = lines if headed else f"{_heading_row(first, schema, system, lines)}\n{lines}"
        (found,) = read_bytes(whole.encode(), "pasted rows", table=schema.name, system=system, road=road)
    except SlabwrightError as refusal:
        return Pasted(table(schema, {}), (str(refusal),))
    shift = 0 if headed else 1
    moved = [replace(f, row=None if f.row is None else f.row - shift) for f in found.findings]
    errors = tuple(_sentence(f, schema) for f in moved if f.weight == "error")
    cautions = [f for f in moved if f.weight == "warning" or f.rule == "column not used"]
    kept = found.frame if not errors else found.frame.iloc[:0]
    return Pasted(kept, errors, tuple(_sentence(replace(f, remedy=""), schema) for f in cautions))


def _delimiter(lines: str) -> str:
    first = lines.split("\n", 1)[0]
    return next((d for d in "\t;,|" if d in first), "\t")


def _cells(lines: str) -> list[str]:
    return next(csv.reader(lines.splitlines(), delimiter=_delimiter(lines)), [])


def _is_heading(cells: Sequence[str], schema: Schema) -> bool:
    """Whether at least half of the filled cells name columns of the table."""
    filled = [c for c in cells if c.strip()]
    return bool(filled) and 2 * len(fit(filled, schema, {}, fuzzy=False).columns) >= len(filled)


def _heading_row(cells: Sequence[str], schema: Schema, system: units.System, lines: str) -> str:
    if len(cells) > len(schema.columns):
        raise InputError(
            "the rows have more cells than the table has columns",
            where="pasted rows",
            given=len(cells),
            allowed=f"{len(schema.columns)}: {', '.join(c.meaning for c in schema.columns)}",
            remedy="Paste the headings too, or only these columns in this order.",
        )
    return _delimiter(lines).join(_named(c, system) for c in schema.columns[: len(cells)])


def _named(column: Column, system: units.System) -> str:
    unit = units.unit_of(column.unit_kind, system) if column.unit_kind else "1"
    return column.name if unit == "1" else f"{column.name} ({unit})"


def save(project: Project, draft: Draft, frame: pd.DataFrame) -> int:
    """Make the frame the project's table and return the head.

    Raises Conflict when the table itself has changed since the draft began; changes elsewhere do not matter to it.
    """
    now = project.head
    present: pd.DataFrame = getattr(project.facts(), draft.schema.name)
    expected = now if present.equals(draft.original) else draft.head
    return project.replace_table(draft.schema.name, frame, f"edit {FACTS[draft.schema.name].title}", expected=expected)
