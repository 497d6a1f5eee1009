"""Shape functions on one interval: cubic Hermite for deflection, quadratic for in-plane displacement.

An element's functions are products of these, so that values, derivatives and integrals over any rectangle are
products too, and a loaded patch need not follow the mesh.
"""

from __future__ import annotations

import numpy as np
from numpy.polynomial import Polynomial

from slabwright.calculation import Array

__all__ = ["hermite", "hermite_integral", "quadratic"]

# Value at the left end, slope there, value at the right end, slope there, on [0, 1].
HERMITE = (Polynomial([1, 0, -3, 2]), Polynomial([0, 1, -2, 1]), Polynomial([0, 0, 3, -2]), Polynomial([0, 0, -1, 1]))
HERMITE_INTEGRAL = tuple(p.integ() for p in HERMITE)
# Left end, right end, middle.
QUADRATIC = (Polynomial([1, -3, 2]), Polynomial([0, -1, 2]), Polynomial([0, 4, -4]))


def hermite(xi: Array, length: Array, derivative: int = 0) -> Array:
    """The four cubic functions at places xi in [0, 1] of intervals of that length [m]: (n,), (n,) -> (n, 4).

    [1] for values and [m] for slopes, over [m] for each order of ``derivative``. Raises nothing.
    """
    values = np.stack([p.deriv(derivative)(xi) if derivative else p(xi) for p in HERMITE], axis=-1)
    return _scaled(values, length) / length[:, None] ** derivative


def hermite_integral(xi: Array, length: Array) -> Array:
    """Their integrals from the left end to xi: (n,) in [0, 1], (n,) [m] -> (n, 4) [m for values, m^2 for slopes].

    Raises nothing.
    """
    values = np.stack([p(xi) for p in HERMITE_INTEGRAL], axis=-1)
    return _scaled(values, length) * length[:, None]


def quadratic(xi: Array, length: Array, derivative: int = 0) -> Array:
    """The three quadratic functions: xi (n,) in [0, 1], length (n,) [m] -> (n, 3) [1], ends first.

    Over [m] for each order of ``derivative``. Raises nothing.
    """
    values = np.stack([p.deriv(derivative)(xi) if derivative else p(xi) for p in QUADRATIC], axis=-1)
    return np.asarray(values / length[:, None] ** derivative)


def _scaled(values: Array, length: Array) -> Array:
    """Slope functions in the unit of length."""
    factor = np.ones((*length.shape, 4))
    factor[..., 1] = factor[..., 3] = length
    return values * factor
