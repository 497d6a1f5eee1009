"""Foundation and slab moduli from the shape of a deflection basin, in closed form.

Regressions printed in inches and pounds keep their coefficients: first lines convert from SI, last ones back.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

import numpy as np

from slabwright.calculation import Array, Quantity, calculation
from slabwright.terms import (
    CONCRETE_POISSON,
    Deflection,
    Foundation,
    Poisson,
    RelativeStiffness,
    SlabThickness,
    WheelLoad,
)
from slabwright.units import INCH, PSI

__all__ = [
    "deflection_coefficient",
    "foundation_from_deflection",
    "modulus_from_relative_stiffness",
    "modulus_from_solid",
    "partition_bonded",
    "partition_unbonded",
    "relative_stiffness_area_36",
    "relative_stiffness_area_36_solid",
    "relative_stiffness_area_48_outer",
    "relative_stiffness_area_60",
    "relative_stiffness_area_60_solid",
    "slab_size_factors",
    "slab_size",
    "solid_modulus_from_deflection",
    "static_foundation",
]

Stiffness = Annotated[Array, Quantity("thickness", "radius of relative stiffness", symbol="l")]
FORM = "l = {{ln[({0} - AREA) / {1}] / ({2})}}^{3}"


def _stiffness(area: Array, full: float, x2: float, x3: float, x4: float) -> Array:
    """The common form; NaN where the basin is too flat or too steep for any l."""
    inner = np.log((full - area / INCH) / x2) / x3
    return np.where(inner > 0, np.abs(inner) ** x4, np.nan) * INCH


def _area(low: float, high: float) -> Quantity:
    return Quantity("thickness", "basin area", low * INCH, high * INCH, "AREA")


@calculation(source="hall1997", equation=FORM.format(36, 1812.279, -2.559, 4.387))
def relative_stiffness_area_36(area: Annotated[Array, _area(15, 35.5)]) -> Stiffness:
    """Radius of relative stiffness from the 36-in basin area, dense liquid. [m]"""
    return _stiffness(area, 36, 1812.279, -2.559, 4.387)


@calculation(source="hall1997", equation=FORM.format(60, 289.708, -0.698, 2.566))
def relative_stiffness_area_60(area: Annotated[Array, _area(20, 58)]) -> Stiffness:
    """Radius of relative stiffness from the 60-in basin area, dense liquid. [m]"""
    return _stiffness(area, 60, 289.708, -0.698, 2.566)


@calculation(source="khazanovich2001", equation=FORM.format(48, 158.40, -0.476, 2.220))
def relative_stiffness_area_48_outer(area: Annotated[Array, _area(10, 47)]) -> Stiffness:
    """Radius of relative stiffness from the outer basin area (12 to 60 in), dense liquid. [m]"""
    return _stiffness(area, 48, 158.40, -0.476, 2.220)


@calculation(source="hall1997", equation=FORM.format(36, 4521.676, -3.645, 5.334))
def relative_stiffness_area_36_solid(area: Annotated[Array, _area(20, 35.7)]) -> Stiffness:
    """Radius of relative stiffness from the 36-in basin area, elastic solid. [m]"""
    return _stiffness(area, 36, 4521.676, -3.645, 5.334)


@calculation(
    source="plate_theory",
    where="coefficients fitted to the exact integral for l of 20 to 80 in, greatest error 0.5 %",
    equation=FORM.format(60, 256.29, -0.84267, 2.74674),
)
def relative_stiffness_area_60_solid(area: Annotated[Array, _area(30, 58)]) -> Stiffness:
    """Radius of relative stiffness from the 60-in basin area, elastic solid. [m]"""
    return _stiffness(area, 60, 256.29, -0.84267, 2.74674)


# FHWA-RD-00-086, from memory: d* = A exp[-B exp(-C l)], l in inches, by sensor offset in inches.
COEFFICIENT_OFFSETS = (0.0, 8.0, 12.0, 18.0, 24.0, 36.0, 60.0)
COEFFICIENT_A = (0.12450, 0.12323, 0.12188, 0.11933, 0.11634, 0.10960, 0.09521)
COEFFICIENT_B = (0.14707, 0.46911, 0.79432, 1.38363, 2.06115, 3.62187, 7.41241)
COEFFICIENT_C = (0.07565, 0.07209, 0.07074, 0.06909, 0.06775, 0.06568, 0.06255)
CENTRE: Array = np.asarray(0.0)


@calculation(
    source="khazanovich2001",
    equation="d* = A exp[-B exp(-C l)], A, B and C tabulated by offset r",
)
def deflection_coefficient(
    relative_stiffness: RelativeStiffness,
    offset: Annotated[
        Array, Quantity("thickness", "offset of the sensor, one of 0, 8, 12, 18, 24, 36, 60 in", 0.0, 60 * INCH, "r")
    ] = CENTRE,
) -> Annotated[Array, Quantity("number", "deflection coefficient d k l^2 / P", symbol="d*")]:
    """Deflection coefficient on a dense liquid by the published regression (plate radius 5.9055 in)."""
    column = np.abs((offset / INCH)[..., None] - COEFFICIENT_OFFSETS)
    nearest = column.argmin(axis=-1)
    a, b, c = (np.asarray(t)[nearest] for t in (COEFFICIENT_A, COEFFICIENT_B, COEFFICIENT_C))
    value = a * np.exp(-b * np.exp(-c * relative_stiffness / INCH))
    return np.where(column.min(axis=-1) < 0.2, value, np.nan)


Coefficient = Annotated[Array, Quantity("number", "deflection coefficient", 0.001, 0.3, "d*")]


@calculation(source="khazanovich2001", equation="k = P d* / (d0 l^2)")
def foundation_from_deflection(
    load: WheelLoad, deflection: Deflection, coefficient: Coefficient, relative_stiffness: RelativeStiffness
) -> Annotated[Array, Quantity("foundation", "dynamic modulus of foundation reaction", symbol="k")]:
    """Foundation modulus from a deflection and its coefficient. [Pa/m]"""
    return load * coefficient / (deflection * relative_stiffness**2)


@calculation(source="khazanovich2001", equation="E = 12 (1 - nu^2) k l^4 / h^3")
def modulus_from_relative_stiffness(
    foundation: Foundation,
    relative_stiffness: RelativeStiffness,
    thickness: SlabThickness,
    poisson: Poisson = CONCRETE_POISSON,
) -> Annotated[Array, Quantity("modulus", "elastic modulus of the slab", symbol="E")]:
    """Slab modulus from k, l and thickness, dense liquid. [Pa]"""
    return 12 * (1 - poisson**2) * foundation * relative_stiffness**4 / thickness**3


SOIL_POISSON: Array = np.asarray(0.45)
SoilPoisson = Annotated[Array, Quantity("number", "Poisson's ratio of the foundation", 0.1, 0.499, "nus")]


@calculation(source="khazanovich2001", equation="Es = 2 (1 - nus^2) P d* / (d0 l)")
def solid_modulus_from_deflection(
    load: WheelLoad,
    deflection: Deflection,
    coefficient: Coefficient,
    relative_stiffness: RelativeStiffness,
    soil_poisson: SoilPoisson = SOIL_POISSON,
) -> Annotated[Array, Quantity("modulus", "elastic modulus of the foundation", symbol="Es")]:
    """Foundation modulus of an elastic solid from a deflection and its coefficient. [Pa]"""
    return 2 * (1 - soil_poisson**2) * load * coefficient / (deflection * relative_stiffness)


@calculation(source="khazanovich2001", equation="E = 6 (1 - nu^2) Es l^3 / [(1 - nus^2) h^3]")
def modulus_from_solid(
    solid_modulus: Annotated[
        Array, Quantity("modulus", "elastic modulus of the foundation", 300 * PSI, 500e3 * PSI, "Es")
    ],
    relative_stiffness: RelativeStiffness,
    thickness: SlabThickness,
    poisson: Poisson = CONCRETE_POISSON,
    soil_poisson: SoilPoisson = SOIL_POISSON,
) -> Annotated[Array, Quantity("modulus", "elastic modulus of the slab", symbol="E")]:
    """Slab modulus from Es, l and thickness, elastic solid. [Pa]"""
    return 6 * (1 - poisson**2) * solid_modulus * relative_stiffness**3 / ((1 - soil_poisson**2) * thickness**3)


# Slab size -------------------------------------------------------------------------------------------

SlabLength = Annotated[Array, Quantity("length", "length of the slab", 1.0, 100.0, "Lx")]
SlabWidth = Annotated[Array, Quantity("length", "width of the slab", 1.0, 100.0, "Ly")]


@calculation(
    source="crovetti1994",
    equation="L = sqrt(Lx Ly) where the longer side is at most twice the shorter, else sqrt2 times the shorter",
)
def slab_size(
    length: SlabLength, width: SlabWidth
) -> Annotated[Array, Quantity("length", "effective slab size", symbol="L")]:
    """Effective size of a rectangular slab. [m]"""
    short, long = np.minimum(length, width), np.maximum(length, width)
    return np.where(long <= 2 * short, np.sqrt(length * width), np.sqrt(2) * short)


@dataclass(frozen=True)
class SlabSizeFactors:
    """Factors on the estimated radius and on the deflection coefficient for a slab of finite size."""

    radius: Annotated[Array, Quantity("number", "factor on l", symbol="AFl")]
    deflection: Annotated[Array, Quantity("number", "factor on d0", symbol="AFd0")]


@calculation(
    source="crovetti1994",
    equation="AFd0 = 1 - 1.15085 exp[-0.71878 (L / l)^0.80151]; AFl = 1 - 0.89434 exp[-0.61662 (L / l)^1.04831]",
)
def slab_size_factors(
    size: Annotated[Array, Quantity("length", "effective slab size", 1.0, 200.0, "L", "in")],
    relative_stiffness: RelativeStiffness,
) -> SlabSizeFactors:
    """Slab-size correction of backcalculation, entered with the estimated l."""
    ratio = size / relative_stiffness
    return SlabSizeFactors(
        1 - 0.89434 * np.exp(-0.61662 * ratio**1.04831), 1 - 1.15085 * np.exp(-0.71878 * ratio**0.80151)
    )


HALF: Array = np.asarray(0.5)


@calculation(source="guide1993", where="Part III, section 5.8.5, step 3", equation="k(static) = k(dynamic) c")
def static_foundation(
    dynamic_foundation: Annotated[
        Array, Quantity("foundation", "dynamic modulus of foundation reaction", 2.7e6, 8.2e8, "k(dynamic)")
    ],
    ratio: Annotated[Array, Quantity("number", "static over dynamic", 0.2, 1.0, "c")] = HALF,
) -> Annotated[Array, Quantity("foundation", "static modulus of foundation reaction", symbol="k(static)")]:
    """Static foundation modulus from the dynamic one of a deflection test. [Pa/m]"""
    return dynamic_foundation * ratio


# Partition of stiffness between slab and base -----------------------------------------------------------

CompositeModulus = Annotated[
    Array, Quantity("modulus", "modulus of slab and base on the slab's thickness", 1e8, 2e11, "E")
]
Slab = Annotated[Array, Quantity("thickness", "slab thickness", 2 * INCH, 24 * INCH, "h1")]
Base = Annotated[Array, Quantity("thickness", "base thickness", 0.0, 40 * INCH, "h2")]
Beta = Annotated[Array, Quantity("number", "base modulus over slab modulus", 0.0, 5.0, "beta")]


@dataclass(frozen=True)
class LayerModuli:
    """Moduli of slab and base."""

    slab: Annotated[Array, Quantity("modulus", "slab modulus", symbol="E1")]
    base: Annotated[Array, Quantity("modulus", "base modulus", symbol="E2")]


@calculation(source="khazanovich2001", equation="E1 = h1^3 / (h1^3 + beta h2^3) E; E2 = beta E1")
def partition_unbonded(modulus: CompositeModulus, thickness: Slab, base_thickness: Base, ratio: Beta) -> LayerModuli:
    """Moduli of slab and base that slide on each other. [Pa]"""
    slab = thickness**3 / (thickness**3 + ratio * base_thickness**3) * modulus
    return LayerModuli(slab, ratio * slab)


@calculation(
    source="khazanovich2001",
    equation="x = [h1^2 / 2 + beta h2 (h1 + h2 / 2)] / (h1 + beta h2); E1 = h1^3 / [h1^3 + beta h2^3 + 12 h1 (x - h1 / 2)^2"
    " + 12 beta h2 (h1 + h2 / 2 - x)^2] E; E2 = beta E1",
)
def partition_bonded(modulus: CompositeModulus, thickness: Slab, base_thickness: Base, ratio: Beta) -> LayerModuli:
    """Moduli of slab and base that act as one. [Pa]"""
    h1, h2 = thickness, base_thickness
    x = (h1**2 / 2 + ratio * h2 * (h1 + h2 / 2)) / (h1 + ratio * h2)
    own = h1**3 + ratio * h2**3 + 12 * h1 * (x - h1 / 2) ** 2 + 12 * ratio * h2 * (h1 + h2 / 2 - x) ** 2
    slab = h1**3 / own * modulus
    return LayerModuli(slab, ratio * slab)
