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


def test_a_great_slab_is_endless():
    # Its ends 6 l away; elements of 0.25 m at the load give the basin within 0.5 %.
    l, k, offsets = np.array([0.8]), np.array([60e6]), np.array([0.0, 0.3, 0.9])
    endless = plate.plate_integral(offsets, 0.8, 0.15) / (60e6 * 0.8**2)
    assert plate.finite_basin(offsets, l, k, 0.15, (10.0, 10.0), 0.15)[0] == pytest.approx(endless, rel=5e-3)


# True L/l and d0 of a free square plate over that of an endless one: AFd0 is its reciprocal as published (Crovetti, from
# memory), entered with l itself where the slab is long enough that l and its estimate are near.
@pytest.mark.parametrize("ratio", [5.0, 6.0, 8.0])
def test_a_free_slab_deflects_more_by_about_the_published_factor(ratio):
    l, side = np.array([0.8]), 0.8 * ratio
    share = float(plate.finite_share(side, side, (0.0,), 0.15, 0.15)(np.log(l))[0, 0])
    published = 1 - 1.15085 * np.exp(-0.71878 * ratio**0.80151)
    assert share == pytest.approx(1 / published, rel=0.04)


def test_corner_deflection_where_c_equals_l():
    # With c = 1.772 a = l the bracket is 1.205 - 0.69 = 0.515 exactly.
    l, k = np.array([0.9]), np.array([50e6])
    assert plate.corner_deflection(l, k, 0.9 / 1.772) == pytest.approx(0.515 / (50e6 * 0.81), rel=1e-12)
