"""Decisions on how the plate model is laid out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from slabwright.calculation import Quantity

__all__ = ["PlateDecisions"]


@dataclass(frozen=True)
class PlateDecisions:
    """How the plate model is laid out where nothing was measured."""

    slab_length: Annotated[
        float, Quantity("length", "slab length of continuous reinforcement, between cracks", 1.0, 6.0)
    ] = 2.0
    unmeasured_transfer: Annotated[
        float, Quantity("share", "load transfer of joints that were not tested", 0.05, 0.95)
    ] = 0.7
