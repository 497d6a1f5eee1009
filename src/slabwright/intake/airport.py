"""Hours of weather as airports and loggers list them: a date and a time in one column or two, several stations in a file.

Turned into month, day and hour (named by its end, 1 to 24) before the headings are matched. Missing hours are added as
empty rows where a gap is short, so that the climate bridges them and every one is told.
"""

from __future__ import annotations

import re
import shlex
from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import pandas as pd

from slabwright.errors import InputError
from slabwright.intake.heading_rows import candidates
from slabwright.intake.headings import LONGEST_HEADING, Fit, fit
from slabwright.intake.layouts import Told
from slabwright.intake.questions import AnswerNeeded, Offer, Question, which_heading
from slabwright.intake.rules import Log
from slabwright.intake.sheets import Cell, MemorySheet, Sheet, Values, as_text
from slabwright.intake.weather_checks import FIRST_DAYS, LONGEST_GAP, hours_of_year, places
from slabwright.intake.words import compact
from slabwright.records.facts import FACTS
from slabwright.records.table import table

__all__ = ["airport_hours", "whole_hours"]

DATES_TEXT = """date datetime dateandtime datetimelst datetimelocal datelst timestamp valid localtime time datum datumuhrzeit messdatum
    zeitstempel horodatage dateheure jour fecha fechahora data dataora datahora dato tijdstip datatime datagodzina
    datumcas yyyymmdd"""
DATES = frozenset(DATES_TEXT.split())
TIMES_TEXT = """time hour hr hourlst localtime timelst hhmm uhrzeit zeit stunde heure hora ora uur tijd klockslag tid godzina czas
    hodina cas"""
TIMES = frozenset(TIMES_TEXT.split())
STATIONS_TEXT = """station stationid stationno stationnumber stationname id wmo wmoid icao callsign airport site stationen stationskennung
    flughafen aeroport aeropuerto estacion stazione estacao luchthaven stacja stanice kennung"""
STATIONS = frozenset(STATIONS_TEXT.split())
STAMP = re.compile(
    r"\s*(\d{4})[-/.]?(\d{2})[-/.]?(\d{2})(?:[T _]?(\d{1,2})(?:[:.]?(\d{2}))?(?::\d{2}(?:\.\d+)?)?)?\s*(?:Z|[+-]\d\d:?\d\d)?\Z"
)
LOCAL = re.compile(r"\s*(\d{1,2})[-/.](\d{1,2})[-/.](\d{4})(?:[T ,]+(\d{1,2})(?:[:.](\d{2}))?(?::\d{2})?)?\s*\Z")
CLOCK = re.compile(r"\s*(\d{1,2})(?:[:.h]?(\d{2})?)(?::\d{2})?\s*\Z")
ENOUGH = 2  # columns of weather that a file with dates holds before it is asked for its air temperature
MANY_STATIONS = 200
MOST_OF_OTHER_YEARS = 48  # rows: a year in universal time spills over by a day at most


class _Columns(NamedTuple):
    skip: int
    header: tuple[str, ...]
    date: int
    time: int | None
    station: int | None


def airport_hours(sheet: Sheet, told: Told, *, named: bool = False) -> Sheet | None:
    """The sheet with month, day and hour, one row an hour; None where it is no such table. ``named``: it was said to be weather.

    Raises AnswerNeeded where it holds several weather stations or its air temperature is not found, InputError for a row
    without a date.
    """
    columns = _columns(sheet, told, named)
    if columns is None:
        return None
    width = len(columns.header)
    body = sheet.body(columns.skip, width, frozenset(range(width)), frozenset(range(width)))
    station, kept = _of_station(sheet, columns, body.columns, told)
    rows = body.rows[kept]
    cells = {i: values[kept] for i, values in body.columns.items() if i < width}
    stamps = _stamps(sheet.place, cells, columns, rows)
    notes = list(sheet.notes)
    ends, said = _ends(stamps)
    notes.append(("hours as told", said))
    if station and not told.place:
        notes.append(("weather station", f"weather station {station}, as chosen for an earlier file"))
    chosen = _one_an_hour(sheet.place, stamps, ends, notes)
    return replace(_sheet(sheet, columns, cells, rows, ends, chosen, tuple(notes)), chosen=station)


