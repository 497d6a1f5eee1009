"""Checks that every table gets, and the few that belong to one table other than deflection tests."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from slabwright.intake.keys import same_rows
from slabwright.intake.rules import LISTED, Log, Rows, rows_named
from slabwright.intake.spellings import alternatives, typical
from slabwright.intake.weather_checks import check_weather
from slabwright.records.table import Column, Schema
from slabwright.units import System, convert, format_quantity, format_station, unit_of

__all__ = ["Context", "check_on_road", "check_table"]

ALL_ROWS_AGREE = 0.9
ODD_RATIO = 1.5
FEW_TRUCKS = 0.01
MEASURED = (("deflections", "deflection_1"), ("deflections", "load"))  # a drop without one of these says nothing
MOST_SET_ASIDE = 0.1  # of the rows; more is no lost drop but a wrong column
SAME_STATION = 1e-6  # metres
LONGEST_ROAD = 100e3  # m: no project of this kind is longer (common practice, no source)
FARTHEST_DATES = ("1900-01-01", "2150-12-31")


@dataclass(frozen=True)
class Context:
    """What the checks may know besides the table: limits of the road in metres, and today's date."""

    system: System
    road: tuple[float, float] | None = None
    today: datetime.date | None = None


def check_table(
    frame: pd.DataFrame, schema: Schema, units: Mapping[str, str], log: Log, context: Context
) -> pd.DataFrame:
    """Bounds, likely units, required cells, repeats, order, dates; then what belongs to this table alone.

    Gives the table without the numbers that are out of bounds, which the later checks judge.
    """
    whole, frame = frame, frame.copy(deep=False)
    for column in schema.columns:
        if column.unit_kind is not None:
            outside = _check_number(frame, schema, column, units, log, context)
            if outside.any():
                frame[column.name] = frame[column.name].where(~outside)
        elif column.kind == "date":
            _check_dates(frame, column, log, context)
    _check_required(whole, schema, log)
    repeats = same_rows(whole)
    if len(repeats):
        log.each("duplicate row", "this row repeats an earlier one in every column", repeats)
    if {"begin", "end"} <= set(schema.names):
        backward = np.flatnonzero(frame["begin"].to_numpy() > frame["end"].to_numpy())
        said = [_backward(frame, at) for at in backward[: LISTED + 1].tolist()]
        log.each("begins after it ends", said, backward, ("begin", "end"))
    _check_stations(frame, schema, log, context)
    special = SPECIAL.get(schema.name)
    if special:
        special(frame, log)
    return frame


def _backward(frame: pd.DataFrame, at: int) -> str:
    """What the two stations of a row were read as, for one may count feet and the other metres."""
    first, last = (
        f"{value:,.1f} m ({convert(value, 'length', 'us'):,.0f} ft)" for value in frame[["begin", "end"]].iloc[at]
    )
    return f"the first station, read as {first}, lies beyond the last, read as {last}"


def _check_number(
    frame: pd.DataFrame, schema: Schema, column: Column, units: Mapping[str, str], log: Log, context: Context
) -> npt.NDArray[np.bool_]:
    values = frame[column.name].to_numpy(dtype=np.float64)
    if np.isnan(values).all():
        return np.zeros(len(values), dtype=bool)
    low, high = -np.inf if column.low is None else column.low, np.inf if column.high is None else column.high
    slack = 1e-9 * max(abs(v) for v in (low, high, 0.0) if np.isfinite(v)) if np.isfinite([low, high]).any() else 0.0
    outside = (values < low - slack) | (values > high + slack)
    rule = {"temperature": "impossible temperature"}.get(column.kind, "out of bounds")
    negative = (values < 0) & (column.name == "load")
    at = np.flatnonzero(negative)
    log.each("negative load", "the load is negative", at, (column.name,), _shown(values, at, column, context))
    outside &= ~negative
    at = np.flatnonzero(outside)
    allowed = " to ".join(_written(bound, column, context) for bound in (low, high))
    shown = _shown(values, at, column, context)
    log.each(rule, f"{column.meaning} must lie within {allowed}", at, (column.name,), shown)
    if column.kind == "integer":
        at = np.flatnonzero(np.isfinite(values) & (values != np.round(values)))
        log.each(
            "not a whole number",
            f"{column.meaning} must be a whole number",
            at,
            (column.name,),
            [f"{v:g}" for v in values[at[:20]]],
        )
    _check_unit(values, schema, column, units, log)
    return outside | negative


def _shown(values: npt.NDArray[np.float64], at: Rows, column: Column, context: Context) -> list[str]:
    return [_written(float(v), column, context) for v in values[at[:20]]]


def _written(value: float, column: Column, context: Context) -> str:
    """A value as a person writes it; years, numbers of drops and the like have no mark of thousands."""
    kind = "calendar_year" if column.kind == "integer" else column.unit_kind or "number"
    return format_quantity(value, kind, context.system)


