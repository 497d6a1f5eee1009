"""Joints that pass load from slab to slab: efficiency from stiffness and back, and the stiffness of dowels."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

import numpy as np

from slabwright.calculation import Array, Quantity, calculation
from slabwright.terms import Foundation, LoadRadius, RelativeStiffness
from slabwright.units import INCH, PCI, PSI

__all__ = [
    "DowelJoint",
    "dowel_joint_stiffness",
    "joint_stiffness_from_efficiency",
    "load_transfer_efficiency_ioannides",
]

JointStiffness = Annotated[
    Array, Quantity("modulus", "joint stiffness: shear force per length of joint and per step", 1.0, 1e13, "AGG", "psi")
]
STEEL_MODULUS: Array = np.asarray(29e6 * PSI)
STEEL_POISSON: Array = np.asarray(0.3)
DOWEL_SUPPORT: Array = np.asarray(1.5e6 * PCI)
# The regression: log10(AGG / (k l)) = MIDDLE - SIZE a / l - SLOPE log10(1 / LTE - 1).
MIDDLE, SIZE, SLOPE = 0.214, 0.183, 1.18


@calculation(
    source="ioannides_korovesis1990",
    equation="LTE = 1 / {1 + 10^[(0.214 - 0.183 a / l - log10(AGG / (k l))) / 1.18]}",
)
def load_transfer_efficiency_ioannides(
    joint_stiffness: JointStiffness,
    foundation: Foundation,
    relative_stiffness: RelativeStiffness,
    load_radius: LoadRadius,
) -> Annotated[Array, Quantity("share", "deflection of the unloaded over that of the loaded slab", symbol="LTE")]:
    """Load transfer efficiency of a joint that passes shear only, the load beside it."""
    scaled = np.log10(joint_stiffness / (foundation * relative_stiffness))
    return 1 / (1 + 10 ** ((MIDDLE - SIZE * load_radius / relative_stiffness - scaled) / SLOPE))


@calculation(
    source="ioannides_korovesis1990",
    equation="AGG = k l 10^[0.214 - 0.183 a / l - 1.18 log10(1 / LTE - 1)]",
)
def joint_stiffness_from_efficiency(
    efficiency: Annotated[Array, Quantity("share", "load transfer efficiency", 0.01, 0.999, "LTE", "1")],
    foundation: Foundation,
    relative_stiffness: RelativeStiffness,
    load_radius: LoadRadius,
) -> Annotated[Array, Quantity("modulus", "joint stiffness per length", symbol="AGG", printed="psi")]:
    """Joint stiffness that a measured load transfer efficiency stands for; the inverse of the regression. [N/m per m]"""
    scaled = MIDDLE - SIZE * load_radius / relative_stiffness - SLOPE * np.log10(1 / efficiency - 1)
    return foundation * relative_stiffness * 10**scaled


@dataclass(frozen=True)
class DowelJoint:
    """What one dowel and the row of dowels are worth as springs."""

    bearing: Annotated[Array, Quantity("line_stiffness", "stiffness of the bearing in the concrete", symbol="DCI")]
    gap: Annotated[Array, Quantity("line_stiffness", "stiffness of the bar across the gap, 12 C", symbol="12 C")]
    dowel: Annotated[Array, Quantity("line_stiffness", "stiffness of one dowel", symbol="D")]
    joint: Annotated[Array, Quantity("modulus", "stiffness per length of joint", symbol="AGG")]


@calculation(
    source="ioannides_korovesis1992",
    equation="D = 1 / (1 / DCI + 1 / (12 C)), AGG = D / s; DCI = 4 beta^3 E I / (2 + beta w), beta = [K d / (4 E I)]^0.25,"
    " C = E I / [w^3 (1 + phi)], phi = 12 E I / (G A w^2), I = pi d^4 / 64, A = 0.9 pi d^2 / 4, G = E / [2 (1 + nu)]",
)
def dowel_joint_stiffness(
    diameter: Annotated[Array, Quantity("thickness", "diameter of the dowel", 0.25 * INCH, 3 * INCH, "d")],
    spacing: Annotated[Array, Quantity("thickness", "spacing of the dowels", 3 * INCH, 60 * INCH, "s")],
    opening: Annotated[Array, Quantity("thickness", "opening of the joint", 0.01 * INCH, 2 * INCH, "w")],
    support: Annotated[
        Array, Quantity("foundation", "modulus of dowel support", 1e4 * PCI, 1e7 * PCI, "K")
    ] = DOWEL_SUPPORT,
    modulus: Annotated[Array, Quantity("modulus", "modulus of the dowel", 1e6 * PSI, 3.5e7 * PSI, "E")] = STEEL_MODULUS,
    poisson: Annotated[Array, Quantity("number", "Poisson's ratio of the dowel", 0.1, 0.45, "nu")] = STEEL_POISSON,
) -> DowelJoint:
    """Stiffness of a doweled joint from bearing, bending and shear of its bars. [N/m; N/m per m]

    As published, with the bearing of one face. By statics a bar sinks and turns at both faces, and the joint is about half
    as stiff (0.476 of D for a bar of 1.25 in). No stage uses this: load transfer is measured, or assumed by name.
    """
    bending = modulus * np.pi * diameter**4 / 64
    beta = (support * diameter / (4 * bending)) ** 0.25
    bearing = 4 * beta**3 * bending / (2 + beta * opening)
    shear_area = 0.9 * np.pi * diameter**2 / 4
    phi = 24 * (1 + poisson) * bending / (modulus * shear_area * opening**2)
    gap = 12 * bending / (opening**3 * (1 + phi))
    dowel = 1 / (1 / bearing + 1 / gap)
    return DowelJoint(bearing, gap, dowel, dowel / spacing)
