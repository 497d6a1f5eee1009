"""Slab-size correction: the product that acts on k, against a free finite plate, and its limits."""

import numpy as np
import pytest

from slabwright.evaluation.backcalculation import slab_size_factors

# True L/l, l_true / l_est, k_est / k_true by a numerical solution of a free square plate (independent solution).
FREE_PLATE = [(3, 0.7985, 0.475), (4, 0.9396, 0.760), (5, 0.9627, 0.835), (6, 0.9693, 0.878), (8, 0.9894, 0.961)]


@pytest.mark.parametrize(("size", "ratio", "k_ratio"), FREE_PLATE)
def test_k_is_corrected_within_4_per_cent(size: float, ratio: float, k_ratio: float) -> None:
    factors = slab_size_factors(size * ratio * 0.8, 0.8)
    assert float(factors.radius**2 * factors.deflection) == pytest.approx(k_ratio, rel=0.04)


def test_factors_rise_to_one_with_the_size_of_the_slab() -> None:
    factors = slab_size_factors(np.linspace(2, 60, 200), 0.8)
    for value in (factors.radius, factors.deflection):
        assert (np.diff(value) > -1e-12).all()
        assert value[-1] == pytest.approx(1, abs=1e-3)
