"""Patches without bond: they weaken, the more the larger; the wheel path against the plate; opening by statics."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from slabwright.bond.demand import Aged, BondDemand, BondQuestion, bond_demand
from slabwright.bond.patches import PATCH_PLACES, SIZES, WHEELS, Patch, edge_decay, patches
from slabwright.bond.strength import Bond
from slabwright.interface.patches import patch_opening, patch_ratios, patch_under_wheel
from slabwright.interface.strips import bimetal_tip_deflection
from slabwright.plate.grid import grid
from slabwright.plate.loads import circles
from slabwright.plate.pavement import Interface, LayeredPavement, Rectangle
from slabwright.plate.plate import layered_plate
from slabwright.plate.plate_stresses import PlateStresses, pavement_of
from slabwright.plate.response import interface_shear
from slabwright.plate.stresses import PavementState

MODEL = PlateStresses(4.6, 3.7, 3.0, poisson=0.15)
STATE = PavementState(0.075, 0.2, 30e9, 35e9, 40e6)
STRENGTH = np.full(2, 1.38e6)
AGED = Aged(np.array([70e-6, 140e-6]), Bond("hyperbola", 0.7, STRENGTH, 2 * STRENGTH))
QUESTION = BondQuestion(80e3, 12.0, -7.0, np.ones(2, dtype=bool), AGED, 1.5)


@pytest.fixture(scope="module")
def sound() -> BondDemand:
    return bond_demand(MODEL, STATE, QUESTION)


@pytest.fixture(scope="module")
def found(sound: BondDemand) -> tuple[Patch, ...]:
    return patches(MODEL, STATE, QUESTION, sound)


def test_every_place_and_size_once(found: tuple[Patch, ...]) -> None:
    assert [(p.place, p.size) for p in found] == [(place, size) for place in PATCH_PLACES for size in SIZES]


@pytest.mark.parametrize("place", PATCH_PLACES)
def test_a_patch_lowers_the_factor_and_a_larger_one_more(found: tuple[Patch, ...], place: str) -> None:
    factors = [p.factor for p in found if p.place == place]
    assert factors[0] < next(p.sound for p in found if p.place == place)
    assert factors == sorted(factors, reverse=True)
    assert len(set(factors)) == len(factors)


def test_energy_and_range_of_each(found: tuple[Patch, ...], sound: BondDemand) -> None:
    for p in found:
        assert (p.energy is None) == (p.place == WHEELS)
        assert p.fitted
        assert p.age == 1  # twice the strain of the other age
    thick = replace(STATE, overlay=0.15)
    outside = patches(MODEL, thick, QUESTION, sound)
    assert {p.fitted for p in outside if p.place != WHEELS} == {False}


def test_ratios_begin_at_one_and_grow() -> None:
    sizes = np.geomspace(0.05, 2.0, 50)
    for place in ("free edge", "corner"):
        ratios = patch_ratios(sizes, place)
        for one in (ratios.shear, ratios.peel):
            assert (np.diff(one) > 0).all()
            assert (one > 1).all()


@pytest.mark.parametrize("size", SIZES)
def test_shear_beside_a_closed_patch_by_the_plate(size: float) -> None:
    """The plate with its layers in contact over the patch knows no strip theory; a wheel stands just past the patch.

    Shear goes round a square patch, which a strip cannot know: the plate's is 0.61, 0.51 and 0.41 of the strip's, measured
    against the greatest shear of the same wheel on the sound plate, so the strip is on the safe side.
    """
    across = 1.6
    patch = Rectangle(4.6 - size / 2, 4.6 + size / 2, across - size / 2, across + size / 2)
    load_at = patch.x1 + 0.15
    whole = pavement_of(MODEL, STATE)

    def shear(pavement: LayeredPavement, points: np.ndarray) -> np.ndarray:
        lines = grid(pavement, 0.6, focus_x=[(patch.x1, 0.02), (load_at, 0.1)], focus_y=[(across, 0.05)])
        plate = layered_plate(pavement, lines)
        solution = plate.solve(plate.load(circles(40e3, 0.15, load_at, across)))
        return np.hypot(*interface_shear(solution, points)[:, 0].T)

    around = np.column_stack([v.ravel() for v in np.meshgrid(np.linspace(3.6, 5.9, 47), np.linspace(0.8, 2.4, 17))])
    beside = np.column_stack([patch.x1 + np.linspace(0.001, 0.05, 11), np.full(11, across)])
    parted = replace(whole, interface=Interface(None, (patch,)))
    ratio = shear(parted, beside).mean() / shear(whole, around).max()
    strip = float(patch_under_wheel(size, edge_decay(MODEL, STATE), 0.05))
    assert 1.0 < ratio < strip
    assert 0.35 < ratio / strip < 0.7


def test_opening_is_the_curl_of_a_cantilever_less_its_own_weight() -> None:
    """Timoshenko's tip less q a^4 / (8 D) by hand; on a long patch the weight wins and the layers touch."""
    given = {"overlay": 0.075, "slab": 0.2, "expansion": 9.5e-6, "poisson": 0.15}
    light = float(patch_opening(0.3, 10.0, modulus=1e11, unit_weight=15e3, **given))
    curl = float(bimetal_tip_deflection(9.5e-6 * 10 / 0.275, 0.3))
    weight = 15e3 * 0.075 * 0.3**4 * 12 * (1 - 0.15**2) / (8 * 1e11 * 0.075**3)
    assert light == pytest.approx(curl - weight, rel=1e-9)
    assert float(patch_opening(2.0, 1.0, modulus=30e9, unit_weight=24e3, **given)) == 0.0