def _columns(sheet: Sheet, told: Told, named: bool) -> _Columns | None:
    schema = FACTS["weather"]
    asked: AnswerNeeded | None = None
    for skip, header in candidates(sheet.head):
        keys = [compact(re.sub(r"[\(\[].*?[\)\]]", "", h[:LONGEST_HEADING])) for h in header]
        if not DATES.intersection(keys):
            continue
        given = {h: m for h, m in told.columns.items() if m.column is None or m.column in schema.names}
        found = fit(header, schema, given, fuzzy=False)
        if {"month", "day"} <= found.columns:
            continue
        unclear = "air_temperature" not in found.columns
        if unclear and not (named or len(found.columns) >= ENOUGH):
            continue
        if any(not fit(header, s, {}, fuzzy=False).missing for name, s in FACTS.items() if name != "weather"):
            return None  # a deflection test has a date and an air temperature too
        below = [row for row in sheet.head[skip:] if any(row)]
        date = next((i for i, k in enumerate(keys) if k in DATES and _is_date(below, i)), None)
        if date is None:
            continue
        time = next((i for i, k in enumerate(keys) if k in TIMES and i != date), None)
        station = next((i for i, k in enumerate(keys) if k in STATIONS and i not in (date, time)), None)
        if not unclear:
            return _Columns(skip, header, date, time, station)
        asked = asked or _which_temperature(found, (date, time, station), below, sheet.place)
    if asked:
        raise asked
    return None


def _which_temperature(
    found: Fit, taken: tuple[int | None, ...], below: Sequence[Sequence[str]], where: str
) -> AnswerNeeded | None:
    """The question which column of hourly weather is the air temperature; None where no other is left."""
    free = [m for m in found.matches if m.column is None and m.header.strip() and m.index not in taken]
    if not free:
        return None
    question = which_heading(found, "air_temperature", free, below)
    what = "the file looks like hourly weather, and none of its headings is known for the air temperature"
    return AnswerNeeded(what, where=where, questions=[question], table="weather")


def _is_date(rows: Sequence[Sequence[str]], index: int) -> bool:
    cells = [row[index] for row in rows if index < len(row) and row[index].strip()]
    return bool(cells) and sum(bool(STAMP.match(c) or LOCAL.match(c)) for c in cells) > len(cells) / 2


def _of_station(
    sheet: Sheet, columns: _Columns, cells: dict[int, Values], told: Told
) -> tuple[str, npt.NDArray[np.bool_]]:
    """The one weather station and its rows: that which was told, else of several the one chosen for an earlier file."""
    if columns.station is None:
        return "", np.ones(len(cells[columns.date]), dtype=bool)
    names = np.array([str(v).strip() for v in cells[columns.station]], dtype=object)
    held = pd.Series(names).value_counts()
    held = held[held.index != ""]
    if told.place and told.place not in held.index:
        raise InputError(
            "the file holds no weather station of this name",
            where=sheet.place,
            given=told.place,
            allowed=", ".join(map(str, held.index[:20])),
        )
    if len(held) > MANY_STATIONS:
        raise InputError("the file holds too many weather stations", where=sheet.place, given=len(held))
    several = len(held) > 1
    wanted = told.place or (told.known.place if several and told.known.place in held.index else "")
    if several and not wanted:
        offers = tuple(
            Offer(str(name), (f"{count:,} rows",), f"--weather-station {shlex.quote(str(name)[:60])}")
            for name, count in held.items()
        )
        question = Question("place", "station", "Which weather station is that of the road?", offers)
        raise AnswerNeeded(
            f"the file holds {len(held)} weather stations", where=sheet.place, questions=[question], table="weather"
        )
    chosen: npt.NDArray[np.bool_] = names == (wanted or (held.index[0] if len(held) else ""))
    return wanted if several else "", chosen


