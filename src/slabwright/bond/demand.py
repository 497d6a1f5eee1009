"""Where and when the bond is stressed: wheels, day, night and shrinkage on the plate with its interface, at every age.

An elastic peak at an edge is an index: the exact stress there is singular, and the peak depends on the stiffness given
to the interface. What is held against the bond strength is the mean over a stated length from the edge, by default
the 50 mm across of a pull-off core, because the strength is itself a mean over that core (ASTM C1583, from memory).

Against elements of three dimensions (``tests/bond/solid.py``), for shrinkage of overlays of 50 to 115 mm on 200 to 230 mm of
old slab, means over 50 mm: at a free edge the plate gives 0.99 to 1.09 times the shear and 0.99 to 1.23 times the peel, at a
corner 1.01 to 1.11 and 1.02 to 1.28 times. It cannot part the layers; past patches without bond see ``patches``.

The plate is solved without shrinkage and with its greatest; between these two every stress is taken as straight. Wheels
and temperature act on the modulus at 28 days.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from slabwright.bond.pair import CURLED, FLAT
from slabwright.bond.strength import Bond
from slabwright.calculation import Array
from slabwright.interface.strips import bilayer_energy_release, strip_forces
from slabwright.plate.assembly import Strain
from slabwright.plate.grid import Grid, grid
from slabwright.plate.loads import axle_patches
from slabwright.plate.plate import LayeredPlate, Solution, layered_plate
from slabwright.plate.plate_stresses import PlateStresses, element_size, linear_strains, on_pavement, pavement_of
from slabwright.plate.response import interface_shear
from slabwright.plate.stresses import PavementState

__all__ = [
    "CAUSES",
    "DAY_ALL",
    "NIGHT_ALL",
    "PLACES",
    "WITHOUT_WHEELS",
    "Aged",
    "BondDemand",
    "BondQuestion",
    "Energy",
    "PlaceDemand",
    "bond_demand",
    "most_energy",
]

Bools = npt.NDArray[np.bool_]
FINEST = 0.02  # m at the edges: a tenth of the usual edge zone
PLACES = ("under the wheels", "free edge", "joint", "corner")
DAY_ALL, NIGHT_ALL = "wheels, day and shrinkage", "wheels, night and shrinkage"
CAUSES = ("wheels", "day", "night", "shrinkage", DAY_ALL, NIGHT_ALL)
# What is left of a cause before wheels come.
WITHOUT_WHEELS = {DAY_ALL: "day and shrinkage", NIGHT_ALL: "night and shrinkage"}
STRAINS = ("none", "day", "night", "shrinkage", "day and shrinkage", "night and shrinkage")
NO_STRAIN = 1e-9
DEPTHS = 11  # points of the averaging length


@dataclass(frozen=True)
class Aged:
    """What depends on age: strain (ages,) [1] that stands for shrinkage after relief, and the bond's strength.

    ``held``: the strain of a pair held flat, for the energy; the same where none is given.
    """

    strain: Array
    bond: Bond
    held: Array | None = None

    @property
    def held_flat(self) -> Array:
        return self.strain if self.held is None else self.held

    def both(self, age: int) -> tuple[float, float]:
        """Strains free to curl and held flat at one age, by its number."""
        return float(self.strain[age]), float(self.held_flat[age])


@dataclass(frozen=True)
class BondQuestion:
    """What stresses the bond, and what it can take; SI.

    ``day`` and ``night``: temperature differences top less bottom [K]; ``wheels``: whether they act at each age (ages,);
    ``aged`` by the model decided, ``rivals`` others by name, asked beside; ``factor``: least strength over demand;
    ``averaging``: length of the mean [m].
    """

    axle_load: float
    day: float
    night: float
    wheels: Bools
    aged: Aged
    factor: float
    averaging: float = 0.05
    rivals: dict[str, Aged] = field(default_factory=dict)


@dataclass(frozen=True)
class PlaceDemand:
    """One place under one cause at every age (ages,): peak shear, mean shear and peel over the averaging length [Pa].

    Means are those of the line whose factor is least. ``acting`` says which ages have the cause; the factor of others is
    infinite. ``beside``: factors by the rivals. ``worst``: the age's number.
    """

    place: str
    cause: str
    peak: Array
    shear: Array
    peel: Array
    factor: Array
    acting: Bools
    beside: dict[str, Array]

    @property
    def worst(self) -> int:
        return int(np.argmin(self.factor))


@dataclass(frozen=True)
class Energy:
    """The most energy released where the layers part [N/m], the age's number, and the strains left then, free and held."""

    released: float
    age: int
    strain: float
    held: float


