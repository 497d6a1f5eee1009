"""Steel: fabric and tie bars by subgrade drag, continuous reinforcement by the 1993 design equations.

The continuous-reinforcement equations are printed in inches, pounds and feet, with steel in per cent and the
thermal coefficients as a ratio; they keep their printed coefficients.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

import numpy as np

from slabwright.calculation import Array, Quantity, calculation
from slabwright.units import FOOT, INCH, PSI

__all__ = [
    "BarSpacing",
    "bar_count_per_width",
    "continuous_crack_spacing",
    "continuous_crack_width",
    "continuous_steel_for_spacing",
    "continuous_steel_for_stress",
    "continuous_steel_for_width",
    "continuous_steel_stress",
    "drag_steel_area",
    "drag_steel_percent",
    "shrinkage_from_strength",
    "tie_bar_length",
    "tie_bar_spacing",
]

CONCRETE_WEIGHT: Array = np.asarray(150 * 0.45359237 * 9.80665 / FOOT**3)
UnitWeight = Annotated[Array, Quantity("unit_weight", "unit weight of concrete", 15e3, 30e3, "gamma")]
Thickness = Annotated[Array, Quantity("thickness", "thickness that the steel must drag", 1 * INCH, 30 * INCH, "h")]
Friction = Annotated[Array, Quantity("number", "friction factor of the base", 0.5, 3.0, "fa")]
SteelStress = Annotated[Array, Quantity("stress", "working stress of the steel", 10000 * PSI, 80000 * PSI, "fs")]
Length = Annotated[Array, Quantity("length", "length between free joints", 3.0, 300.0, "L")]


@calculation(source="huang2004", equation="As = gamma h L fa / (2 fs)")
def drag_steel_area(
    thickness: Thickness,
    length: Length,
    friction: Friction,
    steel_stress: SteelStress,
    unit_weight: UnitWeight = CONCRETE_WEIGHT,
) -> Annotated[Array, Quantity("steel_area", "steel per unit width", symbol="As")]:
    """Fabric or bar steel per unit width by subgrade drag. [m2/m]"""
    return unit_weight * thickness * length * friction / (2 * steel_stress)


@calculation(
    source="guide1993",
    where="Part II, section 3.4",
    equation="Ps = 100 L F / (2 fs), L in ft, fs in psi (144 lb/ft3 implied)",
)
def drag_steel_percent(
    length: Annotated[Array, Quantity("length", "length between free joints", 3.0, 300.0, "L")],
    friction: Annotated[Array, Quantity("number", "friction factor of the base", 0.5, 3.0, "F")],
    steel_stress: SteelStress,
) -> Annotated[Array, Quantity("share", "steel ratio", symbol="Ps")]:
    """Steel ratio by subgrade drag in the published per cent form."""
    return length / FOOT * friction / (2 * steel_stress / PSI)


@calculation(source="huang2004", equation="s = Ab fs / (gamma h L' fa)")
def tie_bar_spacing(
    bar_area: Annotated[Array, Quantity("area", "area of one bar", 1e-5, 2e-3, "Ab", "in^2")],
    thickness: Thickness,
    free_distance: Annotated[
        Array, Quantity("length", "distance from the tied joint to the nearest free edge", 1.5, 50, "L'")
    ],
    friction: Friction,
    steel_stress: SteelStress,
    unit_weight: UnitWeight = CONCRETE_WEIGHT,
) -> Annotated[Array, Quantity("thickness", "spacing of tie bars", symbol="s")]:
    """Spacing of tie bars. [m]"""
    return bar_area * steel_stress / (unit_weight * thickness * free_distance * friction)


@calculation(source="huang2004", equation="t = fs d / (2 u)")
def tie_bar_length(
    bar_diameter: Annotated[Array, Quantity("width", "bar diameter", 0.25 * INCH, 1.5 * INCH, "d")],
    steel_stress: SteelStress,
    bond_stress: Annotated[Array, Quantity("stress", "allowable bond stress on the bar", 100 * PSI, 800 * PSI, "u")],
) -> Annotated[Array, Quantity("thickness", "length of tie bars, before any allowance for misplacing", symbol="t")]:
    """Length of tie bars that develops the steel on both sides of the joint. [m]"""
    return steel_stress * bar_diameter / (2 * bond_stress)


# Continuous reinforcement ---------------------------------------------------------------------------------

Tensile = Annotated[Array, Quantity("stress", "indirect tensile strength of the concrete", 200 * PSI, 1000 * PSI, "ft")]
ThermalRatio = Annotated[
    Array, Quantity("number", "thermal coefficient of steel over that of concrete", 0.5, 2.0, "as/ac")
]
Bar = Annotated[Array, Quantity("width", "bar diameter", 0.25 * INCH, 1.25 * INCH, "phi")]
WheelStress = Annotated[Array, Quantity("stress", "tensile stress from the wheel load", 0.0, 1000 * PSI, "sw")]
SteelRatio = Annotated[Array, Quantity("share", "steel ratio", 0.001, 0.015, "P")]
Shrinkage = Annotated[Array, Quantity("number", "drying shrinkage", 1e-5, 1.5e-3, "Z")]
Drop = Annotated[Array, Quantity("temperature_change", "design temperature drop", 5, 90, "DT")]
Ratio = Annotated[Array, Quantity("share", "steel ratio", symbol="P")]
SPACING = "X = 1.32 (1 + ft / 1000)^6.70 (1 + as/ac / 2)^1.15 (1 + phi)^2.19 / [(1 + sw / 1000)^5.20 (1 + P)^4.60 (1 + 1000 Z)^1.79]"
WIDTH = "CW = 0.00932 (1 + ft / 1000)^6.53 (1 + phi)^2.20 / [(1 + sw / 1000)^4.91 (1 + P)^4.55]"
STRESS = "ss = 47300 (1 + DT / 100)^0.425 (1 + ft / 1000)^4.09 / [(1 + sw / 1000)^3.14 (1 + 1000 Z)^0.494 (1 + P)^2.74]"
FAHRENHEIT = 1.8


@calculation(source="crcp_slides", equation=SPACING)
def continuous_crack_spacing(
    tensile: Tensile,
    thermal_ratio: ThermalRatio,
    bar: Bar,
    wheel_stress: WheelStress,
    steel: SteelRatio,
    shrinkage: Shrinkage,
) -> Annotated[Array, Quantity("length", "crack spacing", symbol="X")]:
    """Crack spacing of a continuously reinforced slab; 3.5 to 8 ft is wanted. [m]"""
    ft, sw, phi = tensile / PSI, wheel_stress / PSI, bar / INCH
    top = 1.32 * (1 + ft / 1000) ** 6.70 * (1 + thermal_ratio / 2) ** 1.15 * (1 + phi) ** 2.19
    return top / ((1 + sw / 1000) ** 5.20 * (1 + 100 * steel) ** 4.60 * (1 + 1000 * shrinkage) ** 1.79) * FOOT


@calculation(source="guide1993", where="Part II, section 3.4", equation=WIDTH)
def continuous_crack_width(
    tensile: Tensile, bar: Bar, wheel_stress: WheelStress, steel: SteelRatio
) -> Annotated[Array, Quantity("width", "crack width", symbol="CW")]:
    """Crack width of a continuously reinforced slab; at most 0.04 in is wanted. [m]"""
    ft, sw, phi = tensile / PSI, wheel_stress / PSI, bar / INCH
    top = 0.00932 * (1 + ft / 1000) ** 6.53 * (1 + phi) ** 2.20
    return top / ((1 + sw / 1000) ** 4.91 * (1 + 100 * steel) ** 4.55) * INCH


@calculation(source="guide1993", where="Part II, section 3.4", equation=STRESS)
def continuous_steel_stress(
    temperature_drop: Drop, tensile: Tensile, wheel_stress: WheelStress, shrinkage: Shrinkage, steel: SteelRatio
) -> Annotated[Array, Quantity("stress", "steel stress at the crack", symbol="ss")]:
    """Steel stress at a crack of a continuously reinforced slab. [Pa]"""
    ft, sw, drop = tensile / PSI, wheel_stress / PSI, temperature_drop * FAHRENHEIT
    top = 47300 * (1 + drop / 100) ** 0.425 * (1 + ft / 1000) ** 4.09
    return top / ((1 + sw / 1000) ** 3.14 * (1 + 1000 * shrinkage) ** 0.494 * (1 + 100 * steel) ** 2.74) * PSI


@calculation(source="guide1993", where="Part II, section 3.4", equation=SPACING + ", solved for P")
def continuous_steel_for_spacing(
    spacing: Annotated[Array, Quantity("length", "crack spacing", 0.5, 6.0, "X")],
    tensile: Tensile,
    thermal_ratio: ThermalRatio,
    bar: Bar,
    wheel_stress: WheelStress,
    shrinkage: Shrinkage,
) -> Ratio:
    """Steel ratio for a crack spacing, the spacing equation solved for it."""
    ft, sw, phi = tensile / PSI, wheel_stress / PSI, bar / INCH
    top = 1.32 * (1 + ft / 1000) ** 6.70 * (1 + thermal_ratio / 2) ** 1.15 * (1 + phi) ** 2.19
    return ((top / ((1 + sw / 1000) ** 5.20 * (1 + 1000 * shrinkage) ** 1.79 * spacing / FOOT)) ** (1 / 4.60) - 1) / 100


@calculation(source="guide1993", where="Part II, section 3.4", equation=WIDTH + ", solved for P")
def continuous_steel_for_width(
    crack_width: Annotated[Array, Quantity("width", "crack width", 0.0001, 0.005, "CW")],
    tensile: Tensile,
    bar: Bar,
    wheel_stress: WheelStress,
) -> Ratio:
    """Steel ratio for a crack width, the width equation solved for it."""
    ft, sw, phi = tensile / PSI, wheel_stress / PSI, bar / INCH
    top = 0.00932 * (1 + ft / 1000) ** 6.53 * (1 + phi) ** 2.20
    return ((top / ((1 + sw / 1000) ** 4.91 * crack_width / INCH)) ** (1 / 4.55) - 1) / 100


@calculation(source="guide1993", where="Part II, section 3.4", equation=STRESS + ", solved for P")
def continuous_steel_for_stress(
    steel_stress: Annotated[Array, Quantity("stress", "allowable steel stress", 20000 * PSI, 80000 * PSI, "ss")],
    temperature_drop: Drop,
    tensile: Tensile,
    wheel_stress: WheelStress,
    shrinkage: Shrinkage,
) -> Ratio:
    """Steel ratio for a steel stress, the stress equation solved for it."""
    ft, sw, drop = tensile / PSI, wheel_stress / PSI, temperature_drop * FAHRENHEIT
    top = 47300 * (1 + drop / 100) ** 0.425 * (1 + ft / 1000) ** 4.09
    return (
        (top / ((1 + sw / 1000) ** 3.14 * (1 + 1000 * shrinkage) ** 0.494 * steel_stress / PSI)) ** (1 / 2.74) - 1
    ) / 100


@dataclass(frozen=True)
class BarSpacing:
    """Bars across a width, and their spacing."""

    count: Annotated[Array, Quantity("number", "bars across the width", symbol="N")]
    spacing: Annotated[Array, Quantity("thickness", "bar spacing")]


@calculation(
    source="thickness_coursework",
    equation="N = 0.01273 P Ws D / phi^2, P in per cent, the rest in inches",
)
def bar_count_per_width(
    steel: SteelRatio,
    width: Annotated[Array, Quantity("length", "width of the slab", 2, 30, "Ws", "in")],
    thickness: Annotated[Array, Quantity("thickness", "slab thickness", 1 * INCH, 24 * INCH, "D")],
    bar: Bar,
) -> BarSpacing:
    """Number of longitudinal bars for a steel ratio; the constant is 4 / (100 pi). [m]"""
    count = 0.01273 * 100 * steel * (width / INCH) * (thickness / INCH) / (bar / INCH) ** 2
    return BarSpacing(count, width / count)


@calculation(
    source="crcp_slides",
    where="table of shrinkage by strength",
    equation="Z = .0008, .0006, .00045, .0003, .0002 at ft = 300, 400, 500, 600, 700 psi",
)
def shrinkage_from_strength(
    tensile: Annotated[Array, Quantity("stress", "indirect tensile strength", 300 * PSI, 1000 * PSI, "ft")],
) -> Annotated[Array, Quantity("number", "drying shrinkage", symbol="Z")]:
    """Drying shrinkage for design of continuous steel, interpolated in the table; constant above 700 psi."""
    return np.interp(tensile / PSI, (300, 400, 500, 600, 700), (0.0008, 0.0006, 0.00045, 0.0003, 0.0002))
