"""The overlay's concrete over ages: against an exact material, by hand, and by what more of each cause does."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from slabwright.bond.history import AGES, Concrete, Slab, equivalent_strain, history, rival, shrinkage
from slabwright.bond.pair import CURLED, FLAT
from slabwright.interface.strips import strip_forces
from slabwright.materials.creep import creep_coefficient_en1992
from slabwright.materials.relaxation import relieved_stress
from slabwright.materials.terms import DAY, YEAR
from slabwright.records.decisions import Decisions
from slabwright.records.decisions.bond import MODELS
from slabwright.units import PSI

DECISIONS = Decisions()
CONCRETE = Concrete(0.075, 31e9, 35e6, 0.6, 7 * DAY)
SLAB = Slab(0.23, 33e9, 0.4)


def found(model: str = MODELS[0], concrete: Concrete = CONCRETE, **changed: object):
    bond = replace(DECISIONS.bond, **{k: v for k, v in changed.items() if k != "bond_test"})
    design = replace(DECISIONS.design, **{k: v for k, v in changed.items() if k == "bond_test"})
    return history(model, concrete, SLAB, bond, design)


@pytest.mark.parametrize("support", [CURLED, FLAT])
def test_the_equivalent_strain_brings_the_same_force(support: str) -> None:
    strain = float(equivalent_strain(np.asarray(150e3), CONCRETE, SLAB, support))
    force = strip_forces(CONCRETE.thickness, SLAB.thickness, CONCRETE.modulus, SLAB.modulus, strain, support=support)
    assert float(force.axial_force) == pytest.approx(150e3, rel=1e-12)


def test_what_creep_leaves_of_section_a1_by_the_reviewers_hand() -> None:
    """Free to curl 250e-6 with an elastic old slab, held flat 163e-6; both by the scalar march with a yielding of h1 x each.

    With the old slab creeping by 1 the review has 193e-6 by one age-adjusted coefficient on the old slab alone. The march in
    time, in which that slab and the overlay's own bending creep on, leaves 5 per cent less.
    """
    concrete = Concrete(0.0762, 31.0264e9, 5000 * PSI, 0.645, 7 * DAY)
    left = {}
    for creep in (0.0, DECISIONS.bond.slab_creep, 1.0):
        slab = Slab(0.2289, 33.63e9, creep)
        left[creep] = history(MODELS[0], concrete, slab, DECISIONS.bond, DECISIONS.design)
    assert left[0.0].strain.max() == pytest.approx(250e-6, rel=0.015)
    assert left[0.0].held.max() == pytest.approx(163e-6, rel=0.01)
    assert left[1.0].strain.max() == pytest.approx(193e-6, rel=0.06)
    assert left[1.0].strain.max() < left[0.4].strain.max() < left[0.0].strain.max()
    # The overlay is pulled more where nothing lets it curl.
    assert (left[0.4].pull_held[AGES > 28 * DAY] > left[0.4].pull[AGES > 28 * DAY]).all()


@pytest.mark.parametrize("years", [20, 30, 40])
def test_the_old_slab_creeps_as_old_moist_concrete(years: int) -> None:
    """EN 1992-1-1, Annex B: old concrete in balance with its ground, so without drying, loaded for 20 years.

    Its strength is the one whose modulus is 33 GPa by 22 (fcm / 10)^0.3: 38.6 MPa.
    """
    loaded = np.asarray(years * YEAR)
    creep = float(creep_coefficient_en1992(loaded + 20 * YEAR, loaded, 1.0, 0.23, 38.6e6).coefficient)
    assert creep == pytest.approx(DECISIONS.bond.slab_creep, abs=0.05)


@pytest.mark.parametrize(("strain", "creep", "left"), [(400e-6, 0.9983, 222.4e-6), (900e-6, 2.35, 312.5e-6)])
def test_one_age_for_both_by_hand(strain: float, creep: float, left: float) -> None:
    """ACI 209: at 28 days 2.35 x 28^0.6 / (10 + 28^0.6) = 0.9983 of creep; the shrinkage of 28 days, 28 / (35 + 28) of all.

    Mixed, 400e-6 with the creep of all time, they leave 139e-6: the fault that was.
    """
    assert float(relieved_stress(31e9, strain, creep, 0.8)) / 31e9 == pytest.approx(left, rel=1e-3)
    assert pytest.approx(900e-6) == 400e-6 / (28 / 63)
    assert float(relieved_stress(31e9, 400e-6, 2.35, 0.8)) / 31e9 == pytest.approx(139e-6, rel=1e-3)


@pytest.mark.parametrize("model", MODELS)
def test_the_march_and_the_age_adjusted_modulus_agree_roughly(model: str) -> None:
    """Bazant's short cut is made for shrinkage that follows creep: within a quarter after a year."""
    late = AGES >= YEAR
    made = found(model)
    np.testing.assert_allclose(made.short_cut[late], made.strain[late], rtol=0.25)
    assert (made.strain[late] < made.free[late]).all()


@pytest.mark.parametrize("model", MODELS)
def test_longer_curing_asks_less_of_a_young_bond(model: str) -> None:
    """To three weeks. Later the concrete that was cured longer creeps less, and by Model B3 is left with more strain."""
    short, long = (found(model, replace(CONCRETE, curing_age=d * DAY)) for d in (3, 14))
    young = (AGES > 3 * DAY) & (AGES <= 21 * DAY)
    assert (long.strain[young] < short.strain[young]).all()


@pytest.mark.parametrize("model", MODELS)
def test_dry_air_shrinks_more_and_thick_overlays_later(model: str) -> None:
    drying = AGES > 7 * DAY
    free = [shrinkage(model, replace(CONCRETE, humidity=h), AGES)[drying] for h in (0.45, 0.6, 0.75, 0.9)]
    assert all((a > b).all() for a, b in pairwise(free))
    shares = [
        shrinkage(model, replace(CONCRETE, thickness=h), np.array([90 * DAY, 20 * YEAR])) for h in (0.05, 0.075, 0.15)
    ]
    share = [early / late for early, late in shares]
    assert share[0] > share[1] > share[2]


@pytest.mark.parametrize("model", MODELS)
def test_a_measured_shrinkage_scales_all_of_it(model: str) -> None:
    once, twice = found(model), found(model, replace(CONCRETE, scale=2.0))
    np.testing.assert_allclose(twice.strain, 2 * once.strain, rtol=1e-9)


@pytest.mark.parametrize("test", ["pull-off", "direct shear"])
def test_strength_grows_to_that_of_its_test_and_no_further(test: str) -> None:
    made = found(bond_test=test)
    required = DECISIONS.design.bond_strength
    tested = made.tension if test == "pull-off" else made.shear
    assert (np.diff(tested) >= 0).all()
    assert tested[AGES >= 28 * DAY] == pytest.approx(required)
    # EN 1992-1-1, Eq. 3.2: exp[0.25 (1 - sqrt(28))] at one day.
    assert tested[0] == pytest.approx(required * np.exp(0.25 * (1 - np.sqrt(28))))
    np.testing.assert_allclose(made.shear, DECISIONS.bond.shear_ratio * made.tension)


def test_the_rival_is_the_other_model() -> None:
    assert {rival(name) for name in MODELS} == set(MODELS)
    assert rival(MODELS[0]) != MODELS[0]
