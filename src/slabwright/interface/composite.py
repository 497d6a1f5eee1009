"""Sections of several layers: bonded and unbonded stiffness, effective thickness, interface shear."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

import numpy as np

from slabwright.calculation import Array, Quantity, calculation
from slabwright.units import INCH, KIP

__all__ = [
    "CompositeSection",
    "InterfaceShear",
    "composite_section",
    "equal_layers_deflection",
    "interface_shear",
    "modular_ratio",
]

LayerThickness = Annotated[
    Array, Quantity("thickness", "thickness of the reference layer", 0.5 * INCH, 40 * INCH, "h1")
]
OtherThickness = Annotated[Array, Quantity("thickness", "thickness of the other layer", 0.0, 60 * INCH, "h2")]
ModularRatio = Annotated[
    Array, Quantity("number", "modulus of the other layer over the reference", 0.0001, 100, "beta")
]

SAME_MODULUS: Array = np.asarray(1.0)


@dataclass(frozen=True)
class CompositeSection:
    """What two layers are worth together, on the modulus of the reference layer."""

    neutral_axis: Annotated[
        Array, Quantity("thickness", "neutral axis below the top of the reference layer", symbol="x")
    ]
    bonded: Annotated[Array, Quantity("thickness", "effective thickness, bonded", symbol="heb")]
    unbonded: Annotated[Array, Quantity("thickness", "effective thickness, unbonded", symbol="heu")]


@calculation(
    source="composite_theory",
    equation="x = [h1^2 / 2 + beta h2 (h1 + h2 / 2)] / (h1 + beta h2); heb = {h1^3 + beta h2^3 + 12 h1 (x - h1 / 2)^2"
    " + 12 beta h2 (h1 + h2 / 2 - x)^2}^(1/3); heu = (h1^3 + beta h2^3)^(1/3)",
)
def composite_section(
    thickness: LayerThickness, other_thickness: OtherThickness, ratio: ModularRatio = SAME_MODULUS
) -> CompositeSection:
    """Effective thickness of two layers, bonded and unbonded.

    The first layer is the reference and lies on top; order does not change the effective thicknesses. [m]
    """
    h1, h2, beta = thickness, other_thickness, ratio
    x = (h1**2 / 2 + beta * h2 * (h1 + h2 / 2)) / (h1 + beta * h2)
    own = h1**3 + beta * h2**3
    shift = 12 * h1 * (x - h1 / 2) ** 2 + 12 * beta * h2 * (h1 + h2 / 2 - x) ** 2
    return CompositeSection(x, np.cbrt(own + shift), np.cbrt(own))


@calculation(source="composite_theory", equation="beta = E2 / E1")
def modular_ratio(
    modulus: Annotated[Array, Quantity("modulus", "modulus of the reference layer", 1e6, 1e12, "E1")],
    other_modulus: Annotated[Array, Quantity("modulus", "modulus of the other layer", 1e6, 1e12, "E2")],
) -> Annotated[Array, Quantity("number", "modular ratio", symbol="beta")]:
    """Modular ratio of two layers."""
    return other_modulus / modulus


@dataclass(frozen=True)
class InterfaceShear:
    """Shear on the plane between overlay and old slab under a vertical shear force per unit width."""

    first_moment: Annotated[
        Array,
        Quantity(
            "area", "first moment of the overlay about the neutral axis per unit width", symbol="Q", printed="in^2"
        ),
    ]
    inertia: Annotated[
        Array, Quantity("volume", "second moment of the section per unit width", symbol="I", printed="in^3")
    ]
    stress: Annotated[Array, Quantity("stress", "interface shear", symbol="tau")]


@calculation(
    source="mechanics_of_materials",
    equation="tau = V Q / I, V = P / (2 b), Q = h1 (x - h1 / 2) and I = heb^3 / 12 per unit width, x and heb of h1 on h2 with ratio beta",
)
def interface_shear(
    load: Annotated[Array, Quantity("force", "wheel load", 0.1 * KIP, 100 * KIP, "P")],
    spread_width: Annotated[
        Array, Quantity("thickness", "width over which the shear force spreads", 4 * INCH, 400 * INCH, "b")
    ],
    overlay: Annotated[Array, Quantity("thickness", "overlay thickness", 0.5 * INCH, 12 * INCH, "h1")],
    slab: Annotated[Array, Quantity("thickness", "old slab thickness", 3 * INCH, 24 * INCH, "h2")],
    ratio: Annotated[
        Array, Quantity("number", "modulus of the old slab over that of the overlay", 0.1, 10, "beta")
    ] = SAME_MODULUS,
) -> InterfaceShear:
    """Interface shear from a wheel load by beam theory (VQ/Ib).

    Half of the wheel's load is carried as vertical shear on each side of the wheel. SI per unit width. [Pa]
    """
    section = composite_section.function(overlay, slab, ratio)
    first_moment = overlay * (section.neutral_axis - overlay / 2)
    inertia = section.bonded**3 / 12
    return InterfaceShear(first_moment, inertia, load / (2 * spread_width) * first_moment / inertia)


@calculation(source="composite_theory", equation="w(bonded) / w(unbonded) = Q / n^2")
def equal_layers_deflection(
    layers: Annotated[Array, Quantity("count", "number of equal layers", 1, 100, "n")],
    load_ratio: Annotated[
        Array, Quantity("number", "load on the bonded layers over that on the unbonded ones", 0.01, 1000, "Q")
    ],
) -> Annotated[Array, Quantity("number", "deflection of the bonded over that of the unbonded layers")]:
    """Deflection of equal layers acting as one, over that of the same layers unbonded.

    n unbonded layers of height t share a load by n I; glued they have the inertia of one layer n t high, n^3 I.
    """
    return load_ratio / layers**2
