"""Creep: limits, order, B3 against its own integral by quadrature, and the spread of three models."""

import numpy as np
import pytest
from scipy.integrate import quad

from slabwright.errors import OutOfRange
from slabwright.materials.creep import (
    compliance_b3,
    compliance_from_creep,
    creep_coefficient_aci209,
    creep_coefficient_en1992,
)
from slabwright.materials.growth import modulus_ratio_en1992, root_strength_ratio_aci209
from slabwright.materials.terms import DAY
from tests.sweeps import test_ranges

DIRECTIONS = {
    "creep_coefficient_aci209": {
        "age": 1,
        "loading_age": -1,
        "humidity": -1,
        "volume_surface": -1,
        "slump": 1,
        "fines": 1,
        "air": 1,
    },
    "creep_coefficient_en1992": {"age": 1, "loading_age": -1, "humidity": -1, "volume_surface": -1, "strength": -1},
    "compliance_b3": {"age": 1, "humidity": -1, "strength": -1, "aggregate": -1},
    "compliance_from_creep": {"modulus": -1, "creep": 1, "reference": -1},
}
CASES = [(name, key, sign) for name, keys in DIRECTIONS.items() for key, sign in keys.items()]
MIX = {"strength": 38e6, "cement": 390.0, "water": 160.0, "aggregate": 4.6}
AIR = {"humidity": 0.5, "volume_surface": 0.1}


@pytest.mark.parametrize(("name", "key", "sign"), CASES)
def test_rises_or_falls(name, key, sign):
    test_ranges.test_rises_or_falls_over_the_whole_range(name, key, sign)


def test_no_time_under_load_no_creep_and_none_before_it():
    ages = np.array([6.0, 7.0, 8.0]) * DAY
    for found in (
        creep_coefficient_aci209(ages, 7 * DAY, **AIR).coefficient,
        creep_coefficient_en1992(ages, 7 * DAY, **AIR, strength=38e6).coefficient,
        compliance_b3(ages, 7 * DAY, 3 * DAY, **AIR, **MIX).basic,
    ):
        assert np.isnan(found[0])
        assert found[1] == 0
        assert found[2] > 0
    with pytest.raises(OutOfRange, match="no finite answer"):
        creep_coefficient_aci209(6 * DAY, 7 * DAY, **AIR)


def binomial_integral(age: float, loading_age: float) -> float:
    """Q of Model B3 by quadrature [days]: the integral of tau^-m n (tau - t')^(n-1) / [1 + (tau - t')^n], m = 1/2, n = 1/10.

    With u = (tau - t')^n the integrand has no singularity.
    """
    found, _ = quad(lambda u: (loading_age + u**10) ** -0.5 / (1 + u), 0, (age - loading_age) ** 0.1, epsrel=1e-11)
    return found


@pytest.mark.parametrize("loading_age", [1.0, 3.0, 14.0, 90.0, 1000.0, 10000.0])
def test_basic_creep_against_quadrature(loading_age):
    """Cement so rich in aggregate and so dry that q3 and q4 are known apart; the rest is q2 Q."""
    worst = 0.0
    for under in (0.01, 0.5, 5.0, 50.0, 1000.0, 20000.0):
        age = loading_age + under
        found = compliance_b3(age * DAY, loading_age * DAY, 1 * DAY, **AIR, **MIX, drying="sealed")
        q2 = 185.4 * np.sqrt(390.0) * 38.0**-0.9
        rest = 0.29 * (160 / 390) ** 4 * q2 * np.log(1 + under**0.1) + 20.3 * 4.6**-0.7 * np.log(age / loading_age)
        ours = (float(found.basic) * 1e12 - rest) / q2
        worst = max(worst, abs(ours / binomial_integral(age, loading_age) - 1))
    # The closed form of Bazant & Baweja is stated to be within one per cent.
    assert worst < 0.01


def test_concrete_loaded_older_strains_less_even_under_equal_time():
    first = np.geomspace(1, 30000, 300) * DAY
    found = compliance_b3(first + 1000 * DAY, first, 3 * DAY, **AIR, **MIX)
    assert (np.diff(found.compliance) < 0).all()


