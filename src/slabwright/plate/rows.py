"""Values of the fields at points as sparse rows over all unknowns: (points, unknowns)."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
from scipy.sparse import csr_array

from slabwright.calculation import Array
from slabwright.plate.grid import Fields, Grid, Places
from slabwright.plate.shapes import hermite, hermite_integral, quadratic

__all__ = ["deflection_rows", "displacement_rows", "patch_integrals"]

# Order of the local functions of an element: corners counter-clockwise; for each value, slope x, slope y, twist.
CORNER_X, CORNER_Y = (0, 1, 1, 0), (0, 0, 1, 1)
# In-plane: the four corners, then the middles of the bottom, right, top, left sides, then the centre.
PLANE_X, PLANE_Y = (0, 1, 1, 0, 2, 1, 2, 0, 2), (0, 0, 1, 1, 0, 2, 1, 2, 2)


def deflection_rows(fields: Fields, lines: Grid, at: Places, dx: int = 0, dy: int = 0) -> csr_array:
    """Deflection [m], or its derivative of order dx along x and dy along y [m over m to that order]: (points, unknowns).

    Raises nothing.
    """
    width, height = lines.sizes(at.column, at.row)
    along, across = hermite(at.xi, width, dx), hermite(at.eta, height, dy)
    local = [
        along[:, 2 * i + p] * across[:, 2 * j + q]
        for i, j in zip(CORNER_X, CORNER_Y, strict=True)
        for q, p in ((0, 0), (0, 1), (1, 0), (1, 1))
    ]
    return _rows(fields, lines, at, np.stack(local, axis=1), fields.deflection.element_dofs)


def displacement_rows(
    fields: Fields, lines: Grid, at: Places, layer: int, component: int, dx: int = 0, dy: int = 0
) -> csr_array:
    """In-plane displacement [m] of a layer's middle (component 0 along x, 1 along y), or its derivative: (points, unknowns).

    Raises IndexError for a layer without unknowns of its own, as a single one.
    """
    width, height = lines.sizes(at.column, at.row)
    along, across = quadratic(at.xi, width, dx), quadratic(at.eta, height, dy)
    local = np.stack([along[:, i] * across[:, j] for i, j in zip(PLANE_X, PLANE_Y, strict=True)], axis=1)
    return _rows(fields, lines, at, local, fields.planes[layer].element_dofs[component::2])


def _rows(fields: Fields, lines: Grid, at: Places, local: Array, dofs: npt.NDArray[np.int64]) -> csr_array:
    element = at.column * (len(lines.y) - 1) + at.row
    columns = dofs[:, element].T
    data = local * at.weight[:, None]
    rows = np.broadcast_to(at.point[:, None], data.shape)
    return csr_array((data.ravel(), (rows.ravel(), columns.ravel())), shape=(at.count, fields.unknowns))


def patch_integrals(lines: Array, repeated: Array, low: Array, high: Array) -> Array:
    """Integrals of the functions along one axis from low to high: (n,), (n,) [m] -> (n, repeated lines, 2).

    ``lines`` (m,) [m], ``repeated``: with the split ones doubled; [m] for values, [m^2] for slopes. Raises nothing.
    """
    found = np.zeros((len(low), len(repeated), 2))
    left = np.searchsorted(repeated, lines[:-1], side="right") - 1  # a doubled line: the interval begins at the second
    for cell, (start, length) in enumerate(zip(lines[:-1], np.diff(lines), strict=True)):
        ends = (np.clip((v - start) / length, 0.0, 1.0) for v in (low, high))
        below, above = (hermite_integral(xi, np.full(len(low), length)) for xi in ends)
        found[:, left[cell] : left[cell] + 2] += (above - below).reshape(-1, 2, 2)
    return found