def _check_unit(
    values: npt.NDArray[np.float64], schema: Schema, column: Column, units: Mapping[str, str], log: Log
) -> None:
    """A median outside what roads show, that another unit would bring back, is probably that unit."""
    usual, unit, kind = typical(schema.name, column.name), units.get(column.name), column.unit_kind
    present = np.isfinite(values) & (values != 0)
    if usual is None or unit is None or kind is None or not present.any():
        return
    median = float(np.median(np.abs(values[present])))
    if usual[0] <= median <= usual[1]:
        return
    factors = dict(alternatives(kind))
    middle = np.log(usual[0] * usual[1]) / 2
    likely = [
        (abs(np.log(median * factor / factors[unit]) - middle), other)
        for other, factor in factors.items()
        if unit in factors and usual[0] <= median * factor / factors[unit] <= usual[1]
    ]
    if not likely:
        return
    other = min(likely)[1]
    number = median / factors[unit]
    log.whole(
        "looks like another unit",
        f"half of the values exceed {number:.3g} {unit}, which is not usual for {column.meaning} "
        f"({usual[0] / factors[unit]:.3g} to {usual[1] / factors[unit]:.3g} {unit}); this looks like {other} read as {unit}",
        np.flatnonzero(present),
        (column.name,),
        value=f"{number:.3g} {unit}",
    )


def _check_dates(frame: pd.DataFrame, column: Column, log: Log, context: Context) -> None:
    codes, uniques = pd.factorize(frame[column.name])
    unlikely = np.array([bool(u) and not FARTHEST_DATES[0] <= u <= FARTHEST_DATES[1] for u in uniques] or [False])[
        codes
    ]
    at = np.flatnonzero(unlikely)
    log.each(
        "impossible date",
        f"{column.meaning} must lie between 1900 and 2150",
        at,
        (column.name,),
        frame[column.name].to_numpy()[at[:20]].tolist(),
    )
    if context.today is not None:
        limit = context.today.isoformat()
        future = np.array([bool(u) and u > limit for u in uniques] or [False])[codes] & ~unlikely
        at = np.flatnonzero(future)
        log.each(
            "future date",
            f"{column.meaning} lies after {limit}",
            at,
            (column.name,),
            frame[column.name].to_numpy()[at[:20]].tolist(),
        )


def _check_required(frame: pd.DataFrame, schema: Schema, log: Log) -> None:
    refused = {
        (f.column, int(r)) for f, c in zip(log.findings, log.cells, strict=True) if f.weight == "error" for r in c.rows
    }
    for column in schema.columns:
        if column.required:
            values = frame[column.name]
            absent = np.flatnonzero((values == "").to_numpy() if column.is_text else values.isna().to_numpy())
            absent = np.array([r for r in absent.tolist() if (column.name, r) not in refused], dtype=np.int64)
            if (schema.name, column.name) in MEASURED and 0 < len(absent) <= MOST_SET_ASIDE * len(frame):
                share = f"{len(absent):,} of {len(frame):,} drops are without {column.meaning} and are set aside"
                log.whole("drop set aside", f"{share} ({rows_named(log, absent)})", absent, ())
                continue
            log.each("missing required", f"{column.meaning} is missing", absent, (column.name,))


def check_on_road(frame: pd.DataFrame, schema: Schema, road: tuple[float, float], log: Log, system: System) -> None:
    """Stations that lie beyond the limits ``road`` [m]; the road itself has none."""
    if schema.name == "road":
        return
    low, high = min(road) - SAME_STATION, max(road) + SAME_STATION
    for name in (c.name for c in schema.columns if c.kind == "station"):
        values = frame[name].to_numpy()
        at = np.flatnonzero((values < low) | (values > high))
        shown = [format_station(float(v), system) for v in values[at[:LISTED]]]
        limits = f"{format_station(min(road), system)} to {format_station(max(road), system)}"
        log.each("outside the road", f"the road runs from {limits}", at, (name,), shown)


def _check_stations(frame: pd.DataFrame, schema: Schema, log: Log, context: Context) -> None:
    ends = [c.name for c in schema.columns if c.kind == "station"]
    if context.road is not None:
        check_on_road(frame, schema, context.road, log, context.system)
    for name in ends:
        _check_far(frame[name].to_numpy(), name, log, context)
    if "station" in ends and schema.name != "ramps":
        lanes = frame["lane"] if "lane" in frame else pd.Series("", index=frame.index)
        at = _out_of_order(frame["station"].to_numpy(), pd.factorize(lanes)[0])
        shown = [format_station(float(v), context.system) for v in frame["station"].to_numpy()[at[:20]]]
        log.each("station out of order", "the station breaks the order of the rows around it", at, ("station",), shown)


def _check_far(stations: npt.NDArray[np.float64], name: str, log: Log, context: Context) -> None:
    """Stations farther from the rest than a road is long: all but the largest group without such a gap within it."""
    order = np.argsort(stations, kind="stable")
    order = order[np.isfinite(stations[order])]
    group = np.concatenate([[0], np.cumsum(np.diff(stations[order]) > LONGEST_ROAD)]) if len(order) else order
    if not len(order) or group[-1] == 0:
        return
    at = np.sort(order[group != np.bincount(group).argmax()])
    shown = [format_station(float(v), context.system) for v in stations[at[:LISTED]]]
    far = f"{convert(LONGEST_ROAD, 'distance', context.system):.0f} {unit_of('distance', context.system)}"
    message = f"the station lies more than {far} from the other rows, farther than a road of one project reaches"
    log.each("station far from the others", message, at, (name,), shown)


