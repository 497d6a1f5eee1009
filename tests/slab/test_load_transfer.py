"""Load transfer against two half-infinite plates on springs, and the way back."""

import numpy as np
import pytest
from scipy.integrate import quad

from slabwright.slab.load_transfer import (
    dowel_joint_stiffness,
    joint_stiffness_from_efficiency,
    load_transfer_efficiency_ioannides,
)

POISSON = 0.15


def edge_compliance(wave: float) -> float:
    """Deflection of a free plate edge under an edge load that varies as a cosine, lengths in l, k and D one."""
    decay = np.sqrt(np.array([wave**2 + 1j, wave**2 - 1j]))
    moment = decay**2 - POISSON * wave**2
    shear = -(decay**3) + (2 - POISSON) * wave**2 * decay
    return float(np.linalg.solve(np.array([moment, shear]), np.array([0, 1])).sum().real)


def efficiency(stiffness: float, half_length: float) -> float:
    """Deflection passed on under the middle of a line load along the joint, by its Fourier integral."""

    def passed(wave: float) -> float:
        return stiffness * edge_compliance(wave) / (1 + 2 * stiffness * edge_compliance(wave))

    def seen(wave: float, share: float) -> float:
        return edge_compliance(wave) * share * np.sinc(wave * half_length / np.pi)

    far = quad(lambda w: seen(w, passed(w)), 0, 200, limit=800)[0]
    return far / quad(lambda w: seen(w, 1 - passed(w)), 0, 200, limit=800)[0]


def test_a_beam_is_the_long_wave_of_the_plate_edge():
    """Hetenyi: the end of a beam on springs sinks 2 beta P / k, sqrt 2 in these units."""
    assert edge_compliance(1e-6) == pytest.approx(np.sqrt(2))


@pytest.mark.parametrize("half_length", [0.05, 0.1, 0.2, 0.3])
@pytest.mark.parametrize("scaled", [0.1, 1.0, 10.0, 100.0])
def test_regression_follows_the_plates(scaled, half_length):
    l, k = 1.0, 50e6
    ours = load_transfer_efficiency_ioannides(scaled * k * l, k, l, half_length * l)
    # A regression through finite-element results with a square load; the integral has a line load. Within 2 points.
    assert ours == pytest.approx(efficiency(scaled, half_length), abs=0.02)


def test_there_and_back():
    share = np.linspace(0.02, 0.99, 50)
    stiffness = joint_stiffness_from_efficiency(share, 50e6, 0.9, 0.15)
    np.testing.assert_allclose(load_transfer_efficiency_ioannides(stiffness, 50e6, 0.9, 0.15), share, rtol=1e-10)


def test_joint_between_no_transfer_and_full():
    share = load_transfer_efficiency_ioannides(np.geomspace(1, 1e13, 100), 50e6, 0.9, 0.15)
    assert share[0] < 1e-3
    assert share[-1] > 0.999
    assert (np.diff(share) > 0).all()


def test_a_closed_joint_leaves_the_bearing_alone():
    """Friberg: with no gap one face gives 2 beta^3 E I."""
    found = dowel_joint_stiffness(0.032, 0.3, 0.00026)
    bending = 29e6 * 6894.757293168361 * np.pi * 0.032**4 / 64
    beta = (1.5e6 * 271447.1375 * 0.032 / (4 * bending)) ** 0.25
    assert found.dowel == pytest.approx(2 * beta**3 * bending, rel=0.01)  # the gap's own give is under 1 per cent
    assert found.joint == pytest.approx(float(found.dowel) / 0.3, rel=1e-12)
