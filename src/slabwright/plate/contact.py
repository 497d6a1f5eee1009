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

__all__ = ["Compliance", "LiftedSystem", "Support", "liquid_contact", "solid_contact", "solid_flexibility"]

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

    def __call__(self, rows: npt.NDArray[np.intp] | slice, points: npt.NDArray[np.intp]) -> Array:
        """Deflection of some points of support (rows) under unit forces at some points [m/N]."""
        places = self._solved(points)
        return self._columns[rows, places] if isinstance(rows, slice) else self._columns[np.ix_(rows, places)]

    def times(self, forces: Array) -> Array:
        """Deflection of all points of support under forces (points of support,) [m]."""
        pushed = np.flatnonzero(forces)
        places = self._solved(pushed)
        by_column = np.zeros(self._columns.shape[1])
        by_column[places] = forces[pushed]
        return self._columns @ by_column

    def _solved(self, points: npt.NDArray[np.intp]) -> npt.NDArray[np.intp]:
        """Where the columns of the points stand, those missing solved for."""
        missing = points[self._place[points] < 0]
        if len(missing):
            blocks = [missing[i : i + BLOCK] for i in range(0, len(missing), BLOCK)]
            made = [self._rows @ self._solve(self._rows[some].toarray().T) for some in blocks]
            self._place[missing] = self._columns.shape[1] + np.arange(len(missing))
            self._columns = np.hstack([self._columns, *made])
        return self._place[points]


@dataclass
class LiftedSystem:
    """Solves (1 / S - C) q = base over the open points, from the inverse for a set of them met before.

    Load cases at one temperature part nearly the same points: the few that differ are a small system of their own.
    """

    compliance: Compliance
    stiffness: Array
    points: npt.NDArray[np.intp]
    inverse: Array

    @classmethod
    def of(cls, compliance: Compliance, stiffness: Array) -> LiftedSystem:
        """For no point yet."""
        return cls(compliance, stiffness, np.zeros(0, dtype=np.intp), np.zeros((0, 0)))

    def solve(self, opened: npt.NDArray[np.intp], base: Array) -> Array:
        """Forces q over the open points; base: (points of support,) deflection without them."""
        more = np.setdiff1d(opened, self.points, assume_unique=True)
        fewer = np.flatnonzero(~np.isin(self.points, opened, assume_unique=True))
        if len(more) + len(fewer) > 0.3 * len(opened):
            self.points = opened
            self.inverse = np.asarray(np.linalg.inv(self._matrix(opened, opened)), dtype=np.float64)
            return np.asarray(self.inverse @ base[opened])
        return self._bordered(opened, more, fewer, base)

    def _matrix(self, rows: npt.NDArray[np.intp], columns: npt.NDArray[np.intp]) -> Array:
        found = -self.compliance(rows, columns)
        found[rows[:, None] == columns] += 1 / self.stiffness[columns[np.isin(columns, rows)]]
        return found

    def _bordered(
        self, opened: npt.NDArray[np.intp], more: npt.NDArray[np.intp], fewer: npt.NDArray[np.intp], base: Array
    ) -> Array:
        """Unknown besides the kept forces: forces at points more, and the multipliers that hold fewer at zero."""
        side, free = self._matrix(self.points, more), self.inverse @ base[self.points]
        reach = self.inverse @ side
        corner = np.block([
            [self.inverse[np.ix_(fewer, fewer)], -reach[fewer]],
            [side.T @ self.inverse[:, fewer], self._matrix(more, more) - side.T @ reach],
        ])
        right = np.concatenate([-free[fewer], base[more] - side.T @ free])
        small = np.linalg.solve(corner, right)
        held, added = small[: len(fewer)], small[len(fewer) :]
        q = np.zeros(len(base))
        q[self.points] = free + self.inverse[:, fewer] @ held - reach @ added
        q[more] = added
        return q[opened]


def liquid_contact(
    free: Array, compliance: Compliance, support: Support, lifted: Bools, system: LiftedSystem
) -> tuple[Array, Bools]:
    """Forces q (n,) [N] that lift or void adds to the fully supported slab, and which points are open.

    ``free``: (n,) deflection with full support; ``lifted``: (n,) first guess; ``system`` is kept from case to case.
    Raises NotConverged.
    """
    gap, stiffness = support.gap, support.stiffness
    bounded = np.where(np.isfinite(gap), gap, 0.0)
    for _ in range(MOST_STEPS):
        held = ~lifted & (gap > 0)
        q = np.where(held, stiffness * bounded, 0.0)
        known, opened = np.flatnonzero(held), np.flatnonzero(lifted)
        base = free + compliance.times(q) if len(known) else free
        q[opened] = system.solve(opened, base)
        deflection = free + compliance.times(q)
        now = deflection < gap
        if np.array_equal(now, lifted):
            return q, lifted
        lifted = now
    raise NotConverged(
        f"the contact between slab and foundation did not settle in {MOST_STEPS} steps",
        given=f"{int(lifted.sum())} of {len(lifted)} points open",
        remedy="No stress is given. Check self-weight, temperature and voids against each other, or use a finer mesh.",
    )


def solid_contact(
    free: Array, compliance: Array, flexibility: Array, support: Support, lifted: Bools
) -> tuple[Array, Bools]:
    """Forces (n,) [N] and open points (n,) as ``liquid_contact``, on an elastic solid, whose points press on one another.

    ``free`` (n,) [m]; ``compliance`` (n, n) [m/N] of the supported slab, ``flexibility`` (n, n) [m/N] of the solid;
    ``lifted`` (n,), a first guess. Raises NotConverged.
    """
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

    Middles ``x``, ``y`` and sides ``width``, ``height`` of the cells (n,) [m]; ``modulus`` [Pa] and ``poisson`` [1] scalar.
    Raises nothing. Boussinesq's half-space under a uniformly loaded rectangle (Love 1929; Timoshenko & Goodier, Theory of
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