def _stamps(
    where: str, cells: dict[int, Values], columns: _Columns, rows: npt.NDArray[np.int64]
) -> npt.NDArray[np.int64]:
    """Year, month, day, hour and minute of each row. (rows, 5)"""
    dates = [str(v) for v in cells[columns.date]]
    day_first = any((m := LOCAL.match(d)) and int(m[1]) > 12 for d in dates)
    times = [str(v) for v in cells[columns.time]] if columns.time is not None else [""] * len(dates)
    found: dict[tuple[str, str], tuple[int, ...] | None] = {}
    stamps = []
    for row, pair in zip(rows, zip(dates, times, strict=True), strict=True):
        if pair not in found:
            found[pair] = _stamp(*pair, day_first)
        if found[pair] is None:
            raise InputError(
                "the row has no date and hour",
                where=f"{where}, row {row}",
                given=" ".join(pair).strip(),
                allowed="a date such as 2025-06-04 and an hour from 0 to 24",
            )
        stamps.append(found[pair])
    return np.array(stamps, dtype=np.int64).reshape(len(stamps), 5)


def _stamp(date: str, time: str, day_first: bool) -> tuple[int, ...] | None:
    found = STAMP.match(date)
    parts = [int(found[i]) for i in (1, 2, 3)] if found else []
    if found is None and (found := LOCAL.match(date)):
        first, second, year = (int(found[i]) for i in (1, 2, 3))
        parts = [year, second, first] if day_first or "." in date else [year, first, second]
    if found is None:
        return None
    hour, minute = found[4], found[5]
    if time.strip():
        clock = CLOCK.match(time)
        if clock is None:
            return None
        hour, minute = clock[1], clock[2]
        if minute is None and len(time.strip()) > 2:
            return None
    if hour is None:
        return None
    try:
        pd.Timestamp(*parts)
    except ValueError:
        return None
    whole = (*parts, int(hour), int(minute or 0))
    return whole if whole[3] <= 24 and whole[4] < 60 else None


def _ends(stamps: npt.NDArray[np.int64]) -> tuple[npt.NDArray[np.int64], str]:
    """(year, month, day and hour of the end, 1 to 24, of each row; what was taken to be meant). (rows, 4)"""
    day = pd.to_datetime(dict(zip(("year", "month", "day"), stamps[:, :3].T, strict=True)))
    hour, minute = stamps[:, 3], stamps[:, 4]
    ending = bool((hour == 24).any()) or (not (hour == 0).any() and bool(hour.min(initial=1) == 1))
    if ending:
        end = day + pd.to_timedelta(np.where(minute > 0, hour + 1, hour) - 1, unit="h")
        said = "the hours run from 1 to 24; each was taken to end then"
    else:
        end = day + pd.to_timedelta(hour, unit="h")
        said = "the hours run from 0 to 23; each was taken to begin then, so 0 is the hour that ends at 1"
    return np.column_stack([end.dt.year, end.dt.month, end.dt.day, end.dt.hour + 1]), said


def _one_an_hour(
    where: str, stamps: npt.NDArray[np.int64], ends: npt.NDArray[np.int64], notes: list[tuple[str, str]]
) -> npt.NDArray[np.int64]:
    """The rows in the order of time, of several in one hour the last; of two years that overlap, the one with most rows."""
    keys = pd.DataFrame(np.column_stack([ends, stamps[:, 4]]), columns=["year", "month", "day", "hour", "minute"])
    usual = keys["year"].value_counts().idxmax() if len(keys) else 0
    whole = keys[keys["year"] == usual][["month", "day", "hour"]].drop_duplicates()
    again = keys.merge(whole.assign(held=True), on=["month", "day", "hour"], how="left")["held"].notna().to_numpy()
    other = again & (keys["year"] != usual).to_numpy()
    if other.sum() > MOST_OF_OTHER_YEARS:
        raise InputError(
            "the file holds more than a year of hours",
            where=where,
            given=f"years {', '.join(map(str, sorted(keys['year'].unique())[:12]))}",
            allowed="one year, or months of several that make one",
            remedy="Give one year, one row an hour.",
        )
    if other.any():
        notes.append((
            "hours of another year",
            f"{other.sum()} rows lie in another year than {usual} and were left out",
        ))
    ordered = keys[~other].sort_values(["month", "day", "hour", "minute"], kind="stable")
    last = ordered.drop_duplicates(["month", "day", "hour"], keep="last")
    if len(last) < len(ordered):
        spare = len(ordered) - len(last)
        notes.append((
            "several readings in an hour",
            f"{spare:,} readings share their hour with a later one, which is kept",
        ))
    return last.index.to_numpy(dtype=np.int64)


