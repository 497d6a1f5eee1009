"""Decisions on prices: what a unit of each repair and of the overlay costs, and whether the engineer stands by it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from slabwright.calculation import Choice, Quantity, Words

__all__ = ["CONFIRMED", "PLACEHOLDERS", "EconomicsDecisions"]

PLACEHOLDERS, CONFIRMED = "placeholders", "confirmed by the engineer"


@dataclass(frozen=True)
class EconomicsDecisions:
    """Unit prices, in any one currency; the defaults are placeholders, and 0 is a price that nobody decided."""

    prices_are: Annotated[
        str,
        Choice("standing of the unit prices; no sum is told while they are placeholders", (PLACEHOLDERS, CONFIRMED)),
    ] = PLACEHOLDERS
    currency: Annotated[str, Words("currency of the unit prices, as in EUR", currency=True)] = ""
    price_year: Annotated[
        float, Quantity("calendar_year", "year of the unit prices; 0 where it is not said", 0, 2200)
    ] = 0.0
    overrun: Annotated[
        float, Quantity("share", "overrun of concrete laid on old pavement (common practice, no source)", 0.0, 0.5)
    ] = 0.05
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
    shoulder_asphalt_cost: Annotated[
        float, Quantity("money_per_volume", "asphalt that raises a shoulder; 0 until it is decided", 0, 1e5)
    ] = 0.0
    removal_cost: Annotated[
        float, Quantity("money_per_volume", "old concrete milled or removed; 0 until it is decided", 0, 1e5)
    ] = 0.0
    separation_cost: Annotated[
        float, Quantity("money_per_area", "separation layer of an unbonded overlay; 0 until it is decided", 0, 1e5)
    ] = 0.0

    @property
    def confirmed(self) -> bool:
        """Whether sums may be told: the engineer stands by the prices and says their currency and year."""
        return self.prices_are == CONFIRMED and bool(self.currency) and self.price_year > 0
