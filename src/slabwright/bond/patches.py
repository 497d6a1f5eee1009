"""Patches without bond that sounding would find: the bond beside them, how far they open, and whether they grow.

The plate that gives the sound demand shares one deflection between its layers and cannot open. Its demand at an edge, joint or
corner is therefore raised by ratios fitted to elements of three dimensions; in the wheel path, where layers stay in
contact, by the shear that the patch does not pass. Growth is judged apart: the energy that a long patch releases
(Hutchinson & Suo 1992, from memory) against the fracture energy decided.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from slabwright.bond.demand import DAY_ALL, NIGHT_ALL, BondDemand, BondQuestion, Energy
from slabwright.calculation import Array
from slabwright.interface.patches import (
    LARGEST_PATCH,
    SMALLEST_PATCH,
    patch_opening,
    patch_ratios,
    patch_under_wheel,
)
from slabwright.interface.strips import edge_shear_suhir
from slabwright.plate.plate_stresses import PlateStresses
from slabwright.plate.stresses import PavementState

__all__ = ["FITTED", "PATCH_PLACES", "SIZES", "UNIT_WEIGHT", "Patch", "edge_decay", "patches"]

SIZES = (0.3, 0.6, 1.0)  # m
WHEELS = "under the wheels"
PATCH_PLACES = {"free edge": "free edge", "joint": "free edge", "corner": "corner", WHEELS: ""}
UNIT_WEIGHT = 2350.0 * 9.81  # N/m3, that of the plate model
FITTED = (0.045, 0.12)  # m of overlay: the range of the elements, and a little


@dataclass(frozen=True)
class Patch:
    """One square patch at a place, at the age when the bond beside it is nearest to failure. SI.

    ``sound``: factor there without it; ``opening``: by night [m]; ``energy``: most of it, None where an even strain releases none.
    """

    place: str
    size: float
    age: int
    shear: float
    peel: float
    factor: float
    sound: float
    opening: float
    energy: Energy | None
    fitted: bool


def patches(
    model: PlateStresses, state: PavementState, question: BondQuestion, demand: BondDemand
) -> tuple[Patch, ...]:
    """Every place and size, from the demand on the sound bond. Raises OutOfRange outside what the ratios take."""
    return tuple(_patch(place, size, model, state, question, demand) for place in PATCH_PLACES for size in SIZES)


def edge_decay(model: PlateStresses, state: PavementState) -> float:
    """Rate at which edge shear dies out by strip theory [1/m]."""
    found = edge_shear_suhir(
        state.overlay,
        state.slab,
        state.overlay_modulus,
        state.slab_modulus,
        0.0,
        model.length / 2,
        poisson=model.poisson,
    )
    return float(found.decay)


def _patch(
    place: str,
    size: float,
    model: PlateStresses,
    state: PavementState,
    question: BondQuestion,
    demand: BondDemand,
) -> Patch:
    made = [_beside(place, cause, size, model, state, question, demand) for cause in (DAY_ALL, NIGHT_ALL)]
    factors = np.stack([question.aged.bond.factor(shear, peel) for shear, peel in made])
    cause, age = (int(i) for i in np.unravel_index(np.argmin(factors), factors.shape))
    sound = min(float(demand.at(place, c).factor.min()) for c in (DAY_ALL, NIGHT_ALL))
    inner = place == WHEELS
    fitted = SMALLEST_PATCH <= size <= LARGEST_PATCH and FITTED[0] <= state.overlay <= FITTED[1]
    return Patch(
        place,
        size,
        age,
        float(made[cause][0][age]),
        float(made[cause][1][age]),
        float(factors[cause, age]),
        sound,
        0.0 if inner else _opening(size, model, state, question.night),
        None if inner else demand.energy,
        inner or fitted,
    )


def _beside(
    place: str,
    cause: str,
    size: float,
    model: PlateStresses,
    state: PavementState,
    question: BondQuestion,
    demand: BondDemand,
) -> tuple[Array, Array]:
    """Mean shear and mean peel beside the patch at every age."""
    sound = demand.at(place, cause)
    if place == WHEELS:
        more = float(patch_under_wheel(size, edge_decay(model, state), question.averaging)) - 1
        wheels = demand.at(place, "wheels")
        return sound.shear + more * np.where(wheels.acting, wheels.shear, 0.0), sound.peel
    ratios = patch_ratios(size, PATCH_PLACES[place])
    return sound.shear * float(ratios.shear), sound.peel * float(ratios.peel)


def _opening(size: float, model: PlateStresses, state: PavementState, night: float) -> float:
    return float(
        patch_opening(
            size,
            max(0.0, -night),
            state.overlay,
            state.slab,
            state.overlay_modulus,
            model.expansion,
            UNIT_WEIGHT,
            model.poisson,
        )
    )