def test_the_two_recorded_values_of_the_integral():
    """Check file EA-32: 0.21743 for loading at 14 days seen at 28, 0.47374 for 3 and 365 days."""
    assert binomial_integral(28, 14) == pytest.approx(0.21743, abs=5e-6)
    assert binomial_integral(365, 3) == pytest.approx(0.47374, abs=5e-6)


def test_drying_creep_needs_drying_under_load():
    sealed = compliance_b3(365 * DAY, 7 * DAY, 3 * DAY, **AIR, **MIX, drying="sealed")
    wet = compliance_b3(365 * DAY, 7 * DAY, 3 * DAY, **{**AIR, "humidity": 1.0}, **MIX)
    dry = compliance_b3(365 * DAY, 7 * DAY, 3 * DAY, **AIR, **MIX)
    still_cured = compliance_b3(30 * DAY, 7 * DAY, 40 * DAY, **AIR, **MIX)
    assert sealed.drying == wet.drying == still_cured.drying == 0
    assert dry.drying > 0
    assert dry.compliance - dry.drying == pytest.approx(float(sealed.compliance), rel=1e-12)
    dried_before = compliance_b3(36500 * DAY, 35500 * DAY, 3 * DAY, **{**AIR, "volume_surface": 0.05}, **MIX)
    assert dried_before.drying < 0.01 * dry.drying


def test_aci_and_en_end_at_their_ultimate():
    end = 36000 * DAY
    aci, en = (
        creep_coefficient_aci209(end, 7 * DAY, **AIR),
        creep_coefficient_en1992(end, 7 * DAY, **AIR, strength=38e6),
    )
    assert aci.coefficient / aci.ultimate == pytest.approx(1, abs=0.02)  # 10 / 36,000^0.6 = 0.018
    assert en.coefficient / en.notional == pytest.approx(1, abs=0.006)  # 0.3 x 560 / 36,000 = 0.005


def test_speed_of_cement_moves_the_age_at_loading():
    slow, normal, rapid = (
        float(creep_coefficient_en1992(365 * DAY, 7 * DAY, **AIR, strength=38e6, cement=c).coefficient)
        for c in ("slow", "normal", "rapid")
    )
    assert slow > normal > rapid


def test_spread_of_the_models():
    """Measured over 40 to 80 % humidity, 50 to 150 mm, 28 to 48 MPa: compliance against ACI 209's."""
    H, V, f = (a.ravel() for a in np.meshgrid([0.4, 0.5, 0.6, 0.7, 0.8], [0.05, 0.075, 0.1, 0.15], [28e6, 38e6, 48e6]))
    spread = {}
    for first, seen in ((1, 28), (3, 28), (7, 365), (28, 3650)):
        t, tl = seen * DAY, first * DAY
        young = 4735e6 * np.sqrt(f / 1e6) * float(root_strength_ratio_aci209(tl))
        aci = compliance_from_creep(young, creep_coefficient_aci209(t, tl, H, V).coefficient, young)
        secant = 22e9 * (f / 1e7) ** 0.3
        phi = creep_coefficient_en1992(t, tl, H, V, f).coefficient
        en = compliance_from_creep(secant * float(modulus_ratio_en1992(tl)), phi, 1.05 * secant)
        b3 = compliance_b3(t, tl, 3 * DAY, H, V, f, 390.0, 160.0, 4.6).compliance
        spread[first, seen] = [(en / aci).min(), (en / aci).max(), (b3 / aci).min(), (b3 / aci).max()]
    # Loaded in the first days EN gives the stiffest concrete and B3 the softest; B3 alone goes on without end.
    np.testing.assert_allclose(spread[1, 28], [0.58, 0.73, 0.96, 1.32], atol=0.006)
    np.testing.assert_allclose(spread[3, 28], [0.76, 0.96, 1.09, 1.41], atol=0.006)
    np.testing.assert_allclose(spread[7, 365], [0.89, 1.20, 1.15, 1.41], atol=0.006)
    np.testing.assert_allclose(spread[28, 3650], [0.98, 1.35, 1.24, 2.03], atol=0.006)
