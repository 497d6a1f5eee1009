"""Variance shares against a function whose shares are known in closed form."""

from __future__ import annotations

import numpy as np
import pytest

from slabwright.errors import InputError
from slabwright.statistics.sensitivity import variance_shares


def ishigami(rows: np.ndarray) -> np.ndarray:
    """Ishigami & Homma, 1990, with a = 7 and b = 0.1 over -pi .. pi."""
    x = np.pi * (2 * rows - 1)
    return np.sin(x[:, 0]) + 7 * np.sin(x[:, 1]) ** 2 + 0.1 * x[:, 2] ** 4 * np.sin(x[:, 0])


def closed_form() -> tuple[list[float], list[float]]:
    """Partial variances, integrated by hand: a^2/8, and the powers of pi of b."""
    a, b = 7.0, 0.1
    one = 0.5 * (1 + b * np.pi**4 / 5) ** 2
    two = a**2 / 8
    both = b**2 * np.pi**8 * (1 / 18 - 1 / 50)
    total = one + two + both
    return [one / total, two / total, 0.0], [(one + both) / total, two / total, both / total]


def test_the_shares_of_ishigami_are_found() -> None:
    found = variance_shares(ishigami, ["x1", "x2", "x3"], 4096, 1)
    first, total = closed_form()
    np.testing.assert_allclose(found.first_order, first, atol=0.02)  # 4,096 x 5 rows: measured within 0.006
    np.testing.assert_allclose(found.total, total, atol=0.02)
    assert found.first_order.sum() <= 1.02
    assert (np.abs(found.first_order - first) <= 2 * found.confidence + 1e-3).all()


def test_a_sum_has_no_interactions() -> None:
    found = variance_shares(lambda rows: rows @ np.array([1.0, 2.0, 0.0]), ["x", "y", "z"], 2048, 1)
    np.testing.assert_allclose(found.first_order, [0.2, 0.8, 0.0], atol=0.01)  # variances 1 : 4
    np.testing.assert_allclose(found.total, found.first_order, atol=0.01)


def test_what_does_not_vary_has_no_shares() -> None:
    assert variance_shares(lambda rows: np.ones(len(rows)), ["x"], 64, 1).total.tolist() == [0.0]


def test_one_seed_gives_one_answer() -> None:
    one, again = (variance_shares(ishigami, ["x1", "x2", "x3"], 256, 4) for _ in range(2))
    assert one.first_order.tolist() == again.first_order.tolist()
    assert one.confidence.tolist() == again.confidence.tolist()


def test_values_that_are_not_finite_are_refused() -> None:
    with pytest.raises(InputError, match="needs finite values"):
        variance_shares(lambda rows: np.where(rows[:, 0] > 0.5, np.inf, 1.0), ["x"], 64, 1)
