"""Checks of a table of hourly weather: a whole year in order, gaps, and values that cannot go together."""

from __future__ import annotations

import calendar

import numpy as np
import numpy.typing as npt
import pandas as pd

from slabwright.intake.rules import Log

__all__ = ["FIRST_DAYS", "HOURS", "LONGEST_GAP", "check_weather", "hours_of_year", "places"]

HOURS = (8760, 8784)
GAPS = ("air_temperature", "relative_humidity", "wind_speed", "global_radiation")  # what the heat of the slab needs
LONGEST_GAP = 6  # hours that are bridged by a straight line (common practice, no source); the day's course is longer
# Common practice, no source: an hour's mean wind of 100 mph is a hurricane; meters of sun and sky differ by this much.
STORM, RADIATION_SLACK, RADIATION_SHARE = 45.0, 30.0, 1.05
FIRST_DAYS = np.concatenate([[0], np.cumsum([calendar.monthrange(2000, month)[1] for month in range(1, 13)])])


def check_weather(frame: pd.DataFrame, log: Log) -> None:
    """Findings on one year of hours."""
    _check_year(frame, log)
    added = [c.rows for f, c in zip(log.findings, log.cells, strict=True) if f.rule == "hours bridged"]
    for name in GAPS:
        values = frame[name].to_numpy()
        absent = np.flatnonzero(np.isnan(values))
        if len(absent) < len(values):
            _check_gaps(name, absent, log)
            absent = np.setdiff1d(absent, np.concatenate(added)) if added else absent
        if len(absent) == len(values):
            if name == "air_temperature":
                log.say("missing column", "the table weather needs the air temperature", column=name)
        elif len(absent):
            log.whole("missing weather value", f"{_hours(len(absent))} without {name}", absent, (name,))
    if frame["sky_radiation"].isna().all():
        log.say("sky not given", "no long-wave radiation of the sky is given", column="sky_radiation")
    _check_values(frame, log)


def _check_gaps(name: str, absent: npt.NDArray[np.int64], log: Log) -> None:
    """Refuse a gap that a straight line would not bridge."""
    for run in np.split(absent, np.flatnonzero(np.diff(absent) > 1) + 1):
        if len(run) > LONGEST_GAP:
            message = f"{_hours(len(run))} in a row are without {name}; up to {LONGEST_GAP} are bridged"
            log.whole("gap too long", message, run, (name,))


def places(
    month: npt.NDArray[np.int64], day: npt.NDArray[np.int64], hour: npt.NDArray[np.int64]
) -> tuple[npt.NDArray[np.int64], bool]:
    """(the place of each hour in the year, from 0; whether the year has 29 February)."""
    leap = bool(((month == 2) & (day == 29)).any())
    place = (FIRST_DAYS[month - 1] + day - 1) * 24 + hour - 1
    return place if leap else place - 24 * (month > 2), leap


def hours_of_year(leap: bool) -> int:
    return HOURS[leap]


def _hours(count: int) -> str:
    return f"{count:,} hour{'' if count == 1 else 's'}"


def _check_year(frame: pd.DataFrame, log: Log) -> None:
    date = frame[["month", "day", "hour"]].to_numpy()
    if len(date) == 0 or np.isnan(date).any() or (date != np.round(date)).any():
        return  # said already, cell by cell
    month, day, hour = date.astype(np.int64).T
    beyond = np.flatnonzero(day > np.diff(FIRST_DAYS)[month - 1])
    log.each("impossible date", "the month has no such day", beyond, ("day",), [str(d) for d in day[beyond[:20]]])
    if len(beyond):
        return
    place, leap = places(month, day, hour)
    repeated = np.flatnonzero(pd.Series(place).duplicated().to_numpy())
    log.each("hour given twice", "this hour stands in an earlier row too", repeated, ("month", "day", "hour"))
    back = np.flatnonzero(np.diff(place) < 0) + 1
    log.each("hour out of order", "this hour lies before the one above it", back, ("month", "day", "hour"))
    _check_whole(place, HOURS[leap], leap, log)


def _check_whole(place: npt.NDArray[np.int64], hours: int, leap: bool, log: Log) -> None:
    held = np.zeros(hours, dtype=bool)
    held[place] = True
    if not held.all():
        first = int(np.flatnonzero(~held)[0])
        day, hour = divmod(first + (24 if not leap and first >= 24 * 59 else 0), 24)
        month = int(np.searchsorted(FIRST_DAYS, day, side="right"))
        name = f"{day - FIRST_DAYS[month - 1] + 1} {calendar.month_name[month]}, hour {hour + 1}"
        log.say(
            "not a whole year",
            f"{held.sum():,} of the {hours:,} hours of a year are given; the first missing is {name}, and the longest gap has "
            f"{_hours(_longest(~held))}, of which up to {LONGEST_GAP} are bridged",
            column="month, day, hour",
        )


def _longest(absent: npt.NDArray[np.bool_]) -> int:
    edges = np.flatnonzero(np.diff(np.concatenate([[False], absent, [False]]).astype(np.int8)))
    return int(np.diff(edges)[::2].max(initial=0))


def _check_values(frame: pd.DataFrame, log: Log) -> None:
    wind = frame["wind_speed"].to_numpy()
    strong = np.flatnonzero(wind > STORM)
    log.each(
        "storm",
        "so strong a wind for an hour is a hurricane",
        strong,
        ("wind_speed",),
        [f"{v:.1f} m/s" for v in wind[strong[:20]]],
    )
    whole, part = frame["global_radiation"].to_numpy(), frame["diffuse_radiation"].to_numpy()
    odd = np.flatnonzero(part > RADIATION_SHARE * whole + RADIATION_SLACK)
    log.each(
        "diffuse exceeds global",
        "the sky alone gives more than sun and sky together",
        odd,
        ("global_radiation", "diffuse_radiation"),
        [f"{part[i]:.0f} against {whole[i]:.0f} W/m²" for i in odd[:20]],
    )
