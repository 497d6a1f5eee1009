"""Overlay thickness by structural deficiency: bonded, partly bonded, unbonded."""

from __future__ import annotations

from typing import Annotated

import numpy as np

from slabwright.calculation import Array, Quantity, calculation
from slabwright.errors import OutOfRange
from slabwright.units import INCH, System, format_quantity

__all__ = [
    "bonded_overlay_thickness",
    "built_step",
    "curve_thicknesses",
    "equivalent_slab_thickness",
    "least_built",
    "partly_bonded_overlay_thickness",
    "rounded_thickness",
    "unbonded_overlay_thickness",
]

Required = Annotated[
    Array, Quantity("thickness", "slab thickness required for the traffic to come", 2 * INCH, 40 * INCH, "Df")
]
Effective = Annotated[Array, Quantity("thickness", "effective thickness of the old slab", 1 * INCH, 24 * INCH, "Deff")]
Overlay = Annotated[Array, Quantity("thickness", "overlay thickness", symbol="Dol")]


@calculation(
    source="guide1993",
    where="Part III, section 5.8; subtraction rule read in licence study notes",
    tag="looked up",
    equation="Dol = Df - Deff",
)
def bonded_overlay_thickness(required: Required, effective: Effective) -> Overlay:
    """Bonded overlay thickness; zero where the old slab suffices. [m]"""
    return np.maximum(required - effective, 0)


@calculation(source="ufc3260", where="UFC 3-260-03 chapter 6", equation="Dol = (Df^1.4 - Deff^1.4)^(1/1.4)")
def partly_bonded_overlay_thickness(required: Required, effective: Effective) -> Overlay:
    """Partly bonded overlay thickness, shown for comparison. [m]"""
    return np.maximum(required**1.4 - effective**1.4, 0) ** (1 / 1.4)


@calculation(source="licence_notes", equation="Dol = sqrt(Df^2 - Deff^2)")
def unbonded_overlay_thickness(required: Required, effective: Effective) -> Overlay:
    """Unbonded overlay thickness, shown for comparison. [m]"""
    return np.sqrt(np.maximum(required**2 - effective**2, 0))


SOUND: Array = np.asarray(1.0)
PARTLY: Array = np.asarray(1.4)


@calculation(source="ufc3260", where="UFC 3-260-03 chapter 6", equation="he = (h^n + C hb^n)^(1/n)")
def equivalent_slab_thickness(
    overlay: Annotated[Array, Quantity("thickness", "overlay thickness", 1 * INCH, 40 * INCH, "h")],
    slab: Annotated[Array, Quantity("thickness", "old slab thickness", 1 * INCH, 40 * INCH, "hb")],
    condition: Annotated[Array, Quantity("number", "condition of the old slab", 0.3, 1.0, "C")] = SOUND,
    exponent: Annotated[Array, Quantity("number", "1 bonded, 1.4 partly bonded, 2 unbonded", 1.0, 2.0, "n")] = PARTLY,
) -> Annotated[Array, Quantity("thickness", "equivalent single slab", symbol="he")]:
    """Single slab equivalent to an overlay on an old slab. [m]"""
    return (overlay**exponent + condition * slab**exponent) ** (1 / exponent)


@calculation(
    source="practice",
    where="rounding to buildable thickness",
    equation="t = max(least, ceil(Dol / step) step)",
)
def rounded_thickness(
    thickness: Annotated[Array, Quantity("thickness", "computed thickness", 0, 40 * INCH, "Dol")],
    least: Annotated[Array, Quantity("thickness", "practical minimum", 0, 12 * INCH)],
    step: Annotated[Array, Quantity("thickness", "rounding step", 0.05 * INCH, 2 * INCH)],
) -> Annotated[Array, Quantity("thickness", "thickness to build", symbol="t")]:
    """Thickness rounded up to a buildable step, not below the minimum. [m]

    A thickness within a ten-thousandth of a step above it is not rounded up a whole step.
    """
    return np.maximum(np.ceil(thickness / step - 1e-4) * step, least)


# The usual step and the thicknesses of a curve, by the stationing of the road (common practice, no source). [m]
STEPS = {"feet": 0.5 * INCH, "metres": 0.010}
CURVES = {"feet": np.arange(2.0, 6.01, 0.5) * INCH, "metres": np.arange(50, 151, 10) / 1000}
FINEST = 0.05 * INCH  # the finest step of ``rounded_thickness``


def built_step(decided: float, stationing: str) -> float:
    """The step to which thickness is rounded up: decided, or where that is 0, the usual one of the road's units. [m]

    ``stationing`` is that of the road's table; a road that does not state it is taken to be in feet. Raises OutOfRange
    for a step finer than anybody builds to.
    """
    if 0 < decided < FINEST:
        system: System = "metric" if stationing == "metres" else "us"
        raise OutOfRange(
            "design.round_to is a finer step than is built",
            given=format_quantity(decided, "width", system),
            allowed=f"0, or from {format_quantity(FINEST, 'width', system)}",
        )
    return decided or STEPS.get(stationing, STEPS["feet"])


def curve_thicknesses(stationing: str) -> Array:
    """The overlay thicknesses of curves and tables, in whole steps of the road's units. [m]"""
    return CURVES.get(stationing, CURVES["feet"])


def least_built(thinnest: float, step: float) -> float:
    """The practical minimum rounded up to whole steps, never below what is decided. [m]"""
    return float(np.ceil(thinnest / step - 1e-6) * step)
