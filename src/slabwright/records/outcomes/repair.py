"""The result tables of the repair stage: what is mended before the overlay."""

from __future__ import annotations

from slabwright.records.outcomes.columns import BEGIN, END, LANE, REASON, SECTION
from slabwright.records.table import Column, Schema

__all__ = [
    "REPAIRS",
    "REPAIR_QUANTITIES",
    "TABLES",
]
REPAIRS = Schema(
    "repairs",
    "Repairs before the overlay",
    "a repair",
    (
        Column("repair", "text", "number"),
        SECTION,
        LANE,
        BEGIN,
        END,
        Column("kind", "text", "kind of repair"),
        Column("length", "length", "length along the lane"),
        Column("width", "length", "width"),
        Column("depth", "thickness", "depth"),
        Column("area", "area", "area"),
        Column("filled_with", "text", "filled with"),
        REASON,
    ),
)
REPAIR_QUANTITIES = Schema(
    "repair_quantities",
    "Quantities of repairs",
    "a kind of repair in a section",
    (
        SECTION,
        Column("kind", "text", "kind of repair"),
        Column("number", "count", "number"),
        Column("length", "length", "length"),
        Column("area", "area", "area"),
        Column("area_share", "share", "share of the pavement area"),
    ),
)

TABLES = (REPAIRS, REPAIR_QUANTITIES)
