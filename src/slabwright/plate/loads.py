"""Wheels as patches of pressure that need not follow the mesh, and axle groups made of them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from slabwright.calculation import Array
from slabwright.errors import InputError
from slabwright.plate.grid import Fields, Grid
from slabwright.plate.rows import patch_integrals
from slabwright.units import INCH, PSI

__all__ = ["AXLES", "Patches", "axle_patches", "circles", "contact_sides", "patch_load"]

AXLES = {"single": 1, "tandem": 2, "tridem": 3}
TYRE_PRESSURE = 100 * PSI
DUAL_SPACING, TRACK, AXLE_SPACING = 13.5 * INCH, 72 * INCH, 52 * INCH  # common practice, no source
COARSEST_SHARE = 1.2  # of the radius of relative stiffness: deflections stay within 2 per cent (tested)


@dataclass(frozen=True)
class Patches:
    """Rectangles under uniform pressure: edges (n,) [m], pressure (n,) [Pa], and the load case (n,) of each."""

    x0: Array
    x1: Array
    y0: Array
    y1: Array
    pressure: Array
    case: npt.NDArray[np.intp]
    cases: int

    @property
    def force(self) -> Array:
        """Total load of each case (cases,) [N]."""
        each = (self.x1 - self.x0) * (self.y1 - self.y0) * self.pressure
        return np.asarray(np.bincount(self.case, each, self.cases), dtype=np.float64)


def contact_sides(load: float, pressure: float = TYRE_PRESSURE) -> tuple[float, float]:
    """Length and width of a tyre's contact rectangle [m]: 0.8712 L by 0.6 L, L = (area / 0.5227)^0.5.

    ``load`` [N] and ``pressure`` [Pa] scalar. Raises nothing. Portland Cement Association (1966) in Huang, Pavement
    Analysis and Design (from memory).
    """
    side = (load / pressure / 0.5227) ** 0.5
    return 0.8712 * side, 0.6 * side


def axle_patches(group: str, load: float, x: npt.ArrayLike, edge: npt.ArrayLike, *, side: int = 1) -> Patches:
    """Axle groups with dual wheels, one case each, at x (n,) of the group's middle [m].

    ``edge``: (n,) y of the outer side of the outer tyre [m]; the axle lies on the side of greater y (``side`` 1) or
    lesser y (-1). ``load`` [N] is on the whole group. Raises InputError for an unknown group or a load that is not greater
    than zero.
    """
    if group not in AXLES:
        raise InputError("there is no axle group of this name", given=group, allowed=", ".join(AXLES))
    if not load > 0:
        raise InputError("an axle load is positive", given=f"{load:g} N")
    middle, outer = np.broadcast_arrays(np.asarray(x, dtype=float).ravel(), np.asarray(edge, dtype=float).ravel())
    axles = AXLES[group]
    length, width = contact_sides(load / (4 * axles))
    along = (np.arange(axles) - (axles - 1) / 2) * AXLE_SPACING
    across = np.array([0.0, DUAL_SPACING, TRACK, TRACK + DUAL_SPACING]) + width / 2
    centre_x = (middle[:, None, None] + along[:, None] + 0 * across).ravel()
    centre_y = (outer[:, None, None] + side * across + 0 * along[:, None]).ravel()
    case = np.repeat(np.arange(len(middle)), axles * 4)
    pressure = np.full(len(case), load / (4 * axles) / (length * width))
    return Patches(
        centre_x - length / 2,
        centre_x + length / 2,
        centre_y - width / 2,
        centre_y + width / 2,
        pressure,
        case,
        len(middle),
    )


def circles(load: float, radius: float, x: npt.ArrayLike, y: npt.ArrayLike, strips: int = 48) -> Patches:
    """Round plates as strips of equal width and of the circle's area, one case for each middle x (n,), y (n,) [m].

    ``load`` [N] on each, ``radius`` [m] scalar. Raises nothing.
    """
    centre_x, centre_y = (np.asarray(v, dtype=float).ravel() for v in (x, y))
    edges = np.linspace(-1, 1, strips + 1)
    cumulative = (edges * np.sqrt(1 - edges**2) + np.arcsin(edges)) / 2  # half the area to the left of an edge
    half = np.diff(cumulative) / np.diff(edges) * radius
    left = centre_x[:, None] + edges[:-1] * radius
    right = centre_x[:, None] + edges[1:] * radius
    low, high = centre_y[:, None] - half, centre_y[:, None] + half
    case = np.repeat(np.arange(len(centre_x)), strips)
    return Patches(
        left.ravel(),
        right.ravel(),
        low.ravel(),
        high.ravel(),
        np.full(case.size, load / (np.pi * radius**2)),
        case,
        len(centre_x),
    )


def patch_load(lines: Grid, fields: Fields, patches: Patches, relative_stiffness: float) -> Array:
    """Load vectors (unknowns, cases) over the deflection unknowns: pressure integrated exactly over every patch.

    In N m over the unit of the unknown: deflection [m], slope [1], twist [1/m]; ``relative_stiffness`` [m]. Raises
    InputError where a patch leaves the pavement or the mesh is too coarse for the load.
    """
    _check_inside(lines, patches)
    _check_mesh(lines, patches, relative_stiffness)
    field = fields.deflection
    along = patch_integrals(lines.x, field.repeated_x, patches.x0, patches.x1)
    across = patch_integrals(lines.y, field.repeated_y, patches.y0, patches.y1) * patches.pressure[:, None, None]
    found = np.zeros((patches.cases, field.size))
    order = field.nodal.ravel()
    for start in range(0, patches.cases, 64):  # a block of cases at a time keeps memory small
        chosen = np.flatnonzero((patches.case >= start) & (patches.case < start + 64))
        each = np.einsum("nap,nbq->napbq", along[chosen], across[chosen]).reshape(len(chosen), -1)
        block = np.zeros((min(64, patches.cases - start), field.size))
        np.add.at(block, patches.case[chosen] - start, each)
        found[start : start + len(block), order] = block
    return found.T


def _check_inside(lines: Grid, patches: Patches) -> None:
    for name, low, high, ends in (("x", patches.x0, patches.x1, lines.x), ("y", patches.y0, patches.y1, lines.y)):
        out = (low < ends[0] - 1e-9) | (high > ends[-1] + 1e-9)
        if out.any():
            first = int(np.flatnonzero(out)[0])
            raise InputError(
                "a wheel stands partly off the pavement",
                where=f"load case {patches.case[first] + 1}",
                given=f"{name} {low[first]:.3f} to {high[first]:.3f} m",
                allowed=f"{ends[0]:.3f} to {ends[-1]:.3f} m",
            )


def _check_mesh(lines: Grid, patches: Patches, relative_stiffness: float) -> None:
    """Elements under a load no longer than a share of the radius of relative stiffness.

    That keeps deflections within 2 per cent. Stress below a wheel wants elements of about the tyre's half length
    there: give the mesh a focus (tested).
    """
    for name, low, high, ends in (("x", patches.x0, patches.x1, lines.x), ("y", patches.y0, patches.y1, lines.y)):
        cell = np.clip(np.searchsorted(ends, (low + high) / 2) - 1, 0, len(ends) - 2)
        size = np.diff(ends)[cell]
        limit = COARSEST_SHARE * relative_stiffness
        if (size > limit).any():
            raise InputError(
                f"the mesh is too coarse for the load: elements under a wheel are too long along {name}",
                given=f"{size.max():.3f} m",
                allowed=f"up to {limit:.3f} m (1.2 of the radius of relative stiffness)",
                remedy="Give a smaller element size.",
            )
