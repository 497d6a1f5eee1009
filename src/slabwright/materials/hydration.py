"""Heat and degree of hydration of a cement with ash or slag, from its composition."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

import numpy as np

from slabwright.calculation import Array, Quantity, calculation
from slabwright.materials.maturity import rate_factor
from slabwright.units import HOUR

__all__ = [
    "HYDRATION_REFERENCE",
    "Hydration",
    "degree_of_hydration",
    "heat_rate",
    "hydration_parameters",
]

HYDRATION_REFERENCE = 21.1  # deg C at which the equivalent age of the model is counted
NONE: Array = np.asarray(0.0)


def _share(meaning: str, high: float, symbol: str) -> Quantity:
    return Quantity("share", meaning, 0.0, high, symbol, "1")


@dataclass(frozen=True)
class Hydration:
    """Heat in the end, shape of the curve and activation energy of one binder."""

    cement_heat: Annotated[
        Array, Quantity("heat_of_hydration", "heat of the cement wholly hydrated", symbol="Hc", printed="J/g")
    ]
    heat: Annotated[
        Array, Quantity("heat_of_hydration", "heat of the binder wholly hydrated", symbol="Hu", printed="J/g")
    ]
    ultimate: Annotated[Array, Quantity("number", "degree of hydration in the end", symbol="au")]
    slope: Annotated[Array, Quantity("number", "slope of the curve", symbol="beta")]
    time: Annotated[Array, Quantity("duration", "time of the curve", symbol="tau", printed="h")]
    activation_energy: Annotated[
        Array, Quantity("activation_energy", "activation energy", symbol="Ea", printed="J/mol")
    ]


@calculation(
    source="schindler2005",
    equation="Hc = 500 C3S + 260 C2S + 866 C3A + 420 C4AF + 624 SO3 + 1186 CaO + 850 MgO, Hu = Hc pc + 461 ps + 1800 fc pf,"
    " au = min[1.031 w / (0.194 + w) + 0.50 pf + 0.30 ps, 1], beta = 181.4 C3A^0.146 C3S^0.227 F^-0.535 SO3^0.558 exp(-0.647 ps),"
    " tau = 66.78 C3A^-0.154 C3S^-0.401 F^-0.804 SO3^-0.758 exp(2.187 ps + 9.50 pf fc),"
    " Ea = 22100 C3A^0.30 C4AF^0.25 F^0.35 [1 - 1.05 pf (1 - fc / 0.40) + 0.40 ps]",
)
def hydration_parameters(
    c3s: Annotated[Array, Quantity("share", "alite, share of the cement", 0.15, 0.80, "C3S", "1")],
    c2s: Annotated[Array, _share("belite, share of the cement", 0.70, "C2S")],
    c3a: Annotated[Array, Quantity("share", "aluminate, share of the cement", 0.005, 0.25, "C3A", "1")],
    c4af: Annotated[Array, Quantity("share", "ferrite, share of the cement", 0.005, 0.25, "C4AF", "1")],
    so3: Annotated[Array, Quantity("share", "sulphate, share of the cement", 0.005, 0.06, "SO3", "1")],
    free_lime: Annotated[Array, _share("free lime, share of the cement", 0.05, "CaO")],
    magnesia: Annotated[Array, _share("magnesia, share of the cement", 0.08, "MgO")],
    blaine: Annotated[Array, Quantity("fineness", "fineness of the cement by Blaine", 200.0, 700.0, "F")],
    water_binder: Annotated[Array, Quantity("number", "water over binder by mass", 0.25, 0.80, "w")],
    slag: Annotated[Array, _share("slag, share of the binder", 0.80, "ps")] = NONE,
    ash: Annotated[Array, _share("fly ash, share of the binder", 0.60, "pf")] = NONE,
    ash_lime: Annotated[Array, _share("lime in the fly ash, share of it", 0.40, "fc")] = NONE,
) -> Hydration:
    """Parameters of the three-parameter degree of hydration (Schindler & Folliard 2005).

    Shares and ratio [1], ``blaine`` [m2/kg], shapes that broadcast; returns heats [J/kg], time [s] and energy [J/mol]. Slag and ash
    must leave some cement: where they do not the answer is NaN. A scalar outside its bounds raises OutOfRange, an array element
    gives NaN.
    """
    cement = np.asarray(1.0 - np.asarray(slag) - ash)
    cement = np.where(cement > 0, cement, np.nan)
    own = 1e3 * (500 * c3s + 260 * c2s + 866 * c3a + 420 * c4af + 624 * so3 + 1186 * free_lime + 850 * magnesia)
    heat = own * cement + 1e3 * (461 * slag + 1800 * ash_lime * ash)
    ultimate = np.minimum(1.031 * water_binder / (0.194 + water_binder) + 0.50 * ash + 0.30 * slag, 1.0)
    slope = 181.4 * c3a**0.146 * c3s**0.227 * blaine**-0.535 * so3**0.558 * np.exp(-0.647 * slag)
    time = (
        66.78 * c3a**-0.154 * c3s**-0.401 * blaine**-0.804 * so3**-0.758 * np.exp(2.187 * slag + 9.50 * ash * ash_lime)
    )
    energy = 22100 * c3a**0.30 * c4af**0.25 * blaine**0.35
    energy = energy * (1 - 1.05 * ash * (1 - ash_lime / 0.40) + 0.40 * slag)
    return Hydration(own + 0 * heat, heat, ultimate + 0 * heat, slope, time * HOUR, energy)


EquivalentAge = Annotated[Array, Quantity("duration", "equivalent age at 21.1 deg C", 0.0, 1e9, "t", "h")]
Ultimate = Annotated[Array, Quantity("number", "degree of hydration in the end", 0.0, 1.0, "au")]
Time = Annotated[Array, Quantity("duration", "time of the curve", HOUR, 500 * HOUR, "tau", "h")]
Slope = Annotated[Array, Quantity("number", "slope of the curve", 0.1, 3.0, "beta")]


@calculation(source="schindler2005", equation="a = au exp[-(tau / t)^beta], 0 at t = 0")
def degree_of_hydration(
    age: EquivalentAge, ultimate: Ultimate, time: Time, slope: Slope
) -> Annotated[Array, Quantity("number", "degree of hydration", symbol="a")]:
    """Degree of hydration at an equivalent age.

    ``age`` and ``time`` [s], shapes that broadcast; returns [1]. A scalar outside its bounds raises OutOfRange, an array element
    gives NaN.
    """
    with np.errstate(divide="ignore"):
        return ultimate * np.exp(-((time / np.asarray(age, dtype=float)) ** slope))


@calculation(
    source="schindler2005",
    equation="q = Hu C (tau / t)^beta (beta / t) a exp[Ea / 8.314 (1 / 294.25 - 1 / T)], a = au exp[-(tau / t)^beta]",
)
def heat_rate(
    age: EquivalentAge,
    temperature: Annotated[Array, Quantity("temperature", "temperature of the concrete", -30.0, 100.0, "T", "K")],
    binder: Annotated[Array, Quantity("content", "binder in the concrete", 100.0, 800.0, "C")],
    heat: Annotated[Array, Quantity("heat_of_hydration", "heat of the binder wholly hydrated", 1e5, 8e5, "Hu", "J/kg")],
    ultimate: Ultimate,
    time: Time,
    slope: Slope,
    activation_energy: Annotated[Array, Quantity("activation_energy", "activation energy", 15e3, 90e3, "Ea", "J/mol")],
) -> Annotated[Array, Quantity("heat_rate", "heat set free in a volume", symbol="q", printed="W/m^3")]:
    """Heat that hydrating concrete sets free.

    ``age`` and ``time`` [s], ``temperature`` [deg C], ``binder`` [kg/m3], ``heat`` [J/kg], ``activation_energy`` [J/mol], shapes
    that broadcast; returns [W/m3], 0 at age 0. A scalar outside its bounds raises OutOfRange, an array element gives NaN.
    """
    aged = np.maximum(np.asarray(age, dtype=float), 1.0)  # a second: the curve is flat to all digits before
    past = (time / aged) ** slope
    rate = past * slope / aged * ultimate * np.exp(-past)
    return heat * binder * rate * rate_factor(temperature, activation_energy, HYDRATION_REFERENCE)
