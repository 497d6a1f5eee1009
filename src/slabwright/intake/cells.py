"""Cells of one column to SI numbers, words or dates; what cannot be read is told, never guessed.

Columns arrive as floats where the file holds plain numbers, else as texts. Texts are read once for each
distinct wording, so a hundred thousand rows cost little more than their different values.
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt
import pandas as pd

from slabwright.intake.rules import Rows
from slabwright.intake.sheets import Values
from slabwright.intake.spellings import find_unit, known_unit
from slabwright.intake.stations import station_cell
from slabwright.units import to_si

__all__ = ["Dates", "Numbers", "dates", "grouped", "numbers", "texts"]

MISSING = frozenset((
    "",
    "-",
    "--",
    "–",
    "—",
    "n/a",
    "na",
    "k.a.",
    "k. a.",
    "n.d.",
    "n. d.",
    "s/d",
    "s.d.",
    "b.d.",
    "n.v.t.",
    "#n/a",
    "none",
    "null",
    "missing",
    "not tested",
))
ENDLESS = frozenset((
    "nan",
    "inf",
    "infinity",
    "#num!",
    "#value!",
    "#div/0!",
    "#ref!",
    "#name?",
    "#null!",
    "1.#inf",
    "1.#qnan",
))
FORMULA = re.compile(r"[=@]|[+\-][A-Za-z(]")
VALUE = re.compile(
    r"([-+]?(?:\d{1,3}(?:,\d{3})+(?:\.\d*)?|\d+\.?\d*|\.\d+)(?:[eE][-+]?\d{1,3})?)\s*([^\s\d,;+\-][^,;]{0,39})?\Z"
)
LONGEST_NUMBER = 80
AT_ONCE = 50_000  # wordings that are held apart at a time
DAY_FORMS = (
    "%Y-%m-%d",
    "%Y/%m/%d",
    "%Y.%m.%d",
    "%Y%m%d",
    "%d-%b-%Y",
    "%d %b %Y",
    "%d-%b-%y",
    "%d %B %Y",
    "%b %d, %Y",
    "%B %d, %Y",
)


@dataclass
class Numbers:
    """A column in SI, how the unit of each cell was known, and the cells that were refused (rule -> rows)."""

    values: npt.NDArray[np.float64]
    bare: npt.NDArray[np.bool_]  # cells without a unit of their own
    units: frozenset[str] = frozenset()  # units written in cells
    refused: dict[str, Rows] = field(default_factory=dict)


def numbers(
    cells: Values, kind: str, unit: str, *, station: bool, decimal_comma: bool, per_row: Values | None
) -> Numbers:
    """Read a column of numbers whose bare cells are in ``unit``; ``per_row`` holds a unit for each row."""
    if cells.dtype.kind == "f":
        found = _plain(np.asarray(cells, dtype=np.float64), kind, unit)
    else:
        found = _written(np.asarray(cells, dtype=object), kind, unit, station, decimal_comma)
    return found if per_row is None else _by_row(found, kind, unit, per_row)


def _plain(cells: npt.NDArray[np.float64], kind: str, unit: str) -> Numbers:
    with np.errstate(over="ignore"):
        values = to_si(cells, unit, kind)
    endless = np.flatnonzero(np.isinf(values))
    values = np.where(np.isinf(values), np.nan, values) if len(endless) else values
    return Numbers(values, ~np.isnan(values), refused={"not finite": endless} if len(endless) else {})


def _written(cells: npt.NDArray[np.object_], kind: str, unit: str, station: bool, comma: bool) -> Numbers:
    codes, uniques = pd.factorize(cells)
    size = max(len(uniques), 1)
    value, told, bare = np.zeros(size), np.full(size, "", dtype=object), np.zeros(size, dtype=bool)
    units: set[str] = set()
    for start in range(0, len(uniques), AT_ONCE):
        read = [_cell(str(text), kind, station, comma) for text in uniques[start : start + AT_ONCE]]
        part = slice(start, start + len(read))
        value[part], told[part], bare[part] = _scaled(read, kind, unit)
        units |= {r[3] for r in read if r[3]}
    rules = {rule: np.flatnonzero(told[codes] == rule) for rule in set(told) - {""}}
    rules.pop("missing", None)
    return Numbers(value[codes], bare[codes], frozenset(units), rules)


def _scaled(
    read: Sequence[tuple[float, str | None, str, str]], kind: str, unit: str
) -> tuple[npt.NDArray[np.float64], npt.NDArray[np.object_], npt.NDArray[np.bool_]]:
    """Values in SI of wordings that were read, the rule that each breaks, and which are bare."""
    scale = {
        u: (to_si(0.0, u, kind), to_si(1.0, u, kind) - to_si(0.0, u, kind))
        for u in {r[1] for r in read if r[1] and r[1] != "SI"} | {unit}
    }
    value = np.array([r[0] * scale[r[1] or unit][1] + scale[r[1] or unit][0] if r[1] != "SI" else r[0] for r in read])
    endless = np.array([np.isfinite(r[0]) for r in read]) & ~np.isfinite(value)
    told = np.where(endless, "not finite", np.array([r[2] for r in read], dtype=object))
    return np.where(np.isfinite(value), value, np.nan), told, np.array([r[1] is None and r[2] == "" for r in read])


def _cell(text: str, kind: str, station: bool, comma: bool) -> tuple[float, str | None, str, str]:
    """(value, its unit or None when bare, rule broken or "", unit as counted for mixtures) of one wording."""
    text = text.strip()
    lower = text.lower()
    if lower in MISSING:
        return np.nan, None, "missing", ""
    if lower.lstrip("+-") in ENDLESS:
        return np.nan, None, "not finite", ""
    if FORMULA.match(text):
        return np.nan, None, "formula", ""
    if len(text) > LONGEST_NUMBER:
        return np.nan, None, "unreadable number", ""
    written = station_cell(text) if station else None
    return _value(text, kind, comma, station) if written is None else written


def _value(text: str, kind: str, comma: bool, station: bool) -> tuple[float, str | None, str, str]:
    if grouped(text, kind, comma=comma) and not station:
        text = re.sub(r"[.,]", "", text)
    elif comma:
        text = text.replace(".", "").replace(",", ".") if "," in text else text
    match = VALUE.match(text)
    if match is None:
        return np.nan, None, "unreadable number", ""
    value = float(match[1].replace(",", ""))
    if not np.isfinite(value):
        return np.nan, None, "not finite", ""
    if not match[2]:
        return value, None, "", ""
    unit = find_unit(match[2], kind)
    if unit is None:
        return np.nan, None, "unit not understood" if known_unit(match[2]) else "unreadable number", ""
    return value, unit, "", unit


def grouped(text: str, kind: str, *, comma: bool) -> bool:
    """Whether the dots (in a count: dots or commas) of a number can only mark thousands: ``45.000`` vehicles.

    A count has no decimals, and in a file with decimal commas a dot marks none.
    """
    if kind == "count":
        return re.fullmatch(r"\s*-?\d{1,3}(?:\.\d{3})+\s*|\s*-?\d{1,3}(?:,\d{3})+\s*", text[:40]) is not None
    return comma and re.fullmatch(r"\s*-?\d{1,3}(?:\.\d{3})+\s*", text[:40]) is not None


def _by_row(found: Numbers, kind: str, unit: str, per_row: Values) -> Numbers:
    """Bare cells read again in the unit that their own row states."""
    codes, uniques = pd.factorize(np.asarray(per_row, dtype=object).astype(str))
    values, refused = found.values.copy(), dict(found.refused)
    shift, base = to_si(0.0, unit, kind), to_si(1.0, unit, kind) - to_si(0.0, unit, kind)
    units, unread = set(found.units), []
    for code, text in enumerate(uniques):
        here = (codes == code) & found.bare
        stated = find_unit(str(text), kind)
        if stated is None:
            if str(text).strip() not in ("", "nan") and here.any():
                unread.append(np.flatnonzero(here))
            continue
        values[here] = to_si((values[here] - shift) / base, stated, kind)
        found.bare[here] = False
        units.add(stated)
    if unread:
        refused["unit not understood"] = np.concatenate([
            refused.get("unit not understood", np.zeros(0, np.int64)),
            *unread,
        ])
    return Numbers(values, found.bare, frozenset(units), refused)


def texts(cells: Values) -> npt.NDArray[np.object_]:
    """Texts without the blanks around them, "" for a missing one."""
    if cells.dtype.kind == "f":
        return np.array(["" if np.isnan(c) else f"{c:.15g}" for c in cells], dtype=object)
    codes, uniques = pd.factorize(cells)
    stripped = np.array([str(u).strip() for u in uniques] or [""], dtype=object)
    return stripped[codes]


@dataclass
class Dates:
    """Days as ISO texts, the rows whose date cannot be read, and the order that was assumed ("" if none)."""

    values: npt.NDArray[np.object_]
    unread: Rows
    assumed: str = ""


def dates(cells: Values, system: str) -> Dates:
    """Days as people write them; 04/06/2025 is read month first in US files unless another row forbids it."""
    written = texts(cells)
    codes, uniques = pd.factorize(written)
    parts = [_slashed(str(u)) for u in uniques]
    pairs = [p for p in parts if p is not None]
    day_first, sure = _order(pairs, system)
    found = [_day(str(u), p, day_first) for u, p in zip(uniques, parts, strict=True)]
    values = np.array([f or "" for f in found] or [""], dtype=object)[codes]
    wrong = np.array([f is None for f in found] or [False])[codes]
    assumed = "" if sure or not pairs else ("day first" if day_first else "month first")
    return Dates(values, np.flatnonzero(wrong), assumed)


def _slashed(text: str) -> tuple[int, int, int] | None:
    match = re.match(r"(\d{1,2})[/.\-](\d{1,2})[/.\-](\d{4}|\d{2})(?:[ T].{0,20})?\Z", text[:40])
    return (int(match[1]), int(match[2]), int(match[3])) if match else None


def _order(pairs: Sequence[tuple[int, int, int]], system: str) -> tuple[bool, bool]:
    """(day first, whether some row proves it); rows that disagree are left to be refused."""
    first, second = any(p[0] > 12 for p in pairs), any(p[1] > 12 for p in pairs)
    if first != second:
        return first, True
    return system == "metric", False


def _day(text: str, slashed: tuple[int, int, int] | None, day_first: bool) -> str | None:
    """The ISO day of a wording, "" when there is none, None when it is no day."""
    if text.lower() in MISSING:
        return ""
    try:
        if slashed:
            day, month = slashed[:2] if day_first else (slashed[1], slashed[0])
            year = slashed[2] if slashed[2] > 99 else slashed[2] + (2000 if slashed[2] < 70 else 1900)
            return datetime.date(year, month, day).isoformat()
        if re.match(r"\d{4}-\d{2}-\d{2}(?:[ T]|\Z)", text):
            return datetime.date.fromisoformat(text[:10]).isoformat()
    except ValueError:
        return None
    return _worded(text) if len(text) <= 30 else None


def _worded(text: str) -> str | None:
    for form in DAY_FORMS:
        try:
            return datetime.datetime.strptime(text, form).date().isoformat()
        except ValueError:
            continue
    return None
