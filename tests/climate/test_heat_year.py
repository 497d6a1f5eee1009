"""Heat in the pavement against textbook walls, Barber's periodic wave, an independent solver and the balance of energy."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from slabwright.climate.heat import periodic_temperature_barber
from slabwright.climate.heat_year import (
    Forcing,
    HeatSettings,
    Material,
    _forcing,
    conduct,
    heat_year,
    layered_columns,
)
from slabwright.errors import InputError, NotConverged

TEXTBOOK = Material(1.5, 2350.0, 1000.0)


def wall(cells: int = 40, step: float = 30.0, hours: float = 24.0):
    columns = layered_columns([(TEXTBOOK, np.array([0.20]), cells)])
    start = np.full((1, cells + 1), 40.0)
    steps = round(hours * 3600 / step)
    return conduct(columns, start, start, Forcing(np.full(steps, 10.0), np.asarray(20.0), np.asarray(0.0)), step)


def test_plane_wall_textbook():
    """0.20 m, insulated base, k 1.5, rho 2350, c 1000, h 20, 40 °C into air of 10 °C: series solution by roots of
    x tan x = Bi (whose roots at Bi 0.1, 1, 10 are the tabulated .3111, .8603, 1.4289)."""
    found, _, _ = wall()
    for hour, top, middle, base in [
        (1, 26.52, 38.77, 39.96),
        (3, 21.99, 34.12, 37.86),
        (6, 19.09, 28.97, 32.60),
        (12, 15.69, 21.92, 24.25),
        (24, 12.25, 14.71, 15.63),
    ]:
        # Two decimals were recorded; the first step loses a third of its length, 10 s of an hour's 3 K.
        np.testing.assert_allclose(found[hour * 120 - 1, 0, [0, 20, 40]], [top, middle, base], atol=0.03)


@pytest.mark.parametrize(("biot", "root"), [(0.1, 0.3111), (1.0, 0.8603), (10.0, 1.4289)])
def test_the_slowest_fading_is_the_tabulated_root(biot, root):
    columns = layered_columns([(TEXTBOOK, np.array([0.20]), 60)])
    h = biot * 1.5 / 0.20
    start = np.full((1, 61), 1.0)
    hours = {0.1: 60, 1.0: 40, 10.0: 30}[biot]
    found, _, _ = conduct(columns, start, start, Forcing(np.zeros(hours * 60), np.asarray(h), np.asarray(0.0)), 60.0)
    rate = np.log(found[-600, 0, 30] / found[-1, 0, 30]) / (599 * 60)
    assert brentq(lambda x: x * np.tan(x) - biot, 1e-6, np.pi / 2 - 1e-6) == pytest.approx(root, abs=6e-5)
    # Fading is (root^2) alpha / L^2; four digits of the root give 1e-4, sixty cells 1e-4 more.
    assert np.sqrt(rate * 0.04 / (1.5 / 2.35e6)) == pytest.approx(root, rel=3e-4)


@pytest.mark.parametrize(("steps", "tolerance"), [(1, 0.012), (4, 0.0012)])
def test_barbers_wave_comes_back(steps, tolerance):
    """A deep even column under air that swings daily: amplitude and lag of the exact solution at three depths."""
    k, density, heat, h = 1.2115, 2242.6, 921.1, 27.18
    columns = layered_columns([(Material(k, density, heat), np.array([1.5]), 300)])
    hours = np.arange(1, 24 * 20 * steps + 1) / steps
    air = np.sin(2 * np.pi * hours / 24)
    start = np.zeros((1, 301))
    found, _, _ = conduct(columns, start, start, Forcing(air, np.asarray(h), np.asarray(0.0)), 3600 / steps)
    last = slice(-24 * steps, None)
    for node, depth in ((0, 0.0), (20, 0.1), (60, 0.3)):
        wave = 2 / (24 * steps) * (found[last, 0, node] * np.exp(-2j * np.pi * hours[last] / 24)).sum() * 1j
        exact = periodic_temperature_barber(depth, h, k, density, heat)
        # Second order in time: (2 pi / 24)^2 / 3 = 2.3 % of the frequency at hourly steps, half of it, 1.2 %, in the
        # wave number, a sixteenth at quarters; a depth x turns it into x C = 2.4 times as much at the lowest, beside the 0.7 of the surface.
        assert abs(wave) == pytest.approx(float(exact.amplitude), rel=tolerance * (0.7 + depth * 7.9))
        assert -np.angle(wave) == pytest.approx(float(exact.lag), rel=tolerance * 1.5)


def test_quarter_the_step_a_sixteenth_of_the_error():
    """Observed order in time of the surface against a fine run; between 1.8 and 2.2."""

    def surface(steps: int) -> np.ndarray:
        columns = layered_columns([(TEXTBOOK, np.array([0.3]), 60)])
        hours = np.arange(1, 96 * steps + 1) / steps
        forcing = Forcing(np.sin(2 * np.pi * hours / 24) * (1 - np.exp(-hours / 8)), np.asarray(20.0), np.asarray(0.0))
        return conduct(columns, np.zeros((1, 61)), np.zeros((1, 61)), forcing, 3600 / steps)[0][
            steps - 1 :: steps, 0, 0
        ]

    fine = surface(64)
    errors = [np.abs(surface(steps) - fine)[24:].max() for steps in (1, 4)]
    assert 1.8 < np.log(errors[0] / errors[1]) / np.log(4) < 2.2


def test_two_layers_and_the_fourth_power_against_a_general_solver():
    """scipy's stiff solver on its own finite differences of the same column: overlay, slab, sun and sky."""
    overlay, slab = Material(2.5, 2400.0, 900.0), Material(1.4, 2300.0, 1000.0)
    columns = layered_columns([(overlay, np.array([0.1]), 20), (slab, np.array([0.2]), 40)])
    hours = np.arange(1, 48 * 6 + 1) / 6
    air, sun = 15 + 8 * np.sin(2 * np.pi * (hours - 9) / 24), np.maximum(0, 800 * np.sin(2 * np.pi * (hours - 6) / 24))
    sky = 300.0
    forcing = Forcing(air, np.asarray(15.0), 0.8 * sun + 0.9 * sky, 0.9)
    start = np.full((1, 61), 15.0)
    found, _, _ = conduct(columns, start, start, forcing, 600.0)

    size = np.full(60, 0.005)
    passed = np.concatenate([np.full(20, 2.5), np.full(40, 1.4)]) / size
    half = np.concatenate([np.full(20, 2400 * 900.0), np.full(40, 2300 * 1000.0)]) * size / 2
    held = np.append(half, 0) + np.append(0, half)

    def warming(t, T):
        when = np.append(0, hours) * 3600
        top = 15 * (np.interp(t, when, np.append(air[0], air)) - T[0])
        top += 0.8 * np.interp(t, when, np.append(sun[0], sun)) + 0.9 * (sky - 5.670374419e-8 * (T[0] + 273.15) ** 4)
        flow = passed * np.diff(T)
        net = np.append(flow, 0) - np.append(0, flow)
        net[0] += top
        return net / held

    exact = solve_ivp(
        warming, (0, 48 * 3600), np.full(61, 15.0), method="BDF", rtol=1e-8, atol=1e-8, t_eval=hours[35::36] * 3600
    )
    # Ten-minute steps of second order against a solver held to 1e-8; the start costs a third of a step, 3 min.
    np.testing.assert_allclose(found[35::36, 0][:, [0, 20, 60]][1:], exact.y[[0, 20, 60]].T[1:], atol=0.05)


