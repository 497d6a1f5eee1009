"""The stiffness of the whole model from the forms of the plates, the interface, the foundation and the joints.

energy = 1/2 Int { sum_i [ D_i curvature^2 + B_i strain_i^2 ] + k_s slip^2 } + joints + foundation
slip   = u_2 - u_1 + (h_1 + h_2) / 2 grad w
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.sparse import block_array, csc_array, csr_array
from skfem import BilinearForm, LinearForm
from skfem.helpers import dd, ddot, sym_grad, trace

from slabwright.calculation import Array
from slabwright.plate.grid import Fields, Grid, Places
from slabwright.plate.pavement import Layer, LayeredPavement, Rectangle
from slabwright.plate.rows import deflection_rows

__all__ = [
    "Strain",
    "SupportPoints",
    "joint_stiffness",
    "plate_stiffness",
    "strain_load",
    "support_points",
    "weight_load",
]

Bools = npt.NDArray[np.bool_]

# Slabs would drift in their plane where nothing holds them: springs that carry less than a millionth of the
# membrane stiffness keep the system solvable (tested: a thousand times more or less changes no result).
DRIFT = 1e-7
SHORT = 0.15  # m: one point of support along shorter sides; deflection hardly bends on so little (tested)
GAUSS = np.polynomial.legendre.leggauss(3)


def plate_stiffness(pavement: LayeredPavement, fields: Fields) -> csc_array:
    """Stiffness of plates and interface, without foundation and joints: sparse (unknowns, unknowns).

    In N m over the units of both unknowns: deflection and displacement [m], slope [1], twist [1/m]. Raises nothing.
    """
    bending = sum(
        _bending.assemble(fields.deflection.basis, poisson=layer.poisson, scale=_own_bending(pavement, fields, number))
        for number, layer in enumerate(pavement.layers)
    )
    if not pavement.composite:
        return csc_array(bending)
    overlay, slab = fields.planes
    bond = _bond(pavement, fields)
    arm = sum(layer.thickness for layer in pavement.layers) / 2
    membranes = [
        _membrane_of(layer, field.basis, pavement) for layer, field in zip(pavement.layers, fields.planes, strict=True)
    ]
    slope_overlay, slope_slab = (
        _slide_slope.assemble(field.basis, fields.deflection.basis, bond=bond) for field in fields.planes
    )
    across = _slide.assemble(slab.basis, overlay.basis, bond=bond)
    own = [_slide.assemble(field.basis, bond=bond) for field in fields.planes]
    slopes = _slope.assemble(fields.deflection.basis, bond=bond)
    return csc_array(
        block_array([
            [bending + arm**2 * slopes, -arm * slope_overlay, arm * slope_slab],
            [-arm * slope_overlay.T, membranes[0] + own[0], -across],
            [arm * slope_slab.T, -across.T, membranes[1] + own[1]],
        ])
    )  # fmt: skip


@BilinearForm
def _bending(u, v, w):  # type: ignore[no-untyped-def]
    a, b = dd(u), dd(v)
    return w.scale * ((1 - w.poisson) * ddot(a, b) + w.poisson * trace(a) * trace(b))


@BilinearForm
def _membrane(u, v, w):  # type: ignore[no-untyped-def]
    a, b = sym_grad(u), sym_grad(v)
    return (1 - w.poisson) * ddot(a, b) + w.poisson * trace(a) * trace(b)


@BilinearForm
def _slide(u, v, w):  # type: ignore[no-untyped-def]
    return w.bond * (u[0] * v[0] + u[1] * v[1])


@BilinearForm
def _slide_slope(u, v, w):  # type: ignore[no-untyped-def]
    return w.bond * (u[0] * v.grad[0] + u[1] * v.grad[1])


@BilinearForm
def _slope(u, v, w):  # type: ignore[no-untyped-def]
    return w.bond * (u.grad[0] * v.grad[0] + u.grad[1] * v.grad[1])


def _membrane_of(layer: Layer, basis: object, pavement: LayeredPavement) -> csr_array:
    longest = max(pavement.x[-1] - pavement.x[0], pavement.y[-1] - pavement.y[0])
    held = np.full_like(basis.dx, DRIFT * layer.membrane / longest**2)  # type: ignore[attr-defined]
    return layer.membrane * _membrane.assemble(basis, poisson=layer.poisson) + _slide.assemble(basis, bond=held)


def _bond(pavement: LayeredPavement, fields: Fields) -> Array:
    """Interface stiffness at the integration points of every element."""
    x, y = fields.deflection.coordinates()
    free = np.zeros_like(x, dtype=bool)
    for area in pavement.interface.delaminated:
        free |= _inside(x, y, area)
    return np.where(free, 0.0, pavement.interface_stiffness)


def _inside(x: Array, y: Array, area: Rectangle) -> Bools:
    return (x > area.x0) & (x < area.x1) & (y > area.y0) & (y < area.y1)


def _own_bending(pavement: LayeredPavement, fields: Fields, number: int) -> Array:
    """A layer's own bending stiffness, lost within half its thickness of a cut through it alone."""
    layer = pavement.layers[number]
    x, y = fields.deflection.coordinates()
    kept = np.ones_like(x)
    for cut in pavement.cuts:
        if cut.layer == number:
            kept[np.abs((x if cut.axis == "x" else y) - cut.at) < layer.thickness / 2] = 0.0
    return layer.bending * kept


