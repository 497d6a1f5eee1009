"""From a file to readings: one for each table in it, in SI, with every finding and the cells it speaks of."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np
import pandas as pd

from slabwright.errors import InputError
from slabwright.intake import exchange, headings, weather
from slabwright.intake.airport import airport_hours, whole_hours
from slabwright.intake.columns import fill_columns
from slabwright.intake.container import Content, open_bytes, open_path
from slabwright.intake.deflection_checks import check_deflections
from slabwright.intake.delimited import delimited_sheet
from slabwright.intake.heading_rows import candidates, heading_row, units_row, without_sums
from slabwright.intake.headings import ColumnMatch, Fit
from slabwright.intake.layouts import Known, Told
from slabwright.intake.questions import AnswerNeeded, missing_columns, several_tables, station_unit
from slabwright.intake.rules import Cells, Log, Rows
from slabwright.intake.sheets import Body, MemorySheet, Sheet
from slabwright.intake.stations import could_be_thousands, shifts, whole_kilometres
from slabwright.intake.table_checks import Context, check_table
from slabwright.intake.words import Word, compact, position_of
from slabwright.intake.workbook import workbook_sheets
from slabwright.records.facts import FACTS
from slabwright.records.findings import Finding
from slabwright.records.table import Schema
from slabwright.units import System

__all__ = ["Mapped", "Reading", "check_words", "possible_headings", "read", "read_bytes"]

Mapped = Mapping[str, str | None] | Sequence[ColumnMatch]


@dataclass(frozen=True, eq=False)
class Reading:
    """One table as read, before the engineer has settled its warnings; nothing is changed in place.

    ``frame`` is in SI by the schema of ``table``; ``source_rows`` holds the row of the file for each of its rows
    (counted from 1, as a spreadsheet does); ``suspicious[i]`` names the cells that ``findings[i]`` speaks of. ``words``
    holds the words that had to be understood, ``shifts`` the zero of each kind of post [m], ``weather_station`` the one chosen
    of several, ``lane`` and ``position`` those told for every row.
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
    words: tuple[Word, ...] = ()
    shifts: Mapping[str, float] = field(default_factory=dict)
    weather_station: str = ""
    lane: str = ""
    position: str = ""


def read(
    path: Path | str,
    *,
    table: str | None = None,
    mapping: Mapped | None = None,
    system: System | None = None,
    units: Mapping[str, str] | None = None,
    road: tuple[float, float] | None = None,
    today: datetime.date | None = None,
    words: Mapping[str, str] | None = None,
    posts: Mapping[str, str] | None = None,
    place: str = "",
    lane: str = "",
    position: str = "",
    known: Known | None = None,
) -> tuple[Reading, ...]:
    """Every table of a CSV, XLSX, deflection exchange, EPW or TMY3 file (gzip allowed), each with its findings.

    ``table`` names the table when the headings do not decide it. ``mapping`` gives the column for headings as
    written (None leaves one out), or is the mapping of an earlier reading. ``units`` gives the unit for a column or
    heading; where none is stated anywhere, ``system`` (US unless given) decides and a warning says so. ``road`` holds
    the first and last station [m], ``today`` the day after which a date is in the future. ``words`` gives the meaning of
    words as written, ``posts`` the station of a milepost or reference post, ``place`` the weather station of a file of
    several, ``lane`` the lane of every row of a table that needs one and has no column of it, ``position`` likewise where on
    the slab every test stood, ``known`` what a project remembers. Raises AnswerNeeded for what must be asked, InputError for the rest.
    """
    context = Context(system or "us", road, today)
    return _read(
        open_path(path), table, mapping, _told(units, words, posts, place, lane, position, known, context), context
    )


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
    words: Mapping[str, str] | None = None,
    posts: Mapping[str, str] | None = None,
    place: str = "",
    lane: str = "",
    position: str = "",
    known: Known | None = None,
) -> tuple[Reading, ...]:
    """The same as ``read`` for a file that is already in memory, such as an upload."""
    context = Context(system or "us", road, today)
    return _read(
        open_bytes(data, name),
        table,
        mapping,
        _told(units, words, posts, place, lane, position, known, context),
        context,
    )


