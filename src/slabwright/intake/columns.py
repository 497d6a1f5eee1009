"""The columns of a table from the cells of a sheet: which unit each is in, and what its cells mean."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from slabwright.errors import InputError
from slabwright.intake import cells, stations
from slabwright.intake.headings import ColumnMatch, Fit, suiting_unit
from slabwright.intake.layouts import Told
from slabwright.intake.rules import Log, Rows, rows_named
from slabwright.intake.sheets import Body, Values
from slabwright.intake.spellings import find_unit
from slabwright.intake.wordings import MILES
from slabwright.intake.words import Manner, Word, compact, meanings, position_of
from slabwright.records.facts import OTHER_DISTRESS
from slabwright.records.table import Column, Schema, table
from slabwright.units import KINDS, System, format_quantity, format_station, unit_of

__all__ = ["Filled", "fill_columns"]

Marked = npt.NDArray[np.bool_]  # rows
USUAL_RADIUS = 0.15  # metres, the plate of common practice (300 mm across)


@dataclass(frozen=True, eq=False)
class Filled:
    """The table in SI; the unit of each column; the matches completed with these; words and posts as understood."""

    frame: pd.DataFrame
    units: dict[str, str]
    matches: tuple[ColumnMatch, ...]
    words: tuple[Word, ...] = ()
    shifts: dict[str, float] = field(default_factory=dict)


def fill_columns(
    body: Body,
    chosen: Fit,
    stated: Mapping[int, str],
    told: Told,
    system: System,
    decimal_comma: bool,
    log: Log,
) -> Filled:
    """The table in SI, with what was taken to be meant."""
    schema, units = chosen.schema, told.units
    _check_units(units, chosen)
    known = {m.index: _stated_unit(m, schema, stated, units) for m in chosen.matches if m.column and not m.is_unit}
    per_row = {m.column: body.columns[m.index] for m in chosen.matches if m.column and m.is_unit}
    data: dict[str, Any] = {}
    used: dict[str, str] = {}
    assumed: dict[str, list[tuple[str, Marked, float]]] = {}
    matches = list(chosen.matches)
    words: list[Word] = []
    posts: dict[str, float] = {}
    for position, match in enumerate(chosen.matches):
        if match.column is None or match.is_unit:
            continue
        column = schema["station" if match.is_end else match.column]
        raw = body.columns.pop(match.index)  # no column is held in two forms
        if column.is_text:
            data |= _words(schema, column, raw, system, told, words, log)
            continue
        if column.kind == "station" and not {match.column, match.header} & units.keys():
            raw = _as_metres(column, raw, log)
        unit = known[match.index] or _sibling(column, chosen, known)
        kind = "stress" if _is_pressure(column, unit) else column.unit_kind or "number"
        chosen_unit = unit or _customary(match, column, raw, system)
        read = cells.numbers(
            raw,
            kind,
            chosen_unit,
            station=column.kind == "station",
            decimal_comma=decimal_comma,
            per_row=per_row.get(match.column),
        )
        _say_cells(match, column, raw, read, unit, log)
        _say_grouped(column, kind, raw, decimal_comma, log)
        if column.kind == "station":
            _from_posts(match, raw, read, told, posts, system, log)
        if unit is None and read.bare.any() and _needs_unit(kind):
            bare = read.bare & np.isfinite(read.values)
            assumed.setdefault(f"{kind} {chosen_unit}", []).append((
                match.column,
                bare,
                float(np.quantile(read.values[bare], 0.5, method="lower")) if bare.any() else np.nan,
            ))
        data[match.column], used[match.column] = read.values, chosen_unit
        counted = unit is not None or bool(read.bare.any())  # else the cells name their units, and none is remembered
        shown = chosen_unit if counted and (KINDS[kind].si != "1" or chosen_unit == "%") else None
        matches[position] = replace(match, unit=shown)
    _from_ends(chosen, data, log)
    _whole_file(chosen, data, told, len(body.rows), log)
    _say_assumed(assumed, system, log)
    if find_unit(used.get("load", ""), "stress"):
        data["load"], _ = _force(data, log, system), used.pop("load")
    data |= {f"offset_{i}": np.full(len(body.rows), offset) for i, offset in enumerate(chosen.offsets, start=1)}
    frame = table(schema, data or pd.DataFrame(index=pd.RangeIndex(len(body.rows))), own=True)
    return Filled(frame, used, tuple(matches), tuple(words), posts)


def _from_ends(chosen: Fit, data: dict[str, object], log: Log) -> None:
    """The length of what has two stations, in place of the second one; the first is then the lesser. ``data`` changes.

    What begins where it ends has no length given.
    """
    end = next((m.header for m in chosen.matches if m.is_end), "")
    if not end:
        return
    first, last = (np.asarray(data[name], dtype=np.float64) for name in ("station", "length"))
    data["station"] = np.where(last < first, last, first)
    data["length"] = np.where(last == first, np.nan, np.abs(last - first))
    log.say("length from its ends", f"lengths are those from the station to {end!r}", column="length")


def _whole_file(chosen: Fit, data: dict[str, object], told: Told, rows: int, log: Log) -> None:
    """The lane and the position that were told for the whole file; ``data`` changes."""
    if "lane" in chosen.supplied:
        data["lane"] = _everywhere(told.lane, rows)
        log.say("lane as told", f"every row is taken to lie in lane {told.lane}", column="lane")
    if "position" in chosen.supplied:
        position = position_of(told.position)
        data["position"] = _everywhere(position, rows)
        where = (
            f"every test is taken as {position}" if position else "no test has a position, and none is compared by it"
        )
        log.say("position as told", where, column="position")


def _everywhere(word: str, rows: int) -> np.ndarray:
    """One word in every row, held once: ``np.full`` would make a word for each."""
    return np.array([word] * rows, dtype=object)


def _check_units(units: Mapping[str, str], chosen: Fit) -> None:
    for name, unit in units.items():
        column = next((m.column for m in chosen.matches if name in (m.column, m.header) and m.column), None)
        if column is None and name in chosen.schema.names:
            continue  # a column that this table has but this file has not
        if column is None or suiting_unit(unit, chosen.schema[column]) is None:
            raise InputError(
                "this unit does not suit the column",
                where=name,
                given=unit,
                remedy="Check the column's name and the unit.",
            )


def _stated_unit(match: ColumnMatch, schema: Schema, stated: Mapping[int, str], units: Mapping[str, str]) -> str | None:
    """The unit that the engineer gave, else the heading, else the row of units below the headings."""
    kind = schema[match.column].unit_kind if match.column else None
    if kind is None:
        return None
    own, below = match.unit, stated.get(match.index)
    if match.how == "remembered" and below and find_unit(below, kind):
        own = below  # this file says it; what an earlier one of the same headings said counts no more
    told = units.get(match.column or "") or units.get(match.header) or own or below
    return (suiting_unit(told, schema[match.column]) or told) if told and match.column else None


def _is_pressure(column: Column, unit: str | None) -> bool:
    return column.name == "load" and unit is not None and find_unit(unit, "stress") is not None


def _force(data: Mapping[str, object], log: Log, system: System) -> np.ndarray:
    """Load [N] from the pressure under the plate [Pa], by the plate's radius in the file or else the usual one."""
    pressure = np.asarray(data["load"], dtype=np.float64)
    radius = np.asarray(data.get("plate_radius", np.full(len(pressure), np.nan)), dtype=np.float64)
    unknown = np.flatnonzero(np.isnan(radius) & np.isfinite(pressure))
    log.say(
        "load from plate pressure",
        "the load is given as pressure under the plate and was turned into a force",
        column="load",
    )
    if len(unknown):
        log.whole(
            "plate radius assumed",
            f"the plate radius is not stated; {format_quantity(USUAL_RADIUS, 'thickness', system)} was assumed",
            unknown,
            ("load",),
        )
    with np.errstate(over="ignore", invalid="ignore"):
        force = pressure * np.pi * np.where(np.isnan(radius), USUAL_RADIUS, radius) ** 2
    return np.where(np.isfinite(force), force, np.nan)