@dataclass(frozen=True)
class BondDemand:
    """Demands by place and cause, a map over the slab, and the energy that parting the layers would release.

    ``x``, ``y``: (nx,), (ny,) [m] from the joint and the free edge; ``map``: (causes, nx, ny) [Pa] in the order of
    ``CAUSES``, at the worst age of all; ``energy``: by full relaxation of both layers, at the age when it is most.
    """

    places: tuple[PlaceDemand, ...]
    x: Array
    y: Array
    map: Array
    energy: Energy

    @property
    def worst(self) -> PlaceDemand:
        return min(self.places, key=lambda p: float(p.factor.min()))

    def at(self, place: str, cause: str) -> PlaceDemand:
        return next(p for p in self.places if (p.place, p.cause) == (place, cause))


Pair = tuple[int, int]  # columns of one solution: without shrinkage, and with the greatest
LOADS = 3  # no axle, an axle at mid-slab, an axle at the joint


def bond_demand(model: PlateStresses, state: PavementState, question: BondQuestion) -> BondDemand:
    """Demand on the bond of one pavement. Raises NotConverged where contact does not settle, InputError for no overlay."""
    plate = layered_plate(pavement_of(model, state), _lines(model, state))
    most = _greatest_strain(question)
    solution = _changes(plate, model, question, most)
    places: list[PlaceDemand] = []
    for place in PLACES:
        asked = _Asked.of(place, model, solution, question, most)
        places += [asked.demand(cause, PAIRS[cause], PAIRS.get(WITHOUT_WHEELS.get(cause, ""))) for cause in CAUSES]
    worst = min(places, key=lambda p: float(p.factor.min()))
    strain = float(question.aged.strain[worst.worst])
    x, y = _map_places(model)
    return BondDemand(
        tuple(places),
        x,
        y,
        _map(solution, strain / most, model, x, y),
        most_energy(state, question.aged, model.poisson),
    )


def _greatest_strain(question: BondQuestion) -> float:
    every = [question.aged, *question.rivals.values()]
    return max(NO_STRAIN, *(float(aged.strain.max()) for aged in every))


def _all_pairs() -> dict[str, list[Pair]]:
    """By cause, the columns of ``_changes`` for each place of the axle."""

    def pairs(without: str, greatest: str, loads: range) -> list[Pair]:
        return [(LOADS * STRAINS.index(without) + i, LOADS * STRAINS.index(greatest) + i) for i in loads]

    alone, axle, every = range(1), range(1, LOADS), range(LOADS)
    return {
        "wheels": pairs("none", "none", axle),
        "day": pairs("day", "day", alone),
        "night": pairs("night", "night", alone),
        "shrinkage": pairs("none", "shrinkage", alone),
        DAY_ALL: pairs("day", "day and shrinkage", every),
        NIGHT_ALL: pairs("night", "night and shrinkage", every),
        "day and shrinkage": pairs("day", "day and shrinkage", alone),
        "night and shrinkage": pairs("night", "night and shrinkage", alone),
    }


PAIRS = _all_pairs()


def _changes(plate: LayeredPlate, model: PlateStresses, question: BondQuestion, most: float) -> Solution:
    """Every state of ``STRAINS`` under every load, less the bare slab: own weight bonds nothing, the overlay was placed
    under it. Columns (unknowns, strains x loads)."""
    dofs = np.hstack([_solved(plate, model, question, name, most) for name in STRAINS])
    return Solution(plate, dofs - dofs[:, :1], None, None)


def _lines(model: PlateStresses, state: PavementState) -> Grid:
    begin, middle, pavement = model.length / 2, model.length, pavement_of(model, state)
    focus = [(begin, FINEST), (middle, 0.15)]
    return grid(pavement, element_size(pavement), focus_x=focus, focus_y=[(0.0, FINEST)])