def _told(
    units: Mapping[str, str] | None,
    words: Mapping[str, str] | None,
    posts: Mapping[str, str] | None,
    place: str,
    lane: str,
    position: str,
    known: Known | None,
    context: Context,
) -> Told:
    own = shifts(posts or {}, context.system)
    if position.strip():
        position_of(position)
    return Told({}, units or {}, words or {}, own, place, lane.strip(), position.strip(), known or Known())


def possible_headings(path: Path | str) -> tuple[tuple[str, ...], ...]:
    """The first rows of each sheet of a file, alone and with the titles above them, any of which may be its headings."""
    sheets = _sheets(open_path(path), frozenset())
    return tuple(row for sheet in sheets for _, row in candidates(sheet.head))


def check_words(words: Mapping[str, str], readings: Sequence[Reading]) -> None:
    """Raise InputError unless every word that was told stands in a column of the readings that knows its meaning."""
    used = {compact(w.written) for r in readings for w in r.words if w.how == "given"}
    for written, meant in words.items():
        if compact(written) not in used:
            columns = [c for r in readings for c in FACTS[r.table].columns]
            allowed = dict.fromkeys(choice for column in columns for choice in column.choices)
            raise InputError(
                f"the word {written!r} stands in no column that knows this meaning",
                where=readings[0].place,
                given=meant,
                allowed=", ".join(allowed) or "no column has words to choose from",
            )


def _read(
    content: Content, table: str | None, mapping: Mapped | None, told: Told, context: Context
) -> tuple[Reading, ...]:
    schemas = _schemas(table)
    told = replace(told, columns=_given(mapping, schemas))
    sheets = _sheets(content, frozenset(told.columns))
    content = replace(content, data=b"")  # the sheets hold it, and let go of it
    _check_mapping(told.columns, sheets)
    fitting, refusals = [], []
    for sheet in sheets:
        try:
            usable = airport_hours(sheet, told, named=table is not None) if table in (None, "weather") else None
            sheet = usable or sheet
            fitting.append((sheet, *_choose(sheet, schemas, told, named=table is not None)))
        except InputError as problem:
            refusals.append((sheet.place, problem))
    own = _units_by_sheet(told.units, [chosen for _, _, chosen in fitting])
    readings = [
        _reading(content, *found, replace(told, units=units), context)
        for found, units in zip(fitting, own, strict=True)
    ]
    if not readings:
        raise next((p for _, p in refusals if isinstance(p, AnswerNeeded)), refusals[0][1])
    for place, refusal in refusals:
        rule = "sheet nearly a table" if isinstance(refusal, AnswerNeeded) else "sheet without a table"
        readings[0] = _noted(readings[0], rule, f"{place} was left out: {refusal.what}", place)
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
    if not given:
        return
    written = {cell for sheet in sheets for row in sheet.head for cell in row}
    written |= {cell for sheet in sheets for _, row in candidates(sheet.head) for cell in row}
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


def _choose(sheet: Sheet, schemas: Sequence[Schema], told: Told, *, named: bool) -> tuple[int, Fit]:
    """(rows to skip up to the headings, the table that fits). Raises AnswerNeeded when one nearly fits or several do."""
    skip, header, schemas, given = _headings(sheet, schemas, told)
    usable = [
        s for s in schemas if all(m.column is None or m.column in s.names for h, m in given.items() if h in header)
    ]
    fits = [_fitted(header, s, given, told, fuzzy=named) for s in usable or schemas]
    complete = [f for f in fits if not f.missing]
    if not complete:
        fits = [_fitted(header, s, given, told, fuzzy=True) for s in usable or schemas]
        complete = [f for f in fits if not f.missing]
    if not complete:
        problem = _asked(fits, sheet, skip, told, named=named)
        if named and fits[0].columns and not isinstance(problem, AnswerNeeded):
            return skip, fits[0]  # what is missing becomes an error of the table
        raise problem
    best = max(complete, key=lambda f: len(f.columns))
    rivals = [f for f in complete if len(f.columns) == len(best.columns)]
    if len(rivals) > 1:
        raise several_tables(rivals, sheet.place)
    if all(m.how != "fuzzy" for m in best.matches):
        best = _fitted(header, best.schema, given, told, fuzzy=True)
    return skip, best


