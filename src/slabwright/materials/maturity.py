"""Maturity: temperature and time as one age, and the strength that belongs to it."""

from __future__ import annotations

from typing import Annotated

import numpy as np

from slabwright.calculation import Array, Quantity, calculation
from slabwright.units import HOUR, KELVIN

__all__ = [
    "GAS",
    "activation_energy_fhp",
    "equivalent_age",
    "maturity_nurse_saul",
    "rate_factor",
    "strength_exponential",
    "strength_hyperbolic",
    "strength_plowman",
]

GAS = 8.31446261815324  # J/(mol K), exact by the SI of 2019
COLD, WARM = -30.0, 100.0
LONGEST = 10 * 365.25 * 24 * HOUR

Temperature = Annotated[Array, Quantity("temperature", "temperature of the concrete", COLD, WARM, "T", "K")]
Temperatures = Annotated[
    Array, Quantity("temperature", "mean temperature of each interval", COLD, WARM, "T", "degC", vector=True)
]
Intervals = Annotated[Array, Quantity("duration", "length of each interval", 0.0, LONGEST, "dt", "h", vector=True)]
Energy = Annotated[Array, Quantity("activation_energy", "apparent activation energy", 15e3, 90e3, "Ea", "J/mol")]
Reference = Annotated[Array, Quantity("temperature", "reference temperature", 0.0, 40.0, "Tr", "K")]
Datum = Annotated[Array, Quantity("temperature", "datum temperature", -15.0, 10.0, "T0", "degC")]
Age = Annotated[Array, Quantity("duration", "equivalent age", 0.0, LONGEST, "t", "h")]
Ultimate = Annotated[Array, Quantity("stress", "strength reached in the end", 1e5, 200e6, "Su", "MPa")]
Strength = Annotated[Array, Quantity("stress", "strength", symbol="S", printed="MPa")]
USUAL_ENERGY: Array = np.asarray(5000.0 * GAS)  # ASTM C1074's Q of 5,000 K, from memory
ROOM: Array = np.asarray(20.0)
ZERO: Array = np.asarray(0.0)


@calculation(source="astm_c1074", equation="f = exp[-Ea / 8.314 (1 / T - 1 / Tr)]")
def rate_factor(
    temperature: Temperature, activation_energy: Energy = USUAL_ENERGY, reference: Reference = ROOM
) -> Annotated[Array, Quantity("number", "rate over that at the reference temperature", symbol="f")]:
    """How much faster concrete matures at a temperature than at the reference, by Arrhenius.

    Temperatures [deg C] and ``activation_energy`` [J/mol], shapes that broadcast; returns the ratio [1]. A scalar outside its
    bounds raises OutOfRange, an array element gives NaN.
    """
    inverse = 1 / (np.asarray(temperature) + KELVIN) - 1 / (np.asarray(reference) + KELVIN)
    return np.exp(-activation_energy / GAS * inverse)


@calculation(source="freiesleben1977", equation="Ea = 33500 + 1470 max(20 - T, 0), J/mol, deg C")
def activation_energy_fhp(
    temperature: Annotated[Array, Quantity("temperature", "temperature of the concrete", COLD, WARM, "T", "degC")],
) -> Annotated[Array, Quantity("activation_energy", "apparent activation energy", symbol="Ea", printed="J/mol")]:
    """Activation energy that rises in the cold (Freiesleben Hansen & Pedersen 1977).

    ``temperature`` [deg C], any shape; returns [J/mol] in the same shape. A scalar outside raises OutOfRange, an array element
    gives NaN.
    """
    return 33500.0 + 1470.0 * np.maximum(20.0 - np.asarray(temperature), 0.0)


@calculation(source="astm_c1074", equation="M = sum of max(T - T0, 0) dt")
def maturity_nurse_saul(
    temperatures: Temperatures, intervals: Intervals, datum: Datum = ZERO
) -> Annotated[Array, Quantity("maturity", "temperature-time factor", symbol="M", printed="delta_degC*h")]:
    """Temperature-time factor of Nurse and Saul: what lies below the datum counts as nothing.

    ``temperatures`` [deg C] and ``intervals`` [s] (..., n), ``datum`` [deg C]; returns [K s], summed over the last axis.
    A scalar outside its bounds raises OutOfRange, an array element gives NaN.
    """
    above = np.maximum(np.asarray(temperatures) - np.asarray(datum)[..., None], 0.0)
    return np.asarray((above * intervals).sum(axis=-1))


