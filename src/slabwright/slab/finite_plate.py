"""A rectangular plate with free edges on a dense liquid, loaded by a round plate at its middle.

By Ritz's method: the deflection is a sum of products of Legendre polynomials, even ones alone because slab and load are
symmetric, and the free edges need no condition. With k the modulus of foundation reaction and D the rigidity,

    (D B + k M) c = P f,   d = c . p(x, 0),

where M is the identity for polynomials of unit norm, so that one eigenvalue problem of B serves every D and k. Kirchhoff's
plate, from its energy (plate theory); checked in the tests against the finite elements of ``plate`` and, for a wide plate,
against the infinite integral.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.polynomial import legendre

from slabwright.calculation import Array

__all__ = ["FreePlate", "free_plate"]

LONGEST_HALF = 8.0  # m: a longer slab is cut here, eight to ten radii of relative stiffness from the load
TERMS_PER_METRE, FEWEST, MOST = 5.0, 20, 40  # even polynomials by half a side: deflections within 0.5 per cent (tested)
RINGS, RAYS = 12, 16  # points of the integral over the loaded quarter circle


@dataclass(frozen=True)
class FreePlate:
    """A solved slab: half length [m], modes along the middle line, load and stiffness of each mode."""

    half_length: float
    modes: Array  # (terms along, modes): the middle line's polynomials in each mode
    load: Array  # (modes,)
    stiffness: Array  # (modes,) [1/m4]

    def coefficient(self, offsets: Array, relative_stiffness: Array) -> Array:
        """Deflections d k l^2 / P at offsets (s,) [m] along the slab for radii of relative stiffness (n,) [m]: (n, s)."""
        place = np.abs(np.asarray(offsets, dtype=float)) / self.half_length
        rows = _polynomials(len(self.modes), np.where(place <= 1, place, np.nan)).T / np.sqrt(self.half_length)
        l = np.asarray(relative_stiffness, dtype=float)[:, None]
        answer = self.load / (1 + l**4 * self.stiffness)
        return np.asarray(l**2 * (answer @ (rows @ self.modes).T))


@cache
def free_plate(length: float, width: float, load_radius: float, poisson: float) -> FreePlate:
    """Solve a slab of this length and width [m] under a round plate of this radius [m]; scalars. Raises nothing."""
    half = min(length / 2, LONGEST_HALF), min(width / 2, LONGEST_HALF)
    terms = [int(np.clip(np.ceil(TERMS_PER_METRE * side), FEWEST, MOST)) for side in half]
    along, across = (_integrals(n, side) for n, side in zip(terms, half, strict=True))
    mixed = np.kron(along.curved, across.curved.T)
    bending = (
        np.kron(along.bent, np.eye(terms[1]))
        + np.kron(np.eye(terms[0]), across.bent)
        + poisson * (mixed + mixed.T)
        + 2 * (1 - poisson) * np.kron(along.sloped, across.sloped)
    )
    stiffness, modes = np.linalg.eigh((bending + bending.T) / 2)
    load = modes.T @ _disc(terms, half, load_radius)
    middle = _polynomials(terms[1], np.zeros(1))[:, 0] / np.sqrt(half[1])
    shapes = np.einsum("anm,n->am", modes.reshape(*terms, -1), middle)
    return FreePlate(half[0], shapes, load, np.maximum(stiffness, 0.0))


@dataclass(frozen=True)
class _Integrals:
    """Integrals over a side of products of derivatives: second by second, first by first, second by none."""

    bent: Array
    sloped: Array
    curved: Array


def _integrals(terms: int, half: float) -> _Integrals:
    x, weight = legendre.leggauss(2 * terms + 2)
    none, first, second = (_polynomials(terms, x, order) / half**order for order in range(3))
    return _Integrals((second * weight) @ second.T, (first * weight) @ first.T, (second * weight) @ none.T)


def _polynomials(terms: int, x: Array, derivative: int = 0) -> Array:
    """Even Legendre polynomials of unit norm on -1 to 1, or a derivative of them: (terms, places)."""
    rows = []
    for degree in range(0, 2 * terms, 2):  # a few tens of polynomials, each at all places at once
        series = np.zeros(degree + 1)
        series[-1] = np.sqrt(degree + 0.5)
        rows.append(legendre.legval(x, legendre.legder(series, derivative)))
    return np.array(rows)


def _disc(terms: list[int], half: tuple[float, float], radius: float) -> Array:
    """Mean of each product of polynomials over the loaded circle."""
    x, weight = legendre.leggauss(RINGS)
    ring, share = radius * (x + 1) / 2, weight * (x + 1) / 2
    angle = (np.arange(RAYS) + 0.5) * np.pi / 2 / RAYS
    places = (np.outer(ring, way(angle)).ravel() for way in (np.cos, np.sin))
    along, across = (
        _polynomials(n, at / side) / np.sqrt(side) for n, at, side in zip(terms, places, half, strict=True)
    )
    return np.asarray(np.einsum("mi,ni,i->mn", along, across, np.repeat(share / RAYS, RAYS)).ravel())