def _fitted(header: Sequence[str], schema: Schema, given: Mapping[str, ColumnMatch], told: Told, *, fuzzy: bool) -> Fit:
    """How the headings fit a table; a lane or position told stands for the column of a table that needs one and has none."""
    found = headings.fit(header, schema, given, fuzzy=fuzzy)
    needs = schema.name != "lanes" and "lane" in schema.names and schema["lane"].required
    lane = {"lane"} if told.lane and needs and "lane" in found.missing else set()
    position = {"position"} if told.position and "position" in found.unstated else set()
    return replace(found, supplied=frozenset(lane | position))


def _headings(
    sheet: Sheet, schemas: Sequence[Schema], told: Told
) -> tuple[int, tuple[str, ...], Sequence[Schema], dict[str, ColumnMatch]]:
    """(rows to skip, headings, tables they may be, what is given of them): as remembered where the headings are known."""
    for skip, row in candidates(sheet.head):
        layout = told.known.layout_of(row)
        if layout is not None and (not layout.table or any(s.name == layout.table for s in schemas)):
            remembered = {m.header: replace(m, how="remembered", confidence=1.0) for m in layout.matches}
            held = {c for m in told.columns.values() if (c := m.column)}
            remembered = {h: m for h, m in remembered.items() if m.column not in held}
            of_table = [s for s in schemas if s.name == layout.table] or schemas
            return skip, _as_given(row, sheet, skip, told), of_table, {**remembered, **told.columns}
    skip, row = heading_row(sheet.head, lambda cells: headings.known_headings(cells, frozenset(told.columns)))
    return skip, _as_given(row, sheet, skip, told), schemas, dict(told.columns)


def _as_given(row: tuple[str, ...], sheet: Sheet, skip: int, told: Told) -> tuple[str, ...]:
    """The headings, those that were given spelled just as they were given."""
    exact = sheet.head[skip - 1] if skip else ()
    return tuple(exact[i] if i < len(exact) and exact[i] in told.columns else cell for i, cell in enumerate(row))


def _asked(fits: Sequence[Fit], sheet: Sheet, skip: int, told: Told, *, named: bool) -> InputError:
    """The question about the table that fits best but for a column; a refusal where nothing fits."""
    near = max(fits, key=lambda f: (len(f.columns) - 2 * len(f.missing), f.nearness))
    if not near.columns and named:
        return headings.closest(fits, sheet.place, "no heading of this file belongs to the table")
    required = [c for c in near.schema.columns if c.required and c.name in near.columns]
    question = missing_columns(near, sheet.head[skip:], sheet.place, told.known.lanes) if required or named else None
    return question or headings.closest(fits, sheet.place, "the headings fit no table")


def _reading(content: Content, sheet: Sheet, skip: int, chosen: Fit, told: Told, context: Context) -> Reading:
    if chosen.unstated and not chosen.missing:
        _ask_unstated(chosen, sheet, skip)
    log = Log(sheet.place)
    for rule, message in sheet.notes:
        log.say(rule, message)
    schema = chosen.schema
    worded = frozenset(m.index for m in chosen.matches if m.column and not m.is_unit and schema[m.column].is_text)
    stated = units_row(sheet.head[skip], worded) if skip < len(sheet.head) else {}
    rows = sheet.head[skip + bool(stated) :]
    _ask_units(chosen, stated, rows, sheet, told, context)
    numeric = {m.index: schema[m.column] for m in chosen.matches if m.column and not m.is_unit}
    width = len(chosen.matches)
    texts = worded | frozenset(m.index for m in chosen.matches if m.column and m.is_unit)
    texts |= {i for i, c in numeric.items() if c.unit_kind == "count" and could_be_thousands(rows, i)}
    wanted = frozenset(m.index for m in chosen.matches if m.column) | {0}
    body = sheet.body(skip + bool(stated), width, texts, wanted)
    sheet.let_go()
    _say_rows(sheet, skip, body, chosen, log)
    places = [i for i, c in numeric.items() if c.required and c.kind in ("station", "integer")]
    body = without_sums(body, places, [m.header for m in chosen.matches], log)
    log.source_rows = body.rows
    _say_headings(chosen, log)
    filled = fill_columns(body, chosen, stated, told, context.system, sheet.decimal_comma, log)
    frame = filled.frame
    if schema.name == "weather":
        frame = whole_hours(frame, log)
    sane = check_table(frame, schema, filled.units, log, context)
    if schema.name == "deflections":
        check_deflections(sane, log, context.system)
    unmapped = tuple(m.header for m in filled.matches if m.column is None and m.header.strip())
    return Reading(
        content.name,
        sheet.place,
        content.sha256,
        content.size,
        schema.name,
        filled.matches,
        unmapped,
        frame,
        log.source_rows,
        tuple(log.findings),
        tuple(log.cells),
        filled.words,
        filled.shifts,
        sheet.chosen if isinstance(sheet, MemorySheet) else "",
        told.lane if "lane" in chosen.supplied else "",
        told.position if "position" in chosen.supplied else "",
    )