def _out_of_order(stations: npt.NDArray[np.float64], lanes: npt.NDArray[np.int64]) -> Rows:
    """Rows that step back in a lane which otherwise runs one way (nine steps of ten).

    A new pass over the lane is no break of order: only a row whose neighbours on both sides agree is named.
    """
    order = np.argsort(lanes, kind="stable")
    s, lane = stations[order], lanes[order]
    if len(s) < 5:
        return np.zeros(0, dtype=np.int64)
    step = np.diff(s)
    same = (lane[1:] == lane[:-1]) & (step != 0) & np.isfinite(step)
    found: list[int] = []
    ahead = np.bincount(lane[1:][same & (step > 0)], minlength=lane.max() + 1)
    every = np.bincount(lane[1:][same], minlength=lane.max() + 1)
    sign = np.where(ahead >= ALL_ROWS_AGREE * every, 1, np.where(ahead <= (1 - ALL_ROWS_AGREE) * every, -1, 0))
    sign[every < 4] = 0
    run = sign[lane[1:-1]] * np.where((lane[2:] == lane[1:-1]) & (lane[:-2] == lane[1:-1]), 1, 0)
    before, here, after = run * s[:-2], run * s[1:-1], run * s[2:]
    odd = (run != 0) & (before <= after) & ((here < before) | (here > after))
    found = order[1:-1][odd].tolist()
    return np.array(sorted(found), dtype=np.int64)


def _check_loadings(frame: pd.DataFrame, log: Log) -> None:
    place = ["state_code", "section", "year"]
    group = frame.groupby(place, sort=False)["construction_no"]
    first, several = group.transform("min"), group.transform("nunique")
    at = np.flatnonzero(((frame["construction_no"] > first) & (several > 1)).to_numpy())
    log.each(
        "repeated construction number",
        "this year of the section appears under several construction numbers",
        at,
        (),
        [f"construction number {v:g}" for v in frame["construction_no"].to_numpy()[at[:20]]],
    )
    sections = frame.groupby(["state_code", "section"], sort=False)
    for axles, name in (("annual_esal", "esal_per_truck"), ("annual_gesal", "annual_gesal")):
        ratio = _per_truck(frame, axles)
        usual = ratio.groupby(sections.ngroup()).transform("median")
        told = frame["esal_per_truck"] if name == "esal_per_truck" else ratio
        odd = (ratio > ODD_RATIO * usual) | (ratio < usual / ODD_RATIO)
        odd |= (told - ratio).abs() > 0.05 * ratio.abs() + 0.002
        at = np.flatnonzero(odd.to_numpy())
        message = (
            f"{axles} per truck cannot be: it is far from the other years of the section, or from axles over trucks"
        )
        shown = [f"{told.iloc[i]:.3f} per truck, usually {usual.iloc[i]:.3f}" for i in at[:20]]
        log.each(
            "equivalent axles per truck", message, at, (axles, "esal_per_truck") if name != axles else (axles,), shown
        )


def _per_truck(frame: pd.DataFrame, axles: str) -> pd.Series:
    trucks = frame["annual_truck_volume"].where(frame["annual_truck_volume"] > 0)
    return frame[axles] / trucks


def _check_shares(frame: pd.DataFrame, log: Log) -> None:
    total = float(frame["share"].sum())
    if len(frame) and abs(total - 1) > 0.02:
        every = np.arange(len(frame), dtype=np.int64)
        log.whole("shares do not add up", f"the shares of all classes add up to {100 * total:.1f} %", every, ("share",))


def _check_trucks(frame: pd.DataFrame, log: Log) -> None:
    """Shares of trucks so small that they may be fractions read as percent (common practice, no source)."""
    share = frame["truck_share"].to_numpy(dtype=float)
    at = np.flatnonzero((share > 0) & (share < FEW_TRUCKS))
    shown = [f"{100 * v:g} %" for v in share[at[:20]]]
    log.each("few trucks", f"fewer than {100 * FEW_TRUCKS:g} % of the vehicles are trucks", at, ("truck_share",), shown)


def _check_ride(frame: pd.DataFrame, log: Log) -> None:
    mean, both = frame["mean_iri"], (frame["iri_left"] + frame["iri_right"]) / 2
    at = np.flatnonzero(((mean - both).abs() > 0.02 * both + 1e-6).to_numpy())
    shown = [f"{1000 * mean.iloc[i]:.3f} against {1000 * both.iloc[i]:.3f} m/km" for i in at[:20]]
    log.each("mean is not the mean", "the mean differs from half the sum of both wheel paths", at, ("mean_iri",), shown)


SPECIAL: dict[str, Callable[[pd.DataFrame, Log], None]] = {
    "counts": _check_trucks,
    "loadings": _check_loadings,
    "truck_classes": _check_shares,
    "ride_runs": _check_ride,
    "weather": check_weather,
}
