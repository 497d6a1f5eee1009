"""The exact plate against a closed form in Kelvin functions (independent method), and its spline."""

import numpy as np
import pytest
from scipy.special import kei

from slabwright.slab.closed_forms import interior_deflection_westergaard
from slabwright.slab.infinite_plate import plate_coefficient_dense_liquid, plate_coefficient_elastic_solid, plate_shape
from slabwright.units import INCH, LBF, PCI

A = 5.9055 * INCH


def disc_of_point_loads(r: float, l: float) -> float:
    """Hertz 1884: a point load deflects a plate on a dense liquid by -P kei(r/l) / (2 pi k l^2); averaged over a disc."""
    x, w = np.polynomial.legendre.leggauss(60)
    rho = A * (x + 1) / 2
    theta = np.linspace(0, 2 * np.pi, 181)[:-1]
    distance = np.sqrt(r**2 + rho[:, None] ** 2 - 2 * r * rho[:, None] * np.cos(theta))
    mean = -kei(np.maximum(distance, 1e-9) / l).mean(axis=1) / (2 * np.pi)
    return float((mean * rho * w).sum() * A / 2 * 2 / A**2)


@pytest.mark.parametrize("l", [15 * INCH, 30 * INCH, 60 * INCH])
@pytest.mark.parametrize("r", [0.0, 8 * INCH, 36 * INCH, 60 * INCH])
def test_dense_liquid_equals_the_average_of_point_loads(r: float, l: float) -> None:
    # 1e-5: the error of the 60 x 180 point average near the load, found by doubling it.
    assert float(plate_coefficient_dense_liquid(r, l)) == pytest.approx(disc_of_point_loads(r, l), abs=1e-5)


def test_elastic_solid_point_load_at_the_centre() -> None:
    """A small disc tends to the known value 1 / (3 sqrt 3) of a point load on an elastic solid (Hogg 1938, memory)."""
    found = float(plate_coefficient_elastic_solid(0.0, 190 * INCH, 1 * INCH))
    assert found == pytest.approx(1 / (3 * np.sqrt(3)), rel=1e-3)


def test_interior_closed_form_follows_the_integral() -> None:
    for l in (20.0, 40.0, 80.0):
        exact = 9000 * LBF / (200 * PCI * (l * INCH) ** 2) * float(plate_coefficient_dense_liquid(0.0, l * INCH, A))
        closed = float(interior_deflection_westergaard(9000 * LBF, 200 * PCI, l * INCH, A))
        # The closed form drops terms of order (a / l)^4.
        assert closed == pytest.approx(exact, rel=1.5 * (5.9055 / l) ** 4 + 1e-5)


@pytest.mark.parametrize("support", ["dense liquid", "elastic solid"])
def test_spline_is_within_a_millionth_of_the_integral(support: str) -> None:
    offsets = tuple(x * INCH for x in (0, 8, 12, 18, 24, 36, 60))
    shape = plate_shape(offsets, A, support)  # type: ignore[arg-type]
    exact = {"dense liquid": plate_coefficient_dense_liquid, "elastic solid": plate_coefficient_elastic_solid}[support]
    for l in np.array([10.3, 22.2, 47.7, 111.0]) * INCH:
        np.testing.assert_allclose(shape(np.log(l)), exact(np.array(offsets), l, A), atol=2e-6)


def test_basin_falls_outward() -> None:
    r = np.linspace(0, 60, 31) * INCH
    assert (np.diff(plate_coefficient_dense_liquid(r, 30 * INCH)) < 0).all()
