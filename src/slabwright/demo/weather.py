"""A year of hourly weather for the demo road, invented, as an EPW file.

How it is made, all in local standard time at 37 degrees north:

- Days have a mean air temperature of 13 °C plus a wave of the year of 10 K with its top late in July, plus weather
  that lasts some days (a first-order chain, 0.75 from day to day, scatter 3.2 K).
- Each day has a cloud cover from a chain of its own, more in winter. Hours scatter about it.
- Within the day the temperature swings by 7.5 K either way under a clear sky and by a third of that under a closed
  one, warmest at three in the afternoon; days are joined hour by hour, so that midnight has no step.
- The sun's height follows from latitude, day and hour (Cooper's declination); the beam under a clear sky is
  1150 exp(-0.16 / sin height) W/m², the clear sky gives 0.12 of it. Clouds take 0.85 of the beam at full cover and
  add half of what they took to the sky's light.
- Dew point lies 7 K under the day's mean temperature, humidity follows by the Magnus formula and never exceeds one.
- Wind averages 3.5 m/s, stronger by day, with scatter.
- The sky's long waves: 0.787 + 0.764 ln(dew point / 273 K) of a black body at air temperature, more under clouds.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from slabwright.demo.truth import TRUTH

__all__ = ["epw_file", "weather_year"]

Array = npt.NDArray[np.float64]

LATITUDE, LONGITUDE, ZONE, ELEVATION = 37.0, -125.8, -8.0, 30.0  # in the open ocean, as the road is
YEAR = 2025
DAYS = 365
MONTH_DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
DAY = np.arange(DAYS)
HOUR_ENDS = np.arange(1.0, 25.0)
KELVIN = 273.15
BLACK_BODY = 5.670374419e-8


def _chain(rng: np.random.Generator, memory: float) -> Array:
    """One number a day, mean 0 and deviation 1, each keeping a share of the day before."""
    steps = rng.standard_normal(DAYS)
    found = np.empty(DAYS)
    found[0] = steps[0]
    for day in range(1, DAYS):
        found[day] = memory * found[day - 1] + np.sqrt(1 - memory**2) * steps[day]
    return found


def _sine_of_height(hour: Array) -> Array:
    """Sine of the sun's height (days, hours), zero at night."""
    declination = np.radians(23.45) * np.sin(2 * np.pi * (DAY[:, None] + 285) / 365)
    turn = np.radians(15 * (hour - 12))
    latitude = np.radians(LATITUDE)
    return np.maximum(
        np.sin(latitude) * np.sin(declination) + np.cos(latitude) * np.cos(declination) * np.cos(turn), 0.0
    )


def weather_year(rng: np.random.Generator) -> dict[str, Array]:
    """Hours of the year (8760,): temperatures in °C, shares as ratios, wind in m/s, radiation in W/m²."""
    season = np.cos(2 * np.pi * (DAY - 205) / 365)
    mean = 13 + 10 * season + 3.2 * _chain(rng, 0.75)
    cover = np.clip(0.45 - 0.15 * season + 0.30 * _chain(rng, 0.5), 0.0, 1.0)
    hourly = np.clip(cover[:, None] + 0.08 * rng.standard_normal((DAYS, 24)), 0.0, 1.0)
    # Across midnight mean and swing run from the middle of one day to that of the next.
    at = np.arange(1, DAYS * 24 + 1) / 24 - 0.5
    level, swing = (np.interp(at, DAY, value) for value in (mean, 7.5 * (1 - 0.67 * cover)))
    air = level + swing * np.cos(2 * np.pi * (np.tile(HOUR_ENDS, DAYS) - 15) / 24)
    dew = np.minimum(level - 7, air)
    clouds = hourly.ravel()
    sky = _clear_emissivity(dew) * _cloud_factor(clouds) * BLACK_BODY * (air + KELVIN) ** 4
    wind = np.maximum(
        3.5 + 1.2 * np.cos(2 * np.pi * (np.tile(HOUR_ENDS, DAYS) - 15) / 24) + 1.3 * rng.standard_normal(DAYS * 24), 0
    )
    return {
        "air_temperature": air,
        "dew_point": dew,
        "relative_humidity": np.minimum(_vapour(dew) / _vapour(air), 1.0),
        "wind_speed": wind,
        "sky_cover": clouds,
        "sky_radiation": sky,
        **_sunshine(hourly),
    }


def _sunshine(cover: Array) -> dict[str, Array]:
    """Means of the hours: the sun as it stands half an hour before the end."""
    height = _sine_of_height(HOUR_ENDS - 0.5)
    clear = np.where(height > 0.02, 1150 * np.exp(-0.16 / np.maximum(height, 0.02)), 0.0)
    beam = clear * (1 - 0.85 * cover)
    diffuse = 0.12 * clear + 0.5 * (clear - beam) * height
    return {
        "direct_radiation": beam.ravel(),
        "diffuse_radiation": diffuse.ravel(),
        "global_radiation": (beam * height + diffuse).ravel(),
    }


def _vapour(temperature: Array) -> Array:
    """Saturation pressure of water vapour, relative."""
    return np.exp(17.625 * temperature / (temperature + 243.04))


def _clear_emissivity(dew_point: Array) -> Array:
    return 0.787 + 0.764 * np.log((dew_point + KELVIN) / 273.0)


def _cloud_factor(cover: Array) -> Array:
    tenths = 10 * cover
    return 1 + 0.0224 * tenths - 0.0035 * tenths**2 + 0.00028 * tenths**3


def epw_file(rng: np.random.Generator) -> bytes:
    """The year as an EPW file; what was not made carries the format's codes for missing values."""
    year = weather_year(rng)
    head = [
        f"LOCATION,{TRUTH.road} (invented),-,-,Invented,999999,{LATITUDE:.2f},{LONGITUDE:.2f},{ZONE:.1f},{ELEVATION:.1f}",
        "DESIGN CONDITIONS,0",
        "TYPICAL/EXTREME PERIODS,0",
        "GROUND TEMPERATURES,0",
        "HOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0",
        "COMMENTS 1,Invented weather of an invented road; no real place is meant",
        "COMMENTS 2,",
        "DATA PERIODS,1,1,Data,Wednesday,1/1,12/31",
    ]
    day_of = [(month, day) for month, days in enumerate(MONTH_DAYS, start=1) for day in range(1, days + 1)]
    rows = [
        f"{YEAR},{month},{day},{hour},60,invented," + _cells(year, 24 * number + hour - 1)
        for number, (month, day) in enumerate(day_of)
        for hour in range(1, 25)
    ]
    return ("\n".join([*head, *rows]) + "\n").encode()


def _cells(year: dict[str, Array], at: int) -> str:
    """The fields of an hour after its date, in the format's order."""
    value = {name: float(column[at]) for name, column in year.items()}
    cover = round(10 * value["sky_cover"])
    return (
        f"{value['air_temperature']:.1f},{value['dew_point']:.1f},{100 * value['relative_humidity']:.0f},101300,9999,9999,"
        f"{value['sky_radiation']:.0f},{value['global_radiation']:.0f},{value['direct_radiation']:.0f},"
        f"{value['diffuse_radiation']:.0f},999999,999999,999999,9999,999,{value['wind_speed']:.1f},{cover},{cover},"
        "9999,99999,9,999999999,999,.999,999,99,999,999,99"
    )