def year(hours: int = 8760) -> dict[str, np.ndarray]:
    t = np.arange(1, hours + 1)
    season, day = np.cos(2 * np.pi * (t / hours - 0.55)), np.cos(2 * np.pi * (t - 15) / 24)
    return {
        "air": 10 + 12 * season + 6 * day,
        "wind": 3 + np.cos(2 * np.pi * t / 24),
        "sky": 300 + 50 * season,
        "sun": np.maximum(0, (500 + 300 * season) * np.cos(2 * np.pi * (t - 12.5) / 24)),
    }


@pytest.fixture(scope="module")
def found():
    return heat_year(**year(), overlays=np.array([0.0, 0.05, 0.15]), slab=0.225)


def test_energy_balances_over_the_year(found):
    """What the surface took up is what the pavement and ground hold more at the end; a year that repeats takes up nothing."""
    typical = np.abs(found.flux).mean(axis=0)
    assert (np.abs(found.flux.mean(axis=0)) < 1e-3 * typical).all()
    assert found.change <= 0.05


def test_energy_is_kept_step_by_step():
    columns = layered_columns([(TEXTBOOK, np.array([0.2]), 20)])
    rng = np.random.default_rng(0)
    forcing = Forcing(10 + 5 * rng.standard_normal(50), np.asarray(20.0), 300 * rng.random(50), 0.9)
    start = np.full((1, 21), 15.0)
    found, flux, last = conduct(columns, start, start, forcing, 3600.0)
    held = np.full(21, 0.01 * 2.35e6)
    held[[0, -1]] /= 2
    # The backward difference keeps 1.5 of the newest less 0.5 of the one before: exact but for rounding.
    gained = (1.5 * found[-1, 0] - 0.5 * last[0] - 15.0) @ held
    assert flux.sum() * 3600 == pytest.approx(gained, rel=1e-10)


