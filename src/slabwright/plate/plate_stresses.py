"""The layered plate as a ``StressModel``: one slab between two half slabs, a free edge, axles passing along it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from slabwright.calculation import Array
from slabwright.plate.assembly import Strain
from slabwright.plate.grid import Grid, grid
from slabwright.plate.loads import AXLE_SPACING, AXLES, Patches, axle_patches, contact_sides
from slabwright.plate.pavement import DenseLiquid, Interface, Layer, LayeredPavement, Rectangle
from slabwright.plate.plate import LayeredPlate, layered_plate
from slabwright.plate.response import stress_rows
from slabwright.plate.stresses import AXLE_GROUPS, PavementState, StressGrid

COARSE, FINE, LARGEST = 0.9, 0.6, 0.95  # share of the radius of relative stiffness, and m
# Wheelbases of tractors and their shares, and the steering axle's load over the drive tandem's (NCHRP 1-37A's defaults, and
# the legal 12,000 over 34,000 lb, from memory).
WHEELBASES, WHEELBASE_SHARES = np.array([3.66, 4.57, 5.49]), np.array([0.17, 0.22, 0.61])
STEERING = 12 / 34
EDGE = 1e-6  # m: a point of the slab's edge, on the slab's side of a tied shoulder's joint
FINEST = 0.06  # m, at the critical edge: stresses within 2 per cent of a mesh three times finer (tested)

__all__ = ["PlateStresses", "element_size", "linear_strains", "on_pavement", "pavement_of"]


@dataclass(frozen=True)
class PlateStresses:
    """Slab length and width [m], stiffness of the joints over k l of the old slab, concrete.

    shoulder: width [m] of a tied concrete shoulder beyond the edge, 0 for none, and the stiffness of its joint over k l of the
    old slab. widening: by how much [m] the slab is wider than the lane at its edge. Bond is lost in squares at the four corners of the slab, where it begins in practice (common practice, no
    source).
    """

    length: float
    width: float
    joint: float
    poisson: float = 0.15
    expansion: float = 9.5e-6
    shoulder: float = 0.0
    tie: float = 0.0
    widening: float = 0.0

    @property
    def slab_width(self) -> float:
        """Width of the slab [m]: the lane's and its widening."""
        return self.width + self.widening

    @property
    def wheelbase(self) -> float:
        """The longest wheelbase [m] with which a tractor stands with both axle groups on the slab; the shortest where none does."""
        return float(WHEELBASES[max(int(self._fitting().sum()) - 1, 0)])

    @property
    def tractors(self) -> float:
        """Share of tractors that stand with both axle groups on the slab at once; all are taken with ``wheelbase``."""
        return float(WHEELBASE_SHARES[self._fitting()].sum())

    def _fitting(self) -> npt.NDArray[np.bool_]:
        return self.length >= WHEELBASES + AXLE_SPACING / 2

    def __call__(self, state: PavementState, grid: StressGrid) -> Array:
        """``StressGrid.shape``: the greatest tension along the edge over the places where an axle group stands.

        One of its axles over each point of a bottom, its last wheel just past the joint, and a tractor with one group at
        each end of the slab.
        """
        plate = layered_plate(pavement_of(self, state), self._lines(state))
        rows = self._rows(plate, grid)
        loads, cases = self._loads(plate, grid)
        found = np.empty(grid.shape)
        for number, difference in enumerate(grid.differences):
            strains = linear_strains(plate.pavement, float(difference))
            solution = plate.solve_contact(loads, strains=strains)
            stresses = rows @ solution.dofs + _free(plate, strains, grid)[:, None]
            found[:, :, :, number] = _greatest(stresses, cases, grid)
        return found

    def _lines(self, state: PavementState) -> Grid:
        pavement = pavement_of(self, state)
        focus = [(self.length, FINEST), (0.75 * self.length, 2 * FINEST)]  # mid-slab, and a quarter from the joint
        return grid(pavement, element_size(pavement), focus_x=focus, focus_y=[(0.0, FINEST)])

    def _rows(self, plate: LayeredPlate, grid: StressGrid) -> Array:
        """Stress along the edge at every point: (points, unknowns)."""
        made = []
        for point in grid.points:
            layer = min(point.face // 2, len(plate.pavement.layers) - 1)
            x = self.length / 2 + point.along * self.length
            made.append(stress_rows(plate, layer, "bottom" if point.face % 2 else "top", np.array([[x, EDGE]]))[0])
        return np.vstack([row.toarray() for row in made])

    def _loads(self, plate: LayeredPlate, grid: StressGrid) -> tuple[Array, Array]:
        """Load vectors and, for each, its place (group, level, offset); the first is no axle at all."""
        vectors, places = [np.zeros((plate.unknowns, 1))], [(-1, 0, 0)]
        for number, (group, levels) in enumerate(zip(AXLE_GROUPS, grid.loads, strict=False)):
            for level, load in enumerate(levels):
                if load <= 0:
                    continue
                for standing in self._standing(group, float(load), grid):
                    vectors.append(np.sum([plate.load(on_pavement(p, self.slab_width)) for p in standing], axis=0))
                    places += [(number, level, offset) for offset in range(len(grid.offsets))]
        return np.hstack(vectors), np.array(places)

    def _standing(self, group: str, load: float, grid: StressGrid) -> list[list[Patches]]:
        """Wheels at each place along the slab, one case for each offset."""

        def at(axles: str, force: float, x: float) -> Patches:
            return axle_patches(axles, force, np.full(len(grid.offsets), x), grid.offsets + self.widening)

        if group != AXLE_GROUPS[3]:
            return [[at(group, load, x)] for x in self._positions(group, load, grid)]
        behind = self._positions("tandem", load, grid)[-1]
        return [[at("tandem", load, behind), at("single", load * STEERING, behind + self.wheelbase)]]

    def _positions(self, group: str, load: float, grid: StressGrid) -> list[float]:
        """Middle of the group: one of its axles over each point of a bottom, and its last wheel just past the joint."""
        axles = AXLES[group]
        length, _ = contact_sides(load / (4 * axles))
        beside = 0.0 if axles % 2 else AXLE_SPACING / 2
        over = sorted({p.along for p in grid.points if p.face % 2}, reverse=True)
        at_joint = self.length / 2 + length / 2 + (axles - 1) / 2 * AXLE_SPACING
        return [*(self.length * (0.5 + along) + beside for along in over), at_joint]


def pavement_of(model: PlateStresses, state: PavementState) -> LayeredPavement:
    """The slab with half a slab before and behind it; y = 0 is the free edge. Sides [m] and state (SI) are scalars.

    Raises InputError for a layer, joint or foundation outside what the plate model takes.
    """
    slab = Layer(state.slab, state.slab_modulus, model.poisson, model.expansion)
    layers: tuple[Layer, ...] = (slab,)
    if state.overlay > 0:
        layers = (Layer(state.overlay, state.overlay_modulus, model.poisson, model.expansion), slab)
    begin, end = model.length / 2, 1.5 * model.length
    l = (slab.bending / state.foundation) ** 0.25
    across = (-model.shoulder, 0.0, model.slab_width) if model.shoulder > 0 else (0.0, model.slab_width)
    return LayeredPavement(
        (0.0, begin, end, 2 * model.length),
        across,
        layers,
        DenseLiquid(state.foundation),
        Interface(None, _corners(begin, end, model.slab_width, state.delaminated) if state.overlay > 0 else ()),
        transverse=model.joint * state.foundation * l,
        longitudinal=model.tie * state.foundation * l if model.shoulder > 0 else 0.0,
    )


def _corners(begin: float, end: float, width: float, share: float) -> tuple[Rectangle, ...]:
    side = float(np.sqrt(share * (end - begin) * width / 4))
    if side < 0.02:
        return ()
    along, across = ((begin, begin + side), (end - side, end)), ((0.0, side), (width - side, width))
    return tuple(Rectangle(x0, x1, y0, y1) for x0, x1 in along for y0, y1 in across)


def element_size(pavement: LayeredPavement) -> float:
    """Element size [m], scalar, away from the critical places: a share of the radius of relative stiffness, layers unbonded.

    Raises AssertionError unless the foundation is a dense liquid.
    """
    bending = sum(layer.bending for layer in pavement.layers)
    assert isinstance(pavement.foundation, DenseLiquid)
    return float(np.clip(COARSE * (bending / pavement.foundation.stiffness) ** 0.25, FINE, LARGEST))


def linear_strains(pavement: LayeredPavement, difference: float) -> tuple[Strain, ...]:
    """Free strains of a temperature that falls in a straight line from top to bottom by the difference [K], a scalar.

    One for each layer, zero in the middle of the section. Raises nothing.
    """
    total = sum(layer.thickness for layer in pavement.layers)
    made, depth = [], 0.0
    for layer in pavement.layers:
        top, bottom = (difference * (0.5 - z / total) * layer.expansion for z in (depth, depth + layer.thickness))
        made.append(Strain.straight(top, bottom, layer.thickness))
        depth += layer.thickness
    return tuple(made)


def _free(plate: LayeredPlate, strains: tuple[Strain, ...], grid: StressGrid) -> Array:
    """Stress that the free strain itself takes away at each point's face."""
    found = []
    for point in grid.points:
        number = min(point.face // 2, len(strains) - 1)
        layer, strain = plate.pavement.layers[number], strains[number]
        free = strain.bottom if point.face % 2 else strain.top
        rest = 0.0 if plate.pavement.composite else strain.mean
        found.append(-layer.modulus / (1 - layer.poisson) * (free - rest))
    return np.array(found)


def on_pavement(patches: Patches, width: float) -> Patches:
    """Wheels beyond the lane stand on the next one, which a free edge keeps out of the model.

    The patches (n,) whose far edge is within ``width`` [m]; the number of cases stays. Raises nothing.
    """
    kept = patches.y1 <= width
    return Patches(
        patches.x0[kept],
        patches.x1[kept],
        patches.y0[kept],
        patches.y1[kept],
        patches.pressure[kept],
        patches.case[kept],
        patches.cases,
    )


def _greatest(stresses: Array, cases: Array, grid: StressGrid) -> Array:
    """(points, cases) -> (groups, levels, offsets, points): over the positions; level 0 is the temperature alone."""
    found = np.full((*grid.loads.shape, len(grid.offsets), len(grid.points)), -np.inf)
    group, level, offset = cases[1:].T
    np.maximum.at(found, (group, level, offset), stresses[:, 1:].T)
    found[:, grid.loads[0] <= 0] = stresses[:, 0]
    return found