def joint_stiffness(pavement: LayeredPavement, lines: Grid, fields: Fields) -> csr_array:
    """Stiffness of the shear springs along the joints between slabs: sparse (unknowns, unknowns).

    In N m over the units of both unknowns: deflection [m], slope [1], twist [1/m]. Raises nothing.
    """
    total = csr_array((fields.unknowns, fields.unknowns))
    for axis, stiffness in (("x", pavement.transverse), ("y", pavement.longitudinal)):
        for at in (lines.joints_x if axis == "x" else lines.joints_y)[1:-1]:
            if stiffness > 0:
                jump, lengths = joint_jump(lines, fields, axis, float(at))
                total = total + jump.T @ (jump * (stiffness * lengths)[:, None])
    return total


def joint_jump(lines: Grid, fields: Fields, axis: str, at: float) -> tuple[csr_array, Array]:
    """Deflection ahead of a joint less that behind it, at three points of each element side, with their lengths."""
    own, other = (lines.x, lines.y) if axis == "x" else (lines.y, lines.x)
    line = int(np.argmin(np.abs(own - at)))
    places, weights = (GAUSS[0] + 1) / 2, GAUSS[1] / 2
    cells = np.repeat(np.arange(len(other) - 1), len(places))
    along, lengths = np.tile(places, len(other) - 1), np.tile(weights, len(other) - 1) * np.diff(other)[cells]
    sides = []
    for cell, edge in ((line, 0.0), (line - 1, 1.0)):
        same, place, ones = np.full(len(cells), cell), np.full(len(cells), edge), np.ones(len(cells))
        number = np.arange(len(cells))
        at_side = (
            Places(len(cells), number, same, cells, place, along, ones)
            if axis == "x"
            else Places(len(cells), number, cells, same, along, place, ones)
        )
        sides.append(deflection_rows(fields, lines, at_side))
    return sides[0] - sides[1], lengths


@dataclass(frozen=True)
class SupportPoints:
    """Where the foundation acts: places, middles (n,) of the rectangles they stand for and their sides [m]."""

    places: Places
    x: Array
    y: Array
    width: Array
    height: Array

    @property
    def area(self) -> Array:
        return self.width * self.height


def support_points(lines: Grid) -> SupportPoints:
    """Two Gauss points along each side of an element, one along sides too short for the pressure to vary on.

    Middles and sides of the n rectangles they stand for: (n,) [m]. Raises nothing.
    """
    (column, xi, x, width), (row, eta, y, height) = (_axis_points(axis) for axis in (lines.x, lines.y))
    i, j = (index.ravel() for index in np.indices((len(column), len(row))))
    number = np.arange(len(i))
    places = Places(len(i), number, column[i], row[j], xi[i], eta[j], np.ones(len(i)))
    return SupportPoints(places, x[i], y[j], width[i], height[j])


