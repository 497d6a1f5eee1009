"""Where and when the bond is stressed: wheels, day, night and shrinkage on the plate with its interface.

An elastic peak at an edge is an index: the exact stress there is singular, and the peak depends on the stiffness given
to the interface. What is held against the bond strength is the mean over a stated length from the edge, by default
the 50 mm across of a pull-off core, because the strength is itself a mean over that core (ASTM C1583, from memory).
Shear is held against twice the tensile bond strength (Delatte and others, as reported in trade literature).
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

import numpy as np

from slabwright.calculation import Array
from slabwright.interface.strips import bilayer_energy_release, strip_forces
from slabwright.plate.assembly import Strain
from slabwright.plate.grid import Grid, grid
from slabwright.plate.loads import axle_patches
from slabwright.plate.plate import LayeredPlate, Solution, layered_plate
from slabwright.plate.plate_stresses import PlateStresses, element_size, linear_strains, on_pavement, pavement_of
from slabwright.plate.response import interface_shear
from slabwright.plate.stresses import PavementState

__all__ = ["CAUSES", "BondDemand", "BondQuestion", "PlaceDemand", "bond_demand"]

FINEST = 0.02  # m at the edges: a tenth of the usual edge zone
CAUSES = ("wheels", "day", "night", "shrinkage", "wheels, day and shrinkage", "wheels, night and shrinkage")
STRAINS = ("none", "day", "night", "shrinkage", "day and shrinkage", "night and shrinkage")


@dataclass(frozen=True)
class BondQuestion:
    """What stresses the bond, and what it can take; SI.

    ``shrinkage``: free strain of the overlay beyond the old slab's after relief by creep; ``day`` and ``night``:
    temperature differences top less bottom [K]; ``averaging``: length of the mean [m]; ``strength``: tensile bond
    strength [Pa]; ``shear_ratio``: shear bond strength over tensile; ``factor``: least strength over demand.
    """

    axle_load: float
    day: float
    night: float
    shrinkage: float
    strength: float
    factor: float
    averaging: float = 0.05
    shear_ratio: float = 2.0


@dataclass(frozen=True)
class PlaceDemand:
    """One place under one cause: peak shear (an index), mean shear and mean peel over the averaging length [Pa].

    ``required``: tensile bond strength that the means ask for, without the factor; ``reserve``: strength over it.
    """

    place: str
    cause: str
    peak_shear: float
    mean_shear: float
    mean_peel: float
    required: float
    reserve: float
    passes: bool


@dataclass(frozen=True)
class BondDemand:
    """Demands by place and cause, a map over the slab, and the energy that parting the layers would release.

    ``x``, ``y``: (nx,), (ny,) [m] from the joint and the free edge; ``shear``: (causes, nx, ny) [Pa] in the order of
    ``CAUSES``; ``energy``: [N/m] by full relaxation of both layers.
    """

    places: tuple[PlaceDemand, ...]
    x: Array
    y: Array
    shear: Array
    energy: float
    passes: bool


def bond_demand(model: PlateStresses, state: PavementState, question: BondQuestion) -> BondDemand:
    """Demand on the bond of one pavement. Raises NotConverged where contact does not settle, InputError for no overlay."""
    plate = layered_plate(pavement_of(model, state), _lines(model, state))
    solved = {name: _solutions(plate, model, question, name) for name in STRAINS}
    bare = solved["none"][0]
    found = {
        "wheels": [_less(s, bare) for s in solved["none"][1:]],
        "day": [_less(solved["day"][0], bare)],
        "night": [_less(solved["night"][0], bare)],
        "shrinkage": [_less(solved["shrinkage"][0], bare)],
        "wheels, day and shrinkage": [_less(s, bare) for s in solved["day and shrinkage"]],
        "wheels, night and shrinkage": [_less(s, bare) for s in solved["night and shrinkage"]],
    }
    x, y = _map_places(model)
    shear = np.stack([_map(found[cause], model, x, y) for cause in CAUSES])
    places = tuple(
        _place(place, cause, found[cause], model, plate, question)
        for place, cause in product(("under the wheels", "free edge", "joint", "corner"), CAUSES)
    )
    return BondDemand(places, x, y, shear, _energy(state, question), all(p.passes for p in places))


def _lines(model: PlateStresses, state: PavementState) -> Grid:
    begin, middle, pavement = model.length / 2, model.length, pavement_of(model, state)
    focus = [(begin, FINEST), (middle, 0.15)]
    return grid(pavement, element_size(pavement), focus_x=focus, focus_y=[(0.0, FINEST)])


def _solutions(plate: LayeredPlate, model: PlateStresses, question: BondQuestion, strain: str) -> list[Solution]:
    """Under one state of strain: without an axle, with it at mid-slab, with it at the joint."""
    vectors = [np.zeros((plate.unknowns, 1))]
    for along in (0.5, 0.0):
        at = model.length * (0.5 + along) + (0.15 if along == 0 else 0.0)
        vectors.append(plate.load(on_pavement(axle_patches("single", question.axle_load, [at], [0.0]), model.width)))
    solution = plate.solve_contact(np.hstack(vectors), strains=_strains(plate, question, strain))
    return [Solution(plate, solution.dofs[:, i : i + 1], None, None) for i in range(len(vectors))]


def _strains(plate: LayeredPlate, question: BondQuestion, name: str) -> tuple[Strain, ...]:
    difference = question.day if "day" in name else question.night if "night" in name else 0.0
    strains = linear_strains(plate.pavement, difference)
    if "shrinkage" not in name:
        return strains
    loss = question.shrinkage
    top = strains[0]
    return (Strain(top.mean - loss, top.curvature, top.top - loss, top.bottom - loss), *strains[1:])


def _less(solution: Solution, other: Solution) -> Solution:
    """The change from one state to another: own weight bonds nothing, the overlay was placed under it."""
    return Solution(solution.plate, solution.dofs - other.dofs, None, None)


def _map_places(model: PlateStresses) -> tuple[Array, Array]:
    """Places on the slab, closer to its edges."""
    share = (1 - np.cos(np.linspace(0, np.pi, 41))) / 2
    return share * model.length, share * model.width


def _map(solutions: list[Solution], model: PlateStresses, x: Array, y: Array) -> Array:
    """Greatest shear over the solutions at every place (nx, ny)."""
    inside = 1e-4 * model.length
    across, along = np.meshgrid(np.clip(x, inside, model.length - inside) + model.length / 2, y, indexing="ij")
    points = np.column_stack([across.ravel(), along.ravel()])
    each = [np.hypot(*interface_shear(s, points)[:, 0].T) for s in solutions]
    return np.asarray(np.max(each, axis=0)).reshape(across.shape)


def _place(
    place: str, cause: str, solutions: list[Solution], model: PlateStresses, plate: LayeredPlate, question: BondQuestion
) -> PlaceDemand:
    demands = [_demand(place, s, model, plate, question) for s in solutions]
    peak, shear, peel = (float(max(d[i] for d in demands)) for i in range(3))
    required = max(shear / question.shear_ratio, peel)
    reserve = question.strength / required if required > 0 else np.inf
    return PlaceDemand(place, cause, peak, shear, peel, required, reserve, bool(reserve >= question.factor))


def _demand(
    place: str, solution: Solution, model: PlateStresses, plate: LayeredPlate, question: BondQuestion
) -> tuple[float, float, float]:
    """Peak shear, mean shear and mean peel along the worst line of a place."""
    begin = model.length / 2
    depth = np.linspace(0.0, question.averaging, 11)
    if place == "under the wheels":
        x, y = np.meshgrid(np.linspace(begin + 0.3, begin + model.length - 0.3, 41), np.linspace(0.3, 1.0, 15))
        size = np.hypot(*interface_shear(solution, np.column_stack([x.ravel(), y.ravel()]))[:, 0].T)
        return float(size.max()), float(size.max()), 0.0  # smooth there: the mean over 50 mm is the value
    if place == "free edge":
        along = np.linspace(begin + 0.3, begin + model.length / 2, 21)
        lines = _lines_of_points(along[:, None] + 0 * depth, 0 * along[:, None] + depth)
        return _edge(solution, lines, 1, depth, plate)
    along = np.linspace(0.3, model.width - 0.3, 21) if place == "joint" else depth
    lines = _lines_of_points(begin + depth + 0 * along[:, None], along[:, None] + 0 * depth)
    return _edge(solution, lines, 0, depth, plate, corner=place == "corner")


def _lines_of_points(x: Array, y: Array) -> Array:
    return np.stack(np.broadcast_arrays(x, y), axis=-1)


def _edge(
    solution: Solution, lines: Array, component: int, depth: Array, plate: LayeredPlate, corner: bool = False
) -> tuple[float, float, float]:
    """Along lines (n, depth, 2) going in from an edge: means over the depth, the worst of all lines.

    In a corner the mean is over the square. Peel by statics of the overlay: p = mu (tau(0) - tau(d)) / d with
    mu = (h1 D2 - h2 D1) / (2 D), positive when it pulls (Suhir 1986, from memory).
    """
    shear = interface_shear(solution, lines.reshape(-1, 2))[:, 0].reshape(*lines.shape[:2], 2)
    size = np.hypot(shear[..., 0], shear[..., 1])
    mean = np.trapezoid(size, depth, axis=1) / depth[-1]
    layers = plate.pavement.layers
    d1, d2 = layers[0].bending, layers[1].bending
    arm = (layers[0].thickness * d2 - layers[1].thickness * d1) / (2 * (d1 + d2))
    outward = -shear[..., component]  # both edges looked at are where the coordinate begins
    peel = arm * (outward[:, 0] - outward[:, -1]) / depth[-1]
    worst = float(mean.mean()) if corner else float(mean.max())
    return float(size.max()), worst, max(0.0, float(peel.mean() if corner else peel.max()))


def _energy(state: PavementState, question: BondQuestion) -> float:
    """Energy released per area where the layers part and both relax, under shrinkage held flat [N/m]."""
    if question.shrinkage <= 0:
        return 0.0
    forces = strip_forces(
        state.overlay, state.slab, state.overlay_modulus, state.slab_modulus, question.shrinkage, support="held flat"
    )
    return float(bilayer_energy_release(forces.axial_force, question.shrinkage))
