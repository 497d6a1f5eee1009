"""Water that leaves a fresh surface: vapour pressure, wind brought down to the surface, and three forms of one relation."""

from __future__ import annotations

from typing import Annotated

import numpy as np

from slabwright.calculation import Array, Choice, Quantity, calculation
from slabwright.units import HOUR, KELVIN, MPH, POUND_PER_SQUARE_FOOT, PSI

__all__ = [
    "evaporation_fhwa2005",
    "evaporation_menzel",
    "evaporation_uno",
    "saturation_pressure",
    "wind_at_height",
]

Air = Annotated[Array, Quantity("temperature", "air temperature", -17.0, 60.0, "Ta")]
Surface = Annotated[Array, Quantity("temperature", "temperature of the concrete's surface", -5.0, 80.0, "Tc")]
PrintedAir = Annotated[Array, Quantity("temperature", "air temperature", -17.0, 60.0, "Ta", "degC")]
PrintedSurface = Annotated[
    Array, Quantity("temperature", "temperature of the concrete's surface", -5.0, 80.0, "Tc", "degC")
]
Humidity = Annotated[Array, Quantity("share", "relative humidity of the air", 0.0, 1.0, "r", "1")]
LowWind = Annotated[Array, Quantity("speed", "wind speed half a metre above the surface", 0.0, 40.0, "V", "mph")]
Rate = Annotated[Array, Quantity("evaporation", "evaporation", symbol="E", printed="pound/ft^2/h")]
TEN: Array = np.asarray(10.0)
HALF: Array = np.asarray(0.5)
KMH = 1000 / 3600
# Factor, and what is added to temperature [deg C] and wind [km/h], by the form of Uno's relation.
UNO_FORMS = {
    "customary": (1.8**2.5 * 0.4 / 1.609344 * POUND_PER_SQUARE_FOOT, 32 / 1.8, 1.609344 / 0.4),
    "metric, rounded": (5.0, 18.0, 4.0),
}

# Hyland and Wexler's constants over ice and over water, kelvin and pascal (ASHRAE Fundamentals, from memory).
ICE = (-5.6745359e3, 6.3925247, -9.677843e-3, 6.2215701e-7, 2.0747825e-9, -9.484024e-13, 4.1635019)
WATER = (-5.8002206e3, 1.3914993, -4.8640239e-2, 4.1764768e-5, -1.4452093e-8, 0.0, 6.5459673)


@calculation(
    source="ashrae_fundamentals",
    equation="ln p = c1 / T + c2 + c3 T + c4 T^2 + c5 T^3 + c6 T^4 + c7 ln T, constants over ice below 0 deg C and over water",
)
def saturation_pressure(
    temperature: Annotated[Array, Quantity("temperature", "temperature", -60.0, 150.0, "T")],
) -> Annotated[Array, Quantity("vapour_pressure", "vapour pressure at saturation", symbol="p", printed="Pa")]:
    """Vapour pressure of water at saturation (Hyland & Wexler 1983).

    ``temperature`` [deg C], any shape, -60 to 150; returns pressure [Pa] in the same shape. A scalar outside raises OutOfRange,
    an array element gives NaN.
    """
    kelvin = np.asarray(temperature) + KELVIN
    powers = np.stack([1 / kelvin, kelvin**0, kelvin, kelvin**2, kelvin**3, kelvin**4, np.log(kelvin)], axis=-1)
    logarithm = np.where(np.asarray(temperature) < 0, powers @ np.array(ICE), powers @ np.array(WATER))
    return np.exp(logarithm)