def _axis_points(lines: Array) -> tuple[npt.NDArray[np.intp], Array, Array, Array]:
    """Along one axis: interval, place in it, middle and length of the part it stands for."""
    sizes = np.diff(lines)
    pieces = np.where(sizes < SHORT, 1, 2)
    cell = np.repeat(np.arange(len(sizes)), pieces)
    second = np.concatenate([[False], cell[1:] == cell[:-1]])
    alone = pieces[cell] == 1
    near = (1 - 1 / np.sqrt(3)) / 2
    place = np.where(alone, 0.5, np.where(second, 1 - near, near))
    middle = np.where(alone, 0.5, np.where(second, 0.75, 0.25))
    return cell, place, lines[cell] + middle * sizes[cell], sizes[cell] / pieces[cell]


@dataclass(frozen=True)
class Strain:
    """Free strain of one layer: mean, curvature (per m, strain growing downwards), and at the top and bottom face.

    The faces hold what a straight line from mean and curvature does not: stress that equilibrates itself.
    """

    mean: float
    curvature: float
    top: float
    bottom: float

    @classmethod
    def straight(cls, top: float, bottom: float, thickness: float) -> Strain:
        return cls((top + bottom) / 2, (bottom - top) / thickness, top, bottom)

    @classmethod
    def profile(cls, depth: Array, strain: Array) -> Strain:
        """From free strain at depths from the layer's top to its bottom, straight between them (at least two)."""
        middle, thickness = (depth[0] + depth[-1]) / 2, depth[-1] - depth[0]
        step = np.diff(depth)
        mean = np.sum(step * (strain[1:] + strain[:-1]) / 2) / thickness
        arms = depth - middle
        moment = (
            np.sum(step * (arms[:-1] * (2 * strain[:-1] + strain[1:]) + arms[1:] * (strain[:-1] + 2 * strain[1:]))) / 6
        )
        return cls(float(mean), float(12 * moment / thickness**3), float(strain[0]), float(strain[-1]))


@LinearForm
def _curl(v, w):  # type: ignore[no-untyped-def]
    return -w.scale * trace(dd(v))


@LinearForm
def _stretch(v, w):  # type: ignore[no-untyped-def]
    return w.scale * (v.grad[0, 0] + v.grad[1, 1])


@LinearForm
def _push(v, w):  # type: ignore[no-untyped-def]
    return w.scale * v


def strain_load(pavement: LayeredPavement, fields: Fields, strains: tuple[Strain, ...]) -> Array:
    """Load vector (unknowns,) of free strains, one for each layer.

    In N m over the unit of the unknown: deflection and displacement [m], slope [1], twist [1/m]. Raises ValueError unless
    there is one strain for each layer.
    """
    found = np.zeros(fields.unknowns)
    for number, (layer, strain) in enumerate(zip(pavement.layers, strains, strict=True)):
        bending = _own_bending(pavement, fields, number) * (1 + layer.poisson) * strain.curvature
        found[: fields.deflection.size] += _curl.assemble(fields.deflection.basis, scale=bending)
        if pavement.composite:
            field = fields.planes[number]
            force = np.full_like(field.basis.dx, layer.membrane * (1 + layer.poisson) * strain.mean)
            found[field.start : field.start + field.size] += _stretch.assemble(field.basis, scale=force)
    return found


def weight_load(pavement: LayeredPavement, fields: Fields) -> Array:
    """Load vector (unknowns,) of the layers' own weight.

    In N m over the unit of the unknown: deflection and displacement [m], slope [1], twist [1/m]. Raises nothing.
    """
    found = np.zeros(fields.unknowns)
    weight = np.full_like(fields.deflection.basis.dx, pavement.weight)
    found[: fields.deflection.size] = _push.assemble(fields.deflection.basis, scale=weight)
    return found
