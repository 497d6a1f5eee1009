"""The result tables of the economics stage: what the repairs and the overlay cost at the unit prices decided."""

from __future__ import annotations

from slabwright.records.outcomes.columns import DIRECTION, LANE, SECTION
from slabwright.records.table import Column, Schema

__all__ = ["BID_ITEMS", "REPAIR_COSTS", "REPAIR_KIND_COSTS", "SECTION_COSTS", "TABLES"]

KIND = Column("kind", "text", "kind of repair")
COST = Column("cost", "money", "cost")

BID_ITEMS = Schema(
    "bid_items",
    "Bid items",
    "an item of a lane, or of a direction",
    (
        DIRECTION,
        LANE,
        Column("item", "text", "item"),
        Column("quantity", "remark", "quantity"),
        Column("price", "remark", "unit price"),
        Column("amount", "money", "amount"),
        Column("priced_by", "text", "decision of the unit price"),
        Column("note", "text", "remark"),
    ),
)
SECTION_COSTS = Schema(
    "section_costs",
    "Cost by section",
    "a section",
    (
        SECTION,
        Column("concrete_cost", "money", "overlay concrete"),
        Column("surface_cost", "money", "preparation, joints and curing"),
        Column("repair_cost", "money", "repairs"),
        Column("cost", "money", "cost in all"),
    ),
)
REPAIR_KIND_COSTS = Schema(
    "repair_kind_costs",
    "Cost of repairs by kind",
    "a kind of repair in a section",
    (SECTION, KIND, COST),
)
REPAIR_COSTS = Schema(
    "repair_costs",
    "Cost of each repair",
    "a repair",
    (Column("repair", "text", "number"), SECTION, KIND, COST),
)

TABLES = (BID_ITEMS, SECTION_COSTS, REPAIR_KIND_COSTS, REPAIR_COSTS)
