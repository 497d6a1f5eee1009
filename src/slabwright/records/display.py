"""Values and headings of tables as a person reads them; commands, pages, exports and the report all ask here."""

from __future__ import annotations

import math
from typing import Any

from slabwright import units
from slabwright.records.table import Column

__all__ = ["cell", "heading"]


def cell(value: Any, column: Column, shown: units.System) -> str:
    """One value of a table without its unit; a missing number is an en dash."""
    if column.is_text:
        return str(value)
    if column.kind == "station":
        return units.format_station(float(value), shown)
    if column.kind == "integer":
        return "–" if math.isnan(float(value)) else f"{float(value):.0f}"
    return units.format_quantity(float(value), column.kind, shown, unit=False)


def heading(column: Column, shown: units.System) -> str:
    """A column's meaning with its unit."""
    if column.unit_kind is None or column.kind == "station":
        return column.meaning
    unit = units.label(units.unit_of(column.unit_kind, shown))
    return f"{column.meaning} [{unit}]" if unit else column.meaning
