"""Hourly weather files read as they are: EPW, and TMY3 as delimited text.

EPW (list of its fields, looked up): eight lines of head, then one row an hour with the hour that ends then, 1 to 24.
TMY3 (NREL/TP-581-43156, from memory; columns looked up): a line with the site, one with headings, then a row an hour,
01:00 to 24:00. The columns are taken apart by pvlib; what it would trip over is looked for first, so that a bad row
is named. Codes for missing values become empty cells.
"""

from __future__ import annotations

import calendar
import csv
import io
import re
import warnings
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import pandas as pd

from slabwright.errors import InputError
from slabwright.intake.container import Content
from slabwright.intake.delimited import decode
from slabwright.intake.sheets import Cell, MemorySheet
from slabwright.intake.weather_checks import HOURS

__all__ = ["is_weather", "weather_sheet"]

HEAD_LINES = 8
SITE_LINES = ("DESIGN CONDITIONS", "TYPICAL/EXTREME PERIODS", "GROUND TEMPERATURES", "DATA PERIODS")
TMY3_START = "date (mm/dd/yyyy),time (hh:mm)"
EPW_DATE = re.compile(r"\s*(\d{4})\s*,\s*(\d{1,2})\s*,\s*(\d{1,2})\s*,\s*(\d{1,2})\s*,")
TMY3_DATE = re.compile(r"(\d{2})/(\d{2})/(\d{4}),(\d{2}):(\d{2}),")
# Our heading, the name that pvlib gives the column in either format, the factor to the heading's unit, and the
# least code that stands for a missing value in EPW (the list of fields; 99.9 for temperature from memory).
COLUMNS = {
    "air_temperature (degC)": ("temp_air", 1.0, 99.9),
    "relative_humidity (%)": ("relative_humidity", 1.0, 999.0),
    "wind_speed (m/s)": ("wind_speed", 1.0, 999.0),
    "global_radiation (W/m2)": ("ghi", 1.0, 9999.0),
    "direct_radiation (W/m2)": ("dni", 1.0, 9999.0),
    "diffuse_radiation (W/m2)": ("dhi", 1.0, 9999.0),
    "sky_cover (%)": ("total_sky_cover", 10.0, 99.0),
    "sky_radiation (W/m2)": ("ghi_infrared", 1.0, 9999.0),
}
TMY3_MISSING = -9000.0  # the code is -9900
TMY3_NAMES = {"TotCld (tenths)": "total_sky_cover", "TotCld": "total_sky_cover"}
TROUBLE = (ValueError, TypeError, KeyError, IndexError, AttributeError, OverflowError)


class _Hour(NamedTuple):
    year: int
    month: int
    day: int
    hour: int


def is_weather(content: Content) -> bool:
    """Whether a text is an EPW file, by its name or its head, or a TMY3 file, by its headings."""
    name = content.name.lower().removesuffix(".gz")
    lines = content.data[:8192].decode("utf-8-sig", errors="replace").splitlines()[:HEAD_LINES]
    return name.endswith(".epw") or _is_epw(lines) or _is_tmy3(lines)


def _is_epw(lines: Sequence[str]) -> bool:
    named = bool(lines) and lines[0].upper().startswith("LOCATION,")
    return named and any(line.upper().startswith(SITE_LINES) for line in lines[1:])


def _is_tmy3(lines: Sequence[str]) -> bool:
    return len(lines) > 1 and lines[1].lower().startswith(TMY3_START)


def weather_sheet(content: Content) -> MemorySheet:
    """The hours of a weather file under our own headings. Raises InputError when it is cut short or damaged."""
    data, notes = decode(content)
    lines = data.decode("utf-8").split("\n")
    epw = not _is_tmy3(lines)
    head = HEAD_LINES if epw else 2
    kept = [at for at in range(head, len(lines)) if lines[at].strip()]
    _check_head(content.name, lines, epw)
    if not kept:
        raise InputError("the weather file is cut short: it has a head and no hours", where=content.name)
    if len(kept) > HOURS[1]:
        raise InputError(
            "the weather file holds more than a year of hours",
            where=content.name,
            given=f"{len(kept):,} rows",
            allowed=f"{HOURS[0]:,} rows, or {HOURS[1]:,} with 29 February",
            remedy="Give one year, one row an hour.",
        )
    rows = [lines[at] for at in kept]
    numbers = np.array(kept, dtype=np.int64) + 1
    hours = _dates(content.name, rows, numbers, epw)
    _check_width(content.name, rows, numbers)
    frame, station = _parsed(content.name, lines[:head], rows, epw)
    notes = (*notes, ("weather station", station))
    years = sorted({hour.year for hour in hours})
    if len(years) > 1:
        notes = (
            *notes,
            ("months of several years", f"the months come from {len(years)} years, {years[0]} to {years[-1]}"),
        )
    return MemorySheet(content.name, _cells(frame, hours, epw), np.concatenate([[0], numbers]), notes=notes)


