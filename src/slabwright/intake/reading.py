"""From a file to readings: one for each table in it, in SI, with every finding and the cells it speaks of."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import pandas as pd

from slabwright.errors import InputError
from slabwright.intake import exchange, headings, weather
from slabwright.intake.columns import fill_columns
from slabwright.intake.container import Content, open_bytes, open_path
from slabwright.intake.deflection_checks import check_deflections
from slabwright.intake.delimited import delimited_sheet
from slabwright.intake.headings import ColumnMatch, Fit
from slabwright.intake.rules import Cells, Log, Rows
from slabwright.intake.sheets import Body, Sheet
from slabwright.intake.spellings import known_unit
from slabwright.intake.table_checks import Context, check_table
from slabwright.intake.workbook import workbook_sheets
from slabwright.records.facts import FACTS
from slabwright.records.findings import Finding
from slabwright.records.table import Schema
from slabwright.units import System

__all__ = ["Mapped", "Reading", "possible_headings", "read", "read_bytes"]

Mapped = Mapping[str, str | None] | Sequence[ColumnMatch]


@dataclass(frozen=True, eq=False)
class Reading:
    """One table as read, before the engineer has settled its warnings; nothing is changed in place.

    ``frame`` is in SI by the schema of ``table``; ``source_rows`` holds the row of the file for each of its rows
    (counted from 1, as a spreadsheet does); ``suspicious[i]`` names the cells that ``findings[i]`` speaks of.
    """

    file: str
    place: str
    sha256: str
    size: int
    table: str
    mapping: tuple[ColumnMatch, ...]
    unmapped: tuple[str, ...]
    frame: pd.DataFrame
    source_rows: Rows
    findings: tuple[Finding, ...]
    suspicious: tuple[Cells, ...]


def read(
    path: Path | str,
    *,
    table: str | None = None,
    mapping: Mapped | None = None,
    system: System | None = None,
    units: Mapping[str, str] | None = None,
    road: tuple[float, float] | None = None,
    today: datetime.date | None = None,
) -> tuple[Reading, ...]:
    """Every table of a CSV, XLSX, deflection exchange, EPW or TMY3 file (gzip allowed), each with its findings.

    ``table`` names the table when the headings do not decide it. ``mapping`` gives the column for headings as
    written (None leaves one out), or is the mapping of an earlier reading. ``units`` gives the unit for a column or
    heading; where none is stated anywhere, ``system`` (US unless given) decides and a warning says so. ``road`` holds
    the first and last station [m], ``today`` the day after which a date is in the future. Raises InputError.
    """
    content = open_path(path)
    return _read(content, table, mapping, units or {}, Context(system or "us", road, today))


def read_bytes(
    data: bytes,
    name: str,
    *,
    table: str | None = None,
    mapping: Mapped | None = None,
    system: System | None = None,
    units: Mapping[str, str] | None = None,
    road: tuple[float, float] | None = None,
    today: datetime.date | None = None,
) -> tuple[Reading, ...]:
    """The same as ``read`` for a file that is already in memory, such as an upload."""
    return _read(open_bytes(data, name), table, mapping, units or {}, Context(system or "us", road, today))


def possible_headings(path: Path | str) -> tuple[tuple[str, ...], ...]:
    """The first rows of each sheet of a file, any of which may be its headings; for recalling a confirmed mapping."""
    sheets = _sheets(open_path(path), frozenset())
    return tuple(tuple(cell.strip() for cell in row) for sheet in sheets for row in sheet.head)


def _read(
    content: Content, table: str | None, mapping: Mapped | None, units: Mapping[str, str], context: Context
) -> tuple[Reading, ...]:
    schemas = _schemas(table)
    given = _given(mapping, schemas)
    sheets = _sheets(content, frozenset(given))
    fitting, refusals = [], []
    for sheet in sheets:
        try:
            fitting.append((sheet, *_choose(sheet, schemas, given, named=table is not None)))
        except InputError as problem:
            refusals.append((sheet.place, problem))
    own = _units_by_sheet(units, [chosen for _, _, chosen in fitting])
    readings = [_reading(content, *found, stated, context) for found, stated in zip(fitting, own, strict=True)]
    if not readings:
        raise refusals[0][1]
    for place, refusal in refusals:
        readings[0] = _noted(readings[0], "sheet without a table", f"{place} was left out: {refusal.what}", place)
    _check_mapping(given, sheets)
    return tuple(readings)


def _units_by_sheet(units: Mapping[str, str], fits: Sequence[Fit]) -> list[dict[str, str]]:
    """The units for each sheet: those of its own headings and columns, and on the first those that fit none."""
    named = [{n for m in f.matches if m.column for n in (m.header, m.column)} | set(f.schema.names) for f in fits]
    strange = set(units).difference(*named)
    return [
        {n: u for n, u in units.items() if n in names or (i == 0 and n in strange)} for i, names in enumerate(named)
    ]


def _schemas(table: str | None) -> list[Schema]:
    if table is None:
        return list(FACTS.values())
    if table not in FACTS:
        raise InputError("there is no such table", given=table, allowed=", ".join(FACTS))
    return [FACTS[table]]


def _given(mapping: Mapped | None, schemas: Sequence[Schema]) -> dict[str, ColumnMatch]:
    """What the engineer gave or an earlier load remembers, by heading; a column must exist in some table."""
    if mapping is None:
        return {}
    if isinstance(mapping, Mapping):
        matches = [ColumnMatch(h, c, None, "given", 1.0, 0) for h, c in mapping.items()]
    else:
        matches = [replace(m, how="remembered", confidence=1.0) for m in mapping]
    for match in matches:
        if match.column is not None and not any(match.column in s.names for s in schemas):
            raise InputError(
                "the mapping names a column that does not exist",
                where=f"heading {match.header!r}",
                given=match.column,
                allowed=", ".join(schemas[0].names) if len(schemas) == 1 else "a column of one of the tables",
            )
    return {m.header: m for m in matches}


def _check_mapping(given: Mapping[str, ColumnMatch], sheets: Sequence[Sheet]) -> None:
    written = {cell for sheet in sheets for row in sheet.head for cell in row}
    absent = [h for h, m in given.items() if h not in written and m.how == "given"]
    if absent:
        raise InputError(
            "the mapping names headings that the file does not have", where=sheets[0].place, given=", ".join(absent)
        )


def _sheets(content: Content, given: frozenset[str]) -> Sequence[Sheet]:
    if content.shape == "workbook":
        return workbook_sheets(content)
    if exchange.is_exchange(content):
        return [exchange.exchange_sheet(content)]
    if weather.is_weather(content):
        return [weather.weather_sheet(content)]
    return [
        delimited_sheet(content, lambda head: max((headings.known_headings(row, given) for row in head), default=0))
    ]


def _choose(
    sheet: Sheet, schemas: Sequence[Schema], given: Mapping[str, ColumnMatch], *, named: bool
) -> tuple[int, Fit]:
    """(rows to skip up to the headings, the table that fits). Raises InputError when none or several fit."""
    counts = [headings.known_headings(row, frozenset(given)) for row in sheet.head]
    at = int(np.argmax(counts)) if counts else 0
    written = [h.strip() for h in sheet.head[at]] if counts else []
    exact = list(sheet.head[at]) if counts else []
    header = [e if e in given else w for e, w in zip(exact, written, strict=True)]
    usable = [
        s for s in schemas if all(m.column is None or m.column in s.names for h, m in given.items() if h in header)
    ]
    fits = [headings.fit(header, s, given, fuzzy=named) for s in usable or schemas]
    if named:
        if not fits[0].columns:
            raise headings.closest(fits, sheet.place, "no heading of this file belongs to the table")
        return at + 1, fits[0]
    complete = [f for f in fits if not f.missing]
    if not complete:
        fits = [headings.fit(header, s, given, fuzzy=True) for s in usable or schemas]
        complete = [f for f in fits if not f.missing]
    if not complete:
        raise headings.closest(fits, sheet.place, "the headings fit no table")
    best = max(complete, key=lambda f: len(f.columns))
    rivals = [f for f in complete if len(f.columns) == len(best.columns)]
    if len(rivals) > 1:
        raise headings.closest(rivals, sheet.place, "the headings fit more than one table")
    if all(m.how != "fuzzy" for m in best.matches):
        best = headings.fit(header, best.schema, given, fuzzy=True)
    return at + 1, best


def _reading(
    content: Content, sheet: Sheet, skip: int, chosen: Fit, units: Mapping[str, str], context: Context
) -> Reading:
    log = Log(sheet.place)
    for rule, message in sheet.notes:
        log.say(rule, message)
    schema = chosen.schema
    stated = _units_row(sheet.head[skip]) if skip < len(sheet.head) else {}
    width = len(chosen.matches)
    texts = frozenset(m.index for m in chosen.matches if m.column and (m.is_unit or schema[m.column].is_text))
    wanted = frozenset(m.index for m in chosen.matches if m.column)
    body = sheet.body(skip + bool(stated), width, texts, wanted)
    log.source_rows = body.rows
    _say_rows(sheet, skip, body, chosen, log)
    _say_headings(chosen, log)
    frame, used, matches = fill_columns(body, chosen, stated, units, context.system, sheet.decimal_comma, log)
    sane = check_table(frame, schema, used, log, context)
    if schema.name == "deflections":
        check_deflections(sane, log, context.system)
    unmapped = tuple(m.header for m in matches if m.column is None and m.header.strip())
    return Reading(
        content.name,
        sheet.place,
        content.sha256,
        content.size,
        schema.name,
        matches,
        unmapped,
        frame,
        body.rows,
        tuple(log.findings),
        tuple(log.cells),
    )


def _units_row(row: Sequence[str]) -> dict[int, str]:
    """Units by position when a row below the headings holds units and nothing else."""
    filled = {i: cell.strip() for i, cell in enumerate(row) if cell.strip()}
    blank = {i for i, cell in filled.items() if cell.lower() in ("-", "–", "text", "date", "n/a")}
    known = {
        i: cell
        for i, cell in filled.items()
        if i not in blank and known_unit(cell) and not cell.strip("()[]").isdigit()
    }
    return known if known and len(known) + len(blank) == len(filled) and len(known) > len(blank) else {}


def _say_rows(sheet: Sheet, skip: int, body: Body, chosen: Fit, log: Log) -> None:
    above = [row for row in sheet.head[: skip - 1] if any(cell.strip() for cell in row)]
    if above:
        log.say(
            "lines above the headings",
            f"{len(above)} lines above the headings were not read",
            value=" ".join(above[0]).strip(),
        )
    for row, value in body.too_long:
        log.say("row too long", "the row has more cells than there are headings", value=value, row=row)
    for row, column, length in body.long_cells:
        name = chosen.matches[column].header if column < len(chosen.matches) else f"number {column + 1}"
        log.say("cell too long", f"the cell has {length} characters", column=name, row=row)
    if not len(body.rows):
        raise InputError("there are headings but no rows below them", where=sheet.place)


def _say_headings(chosen: Fit, log: Log) -> None:
    for name in chosen.missing:
        log.say("missing column", f"the table {chosen.schema.name} needs {chosen.schema[name].meaning}", column=name)
    for match in chosen.matches:
        every = np.arange(len(log.source_rows), dtype=np.int64)
        if match.column is None and match.header.strip():
            log.say("column not used", "the heading fits no column of the table", column=match.header)
        elif match.how == "fuzzy" and match.column:
            log.whole(
                "heading guessed", f"the heading {match.header!r} was taken for {match.column}", every, (match.column,)
            )
    if chosen.offsets:
        shown = ", ".join(f"{o:.3f}" for o in chosen.offsets)
        log.say("sensors named by offset", f"the headings give the distances of the sensors: {shown} m")


def _noted(reading: Reading, rule: str, message: str, place: str) -> Reading:
    log = Log(place)
    log.say(rule, message)
    return replace(reading, findings=(*reading.findings, *log.findings), suspicious=(*reading.suspicious, *log.cells))
