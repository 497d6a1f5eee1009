"""Profiles split and grouped: exact splits, a strip solved by least squares, and real weather files."""

from __future__ import annotations

import csv
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slabwright.climate.heat_year import HeatSettings, heat_year
from slabwright.climate.temperature import (
    HourlyWeather,
    LinearPart,
    hourly_weather,
    linear_part,
    temperature_classes,
    yearly_classes,
)
from slabwright.errors import InputError, MissingFact
from slabwright.intake import read, resolve
from slabwright.records.facts import Facts
from slabwright.traffic.truck_hours import HOURLY_TRUCK_SHARE, truck_hours

HERE = Path(__file__).parent
WEATHER = HERE.parent / "intake" / "data"
DEPTHS = np.array([0.0, 0.02, 0.05, 0.1, 0.15, 0.22, 0.3])


def facts_of(name: str) -> Facts:
    (found,) = read(WEATHER / name)
    return Facts(weather=resolve(found).frame)


@pytest.fixture(scope="module")
def cold() -> Facts:
    return facts_of("cold_dry_724695.epw.gz")


def test_a_linear_profile_has_no_residual():
    profile = (25 - 40 * DEPTHS)[None, :]
    part = linear_part(profile, DEPTHS, 0.1, 28e9, 35e9)
    assert part.difference == pytest.approx([12.0])  # 40 K/m over 0.3 m, the top warmer
    np.testing.assert_allclose(part.residual, 0, atol=1e-12)


def test_a_parabola_in_one_material_is_split_as_textbooks_do():
    """T = (1 - z/h)^2: mean 1/3, linear part 1 (slope of the best line by moments), residual 1/6 at both faces."""
    depths = np.linspace(0, 0.25, 401)
    part = linear_part(((1 - depths / 0.25) ** 2)[None, :], depths, 0.1 * 0.25, 30e9, 30e9)
    # Straight lines between 400 nodes miss a parabola by a sixth of (1/400)^2, 1e-6.
    assert part.mean == pytest.approx([1 / 3], abs=2e-6)
    assert part.difference == pytest.approx([1.0], abs=5e-6)
    np.testing.assert_allclose(part.residual[0, [0, 3]], 1 / 6, atol=5e-6)


@settings(max_examples=60, deadline=None)
@given(
    profile=st.lists(st.floats(-20, 50), min_size=7, max_size=7),
    overlay=st.sampled_from([0.0, 0.05, 0.1]),
    ratio=st.floats(0.3, 3.0),
)
def test_linear_part_is_the_plane_of_least_strain_energy(profile, overlay, ratio):
    """Independent: of all planes the one that leaves the least energy, by weighted least squares on fine samples."""
    part = linear_part(np.array([profile]), DEPTHS, overlay, ratio * 30e9, 30e9)
    nodes, weights = np.polynomial.legendre.leggauss(3)  # exact for products of straight lines
    z = np.concatenate([(a + b) / 2 + (b - a) / 2 * nodes for a, b in pairwise(DEPTHS)])
    weight = np.concatenate([(b - a) / 2 * weights for a, b in pairwise(DEPTHS)])
    weight = np.sqrt(weight * np.where(z < overlay, ratio, 1.0))
    (level, slope), *_ = np.linalg.lstsq(np.stack([weight, weight * z], axis=1), weight * np.interp(z, DEPTHS, profile))
    assert part.difference[0] == pytest.approx(-slope * 0.3, abs=1e-8)
    plane = level + slope * np.array([0, overlay, overlay, 0.3])
    at_faces = np.interp([0, overlay, overlay, 0.3], DEPTHS, profile)
    np.testing.assert_allclose(part.residual[0], at_faces - plane, atol=1e-8)


