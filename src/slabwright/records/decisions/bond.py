"""Decisions on what the bond must bear."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from slabwright.calculation import Quantity
from slabwright.units import INCH, KIP

__all__ = ["BondDecisions"]


@dataclass(frozen=True)
class BondDecisions:
    """What the bond must bear."""

    axle_load: Annotated[float, Quantity("force", "single axle that stresses the bond", 4 * KIP, 60 * KIP)] = 18 * KIP
    creep_coefficient: Annotated[
        float, Quantity("number", "creep coefficient of the overlay (ultimate, ACI 209)", 0.0, 6.0)
    ] = 2.35
    ageing_coefficient: Annotated[float, Quantity("number", "ageing coefficient", 0.5, 1.0)] = 0.8
    averaging_length: Annotated[
        float, Quantity("thickness", "length over which bond stress is averaged (a pull-off core)", 0.02, 0.2)
    ] = 0.05
    shear_ratio: Annotated[float, Quantity("number", "shear bond strength over tensile bond strength", 1.0, 3.0)] = 2.0
    least_factor: Annotated[
        float,
        Quantity(
            "number", "least bond strength over demand (partial factor of concrete, EN 1992-1-1, from memory)", 1.0, 5.0
        ),
    ] = 1.5
    day_gradient: Annotated[
        float, Quantity("temperature_gradient", "day gradient where no weather is loaded", 0.0, 150.0)
    ] = 3 / 1.8 / INCH
    night_gradient: Annotated[
        float, Quantity("temperature_gradient", "night gradient where no weather is loaded", 0.0, 150.0)
    ] = 1 / 1.8 / INCH