def _sheet(
    sheet: Sheet,
    columns: _Columns,
    cells: dict[int, Values],
    rows: npt.NDArray[np.int64],
    ends: npt.NDArray[np.int64],
    chosen: npt.NDArray[np.int64],
    notes: tuple[tuple[str, str], ...],
) -> MemorySheet:
    others = [i for i in range(len(columns.header)) if i not in (columns.date, columns.time, columns.station)]
    head: list[Cell] = ["month", "day", "hour", *(columns.header[i] for i in others)]
    times = ends[chosen, 1:].astype(np.float64)
    kept = [cells[i][chosen] for i in others]
    below = [
        [*times[at].tolist(), *(_cell(values[at], sheet.decimal_comma) for values in kept)] for at in range(len(chosen))
    ]
    numbers = np.concatenate([[columns.skip], rows[chosen]]).astype(np.int64)
    return MemorySheet(sheet.place, [head, *below], numbers, notes=notes, decimal_comma=sheet.decimal_comma)


def _cell(value: object, comma: bool) -> Cell:
    text = as_text(value) if not isinstance(value, str) else value.strip()  # type: ignore[arg-type]
    if text.upper() in ("M", "T", "///", "-9999", "9999", "9999.0", "-999", "-999.0"):
        return None  # codes of weather services for missing; T is a trace
    try:
        return float(text.replace(",", ".") if comma else text)
    except ValueError:
        return text or None


def whole_hours(frame: pd.DataFrame, log: Log) -> pd.DataFrame:
    """The table with hours 0 to 23 named by their ends, and an empty row for each hour of a short gap."""
    hour = frame["hour"].to_numpy()
    if np.isfinite(hour).all() and len(hour) and hour.min() == 0 and hour.max() <= 23:
        frame = frame.assign(hour=hour + 1)
        log.say(
            "hours as told", "the hours run from 0 to 23; each was taken to begin then, so 0 is the hour that ends at 1"
        )
    date = frame[["month", "day", "hour"]].to_numpy()
    if len(date) < 2 or np.isnan(date).any() or (date != np.round(date)).any():
        return frame
    month, day, end = date.astype(np.int64).T
    if not ((month >= 1) & (month <= 12) & (day >= 1) & (day <= 31) & (end >= 1) & (end <= 24)).all():
        return frame
    if (day > np.diff(FIRST_DAYS)[month - 1]).any():
        return frame
    place, leap = places(month, day, end)
    if (np.diff(place) <= 0).any():
        return frame  # said later, row by row
    return _with_gaps(frame, place, hours_of_year(leap), leap, log)


def _with_gaps(frame: pd.DataFrame, place: npt.NDArray[np.int64], hours: int, leap: bool, log: Log) -> pd.DataFrame:
    absent = np.setdiff1d(np.arange(hours), place)
    if not len(absent):
        return frame
    runs = np.split(absent, np.flatnonzero(np.diff(absent) > 1) + 1)
    longest = max(len(run) for run in runs)
    if longest > LONGEST_GAP:
        return frame  # refused as not a whole year
    whole = pd.DataFrame(index=pd.RangeIndex(hours))
    order = np.searchsorted(place, np.arange(hours), side="right") - 1
    rows = log.source_rows[np.maximum(order, 0)]
    _, month, day, hour = _named(np.arange(hours), leap)
    for name in frame.columns:
        values = np.full(hours, np.nan)
        values[place] = frame[name].to_numpy()
        whole[name] = values
    whole[["month", "day", "hour"]] = np.column_stack([month, day, hour]).astype(np.float64)
    log.moved(place, rows)
    log.whole(
        "hours bridged",
        f"{len(absent):,} hours in {len(runs)} gaps are not in the file, the longest of {longest} hours; they are added empty "
        "and bridged from the hours around them",
        absent.astype(np.int64),
        ("month", "day", "hour"),
    )
    return table(FACTS["weather"], whole)


def _named(place: npt.NDArray[np.int64], leap: bool) -> tuple[npt.NDArray[np.int64], ...]:
    """(day of a leap year, month, day, hour 1 to 24) of places in the year."""
    day, hour = np.divmod(place, 24)
    day = day + (0 if leap else 1) * (day >= 59)
    month = np.searchsorted(FIRST_DAYS, day, side="right")
    return day, month, day - FIRST_DAYS[month - 1] + 1, hour + 1