def test_classes_keep_every_truck_and_every_mean():
    rng = np.random.default_rng(2)
    hours = 2000
    part = LinearPart(np.zeros(hours), rng.normal(2, 6, hours), rng.normal(0, 1, (hours, 4)))
    month, trucks = rng.integers(1, 13, hours).astype(float), rng.random(hours)
    trucks[:100] = 0
    trucks /= trucks.sum()
    found = temperature_classes(part, month, trucks)
    assert found.share.sum() == pytest.approx(1)
    assert (found.share > 0).all()
    assert found.share @ found.difference == pytest.approx(trucks @ part.difference)
    np.testing.assert_allclose(found.share @ found.residual, trucks @ part.residual, atol=1e-12)
    for m in (1.0, 7.0):
        assert found.share[found.month == m].sum() == pytest.approx(trucks[month == m].sum())
    assert len(set(zip(found.month, np.floor(found.difference / 2), strict=True))) == len(found.share)


def test_every_difference_of_a_class_lies_within_its_width():
    part = LinearPart(np.zeros(4), np.array([-0.1, 0.1, 1.9, 2.1]), np.zeros((4, 4)))
    found = temperature_classes(part, np.ones(4), np.full(4, 0.25))
    assert found.difference.tolist() == pytest.approx([-0.1, 1.0, 2.1])
    assert found.share.tolist() == pytest.approx([0.25, 0.5, 0.25])


def test_real_years_give_differences_that_roads_show():
    """From memory: the Road Test's June and July extremes in a 6.5-in slab averaged +18.5 and -8.8 °F; design
    gradients of Teller & Sutherland are 3 °F/in by day and 1 °F/in by night, +15 and -5 K on 9 in. One hour in a
    hundred, in two dry sunny places and a humid one, lies between half and one and a half times as far out by day,
    and up to two and a half times by night, when a desert sky is clear."""
    for name in ("cold_dry_724695.epw.gz", "hot_dry_722745.epw.gz", "humid_723170_tmy3.csv.gz"):
        weather = hourly_weather(facts_of(name))
        (found,) = yearly_classes(weather, np.array([0.0]), 0.2286, 30e9, 30e9, share_by_hour=np.ones(24))
        order = np.argsort(found.difference)
        coldest, hottest = np.interp([0.01, 0.99], np.cumsum(found.share[order]), found.difference[order])
        assert 7.5 < hottest < 22.5, name
        assert -12.5 < coldest < -2.5, name
        # Residuals push both faces the same way and the middle the other.
        day = found.difference > 8
        assert (found.residual[day][:, [0, 3]].mean(axis=0) > 0).all(), name


def test_one_run_for_many_thicknesses(cold):
    weather = hourly_weather(cold)
    overlays = np.array([0.0, 0.05, 0.1])
    found = yearly_classes(weather, overlays, 0.15, 28e9, 33e9)
    spread = [np.sqrt(c.share @ c.difference**2) for c in found]
    assert spread == sorted(spread)  # a deeper section keeps more between its top and bottom
    (alone,) = yearly_classes(weather, overlays[1:2], 0.15, 28e9, 33e9)
    np.testing.assert_allclose(alone.difference, found[1].difference, atol=1e-6)
    assert all(set(c.month) == set(range(1, 13)) for c in found)


def test_night_trucks_meet_colder_tops(cold):
    weather = hourly_weather(cold)
    by_day, by_night = np.zeros(24), np.zeros(24)
    by_day[12:15], by_night[2:5] = 1, 1
    (day,) = yearly_classes(weather, np.array([0.1]), 0.2, 30e9, 30e9, share_by_hour=by_day)
    (night,) = yearly_classes(weather, np.array([0.1]), 0.2, 30e9, 30e9, share_by_hour=by_night)
    assert day.share @ day.difference > 3
    assert night.share @ night.difference < -2


def test_barbers_surface_gives_the_same_road(cold):
    """Both published surfaces, each with its own way of losing heat to the sky: within a third at the middle of days."""
    weather = hourly_weather(cold)
    noon = np.zeros(24)
    noon[13] = 1
    means = []
    for convection in ("NISTIR 6551", "Barber 1957"):
        (found,) = yearly_classes(
            weather, np.array([0.1]), 0.2, 30e9, 30e9, HeatSettings(convection=convection), share_by_hour=noon
        )
        means.append(found.share @ found.difference)
    assert means[1] == pytest.approx(means[0], rel=1 / 3)
    assert means[1] != means[0]


