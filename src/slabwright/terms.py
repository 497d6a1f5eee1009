"""The vocabulary: parameters that many equations share, each named, bounded and given its symbol once."""

from __future__ import annotations

from typing import Annotated

import numpy as np

from slabwright.calculation import Array, Quantity
from slabwright.units import INCH, KIP, MIL, PCI, PSI

__all__ = [
    "CONCRETE_POISSON",
    "LONGEST_LIFE",
    "PLATE_RADIUS",
    "AxleCount",
    "Deflection",
    "Foundation",
    "InitialServiceability",
    "LoadRadius",
    "LoadTransferCoefficient",
    "Poisson",
    "Reliability",
    "RelativeStiffness",
    "Rupture",
    "SlabModulus",
    "SlabThickness",
    "StandardDeviation",
    "StressRatio",
    "TerminalServiceability",
    "WheelLoad",
]

SlabThickness = Annotated[Array, Quantity("thickness", "slab thickness", 2 * INCH, 24 * INCH, "h")]
SlabModulus = Annotated[Array, Quantity("modulus", "elastic modulus of the slab", 0.3e6 * PSI, 15e6 * PSI, "E")]
Foundation = Annotated[Array, Quantity("foundation", "modulus of foundation reaction", 10 * PCI, 3000 * PCI, "k")]
Poisson = Annotated[Array, Quantity("number", "Poisson's ratio of the slab", 0.05, 0.45, "nu")]
LoadRadius = Annotated[Array, Quantity("thickness", "radius of the loaded circle", 1 * INCH, 30 * INCH, "a")]
WheelLoad = Annotated[Array, Quantity("force", "load", 0.1 * KIP, 200 * KIP, "P")]
RelativeStiffness = Annotated[
    Array, Quantity("thickness", "radius of relative stiffness", 8 * INCH, 200 * INCH, "l", "in")
]
Deflection = Annotated[Array, Quantity("deflection", "deflection under the load", 0.01 * MIL, 500 * MIL, "d0", "in")]
Rupture = Annotated[Array, Quantity("stress", "mean modulus of rupture", 200 * PSI, 1500 * PSI, "S'c")]
StressRatio = Annotated[Array, Quantity("number", "stress over modulus of rupture", 0.05, 1.5, "SR")]
Reliability = Annotated[Array, Quantity("share", "reliability", 0.5, 0.9999, "R")]
StandardDeviation = Annotated[Array, Quantity("number", "overall standard deviation", 0.0, 0.6, "S0")]
InitialServiceability = Annotated[Array, Quantity("number", "initial serviceability", 3.0, 5.0, "p0")]
TerminalServiceability = Annotated[Array, Quantity("number", "terminal serviceability", 1.0, 3.5, "pt")]
LoadTransferCoefficient = Annotated[Array, Quantity("number", "load transfer coefficient", 2.0, 4.5, "J")]
AxleCount = Annotated[Array, Quantity("count", "equivalent single axles", 1.0, 1e12, "W18")]

# Defaults: Poisson's ratio of concrete, and the radius of the usual deflection plate (300 mm across).
CONCRETE_POISSON: Array = np.asarray(0.15)
PLATE_RADIUS: Array = np.asarray(5.9055 * INCH)
LONGEST_LIFE = 60.0  # years: beyond, no forecast of traffic means anything; tables and figures show this value
