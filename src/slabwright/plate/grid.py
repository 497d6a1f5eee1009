"""The mesh: a grid of rectangles, and the fields on it, each split where its plate is split.

Every field has the same elements in the same order (element = column * rows + row), so that fields split at
different lines can be coupled element by element.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import numpy.typing as npt
from skfem import Basis, ElementQuad2, ElementQuadBFS, ElementVector, MeshQuad

from slabwright.calculation import Array
from slabwright.errors import InputError
from slabwright.plate.pavement import LayeredPavement

__all__ = ["DeflectionField", "Field", "Fields", "Grid", "Places", "grid", "make_fields"]

Ints = npt.NDArray[np.intp]
ORDER = 6  # integrates products of bicubic curvatures exactly
SAME_LINE = 1e-6  # m: lines closer than this are one


@dataclass(frozen=True)
class Places:
    """Points as elements and places within them, several weighted elements for a point between elements.

    ``point``: (m,) which point; ``column``, ``row``: (m,) element; ``xi``, ``eta``: (m,) in [0, 1]; ``weight``: (m,).
    """

    count: int
    point: Ints
    column: Ints
    row: Ints
    xi: Array
    eta: Array
    weight: Array


@dataclass(frozen=True)
class Grid:
    """Lines of the mesh along x and y, the joint lines among them [m]."""

    x: Array
    y: Array
    joints_x: Array
    joints_y: Array

    @property
    def elements(self) -> int:
        return (len(self.x) - 1) * (len(self.y) - 1)

    def sizes(self, column: Ints, row: Ints) -> tuple[Array, Array]:
        return np.diff(self.x)[column], np.diff(self.y)[row]

    def places(self, points: Array) -> Places:
        """Elements that hold the points (n, 2); a point on a joint belongs to the slab ahead of it (greater x, y).

        A point between elements of one slab is given to all of them in equal parts: curvature jumps there.
        Raises InputError for a point outside the pavement.
        """
        points = np.atleast_2d(np.asarray(points, dtype=float))
        across = [
            _along(points[:, i], lines, joints)
            for i, (lines, joints) in enumerate(((self.x, self.joints_x), (self.y, self.joints_y)))
        ]
        number = np.arange(len(points))
        parts = [
            (number, cx, cy, _share(points[:, 0], self.x, cx), _share(points[:, 1], self.y, cy), wx * wy)
            for cx, wx in across[0]
            for cy, wy in across[1]
        ]
        point, column, row, xi, eta, weight = (np.concatenate(part) for part in zip(*parts, strict=True))
        used = weight > 0
        return Places(len(points), point[used], column[used], row[used], xi[used], eta[used], weight[used])

    def element_places(self, local: Array) -> Places:
        """The same local places (m, 2) in every element, element by element."""
        columns, rows = len(self.x) - 1, len(self.y) - 1
        element, place = np.divmod(np.arange(columns * rows * len(local)), len(local))
        return Places(
            len(element),
            np.arange(len(element)),
            element // rows,
            element % rows,
            local[place, 0],
            local[place, 1],
            np.ones(len(element)),
        )


def _share(values: Array, lines: Array, cell: Ints) -> Array:
    return np.clip((values - lines[cell]) / np.diff(lines)[cell], 0.0, 1.0)


def _along(values: Array, lines: Array, joints: Array) -> list[tuple[Ints, Array]]:
    """The cells before and after each value with their weights."""
    if not np.all((values >= lines[0] - SAME_LINE) & (values <= lines[-1] + SAME_LINE)):  # NaN too
        bad = values[~((values >= lines[0] - SAME_LINE) & (values <= lines[-1] + SAME_LINE))][0]
        raise InputError(
            "a point lies outside the pavement", given=f"{bad:g} m", allowed=f"{lines[0]:g} to {lines[-1]:g} m"
        )
    last = len(lines) - 2
    after = np.clip(np.searchsorted(lines, values + SAME_LINE, side="right") - 1, 0, last)
    before = np.clip(np.searchsorted(lines, values - SAME_LINE, side="left") - 1, 0, last)
    at_joint = np.min(np.abs(values[:, None] - joints), axis=1) <= 2 * SAME_LINE
    before = np.where(at_joint, after, before)
    shared = before != after
    return [(after, np.where(shared, 0.5, 1.0)), (before, np.where(shared, 0.5, 0.0))]


def grid(
    pavement: LayeredPavement,
    size: float,
    *,
    focus_x: Iterable[tuple[float, float]] = (),
    focus_y: Iterable[tuple[float, float]] = (),
    growth: float = 0.5,
) -> Grid:
    """A mesh with elements up to ``size`` [m], finer towards each focus (place, element size there) [m].

    Sizes grow from a focus by ``growth`` per metre. Joints, cuts and edges of patches and voids lie on lines. Lines along
    x and y (n,) [m]. Raises InputError unless the size is greater than zero.
    """
    if not size > 0:
        raise InputError("the element size is a positive length", given=f"{size:g} m")
    areas = [*pavement.interface.delaminated, *(void.area for void in pavement.voids)]
    hard_x = [v for area in areas for v in (area.x0, area.x1)] + _around_cuts(pavement, "x")
    hard_y = [v for area in areas for v in (area.y0, area.y1)] + _around_cuts(pavement, "y")
    return Grid(
        _lines(pavement.x, hard_x, size, tuple(focus_x), growth),
        _lines(pavement.y, hard_y, size, tuple(focus_y), growth),
        np.array(pavement.x),
        np.array(pavement.y),
    )


def _around_cuts(pavement: LayeredPavement, axis: str) -> list[float]:
    """A cut and the two ends of the strip in which the cut layer carries no moment."""
    return [
        at + side * pavement.layers[cut.layer].thickness / 2
        for cut in pavement.cuts
        if cut.axis == axis
        for at in [cut.at]
        for side in (-1, 0, 1)
    ]


def _lines(
    joints: tuple[float, ...], hard: list[float], size: float, focus: tuple[tuple[float, float], ...], growth: float
) -> Array:
    inside = [v for v in hard if joints[0] < v < joints[-1]]
    fixed = np.unique(np.round([*joints, *inside], 9))
    fixed = fixed[np.concatenate([[True], np.diff(fixed) > SAME_LINE])]
    parts = [_divided(a, b, size, focus, growth) for a, b in pairwise(fixed)]
    return np.concatenate([*(part[:-1] for part in parts), fixed[-1:]])


def _divided(a: float, b: float, size: float, focus: tuple[tuple[float, float], ...], growth: float) -> Array:
    """Points from a to b spaced by the wanted size, which is small near a focus."""
    along = np.linspace(a, b, 401)
    wanted = np.full_like(along, size)
    for place, finest in focus:
        wanted = np.minimum(wanted, finest + growth * np.abs(along - place))
    needed = np.concatenate([[0.0], np.cumsum((1 / wanted[1:] + 1 / wanted[:-1]) / 2 * np.diff(along))])
    pieces = max(1, int(np.ceil(needed[-1] - 1e-9)))
    return np.interp(np.linspace(0, needed[-1], pieces + 1), needed, along)


@dataclass(frozen=True)
class Field:
    """Unknowns of one field: where they stand in the system, and those of each element (local functions, elements)."""

    basis: Basis
    start: int
    element_dofs: npt.NDArray[np.int64]
    centre: tuple[float, float]

    @property
    def size(self) -> int:
        return int(self.basis.N)

    def coordinates(self) -> tuple[Array, Array]:
        """Integration points of every element (elements, points)."""
        x, y = self.basis.global_coordinates()
        return x + self.centre[0], y + self.centre[1]


@dataclass(frozen=True)
class DeflectionField(Field):
    """Its unknowns by place, (x line, slope flag, y line, slope flag), and the lines with split ones doubled."""

    nodal: npt.NDArray[np.int64]
    repeated_x: Array
    repeated_y: Array


@dataclass(frozen=True)
class Fields:
    """Deflection, and the in-plane displacement of each layer (none for a single layer: it is not coupled)."""

    deflection: DeflectionField
    planes: tuple[Field, ...]

    @property
    def unknowns(self) -> int:
        return self.deflection.size + sum(field.size for field in self.planes)


def make_fields(pavement: LayeredPavement, lines: Grid) -> Fields:
    """Number the unknowns of every field on the lines [m] of a mesh; each field's numbers are (functions, elements).

    Raises nothing.
    """
    deflection = _deflection_field(lines)
    planes: list[Field] = []
    start = deflection.size
    for layer in range(2 if pavement.composite else 0):
        cut_x, cut_y = ([c.at for c in pavement.cuts if c.layer == layer and c.axis == axis] for axis in "xy")
        mesh, _, _ = _parted_mesh(lines, [*lines.joints_x[1:-1], *cut_x], [*lines.joints_y[1:-1], *cut_y])
        basis = Basis(mesh, ElementVector(ElementQuad2()), intorder=ORDER)
        planes.append(Field(basis, start, basis.element_dofs.astype(np.int64) + start, _centre(lines)))
        start += basis.N
    return Fields(deflection, tuple(planes))


def _deflection_field(lines: Grid) -> DeflectionField:
    mesh, x, y = _parted_mesh(lines, lines.joints_x[1:-1], lines.joints_y[1:-1])
    basis = Basis(mesh, ElementQuadBFS(), intorder=ORDER)
    # Unknowns of a node: value, slope along x, slope along y, twist.
    nodal = basis.nodal_dofs.reshape(2, 2, len(x), len(y)).transpose(2, 1, 3, 0)
    return DeflectionField(basis, 0, basis.element_dofs.astype(np.int64), _centre(lines), nodal.astype(np.int64), x, y)


def _parted_mesh(lines: Grid, part_x: Iterable[float], part_y: Iterable[float]) -> tuple[MeshQuad, Array, Array]:
    """The grid with the nodes on the given lines doubled, so that nothing is shared across them."""
    x, left, right = _repeated(lines.x, part_x)
    y, low, high = _repeated(lines.y, part_y)
    node = np.arange(len(x) * len(y)).reshape(len(x), len(y))
    corners = [node[np.ix_(i, j)].ravel() for i, j in ((left, low), (right, low), (right, high), (left, high))]
    middle = _centre(lines)  # the library's bicubic functions lose digits far from the origin
    across, along = np.meshgrid(x - middle[0], y - middle[1], indexing="ij")
    return MeshQuad(np.vstack([across.ravel(), along.ravel()]), np.vstack(corners)), x, y


def _centre(lines: Grid) -> tuple[float, float]:
    return (lines.x[0] + lines.x[-1]) / 2, (lines.y[0] + lines.y[-1]) / 2


def _repeated(lines: Array, part: Iterable[float]) -> tuple[Array, Ints, Ints]:
    """Lines with split ones doubled, and the positions of both ends of every interval."""
    doubled = np.zeros(len(lines), dtype=int)
    for at in part:
        doubled[np.argmin(np.abs(lines - at))] = 1
    before = np.arange(len(lines)) + np.cumsum(doubled) - doubled
    return np.repeat(lines, doubled + 1), before[:-1] + doubled[:-1], before[1:]