@calculation(source="astm_c1074", equation="t = sum of exp[-Ea / 8.314 (1 / (T + 273.15) - 1 / Tr)] dt")
def equivalent_age(
    temperatures: Temperatures,
    intervals: Intervals,
    activation_energy: Energy = USUAL_ENERGY,
    reference: Reference = ROOM,
) -> Annotated[Array, Quantity("duration", "age at the reference temperature that matures as much", symbol="t")]:
    """Equivalent age by Arrhenius: the hours at the reference temperature that do as much.

    ``temperatures`` [deg C] and ``intervals`` [s] (..., n), ``activation_energy`` [J/mol], ``reference`` [deg C]; returns [s],
    summed over the last axis. A scalar outside its bounds raises OutOfRange, an array element gives NaN.
    """
    inverse = 1 / (np.asarray(temperatures) + KELVIN) - (1 / (np.asarray(reference) + KELVIN))[..., None]
    factors = np.exp(-(np.asarray(activation_energy) / GAS)[..., None] * inverse)
    return np.asarray((factors * intervals).sum(axis=-1))


@calculation(source="astm_c1074", equation="S = Su k (t - t0) / [1 + k (t - t0)], 0 up to t0; k in 1/h")
def strength_hyperbolic(
    age: Age,
    ultimate: Ultimate,
    rate: Annotated[Array, Quantity("frequency_in_time", "rate constant", 1e-8, 1e-3, "k", "1/h")],
    start: Annotated[Array, Quantity("duration", "age at which strength begins", 0.0, 7 * 24 * HOUR, "t0", "h")],
) -> Strength:
    """Strength by the hyperbola of the maturity method.

    ``age`` and ``start`` [s], ``ultimate`` [Pa], ``rate`` [1/s], shapes that broadcast; returns [Pa]. A scalar outside its
    bounds raises OutOfRange, an array element gives NaN.
    """
    grown = rate * np.maximum(np.asarray(age) - start, 0.0)
    return ultimate * grown / (1 + grown)


@calculation(source="freiesleben1977", equation="S = Su exp[-(tau / t)^b], 0 at t = 0")
def strength_exponential(
    age: Age,
    ultimate: Ultimate,
    time_constant: Annotated[Array, Quantity("duration", "time constant", 0.5 * HOUR, 1000 * HOUR, "tau", "h")],
    exponent: Annotated[Array, Quantity("number", "exponent", 0.1, 3.0, "b")],
) -> Strength:
    """Strength by the exponential of Freiesleben Hansen and Pedersen.

    ``age`` and ``time_constant`` [s], ``ultimate`` [Pa], shapes that broadcast; returns [Pa]. A scalar outside its bounds
    raises OutOfRange, an array element gives NaN.
    """
    with np.errstate(divide="ignore"):
        return ultimate * np.exp(-((time_constant / np.asarray(age, dtype=float)) ** exponent))


@calculation(source="plowman1956", equation="S = a + b log10(M), M in deg C h; 0 where that is below")
def strength_plowman(
    maturity: Annotated[Array, Quantity("maturity", "temperature-time factor", 3600.0, 1e12, "M", "delta_degC*h")],
    intercept: Annotated[Array, Quantity("stress", "strength at one degree-hour", -200e6, 200e6, "a", "MPa")],
    slope: Annotated[Array, Quantity("stress", "strength gained by a tenfold maturity", 0.0, 200e6, "b", "MPa")],
) -> Strength:
    """Strength by the logarithm of maturity (Plowman).

    ``maturity`` [K s], ``intercept`` and ``slope`` [Pa], shapes that broadcast; returns [Pa]. A scalar outside its bounds raises
    OutOfRange, an array element gives NaN.
    """
    return np.maximum(intercept + slope * np.log10(np.asarray(maturity) / HOUR), 0.0)
