"""Closed forms for a slab on a dense-liquid foundation: interior, edge, corner, curling.

Every function takes and returns SI arrays that broadcast together.
"""

from __future__ import annotations

from typing import Annotated

import numpy as np

from slabwright.calculation import Array, Quantity, calculation
from slabwright.terms import (
    CONCRETE_POISSON,
    Foundation,
    LoadRadius,
    Poisson,
    RelativeStiffness,
    SlabModulus,
    SlabThickness,
    WheelLoad,
)

__all__ = [
    "corner_critical_distance",
    "corner_deflection_ioannides",
    "corner_deflection_westergaard",
    "corner_stress_ioannides",
    "corner_stress_westergaard",
    "curling_coefficient_bradbury",
    "curling_stress_corner",
    "curling_stress_edge",
    "curling_stress_interior",
    "edge_deflection_circle",
    "edge_deflection_semicircle",
    "edge_stress_circle",
    "edge_stress_semicircle",
    "edge_stress_westergaard_1926",
    "interior_deflection_westergaard",
    "interior_stress_westergaard",
    "relative_stiffness",
    "resisting_radius",
]

EULER = 0.5772156649015329

Stress = Annotated[Array, Quantity("stress", "bending stress at the bottom of the slab")]
TopStress = Annotated[Array, Quantity("stress", "bending stress at the top of the slab")]
DeflectionOut = Annotated[Array, Quantity("deflection", "deflection under the load", printed="in")]


@calculation(source="westergaard1926", equation="l = [E h^3 / (12 (1 - nu^2) k)]^0.25")
def relative_stiffness(
    modulus: SlabModulus,
    thickness: SlabThickness,
    foundation: Foundation,
    poisson: Poisson = CONCRETE_POISSON,
) -> Annotated[Array, Quantity("thickness", "radius of relative stiffness", symbol="l")]:
    """Radius of relative stiffness.

    The length over which the slab spreads a load; any shapes that broadcast. [m]
    """
    return (modulus * thickness**3 / (12 * (1 - poisson**2) * foundation)) ** 0.25


@calculation(
    source="westergaard1926",
    tag="looked up",
    where="as quoted in open lecture notes on transportation engineering, lecture 29",
    equation="b = sqrt(1.6 a^2 + h^2) - 0.675 h where a < 1.724 h, else a",
)
def resisting_radius(
    load_radius: LoadRadius, thickness: SlabThickness
) -> Annotated[Array, Quantity("thickness", "radius of the resisting section", symbol="b")]:
    """Radius of the resisting section. [m]"""
    small = np.sqrt(1.6 * load_radius**2 + thickness**2) - 0.675 * thickness
    return np.where(load_radius < 1.724 * thickness, small, load_radius)


@calculation(
    source="westergaard1926",
    equation="s = 3 (1 + nu) P / (2 pi h^2) [ln(2 l / b) + 0.5 - 0.57722], b the resisting radius of a and h",
)
def interior_stress_westergaard(
    load: WheelLoad,
    thickness: SlabThickness,
    relative_stiffness: RelativeStiffness,
    load_radius: LoadRadius,
    poisson: Poisson = CONCRETE_POISSON,
) -> Stress:
    """Interior load stress (Westergaard). [Pa]"""
    b = resisting_radius.function(load_radius, thickness)
    return 3 * (1 + poisson) * load / (2 * np.pi * thickness**2) * (np.log(2 * relative_stiffness / b) + 0.5 - EULER)


@calculation(
    source="westergaard1926",
    equation="w = P / (8 k l^2) {1 + (1 / 2 pi) [ln(a / 2 l) - 0.673] (a / l)^2}",
)
def interior_deflection_westergaard(
    load: WheelLoad, foundation: Foundation, relative_stiffness: RelativeStiffness, load_radius: LoadRadius
) -> DeflectionOut:
    """Interior load deflection (Westergaard). [m]"""
    ratio = load_radius / relative_stiffness
    return load / (8 * foundation * relative_stiffness**2) * (1 + (np.log(ratio / 2) - 0.673) * ratio**2 / (2 * np.pi))


def _edge_stress(load: Array, h: Array, l: Array, a: Array, nu: Array, first: float, slope: Array) -> Array:
    """The common form of the restated edge equations; E h^3/(100 k a^4) = 0.12 (1 - nu^2) (l/a)^4."""
    flexibility = np.log(0.12 * (1 - nu**2) * (l / a) ** 4)
    return 3 * (1 + nu) * load / (np.pi * (3 + nu) * h**2) * (flexibility + first - 4 * nu / 3 + slope)


@calculation(
    source="ioannides1985",
    equation="s = 3 (1 + nu) P / (pi (3 + nu) h^2) {ln[0.12 (1 - nu^2) (l / a)^4] + 1.84 - 4 nu / 3"
    " + (1 - nu) / 2 + 1.18 (1 + 2 nu) a / l}",
)
def edge_stress_circle(
    load: WheelLoad,
    thickness: SlabThickness,
    relative_stiffness: RelativeStiffness,
    load_radius: LoadRadius,
    poisson: Poisson = CONCRETE_POISSON,
) -> Stress:
    """Edge load stress, full circle touching the edge. [Pa]"""
    l, a, nu = relative_stiffness, load_radius, poisson
    return _edge_stress(load, thickness, l, a, nu, 1.84, (1 - nu) / 2 + 1.18 * (1 + 2 * nu) * a / l)


