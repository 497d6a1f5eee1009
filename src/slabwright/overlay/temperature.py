"""The year's temperatures of the pavement grouped for fatigue."""

from __future__ import annotations

from dataclasses import dataclass

from slabwright.calculation import Array

__all__ = ["TemperatureClasses"]


@dataclass(frozen=True)
class TemperatureClasses:
    """Hours of a year grouped by month and by equivalent linear difference through the whole section.

    month: (n,) 1 to 12; difference: (n,) K, top minus bottom; residual: (n, 4) K, the temperature less its
    equivalent linear profile at the four faces of ``overlay.stresses.FACES``; share: (n,) of a year's trucks that
    pass in the class, sum 1.
    """

    month: Array
    difference: Array
    residual: Array
    share: Array