def test_the_surface_is_in_balance_at_every_step():
    """What went in is what sun, sky and air give at the temperature that followed, by the equation itself."""
    columns = layered_columns([(TEXTBOOK, np.array([0.1, 0.2]), 20)])
    rng = np.random.default_rng(1)
    air, absorbed = 10 + 10 * rng.standard_normal(60), 900 * rng.random(60)
    start = np.full((2, 21), 15.0)
    found, flux, _ = conduct(columns, start, start, Forcing(air, np.asarray(12.0), absorbed, 0.9), 3600.0)
    top = found[:, :, 0]
    given = absorbed[:, None] + 12.0 * (air[:, None] - top) - 0.9 * 5.670374419e-8 * (top + 273.15) ** 4
    # Newton's second step leaves an error of the fourth order in a first guess off by some 30 K.
    np.testing.assert_allclose(flux, given, atol=0.01)


def test_an_hour_of_sun_is_shared_by_its_two_ends():
    """Radiation is the mean of an hour: its heat may be neither lost nor late."""
    flat = {
        "air": np.zeros(48),
        "wind": np.ones(48),
        "sky": np.zeros(48),
        "sun": np.where(np.arange(48) == 20, 600.0, 0.0),
    }
    taken = _forcing(**flat, settings=HeatSettings(emissivity=0.9, absorptivity=0.5)).absorbed
    assert taken[[18, 19, 20, 21]].tolist() == [0, 150, 150, 0]


def test_without_overlay_its_material_does_not_count():
    odd = HeatSettings(overlay=Material(0.2, 900.0, 2000.0))
    plain, other = (
        heat_year(**year(480), overlays=np.array([0.0]), slab=0.2, settings=s) for s in (HeatSettings(), odd)
    )
    np.testing.assert_array_equal(plain.temperature, other.temperature)


def test_no_overlay_is_a_single_slab_and_a_thin_one_nearly_so(found):
    thin = heat_year(**year(), overlays=np.array([0.002]), slab=0.223)
    assert found.depths[0, -1] == pytest.approx(0.225)
    assert found.depths[2, [0, 6, -1]] == pytest.approx([0, 0.15, 0.375])
    # The same depth cut into other cells.
    np.testing.assert_allclose(thin.temperature[:, 0, [0, -1]], found.temperature[:, 0, [0, -1]], atol=0.15)


def test_thicker_pavement_has_a_steadier_base(found):
    base = np.ptp(found.temperature[4000:4480, :, -1], axis=0)
    assert base[0] > base[1] > base[2]


def test_all_thicknesses_at_once_are_each_alone(found):
    alone = heat_year(**year(), overlays=np.array([0.05]), slab=0.225)
    # Rounding, and the year at which each was content.
    np.testing.assert_allclose(alone.temperature[:, 0], found.temperature[:, 1], atol=1e-6)


def test_more_sun_is_warmer_and_more_wind_holds_the_surface_nearer_to_the_air():
    base = heat_year(**year(), overlays=np.array([0.1]), slab=0.2).temperature[:, 0, 0]
    bright = {**year(), "sun": year()["sun"] * 1.2}
    windy = {**year(), "wind": year()["wind"] + 3}
    summer_noon = slice(12 + 24 * 150, 24 * 240, 24)
    assert (heat_year(**bright, overlays=np.array([0.1]), slab=0.2).temperature[:, 0, 0] > base).all()
    moved = heat_year(**windy, overlays=np.array([0.1]), slab=0.2).temperature[:, 0, 0]
    assert (year()["air"][summer_noon] < moved[summer_noon]).all()
    assert (moved[summer_noon] < base[summer_noon]).all()


def test_a_year_that_does_not_repeat_gives_no_number():
    with pytest.raises(NotConverged, match=r"do not repeat.*after 2 years.*allow more years"):
        heat_year(**year(), overlays=np.array([0.1]), slab=0.2, settings=HeatSettings(tolerance=1e-9, most_years=2))


@pytest.mark.parametrize(
    ("name", "value", "sentence"),
    [
        ("air", np.nan, "air temperature is missing"),
        ("wind", -1.0, "wind speed"),
        ("sun", 5000.0, "radiation of sun"),
        ("sky", np.nan, "long-wave"),
    ],
)
def test_weather_that_cannot_be_is_refused(name, value, sentence):
    broken = year()
    broken[name][77] = value
    with pytest.raises(InputError, match=sentence):
        heat_year(**broken, overlays=np.array([0.1]), slab=0.2)


def test_impossible_layers_are_refused():
    with pytest.raises(InputError, match="overlay thickness"):
        heat_year(**year(), overlays=np.array([-0.1]), slab=0.2)
    with pytest.raises(InputError, match="greater than zero"):
        heat_year(
            **year(), overlays=np.array([0.1]), slab=0.2, settings=replace(HeatSettings(), slab=Material(0, 2300, 1000))
        )
    with pytest.raises(InputError, match="same hours"):
        heat_year(**{**year(), "wind": np.ones(5)}, overlays=np.array([0.1]), slab=0.2)
