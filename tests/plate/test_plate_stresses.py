"""The plate as the model of a life: mesh error, contact, and how stresses follow load, place and temperature."""

from dataclasses import replace

import numpy as np
import pytest

from slabwright.plate import plate_stresses
from slabwright.plate.plate_stresses import PlateStresses, linear_strains, pavement_of
from slabwright.plate.stresses import POINTS, PavementState, StressGrid
from slabwright.slab.closed_forms import edge_stress_semicircle, relative_stiffness

MODEL = PlateStresses(4.6, 3.7, 3.0)
STATE = PavementState(0.09, 0.23, 31e9, 28e9, 60e6, 0.02)
GRID = StressGrid(
    np.array([[0.0, 80e3], [0.0, 150e3], [0.0, 200e3]]), np.array([0.0, 0.5]), np.array([-10.0, 0.0, 10.0])
)


@pytest.fixture(scope="module")
def stresses() -> np.ndarray:
    return MODEL(STATE, GRID)


def test_shape_and_no_load_no_stress(stresses: np.ndarray) -> None:
    assert stresses.shape == GRID.shape
    # Neither axle nor temperature: own weight on a flat support stresses nothing, to what the solver leaves.
    assert np.abs(stresses[:, 0, :, 1]).max() < 5e-4 * np.abs(stresses[:, 1]).max()


def test_a_finer_mesh_changes_little(stresses: np.ndarray, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(plate_stresses, "FINEST", 0.02)
    monkeypatch.setattr(plate_stresses, "COARSE", 0.35)
    monkeypatch.setattr(plate_stresses, "FINE", 0.2)
    finer = MODEL(STATE, GRID)
    # Within 2 per cent of the greatest at each place (measured 0.1 to 1.6 over three pavements), 1 at the old bottom.
    for point in range(len(POINTS)):
        size = np.abs(finer[..., point]).max()
        np.testing.assert_allclose(stresses[..., point], finer[..., point], atol=0.02 * size)
    assert stresses[0, 1, 0, 1, 0] == pytest.approx(finer[0, 1, 0, 1, 0], rel=0.01)


def test_signs(stresses: np.ndarray) -> None:
    """A wheel at the edge pulls the bottom there; a warm top pulls the bottom more, a cold top pulls the top."""
    bottom, top = stresses[..., 0], stresses[..., 2]
    assert (bottom[:, 1, 0, 1] > 0).all()
    assert (np.diff(bottom[0, 1, 0]) > 0).all()
    assert top[0, 0, 0, 0] > 0 > top[0, 0, 0, 2]
    # Wheels farther from the edge harm it less.
    assert (bottom[:, 1, 1, 1] < bottom[:, 1, 0, 1]).all()


def test_old_slab_alone_against_the_edge_formula() -> None:
    """Westergaard's half circle at the edge takes all of a dual wheel's load at once; the tyres reach 0.6 m in: less."""
    found = MODEL(replace(STATE, overlay=0.0, delaminated=0.0), GRID)[0, 1, 0, 1, 0]
    l = float(relative_stiffness(28e9, 0.23, 60e6, 0.15))
    half_circle = float(edge_stress_semicircle(40e3, 0.23, l, 0.15))
    one_tyre = float(edge_stress_semicircle(20e3, 0.23, l, 0.1))
    assert one_tyre < found < half_circle


def test_an_overlay_relieves_the_old_slab(stresses: np.ndarray) -> None:
    alone = MODEL(replace(STATE, overlay=0.0, delaminated=0.0), GRID)
    # With the wheels at the edge. Farther in a stiffer slab may be pulled more at its edge, because it spreads farther.
    assert (stresses[:, 1, 0, 1, 0] < alone[:, 1, 0, 1, 0]).all()


def test_the_weaker_the_bond_the_more_the_overlay_bottom_is_pulled() -> None:
    less = MODEL(replace(STATE, delaminated=0.0), GRID)
    more = MODEL(replace(STATE, delaminated=0.25), GRID)
    # Mid-slab lies outside the parted corners: stresses there change little, and not downwards at the old slab's bottom.
    assert more[0, 1, 0, 1, 0] >= less[0, 1, 0, 1, 0] - 0.01e6


def test_linear_strains_are_straight_through_both_layers() -> None:
    strains = linear_strains(pavement_of(MODEL, STATE), 10.0)
    upper, lower = strains
    assert upper.top - lower.bottom == pytest.approx(10.0 * 9.5e-6)
    assert upper.bottom == pytest.approx(lower.top)
    # One slope: strain over thickness agrees.
    assert upper.curvature == pytest.approx(lower.curvature)


def test_corners_lose_the_stated_share_of_bond() -> None:
    parted = pavement_of(MODEL, replace(STATE, delaminated=0.1)).interface.delaminated
    assert len(parted) == 4
    assert sum(r.area for r in parted) == pytest.approx(0.1 * 4.6 * 3.7)
    assert pavement_of(MODEL, replace(STATE, delaminated=0.0)).interface.delaminated == ()


FOUR = replace(GRID, loads=np.vstack([GRID.loads, [[0.0, 150e3]]]))


def test_a_tractor_at_both_ends_pulls_the_top_more_than_its_tandem_alone() -> None:
    """At night, where the ends are lifted; with a wheelbase that fits on the slab (NCHRP 1-37A's, from memory)."""
    found = MODEL(STATE, FOUR)
    assert (MODEL.wheelbase, MODEL.tractors) == (3.66, 0.17)
    top = found[:, 1, 0, 0, 2]
    assert top[3] > top[1] > 0
    # and never less than the night alone: both ends are pressed down
    assert top[3] > found[3, 0, 0, 0, 2]


@pytest.mark.parametrize(("length", "share"), [(3.5, 0.0), (4.5, 0.17), (5.3, 0.39), (6.2, 1.0)])
def test_only_tractors_that_fit_on_the_slab_count(length: float, share: float) -> None:
    assert replace(MODEL, length=length).tractors == pytest.approx(share)


def test_a_tied_shoulder_relieves_the_edge() -> None:
    """And one without stiffness does nothing: the edge is free again."""
    alone = MODEL(STATE, GRID)[0, 1, 0, 1, 0]
    tied, free = (replace(MODEL, shoulder=3.0, tie=t)(STATE, GRID)[0, 1, 0, 1, 0] for t in (3.0, 0.0))
    assert tied < 0.95 * alone
    assert free == pytest.approx(alone, rel=0.01)  # another mesh


@pytest.mark.parametrize("width", np.arange(2.5, 5.01, 0.05).round(2).tolist())
def test_every_width_of_lane_takes_corners_without_bond(width: float) -> None:
    """Edges are taken, not added: an end less a side and a side again may miss the end by one bit."""
    for length in (3.7, 4.6, 6.1):
        pavement = pavement_of(PlateStresses(length, width, 3.0), STATE)
        assert len(pavement.interface.delaminated) == 4


def test_a_widened_slab_keeps_its_wheels_away_from_the_edge() -> None:
    """The slab is wider and the wheels stand as far in: the same as a wider lane with wheels at that offset."""
    wide = replace(MODEL, widening=0.5)
    found = wide(STATE, replace(GRID, offsets=np.array([0.0])))
    same = replace(MODEL, width=MODEL.width + 0.5)(STATE, replace(GRID, offsets=np.array([0.5])))
    np.testing.assert_allclose(found, same, rtol=1e-9)
    assert (found[:, 1, 0, 1, 0] < MODEL(STATE, GRID)[:, 1, 0, 1, 0]).all()
