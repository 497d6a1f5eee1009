"""Parameters that the equations of ageing concrete share, each named and bounded once."""

from __future__ import annotations

from typing import Annotated

from slabwright.calculation import Array, Choice, Quantity

__all__ = ["DAY", "MPA", "YEAR", "Age", "CuringAge", "Humidity", "MeanStrength", "VolumeSurface"]

DAY = 86400.0
YEAR = 365.25 * DAY
MPA = 1e6
OLDEST = 100 * YEAR

Age = Annotated[Array, Quantity("age", "age of the concrete", 0.25 * DAY, OLDEST, "t")]
CuringAge = Annotated[Array, Quantity("age", "age at which curing ends and drying begins", 0.25 * DAY, 90 * DAY, "tc")]
Humidity = Annotated[Array, Quantity("share", "mean relative humidity of the air", 0.40, 1.0, "H")]
VolumeSurface = Annotated[
    Array,
    Quantity(
        "thickness",
        "volume over drying surface (a slab that dries from one face: its thickness)",
        0.012,
        1.0,
        "V",
        "mm",
    ),
]
MeanStrength = Annotated[
    Array, Quantity("stress", "mean cylinder strength at 28 days", 15 * MPA, 70 * MPA, "fcm", "MPa")
]
CementClass = Annotated[
    str, Choice("speed of the cement: S slow, N normal, R rapid hardening", ("slow", "normal", "rapid"))
]
