"""The infinite pair of plates joined by an interface of uniform shear stiffness, exact, and its inverse.

Hankel transform of the equations of ``plate``: at a wave number q the pair bends like one plate of

    D(q) = D1 + D2 + a^2 B / (1 + B q^2 / ks),   a = (h1 + h2) / 2,   1/B = 1/B1 + 1/B2,   Bi = Ei hi / (1 - nu^2)

so that w(r) = P / (pi r0) Int J1(q r0) J0(q r) / (k + D(q) q^4) dq. Bonded and unbonded plates are its two limits.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

import numpy as np
from scipy.special import j0, j1

from slabwright.calculation import Array, Quantity, calculation
from slabwright.slab.infinite_plate import infinite_nodes
from slabwright.terms import CONCRETE_POISSON, PLATE_RADIUS, Foundation, LoadRadius, Poisson, WheelLoad
from slabwright.units import INCH, PSI

__all__ = ["BondFound", "bond_from_deflection", "joined_plates_deflection"]

OverlayThickness = Annotated[Array, Quantity("thickness", "overlay thickness", 1 * INCH, 12 * INCH, "h1")]
OldThickness = Annotated[Array, Quantity("thickness", "old slab thickness", 4 * INCH, 24 * INCH, "h2")]
OverlayModulus = Annotated[Array, Quantity("modulus", "modulus of the overlay", 0.5e6 * PSI, 12e6 * PSI, "E1")]
OldModulus = Annotated[Array, Quantity("modulus", "modulus of the old slab", 0.3e6 * PSI, 15e6 * PSI, "E2")]
Offset = Annotated[Array, Quantity("thickness", "distance from the load centre", -100 * INCH, 100 * INCH, "r")]
UNDER_LOAD: Array = np.asarray(0.0)
UNBONDED, RIGID = 1e3, 1e15  # N/m3: below and above, the deflection no longer changes (tested)


@calculation(
    source="plate_theory",
    equation="w = P / (pi a) Int J1(q a) J0(q r) / (k + D q^4) dq; D = D1 + D2 + c^2 B / (1 + B q^2 / ks); c = (h1 + h2) / 2;"
    " B = 1 / (1 / B1 + 1 / B2); B1 = E1 h1 / (1 - nu^2); B2 = E2 h2 / (1 - nu^2); D1 = B1 h1^2 / 12; D2 = B2 h2^2 / 12",
)
def joined_plates_deflection(
    load: WheelLoad,
    foundation: Foundation,
    overlay: OverlayThickness,
    slab: OldThickness,
    overlay_modulus: OverlayModulus,
    slab_modulus: OldModulus,
    interface_stiffness: Annotated[Array, Quantity("foundation", "shear stiffness of the interface", 0.0, 1e16, "ks")],
    offset: Offset = UNDER_LOAD,
    poisson: Poisson = CONCRETE_POISSON,
    load_radius: LoadRadius = PLATE_RADIUS,
) -> Annotated[Array, Quantity("deflection", "deflection", symbol="w")]:
    """Deflection of two plates joined by an interface on a dense liquid, exact for an infinite pavement."""
    inputs = (
        load,
        foundation,
        overlay,
        slab,
        overlay_modulus,
        slab_modulus,
        interface_stiffness,
        np.abs(offset),
        poisson,
        load_radius,
    )
    every = np.broadcast_arrays(*inputs)
    flat = np.column_stack([np.ravel(values) for values in every])
    return np.array([_integral(*row) for row in flat]).reshape(every[0].shape)


def _integral(
    load: float, k: float, h1: float, h2: float, e1: float, e2: float, ks: float, r: float, nu: float, r0: float
) -> float:
    own = (e1 * h1**3 + e2 * h2**3) / (12 * (1 - nu**2))
    stretch = 1 / ((1 - nu**2) / (e1 * h1) + (1 - nu**2) / (e2 * h2))
    arm = (h1 + h2) / 2
    l = ((own + arm**2 * stretch) / k) ** 0.25
    x, weight = infinite_nodes()
    q = x / l
    bending = own + arm**2 * stretch * ks / (ks + stretch * q**2)
    return float((weight / l) @ (j1(q * r0) * j0(q * r) / (k + bending * q**4)) * load / (np.pi * r0))


@dataclass(frozen=True)
class BondFound:
    """What a deflection test after the overlay says of the bond below it."""

    bonded: Annotated[Array, Quantity("deflection", "deflection if fully bonded", symbol="wb")]
    unbonded: Annotated[Array, Quantity("deflection", "deflection if unbonded", symbol="wu")]
    degree: Annotated[Array, Quantity("number", "degree of bond: 1 bonded, 0 unbonded", symbol="(wu - w) / (wu - wb)")]
    stiffness: Annotated[
        Array, Quantity("foundation", "uniform interface stiffness that gives the deflection", symbol="ks")
    ]


@calculation(
    source="plate_theory",
    equation="degree = (wu - w) / (wu - wb); ks such that P / (pi a) Int J1(q a) / (k + D q^4) dq = w, with D of h1, h2,"
    " E1, E2, nu and ks as for joined plates; wb and wu the same for rigid and for no ks",
)
def bond_from_deflection(
    measured: Annotated[Array, Quantity("deflection", "measured deflection under the load", 1e-6, 0.02, "w")],
    load: WheelLoad,
    foundation: Foundation,
    overlay: OverlayThickness,
    slab: OldThickness,
    overlay_modulus: OverlayModulus,
    slab_modulus: OldModulus,
    poisson: Poisson = CONCRETE_POISSON,
    load_radius: LoadRadius = PLATE_RADIUS,
) -> BondFound:
    """How bonded the pavement is under a deflection test, given k and E from before the overlay.

    A degree above 1 or below 0 says that k, E or a thickness is not what was assumed; the stiffness is then the
    nearer limit. Infinite pavement: use interior tests, or deflections corrected for the size of the slab.
    """
    inputs = (load, foundation, overlay, slab, overlay_modulus, slab_modulus)
    rest = {"poisson": poisson, "load_radius": load_radius}
    bonded, unbonded = (joined_plates_deflection.function(*inputs, np.asarray(s), **rest) for s in (RIGID, UNBONDED))
    degree = (unbonded - measured) / (unbonded - bonded)
    low, high = (np.full(np.broadcast(measured, unbonded).shape, np.log(s)) for s in (UNBONDED, RIGID))
    for _ in range(44):  # bisection on ln ks: deflection falls as ks grows; 44 halvings leave nothing
        middle = (low + high) / 2
        softer = joined_plates_deflection.function(*inputs, np.exp(middle), **rest) > measured
        low, high = np.where(softer, middle, low), np.where(softer, high, middle)
    return BondFound(bonded + 0 * degree, unbonded + 0 * degree, degree, np.exp((low + high) / 2))
