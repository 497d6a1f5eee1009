"""The year's temperatures of the pavement grouped for fatigue.

A temperature profile is split into a mean, a linear part over the whole section that bends it as the profile would,
and the rest, which balances itself within the section and is felt as stress on its faces.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from slabwright.calculation import Array
from slabwright.climate.heat import (
    sky_radiation_clark_allen,
)
from slabwright.climate.heat_year import HeatSettings, heat_year
from slabwright.errors import InputError, MissingFact
from slabwright.records.facts import Facts
from slabwright.traffic.truck_hours import truck_hours

__all__ = [
    "HourlyWeather",
    "LinearPart",
    "TemperatureClasses",
    "hourly_weather",
    "linear_part",
    "temperature_classes",
    "yearly_classes",
]

CLASS_WIDTH = 2.0  # K of temperature difference
WHOLE_YEARS = (8760, 8784)
FACES = 4


@dataclass(frozen=True)
class TemperatureClasses:
    """Hours of a year grouped by month and by equivalent linear difference through the whole section.

    month: (n,) 1 to 12; difference: (n,) K, top minus bottom; residual: (n, 4) K, the temperature less its
    equivalent linear profile at the four faces of ``plate.stresses.FACES``; share: (n,) of a year's trucks that
    pass in the class, sum 1.
    """

    month: Array
    difference: Array
    residual: Array
    share: Array


@dataclass(frozen=True)
class LinearPart:
    """Mean (hours,) °C, difference (hours,) K from bottom to top, and residual (hours, 4) K at the four faces."""

    mean: Array
    difference: Array
    residual: Array


@dataclass(frozen=True)
class HourlyWeather:
    """A whole year of hours, gaps bridged: calendar, air [°C], wind [m/s], sun and sky [W/m2]; each (hours,)."""

    month: Array
    hour: Array
    air: Array
    wind: Array
    sun: Array
    sky: Array


def linear_part(
    temperature: Array, depths: Array, overlay: float, overlay_modulus: float, slab_modulus: float
) -> LinearPart:
    """Split profiles (hours, nodes) [°C], straight between nodes at depths (nodes,) [m], of an overlay on an old slab.

    ``overlay`` [m] thick, moduli [Pa], scalars. Force and moment of the strains are those of the whole section acting as
    one, weighted by the moduli; both layers expand alike. The lowest node is the bottom of the old slab, and a node lies
    where the layers meet. Raises nothing.
    """
    upper, lower = depths[:-1], depths[1:]
    stiff = np.where((upper + lower) / 2 < overlay, overlay_modulus, slab_modulus) * (lower - upper)
    force = np.append(stiff / 2, 0) + np.append(0, stiff / 2)
    moment = np.append(stiff * (2 * upper + lower) / 6, 0) + np.append(0, stiff * (upper + 2 * lower) / 6)
    axis = moment.sum() / force.sum()
    bending = (stiff * (upper**2 + upper * lower + lower**2) / 3).sum() - force.sum() * axis**2
    mean = temperature @ force / force.sum()
    slope = temperature @ (moment - axis * force) / bending
    faces = np.array([0.0, overlay, overlay, depths[-1]])
    at = np.searchsorted(depths, faces - 1e-9)
    residual = temperature[:, at] - mean[:, None] - slope[:, None] * (faces - axis)
    return LinearPart(mean, -slope * depths[-1], residual)


def temperature_classes(
    part: LinearPart, month: Array, trucks: Array, width: float = CLASS_WIDTH
) -> TemperatureClasses:
    """Hours grouped by month and by steps of difference [K]; trucks: (hours,) share of the year's, sum 1.

    Difference and residual of a class are the means over its trucks; hours without trucks are left out. Raises InputError
    unless the width of a class is greater than zero.
    """
    if not width > 0:
        raise InputError("the width of a temperature class must be greater than zero", given=width)
    kept = trucks > 0
    share, difference, residual = trucks[kept] / trucks[kept].sum(), part.difference[kept], part.residual[kept]
    keys = np.stack([month[kept], np.floor(difference / width)])
    found, place = np.unique(keys, axis=1, return_inverse=True)
    place = place.ravel()
    total = np.bincount(place, share).astype(np.float64)
    means = [np.bincount(place, share * column) / total for column in (difference, *residual.T)]
    return TemperatureClasses(found[0], means[0], np.stack(means[1:], axis=1), total)


def yearly_classes(
    weather: HourlyWeather,
    overlays: Array,
    slab: float,
    overlay_modulus: float,
    slab_modulus: float,
    settings: HeatSettings | None = None,
    share_by_hour: Array | None = None,
    width: float = CLASS_WIDTH,
) -> tuple[TemperatureClasses, ...]:
    """The classes at each overlay thickness (n,) [m] on one old slab, from one run of the heat of a year.

    Trucks of an hour meet the mean of the profiles at its two ends. Raises InputError and NotConverged.
    """
    year = heat_year(weather.air, weather.wind, weather.sun, weather.sky, overlays, slab, settings)
    during = (year.temperature + np.roll(year.temperature, 1, axis=0)) / 2
    trucks = truck_hours(weather.hour, share_by_hour)
    return tuple(
        temperature_classes(
            linear_part(during[:, at], year.depths[at], float(overlay), overlay_modulus, slab_modulus),
            weather.month,
            trucks,
            width,
        )
        for at, overlay in enumerate(np.atleast_1d(overlays))
    )


def hourly_weather(facts: Facts) -> HourlyWeather:
    """The project's year of weather with its gaps bridged from the hours around them.

    Air [°C], wind [m/s], sun and sky [W/m2], each (hours,). The sky's long waves are estimated from humidity and clouds
    where the file has none. Raises MissingFact when there is no weather or a whole column is missing, InputError when it
    is no whole year.
    """
    table = facts.need("weather", "life")
    if len(table) not in WHOLE_YEARS:
        raise InputError(
            "the table weather does not hold a whole year",
            given=f"{len(table):,} hours",
            allowed="8,760 or 8,784 hours",
            remedy="Take its file out and load one whole year.",
        )
    _needed(table)
    month, hour = table["month"].to_numpy(dtype=np.float64), table["hour"].to_numpy(dtype=np.float64)
    air, wind, sun = (_bridged(table, name) for name in ("air_temperature", "wind_speed", "global_radiation"))
    if table["sky_radiation"].notna().any():
        return HourlyWeather(month, hour, air, wind, sun, _bridged(table, "sky_radiation"))
    humidity = np.clip(_bridged(table, "relative_humidity"), 0.01, 1.0)  # fog is written as more than saturated
    sky = sky_radiation_clark_allen(air, humidity, _bridged(table, "sky_cover")).radiation
    return HourlyWeather(month, hour, air, wind, sun, np.asarray(sky))


def _needed(table: pd.DataFrame) -> None:
    """MissingFact that names every column which the heat of a year lacks, once and together."""
    sky = () if table["sky_radiation"].notna().any() else ("relative_humidity", "sky_cover")
    asked = ("air_temperature", "wind_speed", "global_radiation", *sky)
    lacking = [name.replace("_", " ") for name in asked if table[name].isna().all()]
    if lacking:
        instead = (
            ", or sky radiation in place of relative humidity and sky cover"
            if {*lacking} & {"relative humidity", "sky cover"}
            else ""
        )
        raise MissingFact(
            f"the temperatures of the pavement need {', '.join(lacking)} in the table weather, which has none{instead}",
            remedy="Load a weather file that holds it, such as an EPW file.",
        )


def _bridged(table: pd.DataFrame, name: str) -> Array:
    """A column with its gaps bridged by straight lines, the year closed to a ring."""
    values = table[name].to_numpy(dtype=np.float64)
    known = np.flatnonzero(np.isfinite(values))
    return np.interp(np.arange(len(values)), known, values[known], period=len(values))
