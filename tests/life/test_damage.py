"""Damage by a truck: interpolation, limits of the laws, wander, and the sum against a plain loop."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy import integrate, stats
from scipy.interpolate import PchipInterpolator

from slabwright.errors import InputError, OutOfRange
from slabwright.life.damage import (
    LAWS,
    AxlePasses,
    Wander,
    Weather,
    axle_passes,
    damage_per_truck,
    outside_share,
    pass_damage,
    stress_at,
    wander,
)
from slabwright.materials.fatigue import FATIGUE_LAWS
from slabwright.plate.stresses import POINTS, PavementState, StressGrid, usual_grid
from slabwright.records.decisions.life import FATIGUE_WORDS
from slabwright.units import INCH, KIP, PCI, PSI
from tests.life.closed_form import ClosedForm

STATES = [
    PavementState(3 * INCH, 8 * INCH, 4.5e6 * PSI, 4e6 * PSI, 150 * PCI, 0.02),
    PavementState(5 * INCH, 9 * INCH, 4.0e6 * PSI, 3e6 * PSI, 80 * PCI, 0.10),
]
GRID = usual_grid()
PASSES = AxlePasses(np.array([0, 0, 1, 2]), np.array([9.0, 24.0, 40.0, 60.0]) * KIP, np.array([1.1, 0.2, 0.6, 0.01]))


def stresses(grid: StressGrid = GRID) -> np.ndarray:
    return np.stack([ClosedForm()(state, grid) for state in STATES])


def test_every_law_can_be_chosen_by_one_name() -> None:
    assert sorted(FATIGUE_WORDS.values()) == sorted(FATIGUE_LAWS)
    assert list(LAWS) == list(FATIGUE_WORDS)


def test_at_the_nodes_of_the_grid_the_stress_is_the_models() -> None:
    made = stresses()
    load = AxlePasses(np.arange(len(GRID.loads)), GRID.loads[:, 2], np.ones(len(GRID.loads)))
    found = stress_at(made, GRID, load, GRID.offsets, np.tile(GRID.differences, (2, 1)))
    expected = made[:, np.arange(len(GRID.loads)), 2].transpose(
        0, 3, 1, 2, 4
    )  # samples, temperatures, groups, offsets, points
    np.testing.assert_allclose(found, expected, rtol=0, atol=1e-6 * np.abs(made).max())  # rounding of sums only


def test_between_two_loads_the_stress_is_linear() -> None:
    low, high = GRID.loads[1, 1], GRID.loads[1, 2]
    three = AxlePasses(np.full(3, 1), np.array([low, 0.75 * low + 0.25 * high, high]), np.ones(3))
    found = stress_at(stresses(), GRID, three, np.array([0.3]), np.full((2, 1), 3.0))
    mixed = 0.75 * found[:, :, 0] + 0.25 * found[:, :, 2]
    np.testing.assert_allclose(found[:, :, 1], mixed, rtol=1e-9, atol=1e-3)  # Pa; rounding only


def test_between_two_temperatures_and_offsets_the_stress_stays_between_its_neighbours() -> None:
    """Exact property of a monotone cubic; the model's stress is monotone in both."""
    made = stresses()
    load = AxlePasses(np.zeros(1, int), GRID.loads[0, 2:], np.ones(1))
    targets = np.linspace(GRID.differences[0], GRID.differences[-1], 61)
    offsets = np.linspace(0, 1, 21)
    found = stress_at(made, GRID, load, offsets, np.tile(targets, (2, 1)))[:, :, 0]
    for axis in (1, 2):
        rising = np.diff(found, axis=axis)
        sign = np.sign(rising.sum(axis=axis, keepdims=True))
        assert (rising * sign >= -1e-6 * np.abs(made).max()).all()


def test_beyond_the_ends_a_difference_is_taken_at_the_end_and_counted() -> None:
    ends = GRID.differences[[0, -1]]
    load = AxlePasses(np.zeros(1, int), GRID.loads[0, 1:2], np.ones(1))
    at_end = stress_at(stresses(), GRID, load, np.zeros(1), np.tile(ends, (2, 1)))
    beyond = stress_at(stresses(), GRID, load, np.zeros(1), np.tile(ends * 2, (2, 1)))
    np.testing.assert_array_equal(at_end, beyond)
    weather = Weather(np.tile([-30.0, 0.0, 30.0], (2, 1)), np.zeros((2, 3, 4)), np.tile([0.1, 0.7, 0.2], (2, 1)))
    assert outside_share(weather, GRID) == pytest.approx(0.3)


def test_a_load_beyond_the_grid_is_refused_in_a_sentence() -> None:
    heavy = AxlePasses(np.array([0, 1]), np.array([10.0, 90.0]) * KIP, np.ones(2))
    with pytest.raises(OutOfRange, match=r"tandem axle is heavier.*given '90.00 kip'; allowed up to 81.60 kip"):
        stress_at(stresses(), GRID, heavy, np.zeros(1), np.zeros((2, 1)))


def test_a_spectrum_without_passes_is_refused() -> None:
    with pytest.raises(InputError, match="groups of one, two or three axles"):
        axle_passes(np.array([1e5]), np.array([1.0]), np.array([0.0]))


@pytest.mark.parametrize("name", LAWS)
def test_compression_and_low_ratios_do_nothing_and_ratios_above_one_fail_at_once(name: str) -> None:
    ratios = np.array([-2.0, 0.0, 0.05, 0.3, 0.6, 0.9, 1.0001, 3.0])
    found = pass_damage(LAWS[name], ratios)
    assert found[:3].tolist() == [0, 0, 0]
    assert found[-2:].tolist() == [1, 1]
    assert (np.diff(found) >= 0).all()
    np.testing.assert_allclose(found[3:6], 1 / np.maximum(FATIGUE_LAWS[FATIGUE_WORDS[name]](ratios[3:6]), 1))


