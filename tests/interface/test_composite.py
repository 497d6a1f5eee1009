"""Composite sections: limits, symmetry, and shear by integrating the stress over the overlay (independent)."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from slabwright.interface.composite import composite_section, interface_shear

LAYER = st.floats(0.05, 0.5)
RATIO = st.floats(0.1, 10)


@given(LAYER, LAYER)
def test_equal_moduli_glued_are_one_thick_layer(one: float, two: float) -> None:
    assert float(composite_section(one, two, 1.0).bonded) == pytest.approx(one + two, rel=1e-9)


@given(LAYER, LAYER, RATIO)
def test_glued_is_stiffer_than_loose_and_loose_than_either_layer(one: float, two: float, ratio: float) -> None:
    section = composite_section(one, two, ratio)
    assert float(section.bonded) > float(section.unbonded)
    assert float(section.unbonded) >= max(one, ratio ** (1 / 3) * two) * (1 - 1e-12)


@given(LAYER, LAYER, RATIO)
def test_turning_the_section_over_changes_only_the_reference(one: float, two: float, ratio: float) -> None:
    up, down = composite_section(one, two, ratio), composite_section(two, one, 1 / ratio)
    assert float(up.bonded) ** 3 == pytest.approx(ratio * float(down.bonded) ** 3, rel=1e-9)


@given(st.floats(0.05, 0.3), st.floats(0.08, 0.5), RATIO)
def test_interface_shear_is_the_difference_of_bending_force_in_the_overlay(
    one: float, two: float, ratio: float
) -> None:
    """Equilibrium of a slice of the overlay: tau dx equals the change of its axial force under dM = V dx."""
    load, width = 40e3, 1.0
    section = composite_section(one, two, ratio)
    z, w = np.polynomial.legendre.leggauss(8)
    depth = one * (z + 1) / 2
    stress_for_unit_moment = (depth - float(section.neutral_axis)) / (float(section.bonded) ** 3 / 12)
    force = abs((stress_for_unit_moment * w).sum() * one / 2)
    assert float(interface_shear(load, width, one, two, ratio).stress) == pytest.approx(
        load / 2 / width * force, rel=1e-9
    )
