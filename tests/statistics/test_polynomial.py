"""A polynomial surface: outputs fitted together and each by itself."""

from __future__ import annotations

import numpy as np

from slabwright.statistics.polynomial import fit, fit_each


def test_outputs_fitted_each_by_itself_are_those_fitted_alone() -> None:
    generator = np.random.default_rng(4)
    unit = generator.uniform(-1, 1, (200, 3))
    values = np.stack([unit[:, 0] ** 3 * unit[:, 1], 2 + unit[:, 2], np.exp(unit[:, 0])], axis=1)
    for each, column in zip(fit_each(unit, values), values.T, strict=True):
        alone = fit(unit, column[:, None])
        np.testing.assert_array_equal(each.polynomial.degrees, alone.polynomial.degrees)
        np.testing.assert_allclose(each.polynomial.coefficients, alone.polynomial.coefficients, atol=1e-12)
        np.testing.assert_allclose(each.left_out, alone.left_out, atol=1e-12)
