"""Homogeneous sections: published discrete example, planted steps, noise, and degenerate input."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from slabwright.survey.boundaries import Boundary, by_hand, choose_boundaries
from slabwright.survey.sections import (
    boundaries_by_change_points,
    boundaries_by_cumulative_difference,
    cumulative_difference,
    cumulative_difference_intervals,
    drop_weak_boundaries,
)

TEN = [20, 21, 19, 35, 36, 34, 35, 15, 14, 16]


def test_boundaries_of_the_discrete_example() -> None:
    """Constructed on AASHTO 1993 Appendix J: boundaries after points 3 and 8; 3 and 7 without averaging."""
    x = np.arange(1.0, 11)
    assert boundaries_by_cumulative_difference(cumulative_difference(x, TEN)).tolist() == [3, 8]
    assert boundaries_by_cumulative_difference(cumulative_difference_intervals(np.ones(10), TEN)).tolist() == [3, 7]


def test_boundaries_of_the_exact_example() -> None:
    """Constructed exactly: 20 on 0-3, 35 on 3-7, 15 on 7-10: boundaries at 3 and 7."""
    z = cumulative_difference_intervals([3.0, 4.0, 3.0], [20.0, 35.0, 15.0])
    assert boundaries_by_cumulative_difference(z).tolist() == [1, 2]


def test_change_points_find_the_planted_steps() -> None:
    rng = np.random.default_rng(5)
    truth = np.repeat([1.0, 1.6, 0.8, 1.2], [40, 25, 30, 45])
    found = boundaries_by_change_points(truth + 0.05 * rng.standard_normal(len(truth)), 3)
    assert np.abs(found - np.array([40, 65, 95])).max() <= 1


@given(st.integers(0, 2**32 - 1))
def test_noise_alone_makes_no_sections(seed: int) -> None:
    rng = np.random.default_rng(seed)
    x = np.arange(80.0) * 15
    response = rng.normal(1, 0.15, 80)
    raw = boundaries_by_cumulative_difference(cumulative_difference(x, response))
    # One boundary in a long road is allowed: at 1 % significance a few of many candidates pass by chance.
    assert len(drop_weak_boundaries(x, response, raw, 150.0)) <= 3


def test_cumulative_differences_end_at_zero_and_do_not_see_scale() -> None:
    rng = np.random.default_rng(2)
    x = np.sort(rng.uniform(0, 1000, 50))
    r = rng.uniform(1, 2, 50)
    z = cumulative_difference(x, r)
    assert z[-1] == pytest.approx(0, abs=1e-9)
    np.testing.assert_allclose(cumulative_difference(x, 3 * r), 3 * z, atol=1e-9)


def test_short_and_constant_series_have_no_boundaries() -> None:
    assert boundaries_by_change_points(np.array([1.0, 2.0]), 3).size == 0
    assert boundaries_by_change_points(np.ones(30), 3).size == 0
    assert drop_weak_boundaries(np.arange(20.0), np.ones(20), np.array([5, 10]), 2.0).size == 0


def test_steps_without_scatter_are_kept() -> None:
    response = np.repeat([1.0, 2.0], 10)
    assert drop_weak_boundaries(np.arange(20.0) * 50, response, np.array([4, 10]), 100.0).tolist() == [10]


def test_boundaries_set_by_hand_read_stations_and_stay() -> None:
    hand = by_hand("12+00; 20+50.0 ;")
    assert [round(b.station / 0.3048) for b in hand] == [1200, 2050]
    chosen = choose_boundaries([*hand, Boundary(1210 * 0.3048, "deflection")], (0.0, 1000.0), 100.0)
    assert [b.reason for b in chosen] == ["set by hand", "set by hand"]
