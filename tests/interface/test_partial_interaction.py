"""The slipping beam against a numerical solution of its boundary problem, and its two limits."""

import numpy as np
import pytest
from scipy.integrate import solve_bvp

from slabwright.interface.partial_interaction import (
    _slip_point,
    _slip_uniform,
    partial_interaction_point,
    partial_interaction_uniform,
    sound_interface_stiffness,
)

H1, H2, E1, E2, SPAN = 0.075, 0.225, 28e9, 38e9, 2.5
ARM = (H1 + H2) / 2
AXIAL = 1 / (1 / (E1 * H1) + 1 / (E2 * H2))
UNBONDED = (E1 * H1**3 + E2 * H2**3) / 12
BONDED = UNBONDED + AXIAL * ARM**2
STIFFNESSES = np.geomspace(1e7, 1e13, 7)


def solved(moment, stiffness: float) -> tuple[float, float, float]:
    """(deflection, greatest interface shear, axial force) of half the beam by collocation."""
    scale = float(moment(0.0)) / ARM
    x = np.unique(np.concatenate([np.linspace(0, SPAN / 2, 400), SPAN / 2 - np.geomspace(1e-5, 0.5, 300)]))

    def slope(x, y):
        force, flow, turn, _ = y
        curvature = (moment(x) - ARM * force * scale) / UNBONDED
        return np.vstack([flow, stiffness * (force / AXIAL - ARM * curvature / scale), -curvature * 1e3, turn])

    found = solve_bvp(
        slope, lambda a, b: np.array([a[1], b[0], a[2], b[3]]), x, np.zeros((4, len(x))), tol=1e-9, max_nodes=200_000
    )
    assert found.success
    ends = np.abs(found.sol(x)[1]).max()
    return found.sol(0)[3] / 1e3, ends * scale, found.sol(0)[0] * scale


@pytest.mark.parametrize("stiffness", STIFFNESSES)
def test_six_decades_of_interface_stiffness(stiffness):
    uniform = partial_interaction_uniform(H1, H2, E1, E2, stiffness, SPAN, 2e4)
    point = partial_interaction_point(H1, H2, E1, E2, stiffness, SPAN, 3e4)
    for ours, theirs in [
        (uniform, solved(lambda x: 1e4 * (SPAN**2 / 4 - x**2), stiffness)),
        (point, solved(lambda x: 1.5e4 * (SPAN / 2 - x), stiffness)),
    ]:
        # The collocation is asked for 1e-9; 1e-7 leaves room for the scale of the four unknowns.
        np.testing.assert_allclose([ours.deflection, ours.shear, ours.axial_force], theirs, rtol=1e-7)


def test_limits_are_the_loose_and_the_bonded_beam():
    stiffness = np.array([1e7, 1e14])
    uniform = partial_interaction_uniform(H1, H2, E1, E2, stiffness, [0.2, 30.0], 1e4)
    ideal = 5 * 1e4 * np.array([0.2, 30.0]) ** 4 / (384 * np.array([UNBONDED, BONDED]))
    # u^2 is 1e-5 at the unbonded end and 1 / u^2 less at the bonded one.
    np.testing.assert_allclose(uniform.deflection, ideal, rtol=1e-4)
    np.testing.assert_allclose(uniform.composite_action, [0, 1], atol=1e-4)


def test_series_and_exact_form_meet():
    """Softer than u = 0.2 the series answers; here it is asked at its far end, against 50-digit arithmetic."""
    from decimal import Decimal, getcontext

    getcontext().prec = 50
    for u in (0.02, 0.1, 0.1999, 0.2001, 0.5):
        grown = Decimal(u).exp()
        tanh, sech = (grown - 1 / grown) / (grown + 1 / grown), 2 / (grown + 1 / grown)
        v = Decimal(u)
        # The first term that the series leaves out is 0.011 u^10: 1.1e-9 at its end.
        assert _slip_uniform(u) == pytest.approx(float(Decimal(12) / 5 * (v**2 - 2 + 2 * sech) / v**4), rel=2e-9, abs=0)
        assert _slip_point(u) == pytest.approx(float(3 * (v - tanh) / v**3), rel=2e-9, abs=0)


def test_stiffer_interface_bends_less():
    found = partial_interaction_point(H1, H2, E1, E2, np.geomspace(1e7, 1e14, 200), SPAN, 1e4)
    assert (np.diff(found.deflection) < 0).all()
    assert (np.diff(found.axial_force) > 0).all()


def test_sound_stiffness_of_equal_layers_is_one_and_a_half_shear_moduli_over_a_layer():
    shear = 30e9 / 2.4
    assert sound_interface_stiffness(0.1, 0.1, 30e9, 30e9) == pytest.approx(1.5 * shear / 0.1, rel=1e-12)
