"""How the slabs of the demo road answer a dropped load: the truth model, independent of the evaluation code.

Interior. A slab of the stated length and width with free edges on a dense liquid, by the finite elements of ``plate``,
loaded at its middle: the ratio of its basin to that of an infinite plate, by the exact Hankel integral, at a few radii of
relative stiffness and interpolated. Nothing of the evaluation is used: that corrects for the size of the slab by another
method, and the published slab-size factors are a third.

Corner. Ioannides, Thompson & Barenberg (1985, from memory): d = P / (k l^2) (1.205 - 0.69 c / l), c = 1.772 a.
"""

from __future__ import annotations

from functools import cache

import numpy as np
import numpy.typing as npt
from scipy.interpolate import CubicSpline
from scipy.special import j0, j1

from slabwright.plate.grid import grid
from slabwright.plate.loads import circles
from slabwright.plate.pavement import DenseLiquid, Layer, LayeredPavement
from slabwright.plate.plate import layered_plate
from slabwright.plate.response import deflection

__all__ = [
    "corner_deflection",
    "finite_basin",
    "finite_share",
    "plate_integral",
    "relative_stiffness",
]

Array = npt.NDArray[np.float64]

# The integrand falls as x^-5: what is cut off above the limit is below 1e-6 of the centre deflection.
LIMIT = 60.0
NODES = 600
# Radii of relative stiffness (m) at which a slab is computed; element sizes (m) that give basins within 0.3 %.
KNOTS = np.geomspace(0.5, 1.6, 7)
ELEMENT, FINE = 0.75, 0.25
STRIPS = 16


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


@cache
def finite_share(length: float, width: float, offsets: tuple[float, ...], radius: float, poisson: float) -> CubicSpline:
    """Deflection of a slab of ``length`` by ``width`` (m) over that of an infinite plate at ``offsets`` (m), over ln l."""
    places = np.column_stack([length / 2 + np.abs(offsets), np.full(len(offsets), width / 2)])
    shares = []
    for l in KNOTS:  # a model of its own for each
        slab = Layer(1.0 / 4, 3e10, poisson)
        pavement = LayeredPavement((0.0, length), (0.0, width), (slab,), DenseLiquid(slab.bending / l**4))
        lines = grid(pavement, ELEMENT, focus_x=[(length / 2, FINE)], focus_y=[(width / 2, FINE)])
        plate = layered_plate(pavement, lines)
        solved = plate.solve(plate.load(circles(1.0, radius, length / 2, width / 2, STRIPS)))
        unit = deflection(solved, places)[:, 0] * slab.bending / l**2
        shares.append(unit / plate_integral(np.array(offsets), l, radius))
    return CubicSpline(np.log(KNOTS), np.array(shares))


def finite_basin(
    offset: npt.ArrayLike, stiffness: Array, foundation: Array, radius: float, slab: tuple[float, float], poisson: float
) -> Array:
    """Deflection per load (m/N) with the plate at mid-slab, one row a point, one column an offset (m).

    ``stiffness`` l (m) and ``foundation`` k (Pa/m) are one a point; ``slab`` is its length and width (m).
    """
    offsets = tuple(float(r) for r in np.asarray(offset, dtype=float))
    share = finite_share(*slab, offsets, radius, poisson)(np.log(stiffness))
    level = 1 / (foundation * stiffness**2)
    return np.asarray(level[:, None] * share * plate_integral(offsets, stiffness[:, None], radius))


def corner_deflection(stiffness: Array, foundation: Array, radius: float) -> Array:
    """Deflection per load (m/N) of a free corner under the plate."""
    return np.asarray((1.205 - 0.69 * 1.772 * radius / stiffness) / (foundation * stiffness**2))
