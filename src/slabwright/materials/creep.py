"""Creep: how much strain one unit of stress brings, by the age at loading and the time under load.

A compliance J(t, t') is the whole strain at age t of a unit stress put on at age t' and kept, elastic part included.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np

from slabwright.calculation import Array, Choice, Quantity, calculation
from slabwright.materials.shrinkage import (
    STANDARD_AIR,
    STANDARD_FINES,
    STANDARD_SLUMP,
    AciCuring,
    AirContent,
    B3Cement,
    B3Curing,
    B3Shape,
    CementContent,
    Fines,
    Slump,
    WaterContent,
    final_shrinkage_b3,
    half_time_b3,
)
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
    "ComplianceB3",
    "CreepAci209",
    "CreepEn1992",
    "compliance_b3",
    "compliance_from_creep",
    "creep_coefficient_aci209",
    "creep_coefficient_en1992",
]

LoadingAge = Annotated[Array, Quantity("age", "age at loading", 1 * DAY, OLDEST, "tl")]


def _under_load(age: Array, loading_age: Array) -> Any:
    """Time under load [days]; NaN before loading, where creep has no meaning."""
    return np.where(age >= loading_age, (age - loading_age) / DAY, np.nan)


@dataclass(frozen=True)
class CreepAci209:
    """Creep by ACI 209."""

    coefficient: Annotated[Array, Quantity("number", "creep strain over elastic strain", symbol="phi")]
    ultimate: Annotated[Array, Quantity("number", "creep coefficient in the end", symbol="phiu")]


@calculation(
    source="aci209",
    where="sections 2.4 to 2.6, volume-surface form",
    equation="phi = phiu (t - tl)^0.6 / (10 + (t - tl)^0.6); phiu = 2.35 gt gH gV gS gF gA; gt = 1.25 tl^-0.118 moist, 1.13 tl^-0.094 steam;"
    " gH = 1.27 - 0.0067 H; gV = (2 / 3) (1 + 1.13 exp(-0.0213 V)); gS = 0.82 + 0.00264 S; gF = 0.88 + 0.0024 F;"
    " gA = 0.46 + 0.09 A, at least 1",
)
def creep_coefficient_aci209(
    age: Age,
    loading_age: LoadingAge,
    humidity: Humidity,
    volume_surface: VolumeSurface,
    curing: AciCuring = "moist",
    slump: Slump = STANDARD_SLUMP,
    fines: Fines = STANDARD_FINES,
    air: AirContent = STANDARD_AIR,
) -> CreepAci209:
    """Creep coefficient by ACI 209R-92, with the modulus at the age of loading.

    Published for loading at 7 days and later (moist) or 1 to 3 days and later (steam); earlier than 7 days the power of
    age is carried on and hardly grows (1.25 at one day), which is suspicious: compare Model B3.
    ``age`` and ``loading_age`` [s], ``humidity``, ``fines`` and ``air`` [ratio], ``volume_surface`` and ``slump`` [m];
    all broadcast. Returns numbers [1]. An age before loading has no answer (OutOfRange, NaN in arrays), as have inputs
    outside the bounds. Source: ACI 209R-92, from memory.
    """
    first = loading_age / DAY
    young = 1.25 * first**-0.118 if curing == "moist" else 1.13 * first**-0.094
    humid = 1.27 - 0.67 * humidity
    size = 2 / 3 * (1 + 1.13 * np.exp(-0.0213 * 1000 * volume_surface))
    mix = (0.82 + 2.64 * slump) * (0.88 + 0.24 * fines) * np.maximum(0.46 + 9 * air, 1.0)
    ultimate = 2.35 * young * humid * size * mix
    power = _under_load(age, loading_age) ** 0.6
    grown = power / (10 + power)
    return CreepAci209(ultimate * grown, ultimate + 0 * grown)


@dataclass(frozen=True)
class CreepEn1992:
    """Creep by EN 1992-1-1."""

    coefficient: Annotated[Array, Quantity("number", "creep strain over elastic strain at 28 days", symbol="phi")]
    notional: Annotated[Array, Quantity("number", "creep coefficient in the end", symbol="phi0")]


@calculation(
    source="en1992",
    where="Annex B.1",
    equation="phi = phi0 [(t - tl) / (bH + t - tl)]^0.3; phi0 = [1 + (1 - H / 100) c1 / (0.1 (2 V)^(1/3))] c2 16.8 / fcm^0.5 / (0.1 + ta^0.2); "
    "ta = tl [9 / (2 + tl^1.2) + 1]^a, at least 0.5; a = -1 slow, 0 normal, 1 rapid; "
    "bH = 1.5 [1 + (0.012 H)^18] 2 V + 250 c3, at most 1500 c3; c1, c2, c3 = (35 / fcm)^0.7, ^0.2, ^0.5, at most 1",
)
def creep_coefficient_en1992(
    age: Age,
    loading_age: LoadingAge,
    humidity: Humidity,
    volume_surface: VolumeSurface,
    strength: MeanStrength,
    cement: CementClass = "normal",
) -> CreepEn1992:
    """Creep coefficient by EN 1992-1-1.

    It belongs to the tangent modulus at 28 days, 1.05 times the secant one.
    For stress below 0.45 of the strength at loading; beyond that creep grows faster.
    ``age`` and ``loading_age`` [s], ``humidity`` [ratio], ``volume_surface`` [m], ``strength`` [Pa]; all broadcast.
    An age before loading has no answer (OutOfRange, NaN in arrays), as have inputs outside the bounds.
    Source: EN 1992-1-1, looked up as quoted.
    """
    f, size, first = strength / MPA, 2000 * volume_surface, loading_age / DAY
    weaker = np.minimum(35 / f, 1.0)
    humid = (1 + (1 - humidity) / (0.1 * np.cbrt(size)) * weaker**0.7) * weaker**0.2
    adjusted = np.maximum(first * (9 / (2 + first**1.2) + 1) ** {"slow": -1, "normal": 0, "rapid": 1}[cement], 0.5)
    slow = np.minimum(1.5 * (1 + (1.2 * humidity) ** 18) * size + 250 * np.sqrt(weaker), 1500 * np.sqrt(weaker))
    under = _under_load(age, loading_age)
    notional = humid * 16.8 / np.sqrt(f) / (0.1 + adjusted**0.2)
    grown = (under / (slow + under)) ** 0.3
    return CreepEn1992(notional * grown, notional + 0 * grown)


@calculation(source="aci209", where="definition, as in ACI 209.2R-08, Appendix A", equation="J = 1 / E + phi / Er")
def compliance_from_creep(
    modulus: Annotated[Array, Quantity("modulus", "modulus at the age of loading", 1e9, 1e11, "E")],
    creep: Annotated[Array, Quantity("number", "creep coefficient", 0.0, 20.0, "phi")],
    reference: Annotated[Array, Quantity("modulus", "modulus to which the creep coefficient belongs", 1e9, 1e11, "Er")],
) -> Annotated[Array, Quantity("compliance", "strain by a unit of stress", symbol="J")]:
    """Compliance from a creep coefficient.

    For ACI 209 the reference is the modulus at loading itself, for EN 1992-1-1 the tangent modulus at 28 days.
    ``modulus`` and ``reference`` [Pa], ``creep`` [1]; all broadcast. Returns [1/Pa]. Scalars outside the bounds raise
    OutOfRange, array elements give NaN. Source: definition, as in ACI 209.2R-08, Appendix A.
    """
    return 1 / modulus + creep / reference


@dataclass(frozen=True)
class ComplianceB3:
    """Strain by a unit of stress, by Model B3."""

    compliance: Annotated[Array, Quantity("compliance", "whole strain", symbol="J")]
    instantaneous: Annotated[Array, Quantity("compliance", "strain at once", symbol="q1")]
    basic: Annotated[Array, Quantity("compliance", "basic creep", symbol="C0")]
    drying: Annotated[Array, Quantity("compliance", "drying creep", symbol="Cd")]


def _q_approximate(age: Array, loading_age: Array) -> Any:
    """The binomial integral Q of B3 [1], within half a per cent of quadrature; ages in days."""
    grown = np.log1p(np.maximum(age - loading_age, 0.0) ** 0.1)
    limit = 1 / (0.086 * loading_age ** (2 / 9) + 1.21 * loading_age ** (4 / 9))
    r = 1.7 * loading_age**0.12 + 8
    z = grown / np.sqrt(loading_age)
    return z / (1 + (z / limit) ** r) ** (1 / r)


def _drying_creep(
    age: Array, first: Array, curing_age: Array, humidity: Array, half: Array, final: Array, strength: Array
) -> Any:
    """Drying creep of B3 [1e-6/MPa]; only what dries while under load counts."""

    def moisture(at: Any) -> Any:
        return 1 - (1 - humidity) * np.tanh(np.sqrt(np.maximum(at - curing_age, 0.0) / half))

    began = np.maximum(first, curing_age)
    inside = np.exp(-8 * moisture(np.maximum(age, began))) - np.exp(-8 * moisture(began))
    q5 = 7.57e5 / (strength / MPA) * (np.abs(final) * 1e6) ** -0.6
    return q5 * np.sqrt(np.maximum(inside, 0.0))


@calculation(
    source="b3",
    where="Chapter 1",
    equation="J = q1 + C0 + Cd, 1e-6/MPa; q1 = 0.6e6 / (4735 fcm^0.5); C0 = q2 Q(t, tl) + q3 ln[1 + (t - tl)^0.1] + q4 ln(t / tl); "
    "q2 = 185.4 c^0.5 fcm^-0.9; q3 = 0.29 (w / c)^4 q2; q4 = 20.3 ac^-0.7; Cd = q5 [exp(-8 h(t)) - exp(-8 h(t0))]^0.5, t0 = max(tl, tc), "
    "h(t) = 1 - (1 - H / 100) tanh{[(t - tc) / th]^0.5}, q5 = 7.57e5 / fcm (1e6 eu)^-0.6; th and eu as for shrinkage with V",
)
def compliance_b3(
    age: Age,
    loading_age: LoadingAge,
    curing_age: CuringAge,
    humidity: Humidity,
    volume_surface: VolumeSurface,
    strength: MeanStrength,
    cement: CementContent,
    water: WaterContent,
    aggregate: Annotated[Array, Quantity("number", "aggregate over cement, by weight", 2.5, 13.5, "ac")],
    cement_type: B3Cement = "type I",
    curing: B3Curing = "moist",
    shape: B3Shape = "slab",
    drying: Annotated[str, Choice("whether drying adds to creep", ("with drying", "sealed"))] = "with drying",
) -> ComplianceB3:
    """Compliance by Model B3 of Bazant & Baweja, basic creep and drying creep apart.

    The strain at once is that of the shortest loads (some milliseconds); a modulus from a test of minutes already holds
    creep of 0.01 to 0.1 days. For w/c 0.35 to 0.85, strength 17 to 70 MPa, loading after at least one day.
    ``age``, ``loading_age`` and ``curing_age`` [s], ``humidity`` [ratio], ``volume_surface`` [m], ``strength`` [Pa],
    ``cement`` and ``water`` [kg/m^3], ``aggregate`` [1]; all broadcast. Returns [1/Pa]. An age before loading has no
    answer (OutOfRange, NaN in arrays), as have inputs outside the bounds. Source: ACI SP-194, equations from memory.
    """
    t, first, f = age / DAY, loading_age / DAY, strength / MPA
    under = _under_load(age, loading_age)
    q1 = 0.6e6 / (4735 * np.sqrt(f))
    q2 = 185.4 * np.sqrt(cement) * f**-0.9
    basic = q2 * (_q_approximate(t, first) + 0.29 * (water / cement) ** 4 * np.log1p(under**0.1))
    basic = basic + 20.3 * aggregate**-0.7 * np.log(t / first)
    half = half_time_b3(curing_age, volume_surface, strength, shape)
    final = final_shrinkage_b3(curing_age, half, strength, water, cement_type, curing)
    extra = _drying_creep(age, loading_age, curing_age, humidity, half, final, strength) + 0 * basic
    extra = extra if drying == "with drying" else 0 * extra
    unit = 1e-6 / MPA
    return ComplianceB3((q1 + basic + extra) * unit, (q1 + 0 * basic) * unit, basic * unit, extra * unit)