@calculation(source="practice", tag="common practice", equation="V = V0 (z / z0)^(1/7)")
def wind_at_height(
    wind: Annotated[Array, Quantity("speed", "wind speed as measured", 0.0, 60.0, "V0")],
    height: Annotated[Array, Quantity("length", "height at which it was measured", 0.3, 100.0, "z0")] = TEN,
    surface: Annotated[Array, Quantity("length", "height wanted", 0.1, 100.0, "z")] = HALF,
) -> Annotated[Array, Quantity("speed", "wind speed at the height wanted", symbol="V")]:
    """Wind speed brought to another height over open ground by the seventh-root law.

    ``wind`` [m/s], ``height`` and ``surface`` [m], shapes that broadcast; returns [m/s]. A scalar outside its bounds raises
    OutOfRange, an array element gives NaN. The law is for open country: barriers and traffic change it.
    """
    return wind * (np.asarray(surface) / height) ** (1 / 7)


@calculation(
    source="menzel1954",
    equation="E = 0.44 [p(Tc) - r p(Ta)] (0.253 + 0.096 V), p the vapour pressure at saturation in psi",
)
def evaporation_menzel(surface: Surface, air: Air, humidity: Humidity, wind: LowWind) -> Rate:
    """Evaporation from a wet concrete surface with true vapour pressures (Menzel 1954), the relation behind the paper chart.

    Temperatures [deg C], ``humidity`` [1] and ``wind`` [m/s], shapes that broadcast; returns [kg/(m2 s)], negative where dew
    falls. What evaporates really may be two fifths more or less (Hover 2020). A scalar outside its bounds raises OutOfRange, an
    array element gives NaN.
    """
    difference = (saturation_pressure(surface) - humidity * saturation_pressure(air)) / PSI
    return 0.44 * difference * (0.253 + 0.096 * wind / MPH) * POUND_PER_SQUARE_FOOT / HOUR


@calculation(
    source="uno1998",
    equation="E = [(1.8 Tc + 32)^2.5 - r (1.8 Ta + 32)^2.5] (1 + 0.4 V / 1.609) 10^-6, lb/ft2/h; rounded to"
    " 5 [(Tc + 18)^2.5 - r (Ta + 18)^2.5] (V + 4) 10^-6, kg/m2/h; deg C, km/h",
)
def evaporation_uno(
    surface: PrintedSurface,
    air: PrintedAir,
    humidity: Humidity,
    wind: Annotated[Array, Quantity("speed", "wind speed half a metre above the surface", 0.0, 40.0, "V", "km/h")],
    form: Annotated[str, Choice("constants of the relation", tuple(UNO_FORMS))] = "customary",
) -> Annotated[Array, Quantity("evaporation", "evaporation", symbol="E", printed="lb/ft^2/h")]:
    """Evaporation by the power law for vapour pressure (Uno 1998); up to a fifth high with warm concrete in cold air.

    Shapes, units and errors as for ``evaporation_menzel``.
    """
    factor, warmer, faster = UNO_FORMS[form]
    difference = (surface + warmer) ** 2.5 - humidity * (air + warmer) ** 2.5
    return factor * 1e-6 * difference * (wind / KMH + faster) / HOUR


@calculation(
    source="fhwa_rd02_099",
    equation="E = 4.88 [0.1113 + 0.04224 V / 0.447] 0.0443 {exp[0.0302 (1.8 Tc + 32)] - r exp[0.0302 (1.8 Ta + 32)]}, kg/m2/h, deg C, m/s",
)
def evaporation_fhwa2005(
    surface: PrintedSurface,
    air: PrintedAir,
    humidity: Humidity,
    wind: Annotated[Array, Quantity("speed", "wind speed half a metre above the surface", 0.0, 40.0, "V", "m/s")],
) -> Annotated[Array, Quantity("evaporation", "evaporation", symbol="E", printed="kg/m^2/h")]:
    """Evaporation with one exponential for vapour pressure (FHWA-RD-02-099, 2005).

    Shapes, units and errors as for ``evaporation_menzel``.
    """

    def pressure(celsius: Array) -> Array:
        return 0.0443 * np.exp(0.0302 * (1.8 * celsius + 32.0))

    return 4.88 * (0.1113 + 0.04224 * wind / 0.447) * (pressure(surface) - humidity * pressure(air)) / HOUR
