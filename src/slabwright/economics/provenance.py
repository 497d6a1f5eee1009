"""Where the costs come from."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from slabwright.economics.items import measured
from slabwright.economics.pricing import SAWCUTS
from slabwright.records.provenance import (
    Cell,
    Copied,
    Decided,
    Derived,
    Fixed,
    Gathered,
    Method,
    Of,
    Origin,
    Origins,
    Row,
)
from slabwright.records.words import CRACK, FILLED_BY_OVERLAY, FULL, PARTIAL, VOID

__all__ = ["ORIGINS", "SHEETS"]

SAWN = Derived(
    "product", (Fixed(float(SAWCUTS), "count", "sawcuts"), Decided("economics.saw_cost")), "money", "sawcuts"
)


def _of_repair(row: Row) -> Origin:
    kind = row["kind"]
    if kind == FULL:
        return Derived("sum", (_repair("area", "full_depth_cost"), SAWN), "money")
    if kind == PARTIAL:
        filled = Of("repairs", "filled_with", ("repair",)).row(row)["filled_with"]
        return _repair("area", "partial_removal_cost" if filled == FILLED_BY_OVERLAY else "partial_depth_cost")
    if kind == CRACK:
        return _repair("length", "crack_cost")
    return Copied(Decided("economics.void_cost" if kind == VOID else "economics.load_transfer_cost"))


def _repair(column: str, price: str) -> Derived:
    return _priced(Of("repairs", column, ("repair",)), price)


def _priced(quantity: Of, price: str) -> Derived:
    return Derived("product", (quantity, Decided(f"economics.{price}")), "money", "quantity at its price")


def _laid(column: str, price: str) -> Callable[[Row], Origin]:
    """A quantity of the overlay at its price, where one is designed."""

    def origin(row: Row) -> Origin:
        designed = (row.scene.frame("overlay_quantities")["section"] == row["section"]).any()
        return _priced(Of("overlay_quantities", column), price) if designed else Method("No overlay is designed here.")

    return origin


def _whole(row: Row) -> Origin:
    parts = [c for c in ("concrete_cost", "surface_cost", "repair_cost") if np.isfinite(row[c])]
    return Derived("sum", tuple(Cell(c) for c in parts))


def _of_item(row: Row) -> Origin:
    kind, quantity = measured(row["quantity"])
    parts = (
        Fixed(quantity, kind, "quantity of the item", "summed over its lane or direction"),
        Decided(row["priced_by"]),
    )
    return Derived("product", parts, "money", "quantity at its price")


ORIGINS: Origins = {
    "bid_items": {"amount": _of_item},
    "section_costs": {
        "concrete_cost": _laid("volume", "concrete_cost"),
        "surface_cost": _laid("area", "surface_cost"),
        "repair_cost": Gathered("sum", "repair_kind_costs", "cost"),
        "cost": _whole,
    },
    "repair_kind_costs": {"cost": Gathered("sum", "repair_costs", "cost", ("section", "kind"))},
    "repair_costs": {"cost": _of_repair},
}

SHEETS = ()