@calculation(
    source="ioannides1985",
    equation="s = 3 (1 + nu) P / (pi (3 + nu) h^2) {ln[0.12 (1 - nu^2) (l / a)^4] + 3.84 - 4 nu / 3"
    " + (1 + 2 nu) a / (2 l)}",
)
def edge_stress_semicircle(
    load: WheelLoad,
    thickness: SlabThickness,
    relative_stiffness: RelativeStiffness,
    load_radius: LoadRadius,
    poisson: Poisson = CONCRETE_POISSON,
) -> Stress:
    """Edge load stress, half circle with its diameter on the edge. [Pa]"""
    l, a, nu = relative_stiffness, load_radius, poisson
    return _edge_stress(load, thickness, l, a, nu, 3.84, (1 + 2 * nu) * a / (2 * l))


@calculation(
    source="ioannides1985",
    equation="w = P sqrt(2 + 1.2 nu) / (k l^2 sqrt(12 (1 - nu^2))) [1 - (0.76 + 0.4 nu) a / l]",
)
def edge_deflection_circle(
    load: WheelLoad,
    foundation: Foundation,
    relative_stiffness: RelativeStiffness,
    load_radius: LoadRadius,
    poisson: Poisson = CONCRETE_POISSON,
) -> DeflectionOut:
    """Edge load deflection, full circle touching the edge. [m]"""
    return _edge_deflection(load, foundation, relative_stiffness, load_radius, poisson, 0.76 + 0.4 * poisson)


@calculation(
    source="ioannides1985",
    equation="w = P sqrt(2 + 1.2 nu) / (k l^2 sqrt(12 (1 - nu^2))) [1 - (0.323 + 0.17 nu) a / l]",
)
def edge_deflection_semicircle(
    load: WheelLoad,
    foundation: Foundation,
    relative_stiffness: RelativeStiffness,
    load_radius: LoadRadius,
    poisson: Poisson = CONCRETE_POISSON,
) -> DeflectionOut:
    """Edge load deflection, half circle with its diameter on the edge. [m]"""
    return _edge_deflection(load, foundation, relative_stiffness, load_radius, poisson, 0.323 + 0.17 * poisson)


def _edge_deflection(load: Array, k: Array, l: Array, a: Array, nu: Array, slope: Array) -> Array:
    """sqrt(E h^3 k) of the printed form is k l^2 sqrt(12 (1 - nu^2))."""
    return np.sqrt(2 + 1.2 * nu) * load / (k * l**2 * np.sqrt(12 * (1 - nu**2))) * (1 - slope * a / l)


@calculation(
    source="westergaard1926",
    tag="looked up",
    where="1926 edge form as used in university course notes CE F244",
    equation="s = 0.572 P / h^2 [4 log10(l / b) + 0.359], b the resisting radius of a and h",
)
def edge_stress_westergaard_1926(
    load: WheelLoad, thickness: SlabThickness, relative_stiffness: RelativeStiffness, load_radius: LoadRadius
) -> Stress:
    """Edge load stress, Westergaard's form of 1926 at Poisson's ratio 0.15. [Pa]"""
    b = resisting_radius.function(load_radius, thickness)
    return 0.572 * load / thickness**2 * (4 * np.log10(relative_stiffness / b) + 0.359)


@calculation(source="westergaard1926", equation="s = 3 P / h^2 [1 - (a sqrt2 / l)^0.6]")
def corner_stress_westergaard(
    load: WheelLoad, thickness: SlabThickness, relative_stiffness: RelativeStiffness, load_radius: LoadRadius
) -> TopStress:
    """Corner load stress (Westergaard). [Pa]"""
    return 3 * load / thickness**2 * (1 - (load_radius * np.sqrt(2) / relative_stiffness) ** 0.6)


@calculation(source="westergaard1926", equation="w = P / (k l^2) [1.1 - 0.88 a sqrt2 / l]")
def corner_deflection_westergaard(
    load: WheelLoad, foundation: Foundation, relative_stiffness: RelativeStiffness, load_radius: LoadRadius
) -> DeflectionOut:
    """Corner load deflection (Westergaard); about 11 % below the plate solution.

    Kept beside the restated form because older designs cite it. [m]
    """
    l = relative_stiffness
    return load / (foundation * l**2) * (1.1 - 0.88 * load_radius * np.sqrt(2) / l)


@calculation(source="ioannides1985", equation="s = 3 P / h^2 [1 - (1.772 a / l)^0.72]")
def corner_stress_ioannides(
    load: WheelLoad, thickness: SlabThickness, relative_stiffness: RelativeStiffness, load_radius: LoadRadius
) -> TopStress:
    """Corner load stress (Ioannides et al.), the circle replaced by a square of equal area. [Pa]"""
    return 3 * load / thickness**2 * (1 - (1.772 * load_radius / relative_stiffness) ** 0.72)


