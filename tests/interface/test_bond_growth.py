"""Bond against age: in step with the overlay's strength, and no further than its test."""

import numpy as np
import pytest

from slabwright.interface.bond_growth import bond_strength_at_age, shear_bond_from_tension
from slabwright.materials.growth import root_strength_ratio_aci209, strength_ratio_aci209
from slabwright.materials.terms import DAY
from tests.sweeps import test_ranges


@pytest.mark.parametrize(("key", "sign"), [("strength", 1), ("ratio", 1), ("ratio_at_test", -1)])
def test_rises_or_falls(key, sign):
    test_ranges.test_rises_or_falls_over_the_whole_range("bond_strength_at_age", key, sign)


def test_bond_grows_with_the_overlay_and_stops_at_its_test():
    ages = np.geomspace(0.5, 365, 200) * DAY
    now, at_test = strength_ratio_aci209(ages), strength_ratio_aci209(28 * DAY)
    careful = bond_strength_at_age(1.5e6, now, at_test)
    hopeful = bond_strength_at_age(1.5e6, now, at_test, "root of compressive strength")
    assert (np.diff(careful) >= 0).all()
    assert (careful <= hopeful).all()
    assert (careful[ages > 28 * DAY] == 1.5e6).all()
    # By the root it is what ACI 209 gives tension.
    tension = root_strength_ratio_aci209(ages) / root_strength_ratio_aci209(28 * DAY)
    np.testing.assert_allclose(hopeful, 1.5e6 * np.minimum(tension, 1), rtol=1e-12)


def test_shear_bond_of_a_pull_off():
    assert shear_bond_from_tension(1.0e6) == 2.0e6
    assert shear_bond_from_tension(1.0e6, 1.5) == 1.5e6
