"""The invented year hangs together: sun, clouds, humidity, and an EPW file that pvlib reads."""

import io

import numpy as np
import pandas as pd
import pytest
from pvlib import iotools, solarposition

from slabwright.demo.weather import LATITUDE, LONGITUDE, epw_file, weather_year


@pytest.fixture(scope="module")
def year():
    return weather_year(np.random.default_rng(4))


def test_sun_and_sky_add_up_with_the_height_of_the_sun_as_pvlib_gives_it(year):
    """Means of the hour stand for its middle. Cooper's declination strays by one degree in autumn; the
    equation of time (16 min) and the 6 degrees between zone and place are left out, so hours are solar here."""
    middle = pd.date_range("2025-01-01 00:30", periods=8760, freq="h", tz="UTC")
    declination = solarposition.declination_spencer71(middle.day_of_year)
    turn = np.radians(15 * (middle.hour + middle.minute / 60 - 12))
    height = np.pi / 2 - solarposition.solar_zenith_analytical(np.radians(LATITUDE), turn, declination)
    expected = year["direct_radiation"] * np.maximum(np.sin(height), 0) + year["diffuse_radiation"]
    # One degree of height is 0.0175 of a beam that is 980 W/m² at most.
    np.testing.assert_allclose(year["global_radiation"], expected, atol=0.0175 * 980)
    assert (year["direct_radiation"][np.asarray(height) < np.radians(-1)] == 0).all()


def test_warmest_in_summer_afternoons_and_without_a_step(year):
    air = year["air_temperature"].reshape(365, 24)
    months = [air[a:b].mean() for a, b in ((0, 31), (181, 212))]
    assert months[1] - months[0] > 12
    assert air.mean(axis=0).argmax() == 14  # the hour that ends at three
    assert np.abs(np.diff(year["air_temperature"])).max() < 4


def test_clear_days_are_brighter_and_swing_more(year):
    cover = year["sky_cover"].reshape(365, 24).mean(axis=1)
    swing = np.ptp(year["air_temperature"].reshape(365, 24), axis=1)
    bright = year["global_radiation"].reshape(365, 24).sum(axis=1)
    summer = slice(120, 240)
    assert np.corrcoef(cover, swing)[0, 1] < -0.5
    assert np.corrcoef(cover[summer], bright[summer])[0, 1] < -0.7


def test_the_file_says_that_it_is_invented_and_is_read_by_pvlib():
    written = epw_file(np.random.default_rng(4)).decode()
    frame, about = iotools.read_epw(io.StringIO(written))
    assert "(invented)" in about["city"]
    assert (about["latitude"], about["longitude"]) == (LATITUDE, LONGITUDE)
    assert frame.shape == (8760, 35)
    assert frame["global_hor_illum"].eq(999999).all()