def _needs_unit(kind: str) -> bool:
    return KINDS[kind].si not in ("1", "year") or kind == "share"


def _sibling(column: Column, chosen: Fit, known: Mapping[int, str | None]) -> str | None:
    """The one unit of the like columns beside this one: if D1 is in mils, so is a bare D2; so too the two stations."""
    stem, _, number = column.name.rpartition("_")
    station = column.kind == "station"
    if not number.isdigit() and not station:
        return None
    found = {
        known[m.index]
        for m in chosen.matches
        if m.column and not m.is_unit and known.get(m.index)
        if (chosen.schema[m.column].kind == "station" if station else m.column.rpartition("_")[0] == stem)
    }
    return found.pop() if len(found) == 1 else None


def _customary(match: ColumnMatch, column: Column, raw: Values, system: System) -> str:
    """The unit to assume: the customary one, miles for a milepost, a ratio where no share exceeds one."""
    kind = column.unit_kind or "number"
    if kind == "share" and raw.dtype.kind == "f" and np.nanmax(np.abs(raw), initial=0.0) <= 1:
        return "1"
    if column.kind == "station" and re.search(MILES, match.header.lower().replace("_", " ")):
        return "mi"
    return unit_of(kind, system)


def _say_cells(
    match: ColumnMatch, column: Column, raw: Values, read: cells.Numbers, unit: str | None, log: Log
) -> None:
    if match.unread_unit and unit is None:
        log.say(
            "unit not understood",
            f"the unit {match.unread_unit!r} is not known for {column.meaning}",
            column=match.header,
        )
    said = {
        "unreadable number": "this is not a number",
        "not finite": "this is not a finite number",
        "formula": "a formula stands where a number is needed",
        "unit not understood": "the unit measures something else",
        "station equation": "the stations are renumbered here (a station equation), so they are not one line",
        "station read two ways": "this station can be read in two ways",
    }
    for rule, rows in read.refused.items():
        log.each(rule, said[rule], rows, (column.name,), [str(v) for v in raw[rows[:20]]])
    kinds = set(read.units) | ({unit or "no unit"} if read.bare.any() and read.units else set())
    if len(kinds) > 1:
        own = (
            np.flatnonzero(~read.bare & np.isfinite(read.values))
            if read.bare.any()
            else np.flatnonzero(np.isfinite(read.values))
        )
        log.whole("mixed units", f"the cells are in {', '.join(sorted(kinds))}", own, (column.name,))


