"""Demand on the bond: strip theory where it holds, statics, and what more of each cause does."""

from dataclasses import replace

import numpy as np
import pytest

from slabwright.bond.demand import CAUSES, BondDemand, BondQuestion, PlaceDemand, bond_demand
from slabwright.interface.strips import bilayer_energy_release, edge_peel_suhir, edge_shear_suhir, strip_forces
from slabwright.plate.plate_stresses import PlateStresses
from slabwright.plate.stresses import PavementState

MODEL = PlateStresses(4.6, 3.7, 3.0, poisson=0.2)
STATE = PavementState(0.075, 0.2, 30e9, 35e9, 40e6)
QUESTION = BondQuestion(80e3, 12.0, -7.0, 140e-6, 1.38e6, 1.5)


@pytest.fixture(scope="module")
def found() -> BondDemand:
    return bond_demand(MODEL, STATE, QUESTION)


def place(demand: BondDemand, where: str, cause: str) -> PlaceDemand:
    return next(p for p in demand.places if (p.place, p.cause) == (where, cause))


def test_shrinkage_at_the_free_edge_lies_between_the_limits_of_strip_theory(found: BondDemand) -> None:
    """Free to curl and held flat (Suhir 1986, from memory, re-derived); plane strain along a long edge: E / (1 - nu^2)."""
    plane = 1 / (1 - 0.2**2)
    limits = [
        edge_shear_suhir(0.075, 0.2, 30e9 * plane, 35e9 * plane, 140e-6 * 1.2, 1.85, 0.0, poisson=0.2, support=s)
        for s in ("free to curl", "held flat")
    ]
    lower, upper = sorted(float(v.edge_shear) for v in limits)
    # The interface of the theory has the plate's shear modulus, not that of plane strain: its K is (1 - nu^2) too soft.
    edge = place(found, "free edge", "shrinkage").peak_shear
    assert 0.9 * lower < edge < 1.1 * upper


def test_mean_shear_is_the_fall_of_force_over_the_averaging_length(found: BondDemand) -> None:
    """An exponential of rate k has the mean tau0 (1 - exp(-k d)) / (k d) over d; k from the strip theory."""
    edge = place(found, "free edge", "shrinkage")
    rate = float(edge_shear_suhir(0.075, 0.2, 30e9, 35e9, 140e-6, 1.85, 0.0, poisson=0.2).decay)
    assert edge.mean_shear / edge.peak_shear == pytest.approx((1 - np.exp(-rate * 0.05)) / (rate * 0.05), rel=0.05)


def test_peel_pulls_where_the_thinner_layer_shrinks(found: BondDemand) -> None:
    edge = place(found, "free edge", "shrinkage")
    peak = float(edge_peel_suhir(0.075, 0.2, 30e9, 35e9, 140e-6, poisson=0.2))
    # The mean over 50 mm is less than the peak of the theory and of its size.
    assert 0.4 * peak < edge.mean_peel < 1.3 * peak


def test_required_strength_is_what_the_means_ask_for(found: BondDemand) -> None:
    for p in found.places:
        assert p.required == pytest.approx(max(p.mean_shear / 2, p.mean_peel))
        assert p.passes == (1.38e6 / p.required >= 1.5)
    assert found.passes == all(p.passes for p in found.places)


def test_energy_is_half_of_force_times_strain(found: BondDemand) -> None:
    force = float(strip_forces(0.075, 0.2, 30e9, 35e9, 140e-6, support="held flat").axial_force)
    assert found.energy == pytest.approx(float(bilayer_energy_release(force, 140e-6)))


def test_the_map_peaks_at_the_edges_under_shrinkage(found: BondDemand) -> None:
    shear = found.shear[CAUSES.index("shrinkage")]
    assert shear.shape == (41, 41)
    middle = shear[15:26, 15:26].max()
    assert shear[:, 0].min() > 3 * middle
    assert shear[0, 0] == shear.max() or shear[-1, 0] == shear.max()


def test_no_cause_no_demand() -> None:
    """Without temperature and shrinkage only the wheels are left."""
    calm = bond_demand(MODEL, STATE, replace(QUESTION, day=0.0, night=0.0, shrinkage=0.0))
    for cause in ("day", "night", "shrinkage"):
        for where in ("under the wheels", "free edge", "joint", "corner"):
            # A hundredth of a millionth of a megapascal: rounding of deflections that cancel.
            assert place(calm, where, cause).peak_shear < 1.0
    assert calm.energy == 0.0
    assert place(calm, "under the wheels", "wheels").peak_shear == pytest.approx(
        place(calm, "under the wheels", "wheels, day and shrinkage").peak_shear
    )


def test_twice_the_axle_nearly_doubles_the_wheels_demand() -> None:
    calm = replace(QUESTION, day=0.0, night=0.0, shrinkage=0.0)
    one, two = (bond_demand(MODEL, STATE, replace(calm, axle_load=load)) for load in (60e3, 120e3))
    ratio = place(two, "free edge", "wheels").peak_shear / place(one, "free edge", "wheels").peak_shear
    # Less than twice by the wider tyre print, and contact changes a little.
    assert 1.7 < ratio <= 2.1


def test_delaminated_corners_carry_nothing_and_move_the_peak() -> None:
    sound = bond_demand(MODEL, STATE, QUESTION)
    parted = bond_demand(MODEL, replace(STATE, delaminated=0.05), QUESTION)
    assert place(parted, "corner", "shrinkage").mean_shear == 0.0
    rim = parted.shear[CAUSES.index("shrinkage")]
    assert rim[0, 0] == 0.0
    assert rim.max() > 0.5 * sound.shear[CAUSES.index("shrinkage")].max()
