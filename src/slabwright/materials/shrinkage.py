"""Drying shrinkage against age, by three published models.

For a 100 mm overlay that dries from one face in half-humid air they lie within a factor of 1.4 after ten years and of 3.4 at
28 days, since the standard half time of ACI 209 knows no size: a bond that is judged young depends on the choice.

All give the free strain of an unrestrained concrete, shortening positive. Slab and overlay dry from one face: their
volume over drying surface is then the whole thickness. The data behind the models scatter by about a third either way
(coefficient of variation 30 per cent by EN 1992-1-1); a shrinkage test of the mix counts for more than any of them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np

from slabwright.calculation import Array, Choice, Quantity, calculation
from slabwright.materials.terms import (
    DAY,
    MPA,
    OLDEST,
    Age,
    CementClass,
    CuringAge,
    Humidity,
    MeanStrength,
    VolumeSurface,
)

__all__ = [
    "DryingShrinkage",
    "ShrinkageB3",
    "ShrinkageEn1992",
    "drying_shrinkage_aci209",
    "drying_shrinkage_b3",
    "shrinkage_en1992",
    "shrinkage_left_aci209",
]

ACI_CURING = ("moist", "steam")
AciCuring = Annotated[str, Choice("curing: moist from 1 to 90 days, or steam for 1 to 3 days", ACI_CURING)]
HALF_TIMES = ("standard", "by size")
HalfTime = Annotated[str, Choice("time to half the shrinkage: the standard value, or growing with size", HALF_TIMES)]
Slump = Annotated[Array, Quantity("thickness", "slump", 0.0, 0.25, "S", "mm")]
Fines = Annotated[Array, Quantity("share", "sand in the aggregate, by weight", 0.2, 0.7, "F")]
AirContent = Annotated[Array, Quantity("share", "air content", 0.0, 0.12, "A")]
CementContent = Annotated[Array, Quantity("density", "cement content", 160.0, 720.0, "c", "kg/m^3")]
# The mix for which the published factors are one, to the digits that they are printed with.
STANDARD_SLUMP: Array = np.asarray(0.070)
STANDARD_FINES: Array = np.asarray(0.50)
STANDARD_CEMENT: Array = np.asarray(410.0)
STANDARD_AIR: Array = np.asarray(0.06)

MIX_EQUATION = "gS = 0.89 + 0.00161 S, gF = 0.30 + 0.014 F (F <= 50) or 0.90 + 0.002 F, gC = 0.75 + 0.00061 c, gA = 0.95 + 0.008 A, at least 1"
ULTIMATE_EQUATION = (
    "eu = 780e-6 gt gH gV gS gF gC gA; gt = 1.202 - 0.2337 log10(tc) moist, 1 steam; gH = 1.40 - 0.0102 H, at most 3.00 - 0.030 H;"
    f" gV = 1.2 exp(-0.00472 V); {MIX_EQUATION}; f = 35 days moist, 55 days steam, or by size 26 exp(0.0142 V) days"
)


def _ultimate_aci209(
    curing_age: Array,
    humidity: Array,
    volume_surface: Array,
    curing: str,
    slump: Array,
    fines: Array,
    cement: Array,
    air: Array,
) -> Any:
    """Ultimate shrinkage: 780e-6 times seven factors."""
    H, F = 100 * humidity, 100 * fines
    cured = 1.202 - 0.2337 * np.log10(curing_age / DAY) if curing == "moist" else 1.0
    # The published lines jump upward by 2.7 % at 80 per cent; their lower one is continuous and always falls.
    humid = np.minimum(1.40 - 0.0102 * H, 3.00 - 0.030 * H)
    size = 1.2 * np.exp(-0.00472 * 1000 * volume_surface)
    flow = 0.89 + 0.00161 * 1000 * slump
    sand = np.where(F <= 50, 0.30 + 0.014 * F, 0.90 + 0.002 * F)
    paste = (0.75 + 0.00061 * cement) * np.maximum(0.95 + 0.008 * 100 * air, 1.0)
    return 780e-6 * cured * humid * size * flow * sand * paste


def _half_time_aci209(volume_surface: Array, curing: str, half_time: str) -> Any:
    """Time after which half the shrinkage has come [s]."""
    if half_time == "by size":
        return 26.0 * np.exp(0.0142 * 1000 * volume_surface) * DAY
    return {"moist": 35.0, "steam": 55.0}[curing] * DAY


@dataclass(frozen=True)
class DryingShrinkage:
    """Shrinkage by ACI 209."""

    shrinkage: Annotated[Array, Quantity("strain", "shrinkage since drying began", symbol="e")]
    ultimate: Annotated[Array, Quantity("strain", "shrinkage in the end", symbol="eu")]
    half_time: Annotated[Array, Quantity("age", "drying time to half of it", symbol="f")]


@calculation(
    source="aci209",
    where="sections 2.4 to 2.6, volume-surface form",
    equation=f"e = eu (t - tc) / (f + t - tc); {ULTIMATE_EQUATION}",
)
def drying_shrinkage_aci209(
    age: Age,
    curing_age: CuringAge,
    humidity: Humidity,
    volume_surface: VolumeSurface,
    curing: AciCuring = "moist",
    half_time: HalfTime = "standard",
    slump: Slump = STANDARD_SLUMP,
    fines: Fines = STANDARD_FINES,
    cement: CementContent = STANDARD_CEMENT,
    air: AirContent = STANDARD_AIR,
) -> DryingShrinkage:
    """Drying shrinkage by ACI 209R-92.

    The standard half time knows no size and gives thick slabs their shrinkage too early; by size, a 100 mm overlay that
    dries from one face takes 108 days to half of it in place of 35.
    ``age``, ``curing_age`` [s], ``humidity`` and ``fines`` and ``air`` [ratio], ``volume_surface`` and ``slump`` [m],
    ``cement`` [kg/m^3]; all broadcast. Returns strains [1] and a time [s]; zero before drying begins.
    Scalars outside the bounds raise OutOfRange, array elements give NaN. Source: ACI 209R-92, from memory.
    """
    ultimate = _ultimate_aci209(curing_age, humidity, volume_surface, curing, slump, fines, cement, air)
    half = _half_time_aci209(volume_surface, curing, half_time)
    dried = np.maximum(age - curing_age, 0.0)
    shape = np.broadcast_shapes(np.shape(ultimate), np.shape(dried))
    return DryingShrinkage(
        ultimate * dried / (half + dried), np.broadcast_to(ultimate, shape), np.broadcast_to(half, shape)
    )


@calculation(
    source="aci209",
    where="section 2.4",
    tag="derived",
    equation="e = eu [(t - tc) / (f + t - tc) - (ts - tc) / (f + ts - tc)]",
)
def shrinkage_left_aci209(
    ultimate: Annotated[Array, Quantity("strain", "shrinkage in the end", 0.0, 0.002, "eu")],
    half_time: Annotated[Array, Quantity("age", "drying time to half of it", 1 * DAY, 10000 * DAY, "f")],
    curing_age: CuringAge,
    start: Annotated[Array, Quantity("age", "age from which it is counted", 0.25 * DAY, OLDEST, "ts")],
    age: Age,
) -> Annotated[Array, Quantity("strain", "shrinkage between the two ages", symbol="e")]:
    """Shrinkage that an old slab still has before it, between two of its ages.

    Subtract it from the overlay's to get the difference that the bond feels. It takes the slab's drying as undisturbed;
    an overlay in truth wets and covers it, so that the difference is rather larger.
    ``start``, ``age``, ``curing_age`` and ``half_time`` [s], ``ultimate`` [1]; all broadcast; returns a strain [1],
    negative when ``age`` comes before ``start``. Errors as for the shrinkage. Source: difference of ACI 209R-92, section 2.4.
    """
    first, last = (np.maximum(t - curing_age, 0.0) for t in (start, age))
    return ultimate * (last / (half_time + last) - first / (half_time + first))


# Model B3. Cement types by ASTM C150, curing, and shape factors.
B3_CEMENTS = {"type I": 1.0, "type II": 0.85, "type III": 1.1}
B3_CURING = {"moist": 1.0, "sealed": 1.2, "steam": 0.75}
B3_SHAPES = {"slab": 1.0, "cylinder": 1.15, "square prism": 1.25, "sphere": 1.30, "cube": 1.55}
B3Cement = Annotated[str, Choice("type of cement", tuple(B3_CEMENTS))]
B3Curing = Annotated[str, Choice("curing: in water or moist air, sealed, or steam", tuple(B3_CURING))]
B3Shape = Annotated[str, Choice("shape of the body", tuple(B3_SHAPES))]
WaterContent = Annotated[Array, Quantity("density", "water content", 80.0, 350.0, "w", "kg/m^3")]
B3_TIMES = "th = 0.085 tc^-0.08 fcm^-0.25 (2 ks V)^2, mm, days and MPa"
B3_FINAL = (
    "eu = a1 a2 (0.019 w^2.1 fcm^-0.28 + 270) 1e-6 E(607) / E(tc + th), E(t) ~ [t / (4 + 0.85 t)]^0.5; "
    "a1 = 1 type I, 0.85 type II, 1.1 type III; a2 = 1 moist, 1.2 sealed, 0.75 steam; "
    "ks = 1 slab, 1.15 cylinder, 1.25 prism, 1.30 sphere, 1.55 cube"
)


def humidity_factor_b3(humidity: Array) -> Array:
    """Share of the shrinkage that the air lets happen [1], swelling in water being negative (linear above 98 per cent)."""
    near_water = (1 - 0.98**3) + (humidity - 0.98) / 0.02 * (-0.2 - (1 - 0.98**3))
    return np.where(humidity <= 0.98, 1 - humidity**3, near_water)


def half_time_b3(curing_age: Array, volume_surface: Array, strength: Array, shape: str) -> Array:
    """Shrinkage half time of Model B3 [s]: it grows with the square of the size."""
    kt = 8.5 * (curing_age / DAY) ** -0.08 * (strength / MPA) ** -0.25  # days per square centimetre
    return kt * (B3_SHAPES[shape] * 200 * volume_surface) ** 2 * DAY


def final_shrinkage_b3(
    curing_age: Array, half_time: Array, strength: Array, water: Array, cement_type: str, curing: str
) -> Array:
    """Shrinkage in the end in air of no humidity [1] by Model B3."""
    least = 0.019 * water**2.1 * (strength / MPA) ** -0.28 + 270

    def stiffness(days: Any) -> Any:
        return np.sqrt(days / (4 + 0.85 * days))

    ageing = stiffness(607.0) / stiffness((curing_age + half_time) / DAY)
    return B3_CEMENTS[cement_type] * B3_CURING[curing] * least * 1e-6 * ageing


@dataclass(frozen=True)
class ShrinkageB3:
    """Shrinkage by Model B3."""

    shrinkage: Annotated[Array, Quantity("strain", "shrinkage since drying began", symbol="e")]
    ultimate: Annotated[Array, Quantity("strain", "shrinkage in the end at this humidity")]
    half_time: Annotated[Array, Quantity("age", "shrinkage half time", symbol="th")]


@calculation(
    source="b3",
    where="Chapter 1",
    equation="e = eu kh tanh{[(t - tc) / th]^0.5}, kh = 1 - (H / 100)^3 to 98 %, from there linear to -0.2 in water; "
    f"{B3_TIMES}; {B3_FINAL}",
)
def drying_shrinkage_b3(
    age: Age,
    curing_age: CuringAge,
    humidity: Humidity,
    volume_surface: VolumeSurface,
    strength: MeanStrength,
    water: WaterContent,
    cement_type: B3Cement = "type I",
    curing: B3Curing = "moist",
    shape: B3Shape = "slab",
) -> ShrinkageB3:
    """Drying shrinkage by Model B3 of Bazant & Baweja.

    For w/c 0.35 to 0.85, aggregate over cement 2.5 to 13.5, strength 17 to 70 MPa; at least one day of curing.
    ``age`` and ``curing_age`` [s], ``humidity`` [ratio], ``volume_surface`` [m], ``strength`` [Pa], ``water`` [kg/m^3];
    all broadcast. Returns strains [1] and a time [s]; zero before drying begins, negative where concrete swells.
    Scalars outside the bounds raise OutOfRange, array elements give NaN. Source: ACI SP-194, equations from memory.
    """
    half = half_time_b3(curing_age, volume_surface, strength, shape)
    final = humidity_factor_b3(humidity) * final_shrinkage_b3(curing_age, half, strength, water, cement_type, curing)
    grown = np.tanh(np.sqrt(np.maximum(age - curing_age, 0.0) / half))
    shape_of_all = np.broadcast_shapes(np.shape(final), np.shape(grown))
    return ShrinkageB3(final * grown, np.broadcast_to(final, shape_of_all), np.broadcast_to(half, shape_of_all))


# EN 1992-1-1, Annex B.2 and Table 3.3.
EN_CEMENTS = {"slow": (3.0, 0.13), "normal": (4.0, 0.12), "rapid": (6.0, 0.11)}
SIZES = np.array([0.100, 0.200, 0.300, 0.500])
SIZE_FACTORS = np.array([1.00, 0.85, 0.75, 0.70])


@dataclass(frozen=True)
class ShrinkageEn1992:
    """Shrinkage by EN 1992-1-1."""

    drying: Annotated[Array, Quantity("strain", "drying shrinkage", symbol="ed")]
    autogenous: Annotated[Array, Quantity("strain", "autogenous shrinkage since the concrete was placed", symbol="ea")]
    final_drying: Annotated[Array, Quantity("strain", "drying shrinkage in the end")]


@calculation(
    source="en1992",
    where="Eq. 3.8 to 3.13 and Annex B.2",
    equation="ed = kh d (t - tc) / (t - tc + 0.04 (2 V)^1.5), d = 0.85 (220 + 110 a1) exp(-a2 fcm / 10) 1.55 [1 - (H / 100)^3] 1e-6;"
    " ea = 2.5 (fcm - 8 - 10) 1e-6 [1 - exp(-0.2 t^0.5)]; a1, a2 = 3, 0.13 slow; 4, 0.12 normal; 6, 0.11 rapid;"
    " kh = 1, 0.85, 0.75, 0.70 at 2 V = 100, 200, 300, 500 mm",
)
def shrinkage_en1992(
    age: Age,
    curing_age: CuringAge,
    humidity: Humidity,
    volume_surface: VolumeSurface,
    strength: Annotated[
        Array, Quantity("stress", "mean cylinder strength at 28 days", 18 * MPA, 70 * MPA, "fcm", "MPa")
    ],
    cement: CementClass = "normal",
) -> ShrinkageEn1992:
    """Drying and autogenous shrinkage by EN 1992-1-1.

    Only the drying part waits for the end of curing. Humid air is taken by the cube to 100 per cent (no swelling), and
    the published table of sizes by straight lines, level beyond its ends.
    ``age`` and ``curing_age`` [s], ``humidity`` [ratio], ``volume_surface`` [m] (half the notional size), ``strength``
    [Pa]; all broadcast. Returns strains [1]. Scalars outside the bounds raise OutOfRange, array elements give NaN.
    Source: EN 1992-1-1, looked up as quoted.
    """
    a1, a2 = EN_CEMENTS[cement]
    f, size = strength / MPA, 2 * volume_surface
    basic = 0.85e-6 * (220 + 110 * a1) * np.exp(-a2 * f / 10) * 1.55 * (1 - humidity**3)
    final = basic * np.interp(size, SIZES, SIZE_FACTORS)
    dried = np.maximum(age - curing_age, 0.0) / DAY
    grown = dried / (dried + 0.04 * (1000 * size) ** 1.5)
    autogenous = 2.5e-6 * (f - 18) * (1 - np.exp(-0.2 * np.sqrt(age / DAY)))
    shape = np.broadcast_shapes(np.shape(final), np.shape(grown), np.shape(autogenous))
    return ShrinkageEn1992(final * grown, np.broadcast_to(autogenous, shape), np.broadcast_to(final, shape))
