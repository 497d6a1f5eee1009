"""What the air, the sun and the sky do to the top of a pavement, and the daily wave of temperature below it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

import numpy as np

from slabwright.calculation import Array, Quantity, calculation
from slabwright.units import BTU, FOOT, KELVIN, MPH

__all__ = [
    "BLACK_BODY",
    "EffectiveAir",
    "PeriodicTemperature",
    "SkyRadiation",
    "effective_air_barber",
    "periodic_temperature_barber",
    "sky_radiation_clark_allen",
    "surface_coefficient_barber",
    "surface_coefficient_nist",
]

BLACK_BODY = 5.670374419e-8  # W/(m^2 K^4), exact by the SI of 2019
BTU_SURFACE = BTU / 3600 / FOOT**2 * 1.8  # BTU/(h ft^2 °F) in W/(m^2 K)

Wind = Annotated[Array, Quantity("speed", "wind speed", 0.0, 113.0, "v", "mph")]
SurfaceCoefficient = Annotated[
    Array, Quantity("surface_coefficient", "surface coefficient", 1.0, 1000.0, "h", "BTU/h/ft^2/delta_degF")
]
Conductivity = Annotated[Array, Quantity("conductivity", "thermal conductivity", 0.05, 10.0, "k")]
Density = Annotated[Array, Quantity("density", "density", 500.0, 4000.0, "w", "pound/ft^3")]
HeatCapacity = Annotated[Array, Quantity("heat_capacity", "specific heat", 200.0, 5000.0, "s")]
DAY: Array = np.asarray(86400.0)


@calculation(source="barber1957", equation="h = 1.3 + 0.62 v^0.75")
def surface_coefficient_barber(wind: Wind) -> SurfaceCoefficient:
    """Surface coefficient of a pavement, average loss to the sky included (Barber). [W/(m^2 K)]"""
    return (1.3 + 0.62 * (wind / MPH) ** 0.75) * BTU_SURFACE


@calculation(source="nistir6551", equation="h = 5.6 + 4.0 v up to 5 m/s, else 7.2 v^0.78")
def surface_coefficient_nist(
    wind: Annotated[Array, Quantity("speed", "wind speed", 0.0, 113.0, "v", "m/s")],
) -> Annotated[
    Array, Quantity("surface_coefficient", "surface coefficient of convection", symbol="h", printed="W/m^2/K")
]:
    """Surface coefficient of convection alone; the sky's long waves are reckoned apart (NISTIR 6551). [W/(m^2 K)]"""
    return np.where(wind <= 5, 5.6 + 4.0 * wind, 7.2 * wind**0.78)


@dataclass(frozen=True)
class SkyRadiation:
    """Long-wave radiation from the sky, with its parts."""

    dew_point: Annotated[Array, Quantity("temperature", "dew point", symbol="Td", printed="degC")]
    clear_emissivity: Annotated[Array, Quantity("number", "emissivity of the clear sky", symbol="e")]
    cloud_factor: Annotated[Array, Quantity("number", "factor for clouds", symbol="c")]
    radiation: Annotated[Array, Quantity("irradiance", "radiation on the level", symbol="L")]


