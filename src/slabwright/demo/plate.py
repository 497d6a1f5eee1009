"""How the slabs of the demo road answer a dropped load: the truth model, independent of the evaluation code.

Interior. An infinite plate on a dense liquid, d* = d k l^2 / P by the exact Hankel integral. A real slab is
finite, so its basin is made to be what the slab-size factors (Crovetti, from memory) undo exactly: with
x = L / l_est, where L is sqrt(length width), or sqrt(2) width for a slab longer than two widths, the shape is that of an infinite plate of radius l_est, where
l = AFl(x) l_est, and the level is d = P d*(r; l_est) / (k l^2 AFd0(x)).

Corner. Ioannides, Thompson & Barenberg (1985, from memory): d = P / (k l^2) (1.205 - 0.69 c / l), c = 1.772 a.
"""

from __future__ import annotations

from functools import cache

import numpy as np
import numpy.typing as npt
from scipy.special import j0, j1

__all__ = [
    "corner_deflection",
    "estimated_stiffness",
    "finite_basin",
    "plate_integral",
    "relative_stiffness",
    "size_factors",
]

Array = npt.NDArray[np.float64]

# The integrand falls as x^-5: what is cut off above the limit is below 1e-6 of the centre deflection.
LIMIT = 60.0
NODES = 600
# The map from l to l_est contracts by a factor below one half wherever the slab is longer than 2 l.
ITERATIONS = 80


def relative_stiffness(
    modulus: Array | float, thickness: Array | float, foundation: Array | float, poisson: float
) -> Array:
    """l (m) from E (Pa), h (m), k (Pa/m): l^4 = E h^3 / (12 (1 - nu^2) k)."""
    rigidity = np.asarray(modulus) * np.asarray(thickness) ** 3 / (12 * (1 - poisson**2))
    return np.asarray((rigidity / foundation) ** 0.25)


@cache
def _nodes() -> tuple[Array, Array]:
    x, weight = np.polynomial.legendre.leggauss(NODES)
    return LIMIT / 2 * (x + 1), LIMIT / 2 * weight


def plate_integral(offset: npt.ArrayLike, stiffness: npt.ArrayLike, radius: float) -> Array:
    """d* = d k l^2 / P at ``offset`` (m) for l = ``stiffness`` (m) and plate ``radius`` (m); arrays broadcast.

    d*(r) = l / (pi a) Int_0^inf J1(x a / l) J0(x r / l) / (1 + x^4) dx
    """
    x, weight = _nodes()
    r, l = np.broadcast_arrays(np.abs(np.asarray(offset, float)), np.asarray(stiffness, float))
    rho, alpha = r[..., None] / l[..., None], radius / l[..., None]
    integrand = j1(x * alpha) * j0(x * rho) / (1 + x**4)
    return np.asarray(integrand @ weight / (np.pi * alpha[..., 0]))


def size_factors(ratio: npt.ArrayLike) -> tuple[Array, Array]:
    """(AFl, AFd0) of a slab whose effective size over l_est is ``ratio``."""
    x = np.asarray(ratio, float)
    return 1 - 0.89434 * np.exp(-0.61662 * x**1.04831), 1 - 1.15085 * np.exp(-0.71878 * x**0.80151)


def estimated_stiffness(stiffness: Array, side: Array | float) -> Array:
    """The l_est (m) that an infinite-plate reading of a finite slab gives, from the true l (m): l = AFl l_est."""
    estimate = np.array(stiffness, dtype=float)
    for _ in range(ITERATIONS):
        estimate = stiffness / size_factors(side / estimate)[0]
    return estimate


def finite_basin(offset: Array, stiffness: Array, foundation: Array, radius: float, side: Array | float) -> Array:
    """Deflection per load (m/N) with the plate at mid-slab, one row a point, one column an offset (m).

    ``stiffness`` l (m), ``foundation`` k (Pa/m) and ``side`` L (m), the slab's effective size, are one a point.
    """
    estimate = estimated_stiffness(stiffness, side)
    level = 1 / (foundation * stiffness**2 * size_factors(side / estimate)[1])
    return level[:, None] * plate_integral(offset, estimate[:, None], radius)


def corner_deflection(stiffness: Array, foundation: Array, radius: float) -> Array:
    """Deflection per load (m/N) of a free corner under the plate."""
    return np.asarray((1.205 - 0.69 * 1.772 * radius / stiffness) / (foundation * stiffness**2))
