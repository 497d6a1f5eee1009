"""Polynomials of several inputs by least squares, with the error that each sample would have had if left out.

Inputs are brought to -1 .. 1 between stated ends, some on their logarithm; the terms are products of Legendre
polynomials, which keeps the least squares well conditioned.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations_with_replacement

import numpy as np
import numpy.typing as npt

from slabwright.calculation import Array
from slabwright.errors import InputError

__all__ = ["Fit", "Polynomial", "Scale", "fit", "fit_each", "terms"]

Whole = npt.NDArray[np.int64]
ORDERS = (1, 2, 3)
SAMPLES_PER_TERM = 1.5  # fewer, and the error left out tells more about chance than about the surface
BLOCK = 2048  # rows at a time, so that the terms of a block stay in the cache


@dataclass(frozen=True)
class Scale:
    """Inputs (n, d) between ``low`` and ``high`` (d,); ``logs`` (d,) says which on their logarithm."""

    low: Array
    high: Array
    logs: npt.NDArray[np.bool_]

    @property
    def varied(self) -> Whole:
        """Columns whose ends differ; the others are constants."""
        return np.flatnonzero(self.high > self.low)

    def unit(self, inputs: Array) -> Array:
        """The varied inputs as (n, v) in -1 .. 1; what lies outside is taken at the end (see ``outside``)."""
        low, high = (self._bent(end[None]) for end in (self.low, self.high))
        return np.clip(2 * (self._bent(inputs) - low) / (high - low) - 1, -1.0, 1.0)

    def inputs(self, unit: Array) -> Array:
        """The inverse of ``unit``: (n, v) in -1 .. 1 as (n, d), constants filled in."""
        low, high = (self._bent(end[None]) for end in (self.low, self.high))
        bent = low + (unit + 1) / 2 * (high - low)
        made = np.tile(self.low, (len(unit), 1))
        made[:, self.varied] = np.where(self.logs[self.varied], np.exp(bent), bent)
        return np.clip(made, self.low, self.high)  # the exponential may miss an end by its last bit

    def outside(self, inputs: Array) -> npt.NDArray[np.bool_]:
        """Which rows (n,) have an input beyond its ends, by more than rounding."""
        slack = 1e-9 * np.maximum(np.abs(self.low), np.abs(self.high))
        beyond: npt.NDArray[np.bool_] = (inputs < self.low - slack) | (inputs > self.high + slack)
        return np.asarray(beyond.any(axis=1))

    def _bent(self, inputs: Array) -> Array:
        kept = inputs[:, self.varied]
        logs = self.logs[self.varied]
        return np.where(logs, np.log(np.where(logs, np.maximum(kept, 1e-300), 1.0)), kept)


@dataclass(frozen=True)
class Polynomial:
    """Legendre terms of ``degrees`` (terms, v) with ``coefficients`` (terms, outputs)."""

    degrees: Whole
    coefficients: Array

    def __call__(self, unit: Array) -> Array:
        """Values (n, outputs) at inputs (n, v) in -1 .. 1."""
        blocks = [
            basis(unit[start : start + BLOCK], self.degrees).T @ self.coefficients
            for start in range(0, len(unit), BLOCK)
        ]
        return np.concatenate(blocks) if blocks else np.empty((0, self.coefficients.shape[1]))


@dataclass(frozen=True)
class Fit:
    """A polynomial, and what it misses of each sample when fitted without it: (n, outputs)."""

    polynomial: Polynomial
    left_out: Array


def terms(inputs: int, order: int) -> Whole:
    """Degrees (terms, inputs) of every product of total degree up to ``order``; whole numbers, no unit.

    Raises nothing.
    """
    chosen = [c for size in range(order + 1) for c in combinations_with_replacement(range(inputs), size)]
    return np.array([[c.count(i) for i in range(inputs)] for c in chosen], dtype=np.int64).reshape(len(chosen), inputs)


def basis(unit: Array, degrees: Whole) -> Array:
    """Every term (terms, n) at inputs (n, v)."""
    highest = int(degrees.max(initial=0))
    rows = [np.ones(len(unit))]
    places = np.zeros((degrees.shape[1], highest + 1), dtype=np.int64)
    for column, x in enumerate(unit.T):  # a handful of inputs
        values = np.polynomial.legendre.legvander(x, highest).T
        places[column, 1:] = len(rows) + np.arange(highest)
        rows.extend(values[1:])
    table = np.stack(rows)
    found = np.ones((len(degrees), len(unit)))
    for factor in _factors(degrees, places).T:
        found *= table[factor]
    return found


def _factors(degrees: Whole, places: Whole) -> Whole:
    """Rows of the table of single polynomials whose product is each term; row 0 is the number one."""
    chosen = [[int(places[c, d]) for c, d in enumerate(row) if d] for row in degrees]
    longest = max(map(len, chosen), default=0)
    return np.array([row + [0] * (longest - len(row)) for row in chosen], dtype=np.int64).reshape(len(chosen), longest)


def fit(unit: Array, values: Array, orders: Sequence[int] = ORDERS) -> Fit:
    """Least squares of values (n, outputs) on inputs (n, v), of the order that misses left-out samples the least.

    Inputs are in -1 .. 1 [1]; values keep their unit. Raises InputError when there are too few samples for the lowest
    order.
    """
    spread = np.maximum(np.abs(values).max(axis=0), 1e-300)  # outputs of different size count alike
    return min(_fits(unit, values, orders), key=lambda f: float(np.mean((f.left_out / spread) ** 2)))


def fit_each(unit: Array, values: Array, orders: Sequence[int] = ORDERS) -> list[Fit]:
    """As ``fit``, each output by itself with the order that suits it; the inputs are worked up once for all.

    Inputs (n, v) in -1 .. 1 [1], values (n, outputs) in any unit; one fit for each output. Raises InputError as ``fit``.
    """
    fits = _fits(unit, values, orders)
    missed = np.stack([(f.left_out**2).mean(axis=0) for f in fits])
    return [_output(fits[order], number) for number, order in enumerate(missed.argmin(axis=0))]


def _output(found: Fit, number: int) -> Fit:
    one = slice(number, number + 1)
    coefficients = found.polynomial.coefficients[:, one]
    return Fit(Polynomial(found.polynomial.degrees, coefficients), found.left_out[:, one])


def _fits(unit: Array, values: Array, orders: Sequence[int]) -> list[Fit]:
    """A fit of every order for which there are enough samples."""
    fits = [
        _least_squares(unit, values, degrees)
        for degrees in (terms(unit.shape[1], order) for order in orders)
        if len(degrees) * SAMPLES_PER_TERM <= len(unit)
    ]
    if not fits:
        least = int(np.ceil(len(terms(unit.shape[1], min(orders))) * SAMPLES_PER_TERM))
        raise InputError("too few samples for a response surface", given=len(unit), allowed=f"{least} or more")
    return fits


def _least_squares(unit: Array, values: Array, degrees: Whole) -> Fit:
    """The residual of a left-out sample is the plain one over one less its leverage (the hat matrix)."""
    design = basis(unit, degrees).T
    q, r = np.linalg.qr(design)
    coefficients = np.linalg.solve(r, q.T @ values)
    leverage = np.minimum((q**2).sum(axis=1), 1 - 1e-9)
    left_out = (values - design @ coefficients) / (1 - leverage[:, None])
    return Fit(Polynomial(degrees, coefficients), left_out)