@calculation(
    source="clark_allen1978",
    equation="L = e c 5.6704e-8 (T + 273.15)^4, e = 0.787 + 0.764 ln[(Td + 273.15) / 273],"
    " c = 1 + 0.0224 N - 0.0035 N^2 + 0.00028 N^3 (N in tenths), Td = 243.04 g / (17.625 - g), g = ln(RH) + 17.625 T / (T + 243.04)",
)
def sky_radiation_clark_allen(
    air_temperature: Annotated[Array, Quantity("temperature", "air temperature", -70.0, 60.0, "T", "degC")],
    humidity: Annotated[Array, Quantity("share", "relative humidity", 0.01, 1.0, "RH", "1")],
    sky_cover: Annotated[Array, Quantity("share", "share of the sky under cloud", 0.0, 1.0, "N", "1")],
) -> SkyRadiation:
    """Long-wave radiation of the sky from humidity and clouds (Clark & Allen; Walton). [degC, W/m^2]"""
    grown = np.log(humidity) + 17.625 * air_temperature / (air_temperature + 243.04)
    dew = 243.04 * grown / (17.625 - grown)
    clear = 0.787 + 0.764 * np.log((dew + KELVIN) / 273.0)
    tenths = 10 * sky_cover
    cloud = 1 + 0.0224 * tenths - 0.0035 * tenths**2 + 0.00028 * tenths**3
    return SkyRadiation(dew, clear, cloud, clear * cloud * BLACK_BODY * (air_temperature + KELVIN) ** 4)


@dataclass(frozen=True)
class PeriodicTemperature:
    """How much of a wave of the air's temperature is felt at a depth, and how late."""

    amplitude: Annotated[Array, Quantity("number", "amplitude over that of the air", symbol="a")]
    lag: Annotated[Array, Quantity("number", "lag as an angle, radians", symbol="g")]
    delay: Annotated[Array, Quantity("duration", "lag as a time")]


@calculation(
    source="barber1957",
    equation="a = exp(-x C) H / sqrt[(H + C)^2 + C^2], g = x C + atan[C / (H + C)], H = h / k, C = sqrt[pi s w / (k P)]",
)
def periodic_temperature_barber(
    depth: Annotated[Array, Quantity("thickness", "depth below the surface", 0.0, 5.0, "x", "ft")],
    surface_coefficient: SurfaceCoefficient,
    conductivity: Conductivity,
    density: Density,
    heat_capacity: HeatCapacity,
    period: Annotated[Array, Quantity("duration", "period of the wave", 3600.0, 4e7, "P")] = DAY,
) -> PeriodicTemperature:
    """Steady wave of temperature in a deep pavement under air whose temperature swings (Barber)."""
    wave = np.sqrt(np.pi * heat_capacity * density / (conductivity * period))
    relative = surface_coefficient / conductivity
    lag = depth * wave + np.arctan(wave / (relative + wave))
    amplitude = np.exp(-depth * wave) * relative / np.hypot(relative + wave, wave)
    return PeriodicTemperature(amplitude, lag, lag * period / (2 * np.pi))


@dataclass(frozen=True)
class EffectiveAir:
    """Air temperature that stands for air and sun together."""

    rise: Annotated[Array, Quantity("temperature_change", "mean rise by the sun", symbol="R")]
    mean: Annotated[Array, Quantity("temperature", "mean of the wave", symbol="TM")]
    amplitude: Annotated[Array, Quantity("temperature_change", "amplitude of the wave by day", symbol="TV")]


@calculation(
    source="barber1957",
    tag="from memory",
    equation="R = (2/3) b I / h (I = 3.69 L / 24 for L langleys a day), TM = TA + R, TV = 0.5 TR + 3 R",
)
def effective_air_barber(
    air_mean: Annotated[Array, Quantity("temperature", "mean air temperature of the day", -60.0, 50.0, "TA")],
    air_range: Annotated[Array, Quantity("temperature_change", "daily range of air temperature", 0.0, 40.0, "TR")],
    radiation: Annotated[Array, Quantity("irradiance", "sun and sky on the level, mean of the day", 0.0, 600.0, "I")],
    absorptivity: Annotated[Array, Quantity("share", "share of the sun that is absorbed", 0.0, 1.0, "b", "1")],
    surface_coefficient: SurfaceCoefficient,
) -> EffectiveAir:
    """Effective air temperature of a sunny day (Barber): two thirds of what is absorbed, a third lost to the sky."""
    rise = 2 / 3 * absorptivity * radiation / surface_coefficient
    return EffectiveAir(rise, air_mean + rise, 0.5 * air_range + 3 * rise)
