"""Values and headings of tables as a person reads them; commands, pages, exports and the report all ask here."""

from __future__ import annotations

import math
from typing import Any

from slabwright import units
from slabwright.records.remarks import reads
from slabwright.records.table import Column, Schema
from slabwright.terms import LONGEST_LIFE

__all__ = ["cell", "heading", "plain_columns", "plain_rows"]


def cell(value: Any, column: Column, shown: units.System) -> str:
    """One value of a table without its unit, a remark in words; a missing number is an en dash."""
    if column.kind == "remark":
        return reads(value, shown)
    if column.is_text:
        return str(value)
    if column.kind == "station":
        return units.format_station(float(value), shown)
    if column.kind == "integer":
        return "–" if math.isnan(float(value)) else f"{float(value):.0f}"
    return units.format_quantity(float(value), column.kind, shown, unit=False)


def heading(column: Column, shown: units.System, *, short: bool = False, brief: bool = False) -> str:
    """A column's meaning, its ``brief`` heading, or its name where that is ``short``, with its unit."""
    name = column.name if short else (brief and column.brief) or column.meaning
    if column.unit_kind is None or column.kind == "station":
        return name
    unit = units.label(units.unit_of(column.unit_kind, shown))
    return f"{name} [{unit}]" if unit else name


def is_longest(years: float) -> bool:
    """Whether a life [years] is the longest that is computed, which stands for that and more. Raises nothing."""
    return years >= LONGEST_LIFE - 0.05


def life_words(years: float, shown: units.System, *, unit: bool = True) -> str:
    """A life [years] as words, the longest that is computed as "or more". Raises nothing."""
    told = units.format_quantity(min(years, LONGEST_LIFE), "years", shown, unit=unit)
    return f"{LONGEST_LIFE:.0f}{' years' if unit else ''} or more" if is_longest(years) else told


def plain_columns(schema: Schema, shown: units.System) -> list[dict[str, str]]:
    """The columns of a table as plain data: name, unit, meaning."""
    return [
        {"name": c.name, "unit": units.unit_of(c.unit_kind, shown) if c.unit_kind else "", "meaning": c.meaning}
        for c in schema.columns
    ]


def plain_rows(schema: Schema, frame: Any, shown: units.System) -> list[list[Any]]:
    """The rows of a table as plain data in the units shown, remarks as words; a missing number is None."""
    data = [_plain(frame[c.name], c, shown) for c in schema.columns]
    return [list(row) for row in zip(*data, strict=True)]


def _plain(values: Any, column: Column, shown: units.System) -> list[Any]:
    if column.unit_kind is None:
        return [cell(v, column, shown) for v in values]
    numbers = units.convert(values.to_numpy(dtype=float), column.unit_kind, shown)
    # Twelve digits, without the last bits that a conversion leaves behind; no negative zero.
    return [float(f"{v:.12g}") + 0.0 if math.isfinite(v) else None for v in numbers]
