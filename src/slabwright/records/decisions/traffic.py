"""Decisions on the traffic that was and that comes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from slabwright.calculation import Choice, Quantity

__all__ = ["TrafficDecisions"]


@dataclass(frozen=True)
class TrafficDecisions:
    """Loading of the past and of the years to come."""

    base_year: Annotated[float, Quantity("calendar_year", "first year of the overlay", 1950, 2150)] = 2026
    design_period: Annotated[float, Quantity("years", "years that the overlay is designed for", 1, 60)] = 25
    past_growth: Annotated[float, Quantity("share", "yearly growth of traffic before the first count", -0.1, 0.2)] = (
        0.025
    )
    growth: Annotated[float, Quantity("share", "yearly growth of traffic to come", -0.1, 0.2)] = 0.02
    directional_share: Annotated[float, Quantity("share", "share of traffic in the design direction", 0.3, 1.0)] = 0.5
    lane_share: Annotated[
        float, Quantity("share", "share of trucks in the design lane; 0 uses the published curve", 0.0, 1.0)
    ] = 0.0
    lanes_each_way: Annotated[
        float, Quantity("count", "lanes over which trucks are shared out; 0 takes the table of lanes", 0, 8)
    ] = 0
    esal_per_truck: Annotated[
        float, Quantity("number", "equivalent axles per truck; 0 computes it from the axle spectrum", 0, 20)
    ] = 0.0
    axle_category: Annotated[str, Choice("published axle spectrum where none is loaded", ("1", "2", "3", "4"))] = "3"