@calculation(source="ioannides1985", equation="w = P / (k l^2) [1.205 - 0.69 (1.772 a) / l]")
def corner_deflection_ioannides(
    load: WheelLoad, foundation: Foundation, relative_stiffness: RelativeStiffness, load_radius: LoadRadius
) -> DeflectionOut:
    """Corner load deflection (Ioannides et al.). [m]"""
    l = relative_stiffness
    return load / (foundation * l**2) * (1.205 - 0.69 * 1.772 * load_radius / l)


@calculation(source="westergaard1926", equation="x = 2 sqrt(a sqrt2 l)")
def corner_critical_distance(
    relative_stiffness: RelativeStiffness, load_radius: LoadRadius
) -> Annotated[Array, Quantity("thickness", "distance of the greatest moment from the corner", symbol="x")]:
    """Distance from the corner to the greatest moment (Westergaard), along the bisector.

    An approximation: the greatest moment of the plate that it is derived from lies up to a tenth nearer. [m]
    """
    return 2 * np.sqrt(load_radius * np.sqrt(2) * relative_stiffness)


# Curling ---------------------------------------------------------------------------------------------

Expansion = Annotated[Array, Quantity("expansion", "thermal expansion of concrete", 1e-6, 3e-5, "alpha")]
TemperatureDifference = Annotated[
    Array, Quantity("temperature_change", "temperature of the top less that of the bottom", -50, 50, "dT")
]
CurlingCoefficient = Annotated[Array, Quantity("number", "curling coefficient", 0.0, 1.1, "C")]


@calculation(
    source="bradbury1938",
    equation="C = 1 - 2 cos(L) cosh(L) (tan(L) + tanh(L)) / (sin(2 L) + sinh(2 L)), L = (B / l) / sqrt(8)",
)
def curling_coefficient_bradbury(
    slab_length: Annotated[Array, Quantity("length", "length or width of the slab", 0.2, 60, "B", "in")],
    relative_stiffness: RelativeStiffness,
) -> Annotated[Array, Quantity("number", "curling coefficient", symbol="C")]:
    """Curling coefficient, exact form behind Bradbury's chart.

    The hyperbolic terms are scaled by exp(-2 L) so that long slabs do not overflow.
    """
    L = slab_length / relative_stiffness / np.sqrt(8)
    scale = np.exp(-2 * L)
    cosh, sinh = (1 + scale) / 2, (1 - scale) / 2  # both times exp(L) in truth
    top = 2 * np.exp(-L) * (np.sin(L) * cosh + np.cos(L) * sinh)
    bottom = scale * np.sin(2 * L) + (1 - scale**2) / 2
    return 1 - top / bottom


@calculation(
    source="bradbury1938",
    tag="looked up",
    where="equations 22-23 of open lecture notes on transportation engineering, in words",
    equation="s = C E alpha dT / 2",
)
def curling_stress_edge(
    coefficient: CurlingCoefficient,
    modulus: SlabModulus,
    thermal_expansion: Expansion,
    temperature_difference: TemperatureDifference,
) -> Stress:
    """Curling stress at the middle of an edge. [Pa]"""
    return coefficient * modulus * thermal_expansion * temperature_difference / 2


@calculation(
    source="bradbury1938",
    tag="looked up",
    where="equations 22-23 of open lecture notes on transportation engineering, in words",
    equation="s = E alpha dT / (2 (1 - nu^2)) (Cx + nu Cy)",
)
def curling_stress_interior(
    coefficient_along: Annotated[Array, Quantity("number", "curling coefficient along the stress", 0.0, 1.1, "Cx")],
    coefficient_across: Annotated[Array, Quantity("number", "curling coefficient across the stress", 0.0, 1.1, "Cy")],
    modulus: SlabModulus,
    thermal_expansion: Expansion,
    temperature_difference: TemperatureDifference,
    poisson: Poisson = CONCRETE_POISSON,
) -> Stress:
    """Curling stress in the interior of a slab. [Pa]"""
    free = modulus * thermal_expansion * temperature_difference / (2 * (1 - poisson**2))
    return free * (coefficient_along + poisson * coefficient_across)


@calculation(
    source="bradbury1938",
    where="as printed in open lecture notes",
    tag="looked up",
    equation="s = E alpha dT / (3 (1 - nu)) sqrt(a / l)",
)
def curling_stress_corner(
    modulus: SlabModulus,
    thermal_expansion: Expansion,
    temperature_difference: TemperatureDifference,
    relative_stiffness: RelativeStiffness,
    load_radius: LoadRadius,
    poisson: Poisson = CONCRETE_POISSON,
) -> TopStress:
    """Curling stress at a corner under a load of given radius. [Pa]"""
    free = modulus * thermal_expansion * temperature_difference / (3 * (1 - poisson))
    return free * np.sqrt(load_radius / relative_stiffness)
