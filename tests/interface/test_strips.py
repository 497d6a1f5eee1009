"""Two layers of which one shrinks: identities and limits that no table of values shows."""

import numpy as np
import pytest
from scipy.integrate import quad

from slabwright.errors import OutOfRange
from slabwright.interface.strips import (
    bilayer_energy_release,
    bimetal_curvature_timoshenko,
    crack_energy_release,
    edge_peel_suhir,
    edge_shear_suhir,
    strip_forces,
)

PAIR = {"overlay": 0.075, "slab": 0.200, "overlay_modulus": 30e9, "slab_modulus": 35e9, "strain": 200e-6}


def pairs(count: int = 200) -> dict[str, np.ndarray]:
    chance = np.random.default_rng(3)
    low, high = np.array([[0.03, 0.1, 15e9, 15e9, 1e-5], [0.25, 0.4, 45e9, 60e9, 1e-3]])
    return dict(zip(PAIR, (low + chance.random((count, 5)) * (high - low)).T, strict=True))


def test_curvature_by_forces_is_timoshenkos():
    case = pairs()
    # The same equation written twice: rounding only.
    np.testing.assert_allclose(strip_forces(**case).curvature, bimetal_curvature_timoshenko(**case), rtol=1e-12)


def test_strip_is_in_balance_and_its_layers_fit():
    case = pairs()
    found = strip_forces(**case)
    h1, h2 = case["overlay"], case["slab"]
    force = h1 * (found.overlay_top + found.overlay_bottom) / 2 + h2 * (found.slab_top + found.slab_bottom) / 2
    lever = (h1**2 * (found.overlay_bottom - found.overlay_top) + h2**2 * (found.slab_bottom - found.slab_top)) / 12
    apart = (h1 + h2) / 2 * h1 * (found.overlay_top + found.overlay_bottom) / 2
    gap = found.overlay_bottom / case["overlay_modulus"] - case["strain"] - found.slab_top / case["slab_modulus"]
    # Zero but for rounding, against the force, its moment and the strain.
    np.testing.assert_allclose(force / found.axial_force, 0, atol=1e-12)
    np.testing.assert_allclose((lever - apart) / apart, 0, atol=1e-12)
    np.testing.assert_allclose(gap / case["strain"], 0, atol=1e-12)


@pytest.mark.parametrize("support", ["free to curl", "held flat"])
@pytest.mark.parametrize("half_length", [0.1, 0.5, 2.25])
def test_shear_adds_up_to_the_force(support, half_length):
    """The integral of the shear from the edge to the middle is N (1 - 1 / cosh kl)."""
    decay = float(edge_shear_suhir(**PAIR, half_length=half_length, support=support).decay)
    total, _ = quad(
        lambda d: float(edge_shear_suhir(**PAIR, half_length=half_length, distance=d, support=support).shear),
        0,
        half_length,
        epsabs=1e-6,
        epsrel=1e-10,
    )
    force = float(strip_forces(**PAIR, support=support).axial_force)
    assert total == pytest.approx(force * (1 - 1 / np.cosh(decay * half_length)), rel=1e-8)


def test_shear_dies_out_within_the_edge_zone_and_a_long_strip_does_not_overflow():
    edge = edge_shear_suhir(**PAIR, half_length=500.0, distance=0.0)
    inside = edge_shear_suhir(**PAIR, half_length=500.0, distance=edge.edge_zone)
    assert inside.shear / edge.edge_shear == pytest.approx(np.exp(-3))  # 3 / k from the edge
    assert edge.shear == pytest.approx(float(edge.edge_shear), rel=1e-12)


def test_the_other_half_is_the_mirror_and_beyond_the_strip_there_is_no_shear():
    near, far = (edge_shear_suhir(**PAIR, half_length=1.0, distance=d).shear for d in (0.1, 1.9))
    assert far == pytest.approx(-float(near), rel=1e-9)
    with pytest.raises(OutOfRange, match="no finite answer"):
        edge_shear_suhir(**PAIR, half_length=1.0, distance=2.1)


def test_peel_is_nought_for_equal_layers_and_changes_sign_with_their_order():
    equal = {**PAIR, "slab": 0.075, "slab_modulus": 30e9}
    turned = {**PAIR, "overlay": 0.2, "slab": 0.075, "overlay_modulus": 35e9, "slab_modulus": 30e9}
    assert edge_peel_suhir(**equal) == 0
    assert edge_peel_suhir(**turned) == pytest.approx(-float(edge_peel_suhir(**PAIR)), rel=1e-12)
    assert edge_peel_suhir(**PAIR) > 0


def test_parting_releases_the_strain_energy_of_both_strips():
    found = strip_forces(**PAIR)
    twice = 0.0
    for h, modulus, top, bottom in [
        (0.075, 30e9, found.overlay_top, found.overlay_bottom),
        (0.2, 35e9, found.slab_top, found.slab_bottom),
    ]:
        twice += h / (6 * modulus) * (top**2 + (top + bottom) ** 2 + bottom**2)  # Simpson, exact for a parabola
    assert bilayer_energy_release(found.axial_force, 200e-6) == pytest.approx(float(twice) / 2, rel=1e-12)


def test_on_a_thick_base_parting_is_the_published_edge_delamination():
    """Hutchinson & Suo 1992: half of stress^2 thickness / modulus; a base a hundred times thicker is within 5 per cent."""
    thin = {**PAIR, "overlay": 0.01, "slab": 1.0, "slab_modulus": 30e9}
    found = strip_forces(**thin)
    stress = thin["overlay_modulus"] * thin["strain"]
    assert bilayer_energy_release(found.axial_force, thin["strain"]) == pytest.approx(
        float(crack_energy_release(stress, thin["overlay"], thin["overlay_modulus"])), rel=0.05
    )
