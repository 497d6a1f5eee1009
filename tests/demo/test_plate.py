"""The truth model of the demo road against theory and against an independent integral."""

import numpy as np
import pytest
from scipy.special import kei

from slabwright.demo import plate
from slabwright.units import INCH, PCI, PSI

RADIUS = 5.9055  # in

# Infinite plate on a dense liquid, theory values of d* (plate radius 5.9055 in), recorded to five places from an
# integral evaluated apart from this program; tolerance is their rounding.
THEORY = [
    (20, 0, 0.12051), (20, 36, 0.03972), (20, 60, 0.00825), (30, 0, 0.12269), (30, 36, 0.06770), (30, 60, 0.03224),
    (40, 0, 0.12358), (40, 36, 0.08428), (40, 60, 0.05272), (60, 0, 0.12429), (60, 36, 0.10132), (60, 60, 0.07873),
]  # fmt: skip


@pytest.mark.parametrize(("l", "r", "expected"), THEORY)
def test_plate_integral_gives_the_theory_values(l, r, expected):
    assert plate.plate_integral(r, l, RADIUS) == pytest.approx(expected, abs=6e-6)


def by_point_loads(r: float, l: float) -> float:
    """d* as the mean over the plate of Hertz's point load, -kei(s / l) / (2 pi): Gauss over the radius, equal angles."""
    x, weight = np.polynomial.legendre.leggauss(40)
    ring, share = RADIUS * (x + 1) / 2, weight * (x + 1) / 2
    angle = 2 * np.pi * (np.arange(256) + 0.5) / 256
    away = np.sqrt(r**2 + ring[:, None] ** 2 - 2 * r * ring[:, None] * np.cos(angle))
    return float(share @ -kei(away / l).mean(axis=1) / (2 * np.pi))


@pytest.mark.parametrize("l", [18.0, 25.0, 33.3, 47.0, 90.0])
@pytest.mark.parametrize("r", [0.0, 8.0, 12.0, 18.0, 24.0, 36.0, 60.0])
def test_plate_integral_agrees_with_hertz_point_loads(l, r):
    assert plate.plate_integral(r, l, RADIUS) == pytest.approx(by_point_loads(r, l), abs=2e-6)


def test_relative_stiffness_of_the_eight_inch_basin():
    # E 4.0e6 psi, h 8 in, k 200 pci, nu 0.15 gives l 30.567 in by hand.
    assert plate.relative_stiffness(4.0e6 * PSI, 8 * INCH, 200 * PCI, 0.15) / INCH == pytest.approx(30.567, abs=5e-4)


def test_size_factors_of_the_worked_slab():
    # 12 x 15 ft slab read as l 30.51: L / l 5.276, AFd0 .9247, AFl .9737 (worked by hand from the recalled
    # formulas with an unrounded ratio, hence one in the fourth place).
    afl, afd = plate.size_factors(5.276)
    assert (afl, afd) == (pytest.approx(0.9737, abs=1e-4), pytest.approx(0.9247, abs=1e-4))


@pytest.mark.parametrize("true", [0.6, 0.8, 1.0, 1.2])
def test_estimated_stiffness_is_undone_by_the_size_factor(true):
    side = 4.09
    estimate = plate.estimated_stiffness(np.array([true]), side)
    assert estimate * plate.size_factors(side / estimate)[0] == pytest.approx(true, rel=1e-9)
    assert estimate > true


def test_finite_slab_of_great_size_is_endless():
    l, k, offsets = np.array([0.8]), np.array([60e6]), np.array([0.0, 0.3, 0.9])
    endless = plate.plate_integral(offsets, 0.8, 0.15) / (60e6 * 0.8**2)
    assert plate.finite_basin(offsets, l, k, 0.15, side=200.0)[0] == pytest.approx(endless, rel=1e-9)
    assert np.all(plate.finite_basin(offsets, l, k, 0.15, side=4.0) > endless)


def test_corner_deflection_where_c_equals_l():
    # With c = 1.772 a = l the bracket is 1.205 - 0.69 = 0.515 exactly.
    l, k = np.array([0.9]), np.array([50e6])
    assert plate.corner_deflection(l, k, 0.9 / 1.772) == pytest.approx(0.515 / (50e6 * 0.81), rel=1e-12)
