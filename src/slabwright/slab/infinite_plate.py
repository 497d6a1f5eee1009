"""The exact infinite plate under a circular load, on a dense liquid or an elastic solid.

    dense liquid   d* = d k l^2 / P = (l / (pi a)) Int_0^inf J1(x a/l) J0(x r/l) / (1 + x^4) dx
    elastic solid  d* = d D / (P l^2) = (l / (pi a)) Int_0^inf J1(x a/l) J0(x r/l) / (x (1 + x^3)) dx

Derived from the biharmonic equation by a Hankel transform; checked against the closed form in Kelvin
functions in the tests.
"""

from __future__ import annotations

from functools import cache
from typing import Annotated, Literal

import numpy as np
from scipy.interpolate import CubicSpline
from scipy.special import j0, j1

from slabwright.calculation import Array, Quantity, calculation
from slabwright.terms import PLATE_RADIUS, LoadRadius, RelativeStiffness
from slabwright.units import INCH

__all__ = [
    "Support",
    "infinite_nodes",
    "plate_coefficient_dense_liquid",
    "plate_coefficient_elastic_solid",
    "plate_shape",
]

Support = Literal["dense liquid", "elastic solid"]
Offset = Annotated[Array, Quantity("thickness", "distance from the load centre", -100 * INCH, 100 * INCH, "r")]

# Panels of the integral: the tail beyond the last limit is below 1e-8 of the centre deflection, and each
# panel holds enough Gauss points for the fastest oscillation met (r/l = 12 over a panel of length 12).
PANELS = np.concatenate([np.linspace(0, 12, 13), np.linspace(24, 120, 9), np.linspace(180, 2400, 38)])
POINTS = 64


@cache
def infinite_nodes() -> tuple[Array, Array]:
    """Places and weights for integrals over wave numbers, in units of 1 / l."""
    x, w = np.polynomial.legendre.leggauss(POINTS)
    half = np.diff(PANELS)[:, None] / 2
    middle = (PANELS[:-1] + PANELS[1:])[:, None] / 2
    return (middle + half * x).ravel(), (half * w).ravel()


def _coefficient(offset: Array, l: Array, a: Array, support: Support) -> Array:
    x, w = infinite_nodes()
    kernel = w / (1 + x**4) if support == "dense liquid" else w / (x * (1 + x**3))
    alpha, rho = np.broadcast_arrays(a / l, np.abs(offset) / l)
    flat = np.array([
        float(kernel @ (j1(x * p) * j0(x * q))) / (np.pi * p) for p, q in zip(alpha.flat, rho.flat, strict=True)
    ])  # one integral at a time keeps memory small; tables, not single values, are what is evaluated often
    return flat.reshape(alpha.shape)


@calculation(
    source="plate_theory",
    equation="d* = l / (pi a) Int J1(x a / l) J0(x r / l) / (1 + x^4) dx",
)
def plate_coefficient_dense_liquid(
    offset: Offset, relative_stiffness: RelativeStiffness, load_radius: LoadRadius = PLATE_RADIUS
) -> Annotated[Array, Quantity("number", "deflection coefficient d k l^2 / P", symbol="d*")]:
    """Exact deflection coefficient of an infinite plate on a dense liquid."""
    return _coefficient(offset, relative_stiffness, load_radius, "dense liquid")


@calculation(
    source="plate_theory",
    equation="d* = l / (pi a) Int J1(x a / l) J0(x r / l) / (x (1 + x^3)) dx",
)
def plate_coefficient_elastic_solid(
    offset: Offset, relative_stiffness: RelativeStiffness, load_radius: LoadRadius = PLATE_RADIUS
) -> Annotated[Array, Quantity("number", "deflection coefficient d D / (P l^2)", symbol="d*")]:
    """Exact deflection coefficient of an infinite plate on an elastic solid."""
    return _coefficient(offset, relative_stiffness, load_radius, "elastic solid")


SHORTEST, LONGEST, KNOTS = 8 * INCH, 160 * INCH, 96


@cache
def plate_shape(offsets: tuple[float, ...], load_radius: float, support: Support) -> CubicSpline:
    """Deflection coefficients at fixed offsets as a spline over ln(l): (n,) -> (n, len(offsets)).

    Offsets and radius in m. On 96 knots the spline is within 1e-6 of the integral (tested).
    """
    knots = np.linspace(np.log(SHORTEST), np.log(LONGEST), KNOTS)
    l = np.exp(knots)[:, None]
    values = _coefficient(np.array(offsets)[None, :], l, np.asarray(load_radius), support)
    return CubicSpline(knots, values)
