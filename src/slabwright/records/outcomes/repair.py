"""The result tables of the repair stage: what is mended before the overlay."""

from __future__ import annotations

from slabwright.records.outcomes.columns import BEGIN, DIRECTION, END, LANE, REASON, SECTION
from slabwright.records.table import Column, Schema

__all__ = [
    "AFTER_REPAIR",
    "REFLECTED_CRACKS",
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
AFTER_REPAIR = Schema(
    "after_repair",
    "The old slab after repair",
    "a section",
    (
        SECTION,
        DIRECTION,
        BEGIN,
        END,
        LANE,
        Column(
            "deteriorated",
            "count",
            "deteriorated joints and cracks in the lane where most are left",
            brief="deteriorated, worst lane",
        ),
        Column("left", "count", "of them left by the marking of repairs", brief="left by marking"),
        Column("unrepaired", "frequency", "left along the lane"),
        Column("unrepaired_from", "text", "where that comes from"),
        Column("joints_factor", "number", "joints and cracks factor"),
        Column("effective_condition", "thickness", "effective thickness by condition"),
        Column("transfer", "share", "mean load transfer found"),
        Column("transfer_after", "share", "load transfer after repair"),
        Column("coefficient_found", "number", "load transfer coefficient J found", brief="J found"),
        Column("coefficient", "number", "load transfer coefficient J for design", brief="J for design"),
        Column("note", "remark", "remark"),
    ),
)
REFLECTED_CRACKS = Schema(
    "reflected_cracks",
    "Cracks that come through the overlay",
    "a lane of a section",
    (
        SECTION,
        LANE,
        Column("slabs", "count", "slabs"),
        Column("cracked", "count", "with a transverse, longitudinal or corner crack", brief="cracked"),
        Column("left", "count", "that keep one after repair"),
        Column("share", "share", "of all slabs"),
    ),
)

TABLES = (REPAIRS, REPAIR_QUANTITIES, AFTER_REPAIR, REFLECTED_CRACKS)
