"""The three criteria against their surfaces, each other and their limits."""

import numpy as np
import pytest
from scipy.optimize import brentq

from slabwright.errors import OutOfRange
from slabwright.interface.mixed_mode import mixed_mode_coulomb, mixed_mode_elliptic, mixed_mode_hyperbolic
from tests.sweeps import test_ranges

FT, FS = 1.0e6, 2.0e6
ALL = (mixed_mode_elliptic, mixed_mode_hyperbolic, mixed_mode_coulomb)
CASES = [
    *[(c.name, key, sign) for c in ALL for key, sign in (("shear_strength", -1), ("normal", 1))],
    ("mixed_mode_elliptic", "tensile_strength", -1),
    ("mixed_mode_coulomb", "tensile_strength", -1),
    ("mixed_mode_hyperbolic", "friction", 1),
    ("mixed_mode_coulomb", "friction", 1),
]


@pytest.mark.parametrize(("name", "key", "sign"), CASES)
def test_rises_or_falls(name, key, sign):
    test_ranges.test_rises_or_falls_over_the_whole_range(name, key, sign)


@pytest.mark.parametrize("criterion", ALL, ids=lambda c: c.name)
def test_pure_tension_and_pure_shear_are_the_two_strengths(criterion):
    found = criterion(np.array([FT, 0, 0]), np.array([0, FS, -FS]), FT, FS)
    np.testing.assert_allclose(found.factor, 1, rtol=1e-12)


@pytest.mark.parametrize("criterion", ALL, ids=lambda c: c.name)
def test_twice_the_demand_is_half_the_factor_and_no_demand_is_a_million(criterion):
    chance = np.random.default_rng(5)
    normal, shear = chance.uniform(-1e6, 3e6, 500), chance.uniform(-3e6, 3e6, 500)
    once, twice = criterion(normal, shear, FT, FS), criterion(2 * normal, 2 * shear, FT, FS)
    np.testing.assert_allclose(twice.utilisation, 2 * once.utilisation, rtol=1e-12)
    held = once.utilisation > 0
    np.testing.assert_allclose((once.factor * once.utilisation)[held], 1, rtol=1e-12)
    assert criterion(0.0, 0.0, FT, FS).factor == 1e6


def test_hyperbola_is_the_first_point_of_its_published_surface():
    """The root of the surface itself, searched for along the ray from no stress."""
    friction = 0.7
    cohesion = float(mixed_mode_hyperbolic(0.0, FS, FT, FS, friction).cohesion)

    def surface(times, normal, shear):
        return (times * shear) ** 2 - (cohesion - times * normal * friction) ** 2 + (cohesion - FT * friction) ** 2

    for angle in np.linspace(-1.2, 1.57, 60):  # up to pure tension, down past where friction holds all (-0.96)
        normal, shear = FT * np.sin(angle), FT * np.cos(angle)
        factor = float(mixed_mode_hyperbolic(normal, shear, FT, FS, friction).factor)
        if factor < 1e6:
            # Inside the hyperbola the surface is negative; the ray is searched up to just beyond the answer.
            assert brentq(surface, 0, factor * 1.001, args=(normal, shear), rtol=1e-13) == pytest.approx(
                factor, rel=1e-9
            )
        else:
            assert shear <= -normal * friction
            assert (surface(np.geomspace(1e-3, 1e6, 400), normal, shear) < 0).all()


def test_hyperbola_gains_by_tensile_strength_as_far_as_it_exists():
    strengths = np.linspace(0.05e6, FS / 0.7, 400)
    assert (np.diff(mixed_mode_hyperbolic(0.3e6, 0.5e6, strengths, FS).factor) > 0).all()


def test_friction_alone_holds_pressed_shear_just_to_its_line():
    pressed = -1e6
    below, above = (mixed_mode_hyperbolic(pressed, t, FT, FS, 0.7) for t in (0.699e6, 0.701e6))
    assert below.factor == 1e6
    assert 1 < above.factor < 1e6
    assert mixed_mode_coulomb(pressed, 0.699e6, FT, FS, 0.7).factor == 1e6
    assert mixed_mode_elliptic(pressed, 0.699e6, FT, FS).factor == pytest.approx(FS / 0.699e6)


def test_in_tension_the_ellipse_is_the_most_hopeful_and_the_line_bears_at_least_0_71_of_it():
    normal, shear = (a.ravel() for a in np.meshgrid(np.linspace(0, 1, 41) * FT, np.linspace(0, 1, 41) * FS))
    some = (normal > 0) | (shear > 0)
    normal, shear = normal[some], shear[some]
    ellipse = mixed_mode_elliptic(normal, shear, FT, FS).factor
    line = mixed_mode_coulomb(normal, shear, FT, FS, FS / FT).factor
    for friction in (0.1, 0.7, 1.0, 1.5, 2.0):
        hyperbola = mixed_mode_hyperbolic(normal, shear, FT, FS, friction).factor
        assert (hyperbola <= ellipse * (1 + 1e-12)).all()
        assert (hyperbola >= line * (1 - 1e-9)).all()
    assert (line / ellipse).min() == pytest.approx(1 / np.sqrt(2), rel=1e-9)
    np.testing.assert_allclose(mixed_mode_hyperbolic(normal, shear, FT, FS, FS / FT).factor, line, rtol=1e-9)
    # With usual friction, measured: the hyperbola bears 0.85 to 1 times what the ellipse does.
    usual = mixed_mode_hyperbolic(normal, shear, FT, FS).factor / ellipse
    assert usual.min() == pytest.approx(0.848, abs=0.001)


def test_cut_off_line_with_usual_friction_may_bear_more_than_the_ellipse():
    """Mohr and Coulomb with a friction of 0.7 leave out the rounding: 1.19 times the ellipse at their corner."""
    corner = FS - 0.7 * FT
    assert mixed_mode_coulomb(FT, corner, FT, FS).factor == pytest.approx(1)
    assert mixed_mode_elliptic(FT, corner, FT, FS).utilisation == pytest.approx(np.hypot(1, 0.65))


def test_no_hyperbola_where_shear_is_weaker_than_friction_times_tension():
    with pytest.raises(OutOfRange, match="no finite answer"):
        mixed_mode_hyperbolic(0.1e6, 0.1e6, 1.0e6, 0.6e6, 0.7)
    found = mixed_mode_hyperbolic(0.1e6, 0.1e6, 1.0e6, np.array([0.6e6, 0.8e6]), 0.7)
    assert np.isnan(found.factor).tolist() == [True, False]