def _check_head(name: str, lines: Sequence[str], epw: bool) -> None:
    """The place on the first line, which both formats need: numbers where the coordinates stand."""
    if epw and not lines[0].upper().startswith("LOCATION,"):
        raise InputError(
            "this is not an EPW weather file",
            where=f"{name}, row 1",
            given=lines[0],
            allowed="a first line that begins with LOCATION",
            remedy="Check the file, or save its table as .csv.",
        )
    if epw and len(lines) < HEAD_LINES:
        raise InputError("the weather file is cut short: it has no hours", where=name, given=f"{len(lines)} rows")
    cells: list[str] = next(iter(csv.reader([lines[0]])), [])
    place = cells[6:10] if epw else cells[3:7]
    if len(place) < 4 or not all(_is_number(cell) for cell in place):
        raise InputError(
            "the first line does not give the place of the weather station",
            where=f"{name}, row 1",
            given=lines[0],
            allowed="latitude, longitude, hours from universal time and elevation as numbers",
            remedy="Correct that line, or use another file.",
        )


def _is_number(cell: str) -> bool:
    return re.fullmatch(r"\s*[-+]?\d{1,6}(\.\d{0,8})?\s*", cell) is not None


def _dates(name: str, rows: Sequence[str], numbers: npt.NDArray[np.int64], epw: bool) -> list[_Hour]:
    """Year, month, day and hour of every row; the first row that has none is refused."""
    hours = []
    for row, number in zip(rows, numbers, strict=True):
        found = EPW_DATE.match(row[:60]) if epw else TMY3_DATE.match(row[:60])
        hour = _hour([int(part) for part in found.groups()], epw) if found else None
        if hour is None:
            raise InputError(
                "the row does not begin with a date and an hour",
                where=f"{name}, row {number}",
                given=row[:40],
                allowed="year, month, day, hour 1 to 24" if epw else "MM/DD/YYYY, 01:00 to 24:00",
                remedy="The file is damaged there; use another copy.",
            )
        hours.append(hour)
    return hours


def _hour(parts: list[int], epw: bool) -> _Hour | None:
    """The hour by its end; midnight written as 00:00 ends the day before."""
    year, month, day, hour = parts if epw else (parts[2], parts[0], parts[1], parts[3])
    if not (1800 <= year <= 2200 and 1 <= month <= 12 and 1 <= day <= calendar.monthrange(year, month)[1]):
        return None
    if not epw and hour == 0:
        before = np.datetime64(f"{year:04}-{month:02}-{day:02}") - 1
        year, month, day = (int(part) for part in str(before).split("-"))
        return _Hour(year, month, day, 24)
    return _Hour(year, month, day, hour) if 1 <= hour <= 24 else None


def _check_width(name: str, rows: Sequence[str], numbers: npt.NDArray[np.int64]) -> None:
    """Every row has as many cells as most rows have."""
    width = np.array([row.count(",") for row in rows]) + 1
    usual = int(np.bincount(np.minimum(width, 1000)).argmax())
    odd = np.flatnonzero((width != usual) | np.array(['"' in row for row in rows]))
    if len(odd):
        raise InputError(
            "the row is cut short or damaged",
            where=f"{name}, row {numbers[odd[0]]}",
            given=f"{width[odd[0]]} cells",
            allowed=f"{usual} cells, as in the other rows, without quotes",
            remedy="Use another copy of the file.",
        )


def _parsed(name: str, head: Sequence[str], rows: Sequence[str], epw: bool) -> tuple[pd.DataFrame, str]:
    """The columns as pvlib reads them, and where the station stands."""
    from pvlib import iotools

    text = io.StringIO("\n".join([*head, *rows]) + "\n")
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # mixed cells in a column are judged one by one later
            frame, about = iotools.read_epw(text) if epw else iotools.read_tmy3(text, map_variables=True)
    except TROUBLE as problem:
        raise InputError(
            "the weather file cannot be taken apart into its columns",
            where=name,
            given=str(problem).split("\n")[0],
            remedy="It is damaged or of another kind; use another copy, or save its table as .csv.",
        ) from problem
    if len(frame) != len(rows):
        raise InputError(
            "the rows of the weather file run together", where=name, remedy="Use another copy of the file."
        )
    town = str(about.get("city") or about.get("Name") or "").strip().strip('"')
    north, east, up = (float(about[key]) for key in ("latitude", "longitude", "altitude"))
    return frame.rename(
        columns=TMY3_NAMES
    ), f"weather of {town[:60]} at {north:.2f}, {east:.2f}, {up:.0f} m above the sea"


def _cells(frame: pd.DataFrame, hours: Sequence[_Hour], epw: bool) -> list[list[Cell]]:
    columns: dict[str, list[Cell]] = {
        "month": [float(h.month) for h in hours],
        "day": [float(h.day) for h in hours],
        "hour": [float(h.hour) for h in hours],
    }
    for heading, (name, factor, missing) in COLUMNS.items():
        if name in frame:
            columns[heading] = _column(frame[name], factor, missing if epw else np.inf)
    return [list(columns), *map(list, zip(*columns.values(), strict=True))]


def _column(values: pd.Series, factor: float, missing: float) -> list[Cell]:
    """Numbers without their codes for missing; what is no number stays text, for intake to refuse."""
    numbers = pd.to_numeric(values, errors="coerce").to_numpy(dtype=np.float64)
    said = values.astype(str).str.strip().to_numpy()
    text = np.isnan(numbers) & (said != "") & (said != "nan")
    numbers = np.where((numbers >= missing) | (numbers <= TMY3_MISSING), np.nan, numbers * factor)
    return [
        str(word) if bad else None if np.isnan(v) else float(v)
        for v, word, bad in zip(numbers, said, text, strict=True)
    ]
