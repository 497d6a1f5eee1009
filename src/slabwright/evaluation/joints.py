"""Load transfer across joints and cracks, and voids under corners."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

import numpy as np

from slabwright.calculation import Array, Quantity, calculation
from slabwright.statistics.samples import line_fit
from slabwright.terms import Deflection
from slabwright.units import KIP, MIL

__all__ = [
    "VoidLine",
    "bending_correction",
    "load_transfer_coefficient",
    "load_transfer_efficiency",
    "void_intercept",
]

NO_BENDING: Array = np.asarray(1.0)


@calculation(source="lte_definition", equation="LTE = 100 dU / dL B")
def load_transfer_efficiency(
    loaded: Annotated[Array, Quantity("deflection", "deflection of the loaded side", 0.01 * MIL, 500 * MIL, "dL")],
    unloaded: Annotated[Array, Quantity("deflection", "deflection of the unloaded side", 0.0, 500 * MIL, "dU")],
    bending: Annotated[Array, Quantity("number", "bending correction", 0.9, 1.5, "B")] = NO_BENDING,
) -> Annotated[Array, Quantity("share", "load transfer efficiency", symbol="LTE")]:
    """Deflection load transfer efficiency of a joint or crack."""
    return unloaded / loaded * bending


@calculation(source="guide1993", where="Part III, section 5", equation="B = d0 / d12, at the slab centre")
def bending_correction(
    d0: Deflection,
    d12: Annotated[Array, Quantity("deflection", "deflection at 12 in", 0.01 * MIL, 500 * MIL, "d12", "in")],
) -> Annotated[Array, Quantity("number", "bending correction", symbol="B")]:
    """Slab bending correction of load transfer, from a basin at the slab centre; typically 1.05 to 1.15."""
    return d0 / d12


@calculation(
    source="guide1993",
    where="Part III, section 5.8.5",
    equation="J = 3.2 (LTE > 70 %), 3.5 (50 to 70 %), 4.0 (< 50 %)",
)
def load_transfer_coefficient(
    efficiency: Annotated[Array, Quantity("share", "mean load transfer efficiency", 0.0, 1.2, "LTE")],
) -> Annotated[Array, Quantity("number", "load transfer coefficient of a jointed pavement", symbol="J")]:
    """Load transfer coefficient of a jointed pavement from measured load transfer."""
    return np.where(efficiency > 0.7, 3.2, np.where(efficiency >= 0.5, 3.5, 4.0))


@dataclass(frozen=True)
class VoidLine:
    """Deflection against load at one point: its slope, and what is left at zero load."""

    slope: Annotated[Array, Quantity("deflection_per_force", "slope of deflection on load")]
    intercept: Annotated[Array, Quantity("deflection", "deflection at zero load")]


@calculation(source="crovetti1985", equation="d = slope P + intercept, by least squares")
def void_intercept(
    loads: Annotated[Array, Quantity("axle_load", "loads", 0.5 * KIP, 60 * KIP, "P", vector=True)],
    deflections: Annotated[Array, Quantity("deflection", "deflections", 0.0, 500 * MIL, "d", vector=True)],
) -> VoidLine:
    """Straight line of deflection on load at a corner; an intercept above 2 mils (0.05 mm) suggests a void.

    Drops of one point lie along the last axis, NaN where there was none; three or more are needed to judge.
    """
    line = line_fit(loads, deflections)
    return VoidLine(line.slope, line.intercept)