def _say_assumed(assumed: Mapping[str, list[tuple[str, Marked, float]]], system: System, log: Log) -> None:
    """One warning for each kind of quantity: what was assumed, and the middle value that follows from it."""
    for key, found in assumed.items():
        kind, unit = key.split(" ", 1)
        names = tuple(name for name, _, _ in found)
        middle = next((m for _, _, m in found if np.isfinite(m)), np.nan)
        shown = "a ratio" if kind == "share" and unit == "1" else unit
        log.whole(
            "unit assumed",
            f"no unit is stated, so {shown} was assumed; half of {names[0]} then exceeds {format_quantity(middle, kind, system)}",
            np.flatnonzero(np.logical_or.reduce([bare for _, bare, _ in found])),
            names,
        )


def _say_grouped(column: Column, kind: str, raw: Values, comma: bool, log: Log) -> None:
    if raw.dtype.kind == "f" or column.kind == "station":
        return
    codes, uniques = pd.factorize(raw)
    at = np.flatnonzero(np.array([cells.grouped(str(u), kind, comma=comma) for u in uniques] or [False])[codes])
    if len(at):
        first = str(raw[at[0]]).strip()
        plain = int(re.sub(r"[.,]", "", first))
        read_as = str(plain) if column.kind == "integer" else f"{plain:,}"
        log.whole(
            "mark of thousands",
            f"{first} was read as {read_as} ({rows_named(log, at)})",
            at,
            (column.name,),
            value=first,
        )


def _as_metres(column: Column, raw: Values, log: Log) -> Values:
    """The stations with whole numbers read as metres where the others have three digits after a plus sign; each is told."""
    made, rows = stations.whole_metres(raw)
    if len(rows):
        first = str(raw[rows[0]]).strip()
        message = f"{first} was read as {made[rows[0]]}, as the stations with a plus sign are metres ({rows_named(log, rows)})"
        log.whole("station taken as metres", message, rows, (column.name,), value=first)
    return made


