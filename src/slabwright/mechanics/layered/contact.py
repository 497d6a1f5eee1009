"""Support that can only push: slab and foundation part where the slab lifts or a void lies below.

The foundation's reaction R is taken out of the linear system and put back as a load:
w = w0 + C q, q = S0 w - R, with C the compliance between the points of support on a first foundation S0.
Dense liquid: R = S0 (w - gap) in contact, 0 elsewhere.  Elastic solid: R = F^-1 (w - gap) over the contact.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.sparse import csr_array

from slabwright.calculation import Array
from slabwright.errors import NotConverged

__all__ = ["Compliance", "Support", "liquid_contact", "solid_contact", "solid_flexibility"]

MOST_STEPS = 60
BLOCK = 64  # right-hand sides solved at a time
Bools = npt.NDArray[np.bool_]


@dataclass(frozen=True)
class Support:
    """Points of support: stiffness that each adds (n,) [N/m] and gap below the slab (n,) [m], 0 where they touch."""

    stiffness: Array
    gap: Array


class Compliance:
    """Deflection of all points of support under a unit force at one: columns solved when first asked for."""

    def __init__(self, rows: csr_array, solve: Callable[[Array], Array]) -> None:
        self._rows, self._solve = rows, solve
        self._place = np.full(rows.shape[0], -1)
        self._columns = np.empty((rows.shape[0], 0))

    def __call__(self, points: npt.NDArray[np.intp]) -> Array:
        """Columns of some points (points of support, chosen) [m/N]."""
        missing = points[self._place[points] < 0]
        if len(missing):
            blocks = [missing[i : i + BLOCK] for i in range(0, len(missing), BLOCK)]
            made = [self._rows @ self._solve(self._rows[some].toarray().T) for some in blocks]
            self._place[missing] = self._columns.shape[1] + np.arange(len(missing))
            self._columns = np.hstack([self._columns, *made])
        return self._columns[:, self._place[points]]


def liquid_contact(free: Array, compliance: Compliance, support: Support, lifted: Bools) -> tuple[Array, Bools]:
    """Forces q (n,) [N] that lift or void adds to the fully supported slab, and which points have parted.

    ``free``: (n,) deflection with full support; ``lifted``: (n,) first guess. Raises NotConverged.
    """
    gap, stiffness = support.gap, support.stiffness
    bounded = np.where(np.isfinite(gap), gap, 0.0)
    for _ in range(MOST_STEPS):
        held = ~lifted & (gap > 0)
        q = np.where(held, stiffness * bounded, 0.0)
        known = np.flatnonzero(held)
        base = free + compliance(known) @ q[known]
        parted = np.flatnonzero(lifted)
        deflection = base
        if len(parted):
            columns = compliance(parted)
            system = np.diag(1 / stiffness[parted]) - columns[parted]
            q[parted] = np.linalg.solve(system, base[parted])
            deflection = base + columns @ q[parted]
        now = deflection < gap
        if np.array_equal(now, lifted):
            return q, lifted
        lifted = now
    raise NotConverged(
        f"the contact between slab and foundation did not settle in {MOST_STEPS} steps",
        given=f"{int(lifted.sum())} of {len(lifted)} points parted",
        remedy="No stress is given. Check self-weight, temperature and voids against each other, or use a finer mesh.",
    )


def solid_contact(
    free: Array, compliance: Array, flexibility: Array, support: Support, lifted: Bools
) -> tuple[Array, Bools]:
    """The same on an elastic solid, whose points press on one another: flexibility (n, n) [m/N]."""
    stiffness, gap = support.stiffness, support.gap
    for _ in range(MOST_STEPS):
        touching = np.flatnonzero(~lifted)
        inverse = np.linalg.inv(flexibility[np.ix_(touching, touching)]) if len(touching) else np.zeros((0, 0))
        system = np.eye(len(free)) - compliance * stiffness
        system[:, touching] += compliance[:, touching] @ inverse
        reaction_gap = inverse @ gap[touching]
        deflection = np.linalg.solve(system, free + compliance[:, touching] @ reaction_gap)
        reaction = np.zeros(len(free))
        reaction[touching] = inverse @ (deflection[touching] - gap[touching])
        surface = flexibility @ reaction  # how far the ground has gone down at every point
        now = np.where(lifted, deflection < gap + surface, reaction < 0)
        if np.array_equal(now, lifted):
            return stiffness * deflection - reaction, lifted
        lifted = now
    raise NotConverged(
        f"the contact between slab and elastic solid did not settle in {MOST_STEPS} steps",
        remedy="No stress is given. Check self-weight, temperature and voids against each other, or use a finer mesh.",
    )


def solid_flexibility(x: Array, y: Array, width: Array, height: Array, modulus: float, poisson: float) -> Array:
    """Surface deflection at each cell's middle from a unit force spread over each cell: (n, n) [m/N].

    Boussinesq's half-space under a uniformly loaded rectangle (Love 1929; Timoshenko & Goodier, Theory of
    Elasticity, from memory).
    """
    a, b = width / 2, height / 2
    dx, dy = np.abs(x[:, None] - x), np.abs(y[:, None] - y)
    total = sum(
        sign * _corner(dx + i * a, dy + j * b)
        for i, j, sign in ((1, 1, 1.0), (-1, 1, -1.0), (1, -1, -1.0), (-1, -1, 1.0))
    )
    return (1 - poisson**2) / (np.pi * modulus) * total / (width * height)


def _corner(u: Array, v: Array) -> Array:
    """Int Int dA / r over the rectangle from the origin to (u, v)."""
    first = np.divide(v, np.abs(u), out=np.zeros_like(u), where=u != 0)
    second = np.divide(u, np.abs(v), out=np.zeros_like(u), where=v != 0)
    return u * np.arcsinh(first) + v * np.arcsinh(second)