def _ask_unstated(chosen: Fit, sheet: Sheet, skip: int) -> None:
    """Raise AnswerNeeded for what the table can lack but not without a word: where on the slab the tests stood."""
    question = missing_columns(chosen, sheet.head[skip:], sheet.place)
    if question is not None:
        raise question


def _ask_units(
    chosen: Fit, stated: Mapping[int, str], rows: Sequence[Sequence[str]], sheet: Sheet, told: Told, context: Context
) -> None:
    """Raise AnswerNeeded for stations whose bare numbers are far apart in the units they may be in."""
    for match in chosen.matches:
        if match.column is None or match.is_unit or chosen.schema[match.column].kind != "station":
            continue
        if match.column in told.units or match.header in told.units or (match.how == "remembered" and match.unit):
            continue
        written = could_be_thousands(rows, match.index) if match.unit != "km" and match.index not in stated else ""
        if match.unit == "km":
            written = whole_kilometres(rows, match.index)
        if written:
            raise station_unit(match.header, match.column, written, sheet.place, context.system)


def _say_rows(sheet: Sheet, skip: int, body: Body, chosen: Fit, log: Log) -> None:
    single = {cell.strip() for cell in sheet.head[skip - 1]} if skip else set()
    made = [m.header for m in chosen.matches if m.header.strip() and m.header.strip() not in single]
    if made:
        log.say("headings in two rows", f"headings were put together with the row above: {', '.join(made)}")
    above = [row for row in sheet.head[: skip - 1 - bool(made)] if any(cell.strip() for cell in row)]
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
    every = np.arange(len(log.source_rows), dtype=np.int64)
    read = {compact(m.header): m.column for m in chosen.matches if m.column}
    for match in chosen.matches:
        twice = read.get(compact(match.header)) if match.column is None and match.header.strip() else None
        if twice:
            message = f"the heading {match.header!r} stands over two columns, and the first was read"
            log.whole("heading twice", message, every, (twice,))
        elif match.column is None and match.header.strip():
            log.say("column not used", _why_not_used(match, chosen), column=match.header)
        elif match.how == "fuzzy" and match.column:
            log.whole(
                "heading guessed", f"the heading {match.header!r} was taken for {match.column}", every, (match.column,)
            )
    if chosen.offsets:
        shown = ", ".join(f"{o:.3f}" for o in chosen.offsets)
        columns = tuple(f"offset_{i}" for i in range(1, len(chosen.offsets) + 1))
        if chosen.sure:
            log.say("sensors named by offset", f"the headings give the distances of the sensors: {shown} m")
        else:
            named = ", ".join(m.header for m in chosen.matches if (m.column or "").startswith("deflection_"))
            message = f"the headings {named} were taken for sensors that stand at {shown} m"
            log.whole("sensor distances assumed", message, every, columns)


def _why_not_used(match: ColumnMatch, chosen: Fit) -> str:
    """Why a heading was left out: it fits nothing, or what another heading holds already."""
    alone = headings.fit([match.header], chosen.schema, {}, fuzzy=False).matches[0].column
    other = next((m.header for m in chosen.matches if m.column and m.column == alone and not m.is_unit), "")
    if other:
        return f"the heading fits {alone} as the heading {other!r} does, which was read in its place"
    return "the heading fits no column of the table"


def _noted(reading: Reading, rule: str, message: str, place: str) -> Reading:
    log = Log(place)
    log.say(rule, message)
    return replace(reading, findings=(*reading.findings, *log.findings), suspicious=(*reading.suspicious, *log.cells))