def _from_posts(
    match: ColumnMatch,
    raw: Values,
    read: cells.Numbers,
    told: Told,
    posts: dict[str, float],
    system: System,
    log: Log,
) -> None:
    """Shift what is counted from mileposts or reference posts to the road's own zero; ``read`` and ``posts`` change."""
    for kind, rows in stations.marks(raw, match.header).items():
        shift = told.shifts.get(kind, told.known.shifts.get(kind))
        posts[kind] = shift or 0.0
        if shift is not None:
            read.values[rows] += shift
            continue
        first = rows[0]
        log.whole(
            "reference of posts assumed",
            f"{str(raw[first]).strip()} was taken as station {format_station(float(read.values[first]), system)}: every "
            f"{stations.MARKS[kind]} at its distance from station 0 ({rows_named(log, rows)})",
            rows,
            (match.column or "",),
            value=str(raw[first]).strip(),
        )


def _words(
    schema: Schema, column: Column, raw: Values, system: System, told: Told, words: list[Word], log: Log
) -> dict[str, npt.NDArray[np.object_]]:
    """The column as words, and beside a kind that no method uses the file's own; ``words`` gains what was understood."""
    if column.kind == "date":
        return {column.name: _days(column, raw, system, log)}
    written = cells.texts(raw)
    said = told.words_for(schema, column)
    if column.kind == "choice":
        return _choices(schema, column, written, said, words, log)
    codes, uniques = pd.factorize(written)
    if said:
        named = [said.get(compact(str(u)), (str(u), "known")) for u in uniques]
        words += [
            Word(schema.name, column.name, str(u), meant, how)
            for u, (meant, how) in zip(uniques, named, strict=True)
            if how != "known"
        ]
        written = np.array([meant for meant, _ in named] or [""], dtype=object)[codes]
    risky = np.array([bool(cells.FORMULA.match(str(u))) for u in uniques] or [False])[codes]
    at = np.flatnonzero(risky)
    log.each("formula kept as text", "the text looks like a formula", at, (column.name,), written[at[:20]].tolist())
    return {column.name: written}


def _choices(
    schema: Schema,
    column: Column,
    written: npt.NDArray[np.object_],
    said: Mapping[str, tuple[str, Manner]],
    words: list[Word],
    log: Log,
) -> dict[str, npt.NDArray[np.object_]]:
    codes, uniques = pd.factorize(written)
    found = meanings(column, [str(u) for u in uniques], said)
    for code, (text, (meant, how)) in enumerate(zip(uniques, found, strict=True)):
        if how in ("known", "empty"):
            continue
        words.append(Word(schema.name, column.name, str(text), meant, how))
        _say_word(column, words[-1], np.flatnonzero(codes == code), log)
    made = {column.name: np.array([meant for meant, _ in found] or [""], dtype=object)[codes]}
    if "written" in schema.names and column.name == "kind":
        own = [str(u) if meant == OTHER_DISTRESS else "" for u, (meant, _) in zip(uniques, found, strict=True)]
        made["written"] = np.array(own or [""], dtype=object)[codes]
    return made


def _say_word(column: Column, word: Word, rows: Rows, log: Log) -> None:
    """One finding for each word, however many rows hold it."""
    where = rows_named(log, rows)
    if word.how == "guessed":
        rule, message = "word guessed", f"{word.written!r} was taken for {word.meant} ({where})"
    elif word.how == "kept":
        rule, message = "kept as other", f"{word.written!r} is kept as other: no method here uses it ({where})"
    elif word.how == "other":
        rule, message = (
            "unknown kind",
            f"{word.written!r} is none of the kinds that are used; it is kept as other ({where})",
        )
    elif word.how == "unknown":
        rule = "unknown word in a required column" if column.required else "unknown word"
        message = f"{column.meaning} is one of {', '.join(column.choices)} ({where})"
    else:
        rule, message = "word as told", f"{word.written!r} is {word.meant}, as told ({where})"
    log.whole(rule, message, rows, (column.name,), value=word.written)


def _days(column: Column, raw: Values, system: System, log: Log) -> np.ndarray:
    read = cells.dates(raw, system)
    log.each(
        "impossible date", "this is not a date", read.unread, (column.name,), [str(v) for v in raw[read.unread[:20]]]
    )
    if read.assumed:
        every = np.flatnonzero(read.values != "")
        log.whole(
            "date order assumed",
            f"dates could be read day or month first; {read.assumed} was assumed",
            every,
            (column.name,),
        )
    return read.values