def test_sky_by_humidity_and_clouds_stands_near_the_recorded_one(cold):
    """Two ways of the sky's long waves over the same year: mean within 5 per cent, single hours within 25."""
    recorded = hourly_weather(cold).sky
    estimated = hourly_weather(replace(cold, weather=cold.weather.assign(sky_radiation=np.nan))).sky
    assert estimated.mean() == pytest.approx(recorded.mean(), rel=0.05)
    np.testing.assert_allclose(estimated, recorded, rtol=0.25)


def test_gaps_are_bridged_over_the_turn_of_the_year(cold):
    table = cold.weather.copy()
    table.loc[[0, 8759], "air_temperature"] = np.nan
    table.loc[[1, 8758], "air_temperature"] = [6.0, 0.0]
    found = hourly_weather(replace(cold, weather=table))
    assert found.air[[8758, 8759, 0, 1]].tolist() == pytest.approx([0, 2, 4, 6])


def test_missing_weather_is_said():
    with pytest.raises(MissingFact, match=r"life stage needs the table 'weather'.*Load a file"):
        hourly_weather(Facts())


@pytest.mark.parametrize("name", ["wind_speed", "global_radiation", "air_temperature"])
def test_a_missing_column_is_said(cold, name):
    with pytest.raises(MissingFact, match=rf"need {name.replace('_', ' ')} in the table weather"):
        hourly_weather(replace(cold, weather=cold.weather.assign(**{name: np.nan})))


def test_part_of_a_year_is_refused(cold):
    with pytest.raises(InputError, match=r"whole year.*8,000 hours"):
        hourly_weather(replace(cold, weather=cold.weather.iloc[:8000]))


def test_trucks_by_hour_are_the_recorded_mean():
    with (HERE.parent / "life" / "data" / "fed_ltpp_hourly_truck_share_ohio.csv").open(newline="") as stream:
        rows = list(csv.DictReader(stream))
    for hour, share in enumerate(HOURLY_TRUCK_SHARE):
        recorded = [float(r["pct_of_daily_trucks"]) for r in rows if int(r["hour"]) == hour]
        assert len(recorded) == 35
        assert share == pytest.approx(sum(recorded) / 35, abs=0.0051)  # written to two decimals


def test_trucks_of_the_year_follow_the_hour_by_its_end():
    hour = np.tile(np.arange(1, 25), 365)
    found = truck_hours(hour)
    assert found.sum() == pytest.approx(1)
    assert found[13] / found[2] == pytest.approx(6.27 / 1.85)  # 1 to 2 in the afternoon over 2 to 3 at night
    with pytest.raises(InputError, match="24 shares"):
        truck_hours(hour, np.ones(23))


def test_the_heat_of_the_hour_is_the_mean_of_its_ends():
    """Trucks of the first hour of the year meet the mean of the last and the first profile."""
    t = np.arange(1, 8761)
    weather = HourlyWeather(
        np.repeat(np.arange(1.0, 13.0), 730),
        np.tile(np.arange(1.0, 25.0), 365),
        10 + 8 * np.cos(2 * np.pi * (t - 15) / 24),
        np.full(8760, 3.0),
        np.zeros(8760),
        np.full(8760, 300.0),
    )
    only = np.zeros(24)
    only[0] = 1
    (found,) = yearly_classes(weather, np.array([0.1]), 0.2, 30e9, 30e9, share_by_hour=only, width=100.0)
    year = heat_year(weather.air, weather.wind, weather.sun, weather.sky, np.array([0.1]), 0.2)
    ends = linear_part(year.temperature[:, 0], year.depths[0], 0.1, 30e9, 30e9).difference
    expected = np.mean([(ends[day * 24 - 1] + ends[day * 24]) / 2 for day in range(365)])
    assert found.share @ found.difference == pytest.approx(expected, rel=1e-9)


def test_table_order_of_hours_is_kept(cold):
    weather = hourly_weather(cold)
    assert isinstance(cold.weather, pd.DataFrame)
    assert weather.month[[0, 8759]].tolist() == [1, 12]
    assert weather.hour[[0, 23, 24]].tolist() == [1, 24, 1]