@pytest.mark.parametrize(
    ("mean", "deviation"), [(18 * INCH, 10 * INCH), (0.1, 0.3), (0.9, 0.05), (0.5, 0.0), (2.0, 0.1)]
)
def test_wander_integrates_a_fading_damage_as_adaptive_quadrature_does(mean: float, deviation: float) -> None:
    """Damage that fades over 6 cm, as steep as a law makes it from stresses that fade over a metre.

    Ten nodes: measured within one in a thousand, far below the warning about the wander itself.
    """
    places = wander(mean, deviation, 1.0)
    assert places.share.sum() == pytest.approx(1.0, abs=1e-12)

    def fading(x: float) -> float:
        return float(np.exp(-np.clip(x, 0, 1) / 0.06))

    expected = fading(mean)
    if deviation and mean < 1:
        normal = stats.norm(mean, deviation)
        inner, _ = integrate.quad(lambda x: fading(x) * normal.pdf(x), 0, 1, points=[mean], epsabs=1e-13)
        expected = inner + normal.cdf(0) + normal.sf(1) * fading(1)
    assert (places.share * np.exp(-places.offset / 0.06)).sum() == pytest.approx(expected, rel=2e-3)


def plain_sum(law: str, states: np.ndarray, places: Wander, weather: Weather, strength: float, restraint: float):
    """The same sum, one pass at a time, with scipy's interpolators called on one point at a time."""
    total = np.zeros((len(states), len(GRID.points)))
    for n, p in np.ndindex(*total.shape):
        for g, load, often in zip(PASSES.group, PASSES.load, PASSES.per_truck, strict=True):
            for place, share in zip(places.offset, places.share, strict=True):
                across = PchipInterpolator(GRID.offsets, states[n, g, :, :, :, p], axis=1)(place)
                warm = PchipInterpolator(GRID.differences, across, axis=1)
                for c, difference in enumerate(weather.difference[n]):
                    stress = np.interp(load, GRID.loads[g], warm(difference)) - restraint * weather.residual[n, c, p]
                    ratio = stress / strength
                    if ratio > 0.05:
                        allowed = FATIGUE_LAWS[FATIGUE_WORDS[law]](ratio) if ratio <= 1 else 1.0
                        total[n, p] += often * share * weather.share[n, c] / max(float(allowed), 1.0)
    return total


@pytest.mark.parametrize("law", ["NCHRP 1-37A, 2004", "PCA 1984", "Majidzadeh and Ilves 1983"])
def test_the_sum_is_that_of_a_plain_loop(law: str) -> None:
    rng = np.random.default_rng(5)
    weather = Weather(
        rng.uniform(-12, 18, (2, 3)), rng.uniform(-1, 1, (2, 3, 4)), np.tile([0.2, 0.5, 0.3], (2, 1))
    )  # fmt: skip
    places = Wander(np.array([0.0, 0.35, 0.8]), np.array([0.1, 0.6, 0.3]))
    strength, restraint = 500 * PSI, 3.0e5
    found = damage_per_truck(
        stresses(), GRID, PASSES, places, weather, np.full((2, 4), strength), np.full((2, 4), restraint), LAWS[law]
    )
    expected = plain_sum(law, stresses(), places, weather, strength, restraint)
    assert expected.max() > 1e-9
    np.testing.assert_allclose(found, expected, rtol=1e-9)  # the same arithmetic in another order


def test_blocks_do_not_change_the_sum(monkeypatch: pytest.MonkeyPatch) -> None:
    weather = Weather(np.tile([[-8.0, 5.0]], (2, 1)), np.zeros((2, 2, 4)), np.full((2, 2), 0.5))
    given = (stresses(), GRID, PASSES, wander(0.4, 0.2, 1.0), weather, np.full((2, 4), 4e6), np.zeros((2, 4)))
    whole = damage_per_truck(*given, LAWS["AASHTO 2008"])
    monkeypatch.setattr("slabwright.life.damage.VALUES_AT_ONCE", 1)
    np.testing.assert_allclose(damage_per_truck(*given, LAWS["AASHTO 2008"]), whole, rtol=1e-12)


def test_warmth_above_the_line_at_a_face_is_compression_and_saves_damage() -> None:
    made = stresses()

    def damage(residual: float) -> np.ndarray:
        weather = Weather(np.full((2, 1), 8.0), np.full((2, 1, 4), residual), np.ones((2, 1)))
        return damage_per_truck(
            made,
            GRID,
            PASSES,
            wander(0.4, 0.2, 1.0),
            weather,
            np.full((2, 4), 4e6),
            np.full((2, 4), 3e5),
            LAWS["NCHRP 1-37A, 2004"],
        )[:, 0]

    assert (damage(2.0) < damage(0.0)).all()
    assert (damage(0.0) < damage(-2.0)).all()


def test_no_samples_and_one_point_keep_their_shapes() -> None:
    one = replace(GRID, points=POINTS[:1])
    weather = Weather(np.zeros((0, 1)), np.zeros((0, 1, 1)), np.ones((0, 1)))
    found = damage_per_truck(
        np.zeros((0, *one.shape)),
        one,
        PASSES,
        wander(0.4, 0.2, 1.0),
        weather,
        np.ones((0, 1)),
        np.ones((0, 1)),
        LAWS["AASHTO 2008"],
    )
    assert found.shape == (0, 1)
