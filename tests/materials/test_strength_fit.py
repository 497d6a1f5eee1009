"""Curves through tests: recovered without scatter, linear regression for the logarithm, limits that hold at their rate."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from scipy import stats

from slabwright.errors import InputError
from slabwright.materials.maturity import strength_exponential, strength_hyperbolic
from slabwright.materials.strength_fit import FORMS, fit_strength

DATA = Path(__file__).parent / "data"
AGES = np.array([0.5, 1, 2, 3, 7, 14, 28]) * 86400.0


def test_the_curve_that_made_the_tests_is_found_again() -> None:
    made = strength_hyperbolic(AGES, 35e6, 0.45 / 86400, 6 * 3600.0)
    found = fit_strength(AGES, made)
    assert found.parameters == pytest.approx([35e6, 24 / 0.45, 6.0], rel=1e-4)
    assert found.scatter < 1e-4 * 35e6
    made = strength_exponential(AGES, 45e6, 26 * 3600.0, 0.75)
    assert fit_strength(AGES, made, "exponential").parameters == pytest.approx([45e6, 26.0, 0.75], rel=1e-4)


def test_the_logarithm_is_linear_regression() -> None:
    rng = np.random.default_rng(3)
    maturity = AGES * 20.0
    tests = 4e6 + 9e6 * np.log10(maturity / 3600) / 2 + rng.normal(0, 1e6, len(AGES))
    found, line = fit_strength(maturity, tests, "logarithm"), stats.linregress(np.log10(maturity / 3600), tests)
    assert found.parameters == pytest.approx([line.intercept, line.slope], rel=1e-5)
    assert np.sqrt(np.diag(found.covariance)) == pytest.approx([line.intercept_stderr, line.stderr], rel=1e-4)


def test_lower_limits_hold_as_often_as_they_say() -> None:
    """Of 300 sets of tests the 90 per cent limit of the curve at three days lies below the truth in 90 per cent."""
    rng, below, tests_below, sets = np.random.default_rng(7), 0, 0, 300
    ages = np.repeat(AGES, 3)
    truth = strength_exponential(ages, 45e6, 26 * 3600.0, 0.75)
    at = np.array(3 * 86400.0)
    real = float(strength_exponential(at, 45e6, 26 * 3600.0, 0.75))
    for _ in range(sets):
        found = fit_strength(ages, truth + rng.normal(0, 1.5e6, len(ages)), "exponential")
        below += found.lower(at) <= real
        tests_below += found.lower(at, of_a_test=True) <= real + rng.normal(0, 1.5e6)
    # Binomial: 0.9 of 300 with a standard deviation of 5.2 of them, three of which are 0.052.
    assert below / sets == pytest.approx(0.9, abs=0.055)
    assert tests_below / sets == pytest.approx(0.9, abs=0.055)


@pytest.mark.parametrize("form", FORMS)
def test_more_confidence_is_less_strength(form: str) -> None:
    rng = np.random.default_rng(2)
    tests = strength_exponential(AGES, 45e6, 26 * 3600.0, 0.75) * rng.normal(1, 0.05, len(AGES))
    found = fit_strength(AGES, tests, form)  # type: ignore[arg-type]
    limits = [found.lower(AGES, c) for c in (0.5, 0.8, 0.95)]
    assert (np.diff(limits, axis=0) <= 0).all()
    assert (found.lower(AGES, 0.9, of_a_test=True) <= found.lower(AGES, 0.9)).all()
    assert limits[0] == pytest.approx(found.strength(AGES))


@pytest.mark.parametrize(
    ("ages", "strengths", "words"),
    [
        (AGES[:4], [1e6, 2e6, 3e6, 4e6], "too few tests"),
        (np.repeat(AGES[:3], 3), np.linspace(1e6, 9e6, 9), "too few tests"),
        (AGES, np.linspace(9e6, 1e6, 7), "does not rise"),
        (AGES, [1e6, 2e6, 3e6, np.nan, 5e6, 6e6, 7e6], "missing or not above zero"),
        (AGES * 0, np.linspace(1e6, 9e6, 7), "missing or not above zero"),
        (AGES, [1e6], "one age and one strength"),
    ],
)
def test_what_cannot_be_fitted_is_refused(ages: np.ndarray, strengths: list[float], words: str) -> None:
    with pytest.raises(InputError, match=words):
        fit_strength(ages, np.array(strengths))


def test_measured_mixes_are_followed_within_a_tenth() -> None:
    """Mixes of Yeh 1998 with tests at five ages or more: how far the exponential leaves the measurements."""
    frame = pd.read_csv(DATA / "yeh1998_concrete_strength.csv")
    mixes = frame.groupby(list(frame.columns[:7]))
    errors = []
    for _, tests in mixes:
        if tests["age"].nunique() < 5:
            continue
        ages, strength = tests["age"].to_numpy() * 86400.0, tests["compressive_strength"].to_numpy() * 1e6
        found = fit_strength(ages, strength, "exponential")
        errors.append(found.scatter / strength.mean())
    assert len(errors) > 20
    assert np.median(errors) < 0.10
