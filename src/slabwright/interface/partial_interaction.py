"""A simply supported beam of two layers that may slip on each other: closed forms between unbonded and bonded.

Two beams share their deflection and pass shear over an interface of stiffness k_s (stress per slip). With N the
force between them, EI0 the sum of their rigidities and EIc that of the bonded beam, N'' = alpha^2 N - beta M. All
per unit width, midspan at x = 0, span L.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np

from slabwright.calculation import Array, Quantity, calculation
from slabwright.interface.strips import shear_compliance
from slabwright.terms import Poisson
from slabwright.units import INCH, PSI

__all__ = [
    "SlippingBeam",
    "partial_interaction_point",
    "partial_interaction_uniform",
    "sound_interface_stiffness",
]

Upper = Annotated[Array, Quantity("thickness", "thickness of the upper layer", 0.5 * INCH, 40 * INCH, "h1")]
Lower = Annotated[Array, Quantity("thickness", "thickness of the lower layer", 0.5 * INCH, 40 * INCH, "h2")]
UpperModulus = Annotated[Array, Quantity("modulus", "modulus of the upper layer", 1e5 * PSI, 2e7 * PSI, "E1")]
LowerModulus = Annotated[Array, Quantity("modulus", "modulus of the lower layer", 1e5 * PSI, 2e7 * PSI, "E2")]
Interface = Annotated[
    Array, Quantity("foundation", "interface stiffness, shear stress per slip", 1e7, 1e14, "k_s", "pci")
]
Span = Annotated[Array, Quantity("length", "span between supports", 0.2, 30.0, "L", "in")]
TERMS = (
    "alpha^2 = k_s EIc / (EAs EI0), r = (h1 + h2) / 2, EAs = 1 / [1 / (E1 h1) + 1 / (E2 h2)],"
    " EI0 = (E1 h1^3 + E2 h2^3) / 12, EIc = EI0 + EAs r^2, u = alpha L / 2"
)
SOUND_POISSON: Array = np.asarray(0.20)


@calculation(
    source="suhir1986",
    tag="derived",
    equation="k_s = 1 / [h1 / (3 G1) + h2 / (3 G2)], G1 = E1 / [2 (1 + nu)], G2 = E2 / [2 (1 + nu)]",
)
def sound_interface_stiffness(
    overlay: Upper,
    slab: Lower,
    overlay_modulus: UpperModulus,
    slab_modulus: LowerModulus,
    poisson: Annotated[Poisson, Quantity("number", "Poisson's ratio of both layers", 0.05, 0.45, "nu")] = SOUND_POISSON,
) -> Annotated[Array, Quantity("foundation", "interface stiffness of sound bond", symbol="k_s")]:
    """Interface stiffness that stands for the shear of two sound layers in a model of plates or beams. [Pa/m]"""
    return 1 / (shear_compliance(overlay, overlay_modulus, poisson) + shear_compliance(slab, slab_modulus, poisson))


@dataclass(frozen=True)
class SlippingBeam:
    """What the beam does, per unit width."""

    deflection: Annotated[Array, Quantity("deflection", "deflection at midspan", symbol="w")]
    shear: Annotated[Array, Quantity("stress", "greatest interface shear, at the supports", symbol="tau")]
    axial_force: Annotated[Array, Quantity("line_force", "force between the layers at midspan", symbol="N")]
    composite_action: Annotated[Array, Quantity("share", "way from the unbonded to the bonded deflection")]


@calculation(
    source="newmark1951",
    equation="w = 5 q L^4 / 384 [1 / EIc + (1 / EI0 - 1 / EIc) 12/5 (u^2 - 2 + 2 / cosh u) / u^4]; "
    "N = q r EAs / EIc L^2 / 8 [1 - 2 (1 - 1 / cosh u) / u^2]; tau = q r EAs / EIc L / 2 (1 - tanh u / u); " + TERMS,
)
def partial_interaction_uniform(
    upper: Upper,
    lower: Lower,
    upper_modulus: UpperModulus,
    lower_modulus: LowerModulus,
    interface: Interface,
    span: Span,
    pressure: Annotated[Array, Quantity("stress", "even load on the beam", 0.0, 1e7, "q")],
) -> SlippingBeam:
    """Two-layer beam with interface slip under an even load. [m, Pa, N/m]"""
    unbonded, bonded, lever, u = _section(upper, lower, upper_modulus, lower_modulus, interface, span)
    slip = _slip_uniform(u)
    unit = 5 * pressure * span**4 / 384
    return SlippingBeam(
        unit * (1 / bonded + (1 / unbonded - 1 / bonded) * slip),
        pressure * span / 2 * lever * _tanh_deficit(u),
        pressure * span**2 / 8 * lever * _sech_deficit(u),
        1 - slip,
    )


@calculation(
    source="newmark1951",
    equation="w = P L^3 / 48 [1 / EIc + (1 / EI0 - 1 / EIc) 3 (u - tanh u) / u^3]; N = P r EAs / EIc L / 4 (1 - tanh u / u); "
    "tau = P r EAs / EIc / 2 (1 - 1 / cosh u); " + TERMS,
)
def partial_interaction_point(
    upper: Upper,
    lower: Lower,
    upper_modulus: UpperModulus,
    lower_modulus: LowerModulus,
    interface: Interface,
    span: Span,
    load: Annotated[Array, Quantity("line_force", "load at midspan per unit width", 0.0, 1e8, "P")],
) -> SlippingBeam:
    """Two-layer beam with interface slip under a load at midspan. [m, Pa, N/m]"""
    unbonded, bonded, lever, u = _section(upper, lower, upper_modulus, lower_modulus, interface, span)
    slip = _slip_point(u)
    unit = load * span**3 / 48
    return SlippingBeam(
        unit * (1 / bonded + (1 / unbonded - 1 / bonded) * slip),
        load / 2 * lever * _one_less_sech(u),
        load * span / 4 * lever * _tanh_deficit(u),
        1 - slip,
    )


def _section(h1: Array, h2: Array, e1: Array, e2: Array, interface: Array, span: Array) -> tuple[Any, Any, Any, Any]:
    """(EI0, EIc, r EAs / EIc, u) per unit width."""
    arm = (h1 + h2) / 2
    axial = 1 / (1 / (e1 * h1) + 1 / (e2 * h2))
    unbonded = (e1 * h1**3 + e2 * h2**3) / 12
    bonded = unbonded + axial * arm**2
    u = np.sqrt(interface * bonded / (axial * unbonded)) * span / 2
    return unbonded, bonded, arm * axial / bonded, u


# Each is exact; below u = 0.2 the difference of near numbers is replaced by its series, whose next term is
# about 1e-9 of the value there. Exponentials only fall, so that no stiffness overflows.
SMALL = 0.2


def _one_less_sech(u: Array) -> Any:
    """1 - 1 / cosh u."""
    return (1 - np.exp(-u)) ** 2 / (1 + np.exp(-2 * u))


def _polynomial(u: Array, *coefficients: float) -> Any:
    return np.polynomial.polynomial.polyval(u**2, np.array(coefficients))


def _slip_uniform(u: Array) -> Any:
    """12/5 (u^2 - 2 + 2 sech u) / u^4: 1 unbonded, 0 bonded."""
    v = np.maximum(u, SMALL)
    series = _polynomial(u, 1.0, -61 / 150, 277 / 1680, -50521 / 756000, 540553 / 19958400)
    return np.where(u < SMALL, series, 12 / 5 * (v**2 - 2 * _one_less_sech(v)) / v**4)


def _slip_point(u: Array) -> Any:
    """3 (u - tanh u) / u^3: 1 unbonded, 0 bonded."""
    v = np.maximum(u, SMALL)
    series = _polynomial(u, 1.0, -2 / 5, 17 / 105, -62 / 945, 1382 / 51975)
    return np.where(u < SMALL, series, 3 * (v - np.tanh(v)) / v**3)


def _tanh_deficit(u: Array) -> Any:
    """1 - tanh u / u: 0 unbonded, 1 bonded."""
    return _slip_point(u) * u**2 / 3


def _sech_deficit(u: Array) -> Any:
    """1 - 2 (1 - sech u) / u^2: 0 unbonded, 1 bonded."""
    return _slip_uniform(u) * u**2 * 5 / 12