def _solved(plate: LayeredPlate, model: PlateStresses, question: BondQuestion, strain: str, most: float) -> Array:
    """Under one state of strain: without an axle, with it at mid-slab, with it at the joint."""
    vectors = [np.zeros((plate.unknowns, 1))]
    for along in (0.5, 0.0):
        at = model.length * (0.5 + along) + (0.15 if along == 0 else 0.0)
        vectors.append(plate.load(on_pavement(axle_patches("single", question.axle_load, [at], [0.0]), model.width)))
    return plate.solve_contact(np.hstack(vectors), strains=_strains(plate, question, strain, most)).dofs


def _strains(plate: LayeredPlate, question: BondQuestion, name: str, most: float) -> tuple[Strain, ...]:
    difference = question.day if "day" in name else question.night if "night" in name else 0.0
    strains = linear_strains(plate.pavement, difference)
    if "shrinkage" not in name:
        return strains
    top = strains[0]
    return (Strain(top.mean - most, top.curvature, top.top - most, top.bottom - most), *strains[1:])


def _map_places(model: PlateStresses) -> tuple[Array, Array]:
    """Places on the slab, closer to its edges."""
    share = (1 - np.cos(np.linspace(0, np.pi, 41))) / 2
    return share * model.length, share * model.width


def _map(solution: Solution, share: float, model: PlateStresses, x: Array, y: Array) -> Array:
    """Greatest shear by each cause at every place (causes, nx, ny), at a share of the greatest shrinkage."""
    inside = 1e-4 * model.length
    across, along = np.meshgrid(np.clip(x, inside, model.length - inside) + model.length / 2, y, indexing="ij")
    shear = interface_shear(solution, np.column_stack([across.ravel(), along.ravel()]))

    def greatest(cause: str) -> Array:
        none, most = (shear[:, [pair[i] for pair in PAIRS[cause]]] for i in (0, 1))
        each = none + share * (most - none)
        return np.asarray(np.hypot(each[..., 0], each[..., 1]).max(axis=1).reshape(across.shape))

    return np.stack([greatest(cause) for cause in CAUSES])


def most_energy(state: PavementState, aged: Aged, poisson: float) -> Energy:
    """Most energy released per area where the layers part and both relax, over all ages: the greater of both ends of support.

    The strain left free to curl and that left held flat each go with their own compliance.
    """
    curled = _released(state, aged.strain, CURLED, poisson)
    released = np.maximum(curled, _released(state, aged.held_flat, FLAT, poisson))
    age = int(np.argmax(released))
    return Energy(float(released[age]), age, *aged.both(age))


def _released(state: PavementState, strain: Array, support: str, poisson: float) -> Array:
    """Energy at every age (ages,) [N/m]; none where the overlay grows."""
    left = np.maximum(strain, 0.0)
    forces = strip_forces(state.overlay, state.slab, state.overlay_modulus, state.slab_modulus, left, support=support)
    return np.asarray(bilayer_energy_release(forces.axial_force, left, poisson))


