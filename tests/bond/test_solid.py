"""Edges, corners and patches against elements of three dimensions: where strip theory serves, and the ratios fitted."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from slabwright.bond.demand import Aged, BondQuestion, bond_demand
from slabwright.bond.strength import Bond
from slabwright.interface.patches import patch_ratios
from slabwright.plate.plate_stresses import PlateStresses
from slabwright.plate.stresses import PavementState
from tests.bond.solid import POISSON, Face, shrunk

D, STRAIN = 0.05, 140e-6
PAIR = {"overlay": 0.075, "slab": 0.23, "moduli": (31e9, 33e9), "k": 80e6, "strain": STRAIN}
NEAR = np.array([0.0, 0.009, 0.025, D])
SOUND = np.concatenate([NEAR, [0.1, 0.2, 0.4, 0.8, 1.4]])


@cache
def sound_edge() -> tuple[float, float]:
    return shrunk(SOUND, np.array([0.0, 0.25, 0.6]), symmetric=True, **PAIR).mean((0, D), (0, 0.25))


@cache
def sound_corner() -> tuple[float, float]:
    return shrunk(SOUND, SOUND, **PAIR).mean((0, D), (0, D))


@pytest.fixture(scope="module")
def plate():
    strength = np.array([1.38e6])
    question = BondQuestion(
        80e3,
        0.0,
        0.0,
        np.zeros(1, dtype=bool),
        Aged(np.array([STRAIN]), Bond("hyperbola", 0.7, strength, 2 * strength)),
        1.5,
    )
    model = PlateStresses(4.6, 3.7, 4.0, POISSON)
    return bond_demand(model, PavementState(0.075, 0.23, 31e9, 33e9, 80e6), question)


def test_strip_theory_at_a_sound_edge_is_on_the_safe_side_by_a_tenth(plate) -> None:
    """Measured: shear 1.07, peel 1.03 times the elements'."""
    edge = plate.at("free edge", "shrinkage")
    shear, peel = sound_edge()
    assert 1.0 < edge.shear[0] / shear < 1.12
    assert 0.97 < edge.peel[0] / peel < 1.12


def test_strip_theory_at_a_sound_corner_is_on_the_safe_side_by_a_sixth(plate) -> None:
    corner = plate.at("corner", "shrinkage")
    shear, peel = sound_corner()
    assert 1.0 < corner.shear[0] / shear < 1.17
    assert 1.0 < corner.peel[0] / peel < 1.17


def at_edge(size: float) -> Face:
    """Square patch at a free edge, mirrored in its middle; fine where its side meets the edge."""
    half = size / 2
    x = np.unique(np.round([*NEAR, 0.12, 0.2, size, size + 0.05, size + 0.2, size + 0.5, size + 1.2], 6))
    y = np.unique(
        np.round([0.0, *(half - np.array([0.09, 0.04, 0.015])), *(half + NEAR), half + 0.12, half + 0.7, half + 1.4], 6)
    )
    return shrunk(x, y, patch=(size, half), symmetric=True, **PAIR)


def at_corner(size: float) -> Face:
    """Square patch in a corner; fine where its front meets the free edge."""
    x = np.unique(
        np.round(
            [
                0.0,
                0.025,
                0.05,
                0.12,
                *(size - np.array([0.1, 0.04, 0.015])),
                *(size + NEAR),
                size + 0.12,
                size + 0.35,
                size + 1.0,
            ],
            6,
        )
    )
    y = np.unique(np.round([*NEAR, 0.12, size - 0.06, size, size + 0.06, size + 0.3, size + 1.0], 6))
    return shrunk(x, y, patch=(size, size), **PAIR)


def test_beside_an_edge_patch_the_ratios_are_those_of_the_elements() -> None:
    """The layers part there, and past the middle of the patch less is asked than of the sound edge."""
    size, half = 0.3, 0.15
    face = at_edge(size)
    ratios = patch_ratios(size, "free edge")
    for found, sound, fitted in zip(
        face.mean((0, D), (half, half + D)), sound_edge(), (ratios.shear, ratios.peel), strict=True
    ):
        assert float(fitted) == pytest.approx(found / sound, rel=0.1)
    assert face.opening > 0
    assert face.mean((size, size + D), (0.0, half))[0] < sound_edge()[0]


def test_beside_a_corner_patch_the_ratios_are_those_of_the_elements() -> None:
    size = 0.3
    face = at_corner(size)
    ratios = patch_ratios(size, "corner")
    for found, sound, fitted in zip(
        face.mean((size, size + D), (0, D)), sound_corner(), (ratios.shear, ratios.peel), strict=True
    ):
        assert float(fitted) == pytest.approx(found / sound, rel=0.1)
    assert face.opening > 0
