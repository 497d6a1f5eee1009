"""Decisions on prices: what a unit of each repair and of the overlay costs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from slabwright.calculation import Quantity

__all__ = ["EconomicsDecisions"]


@dataclass(frozen=True)
class EconomicsDecisions:
    """Unit prices, in any one currency; the defaults are placeholders."""

    saw_cost: Annotated[float, Quantity("money", "cost of one transverse sawcut across a lane", 0, 1e5)] = 180.0
    full_depth_cost: Annotated[float, Quantity("money_per_area", "full-depth repair", 0, 1e5)] = 260.0
    partial_depth_cost: Annotated[float, Quantity("money_per_area", "partial-depth repair", 0, 1e5)] = 420.0
    partial_removal_cost: Annotated[
        float, Quantity("money_per_area", "removal alone, where the overlay fills the repair", 0, 1e5)
    ] = 190.0
    crack_cost: Annotated[float, Quantity("money_per_length", "crack routed and filled", 0, 1e5)] = 28.0
    void_cost: Annotated[float, Quantity("money", "slab stabilised, per corner", 0, 1e5)] = 240.0
    load_transfer_cost: Annotated[float, Quantity("money", "load transfer restored, per joint and lane", 0, 1e5)] = (
        560.0
    )
    concrete_cost: Annotated[float, Quantity("money_per_volume", "overlay concrete in place", 0, 1e5)] = 310.0
    surface_cost: Annotated[float, Quantity("money_per_area", "preparation, joints and curing", 0, 1e5)] = 14.0