@dataclass(frozen=True)
class _Asked:
    """One place of one plate: shear (lines, points, columns, 2) [Pa] along lines that go in from its edge.

    ``most`` is the strain of the second column of every pair; ``arm`` is peel over the divergence of shear by statics of the
    overlay [m], (h1 D2 - h2 D1) / (2 D) (Suhir 1986, from memory).
    """

    place: str
    shear: Array
    component: int
    arm: float
    question: BondQuestion
    most: float

    @classmethod
    def of(cls, place: str, model: PlateStresses, solution: Solution, question: BondQuestion, most: float) -> _Asked:
        lines, component = _lines_of(place, model, np.linspace(0.0, question.averaging, DEPTHS))
        shear = interface_shear(solution, lines.reshape(-1, 2))
        upper, lower = solution.plate.pavement.layers
        arm = (upper.thickness * lower.bending - lower.thickness * upper.bending) / (
            2 * (upper.bending + lower.bending)
        )
        return cls(place, shear.reshape(*lines.shape[:2], *shear.shape[1:]), component, arm, question, most)

    def demand(self, cause: str, pairs: list[Pair], before: list[Pair] | None) -> PlaceDemand:
        """One cause at every age; ``before``: what acts before wheels do, if anything."""
        question = self.question
        acting = question.wheels if "wheels" in cause else np.ones(len(question.wheels), dtype=bool)
        found = [self._asked(pairs, before, acting, aged) for aged in (question.aged, *question.rivals.values())]
        peak, shear, peel, factor = found[0]
        beside = dict(zip(question.rivals, (f[3] for f in found[1:]), strict=True))
        return PlaceDemand(self.place, cause, peak, shear, peel, factor, acting | (before is not None), beside)

    def _asked(
        self, pairs: list[Pair], before: list[Pair] | None, acting: Bools, aged: Aged
    ) -> tuple[Array, Array, Array, Array]:
        late = self._worst(pairs, aged)
        if acting.all():
            return late
        if before is not None:
            young = self._worst(before, aged)
            return tuple(np.where(acting, a, b) for a, b in zip(late, young, strict=True))  # type: ignore[return-value]
        peak, shear, peel, factor = late
        return peak, shear, peel, np.where(acting, factor, np.inf)

    def _worst(self, pairs: list[Pair], aged: Aged) -> tuple[Array, Array, Array, Array]:
        """Peak, mean shear, mean peel and factor (ages,) on the line whose factor is least, over all places of the axle."""
        share = aged.strain / self.most
        found = [self._means(pair, share) for pair in pairs]
        peak, shear, peel = (np.concatenate([f[i] for f in found], axis=1) for i in range(3))
        factor = aged.bond.factor(shear.T, peel.T).T
        least = np.argmin(factor, axis=1)
        ages = np.arange(len(share))
        return peak.max(axis=1), shear[ages, least], peel[ages, least], factor[ages, least]

    def _means(self, pair: Pair, share: Array) -> tuple[Array, Array, Array]:
        """Peak shear, mean shear and mean peel of every line: (ages, lines) each [Pa]."""
        none, greatest = (self.shear[..., column, :] for column in pair)
        stress = none + share[:, None, None, None] * (greatest - none)
        size = np.hypot(stress[..., 0], stress[..., 1])
        if self.place == "under the wheels":  # smooth there: the mean over the length is the value
            return size[..., 0], size[..., 0], np.zeros(size.shape[:2])
        if self.place == "corner":
            return self._corner(stress, size)
        depth = np.linspace(0.0, self.question.averaging, DEPTHS)
        outward = -stress[..., self.component]  # both edges looked at are where the coordinate begins
        peel = self.arm * (outward[..., 0] - outward[..., -1]) / depth[-1]
        return size.max(axis=2), np.trapezoid(size, depth, axis=2) / depth[-1], peel

    def _corner(self, stress: Array, size: Array) -> tuple[Array, Array, Array]:
        """Means over the square in the corner. Peel is the arm times the divergence of the shear, both ways."""
        length = self.question.averaging
        depth = np.linspace(0.0, length, DEPTHS)
        mean = np.asarray(np.trapezoid(np.asarray(np.trapezoid(size, depth, axis=2)), depth, axis=1)) / length**2
        along, across = -stress[..., 0], -stress[..., 1]  # age, y, x
        out = (along[:, :, 0] - along[:, :, -1]) + (across[:, 0] - across[:, -1])
        peel = self.arm * np.asarray(np.trapezoid(out, depth, axis=1)) / length**2
        return size.max(axis=(1, 2))[:, None], mean[:, None], peel[:, None]


def _lines_of(place: str, model: PlateStresses, depth: Array) -> tuple[Array, int]:
    """Lines (lines, points, 2) going in from an edge, and the component of shear across that edge."""
    begin = model.length / 2
    if place == "under the wheels":
        x, y = np.meshgrid(np.linspace(begin + 0.3, begin + model.length - 0.3, 41), np.linspace(0.3, 1.0, 15))
        return np.column_stack([x.ravel(), y.ravel()])[:, None], 0
    if place == "free edge":
        along = np.linspace(begin + 0.3, begin + model.length / 2, 21)
        return _points(along[:, None] + 0 * depth, 0 * along[:, None] + depth), 1
    along = np.linspace(0.3, model.width - 0.3, 21) if place == "joint" else depth
    return _points(begin + depth + 0 * along[:, None], along[:, None] + 0 * depth), 0


def _points(x: Array, y: Array) -> Array:
    return np.stack(np.broadcast_arrays(x, y), axis=-1)
