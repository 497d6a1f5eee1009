"""The pair that creeps: with constant moduli it is Timoshenko's strip, with one creep for both it is Dischinger's material."""

from __future__ import annotations

import numpy as np
import pytest

from slabwright.bond.pair import CURLED, FLAT, marched_pair, old_concrete
from slabwright.calculation import Array
from slabwright.interface.strips import bimetal_curvature_timoshenko, pair_compliance, strip_forces
from slabwright.materials.ageing_stress import rate_of_creep_growing
from slabwright.materials.terms import DAY, YEAR

H1, H2, E1, E2 = 0.0762, 0.2289, 31.03e9, 33.63e9
TIMES = np.geomspace(3, 5000, 200) * DAY
CREEP = 2.0 * (TIMES / DAY) ** 0.6 / (10 + (TIMES / DAY) ** 0.6)
GROWN = CREEP - CREEP[0]
FREE = 4e-4 * GROWN / GROWN[-1]


def dischinger(modulus: float):
    """J = (1 + phi - phi') / E."""

    def kernel(age: Array, loading: Array) -> Array:
        return (1 + np.interp(age, TIMES, CREEP) - np.interp(loading, TIMES, CREEP)) / modulus

    return kernel


@pytest.mark.parametrize("support", [CURLED, FLAT])
def test_without_creep_it_is_the_bimetal_strip(support: str) -> None:
    """Timoshenko 1925 (from memory), whose curvature is checked against its own closed form."""
    made = marched_pair(TIMES, FREE, H1, H2, (old_concrete(E1, 0.0), old_concrete(E2, 0.0)), support)
    strip = strip_forces(H1, H2, E1, E2, FREE[1:], support=support)
    for found, wanted in (
        (made.force, strip.axial_force),
        (made.top, strip.overlay_top),
        (made.bottom, strip.overlay_bottom),
    ):
        np.testing.assert_allclose(found[1:], wanted, rtol=1e-9)
    curvature = (made.bottom - made.top) / (E1 * H1)
    wanted = bimetal_curvature_timoshenko(H1, H2, E1, E2, FREE) if support == CURLED else 0 * FREE
    np.testing.assert_allclose(curvature, wanted, rtol=1e-9, atol=1e-12)


@pytest.mark.parametrize("support", [CURLED, FLAT])
def test_one_creep_for_both_layers_is_an_exact_material(support: str) -> None:
    """Every strain is the same operator on every stress, so force is the elastic one times (1 - exp(-phi)) / phi."""
    made = marched_pair(TIMES, FREE, H1, H2, (dischinger(E1), dischinger(E2)), support)
    elastic = 1 / pair_compliance(H1, H2, E1, E2, support)
    # Second order in the step: 200 steps leave a thousandth.
    np.testing.assert_allclose(made.force[1:], elastic * FREE[1:] * (1 - np.exp(-GROWN[1:])) / GROWN[1:], rtol=2e-3)


def test_an_elastic_slab_held_flat_is_an_exact_material_again() -> None:
    """J with a constant c added is Dischinger's of 1 / (1 / E + c) and phi / (1 + c E)."""
    c = H1 / (E2 * H2)
    made = marched_pair(TIMES, FREE, H1, H2, (dischinger(E1), old_concrete(E2, 0.0)), FLAT)
    exact = rate_of_creep_growing(1 / (1 / E1 + c), FREE[1:], GROWN[1:] / (1 + c * E1))
    np.testing.assert_allclose(made.force[1:] / H1, exact, rtol=2e-3)
    np.testing.assert_allclose(made.top, made.bottom)


def test_the_slab_that_curls_yields_six_times_as_much() -> None:
    """The review's hand: the old slab's yielding times E1 is 0.31 held flat and 1.89 free to curl."""
    for support, yielding in ((FLAT, 0.31), (CURLED, 1.89)):
        assert pair_compliance(H1, H2, E1, E2, support) * E1 * H1 - 1 == pytest.approx(yielding, abs=0.01)


def test_creep_relieves_less_where_the_pair_curls_and_more_where_the_slab_creeps() -> None:
    def left(support: str, creep: float) -> float:
        made = marched_pair(TIMES, FREE, H1, H2, (dischinger(E1), old_concrete(E2, creep)), support)
        return float(made.force[-1] * pair_compliance(H1, H2, E1, E2, support))

    assert left(CURLED, 0.0) > 1.3 * left(FLAT, 0.0)
    assert left(CURLED, 1.0) < 0.85 * left(CURLED, 0.0)


def test_the_old_slab_has_its_coefficient_after_twenty_years() -> None:
    kernel = old_concrete(E2, 0.4)
    loaded = np.asarray([7 * DAY, 2 * YEAR])
    np.testing.assert_allclose(kernel(loaded + 20 * YEAR, loaded) * E2, 1.4)
    np.testing.assert_allclose(kernel(loaded, loaded) * E2, 1.0)
    # EN 1992-1-1, Annex B, wet: [t / (1500 + t)]^0.3, by hand for 1500 days: 0.5^0.3 = 0.8123 over 0.9467 (7305 days).
    assert float(kernel(np.asarray(1500 * DAY), np.asarray(0.0))) * E2 == pytest.approx(
        1 + 0.4 * 0.8123 / 0.9457, abs=1e-3
    )
