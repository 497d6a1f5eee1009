"""What the example checks of our own repeat, worked out by another derivation or library over the whole range."""

from __future__ import annotations

from statistics import NormalDist

import numpy as np
import pint
import pytest
from scipy import integrate, stats

from slabwright.design.steel import drag_steel_percent
from slabwright.design.structures import overlay_dead_load
from slabwright.slab.closed_forms import curling_stress_edge, curling_stress_interior
from slabwright.slab.serviceability import rigid_allowable_axles, rigid_required_thickness
from slabwright.statistics.lots import percent_within_limits
from slabwright.statistics.samples import f_test, grubbs_statistic, mean_from_specified, t_test_pooled
from slabwright.survey.basins import area_36
from slabwright.survey.sections import cumulative_difference, cumulative_difference_intervals
from slabwright.units import FOOT, INCH, PCI, PSI

RNG = np.random.default_rng(17)
UNITS = pint.UnitRegistry()


def log_axles(thickness: float, reliability: float, spread: float, loss: float, end: float, **slab: float) -> float:
    """AASHTO 1993 rigid equation in inches and psi, typed from the guide (Part II, Figure 3.7; from memory)."""
    root = thickness**0.75
    strength = slab["rupture"] * slab["drainage"] * (root - 1.132)
    stress = 215.63 * slab["transfer"] * (root - 18.42 / (slab["modulus"] / slab["k"]) ** 0.25)
    serviceability = np.log10(loss / (4.5 - 1.5)) / (1 + 1.624e7 / (thickness + 1) ** 8.46)
    lead = NormalDist().inv_cdf(1 - reliability) * spread + 7.35 * np.log10(thickness + 1) - 0.06
    return float(lead + serviceability + (4.22 - 0.32 * end) * np.log10(strength / stress))


@pytest.mark.parametrize("case", range(40))
def test_the_thickness_equation_run_the_other_way(case: int) -> None:
    """Axles of a thickness by the equation, typed here once more; ours must find the thickness back.

    This tests the search for the root and the typing of the equation. It tests no coefficient, for both typings come from
    one memory: the coefficients are held against printed answers that were looked up, in ``published/aashto_1993_*.toml``.
    """
    rng = np.random.default_rng(case)
    slab = {
        "rupture": rng.uniform(550, 800),
        "modulus": rng.uniform(3e6, 6e6),
        "k": rng.uniform(50, 500),
        "transfer": rng.uniform(2.3, 4.2),
        "drainage": rng.uniform(0.8, 1.2),
    }
    reliability, spread, end, start = rng.uniform(0.5, 0.99), rng.uniform(0.3, 0.4), rng.uniform(2, 3), 4.5
    expected = rng.uniform(6, 16)
    axles = 10 ** log_axles(expected, reliability, spread, start - end, end, **slab)
    given = {
        "reliability": reliability,
        "standard_deviation": spread,
        "rupture": slab["rupture"] * PSI,
        "modulus": slab["modulus"] * PSI,
        "foundation": slab["k"] * PCI,
        "load_transfer": slab["transfer"],
        "drainage": slab["drainage"],
        "initial_serviceability": start,
        "terminal_serviceability": end,
    }
    assert float(rigid_required_thickness(axles, **given)) / INCH == pytest.approx(expected, abs=1e-6)
    back = float(rigid_allowable_axles(expected * INCH, **given).axles)
    assert back == pytest.approx(axles, rel=1e-6)


def test_the_basin_area_is_the_trapezoid_of_its_ordinates() -> None:
    d = np.sort(RNG.uniform(1e-5, 5e-4, (4, 200)), axis=0)[::-1]
    by_trapezoid = integrate.trapezoid(d / d[0], np.array([0, 12, 24, 36])[:, None] * INCH, axis=0)
    assert area_36(*d) == pytest.approx(by_trapezoid, rel=1e-12)


def test_a_slab_that_cannot_bend_has_the_stress_of_hookes_law() -> None:
    """Fully restrained: s = E e along one side, and by the inverse of the plane-stress matrix in two; e = alpha dT / 2."""
    modulus, expansion, difference, poisson = 30e9, 1e-5, 8.0, 0.15
    strain = expansion * difference / 2
    edge = curling_stress_edge(1.0, modulus, expansion, difference)
    compliance = np.array([[1, -poisson], [-poisson, 1]]) / modulus
    both = np.linalg.solve(compliance, [strain, strain])[0]
    interior = curling_stress_interior(1.0, 1.0, modulus, expansion, difference, poisson)
    assert float(edge) == pytest.approx(modulus * strain)
    assert float(interior) == pytest.approx(both)


def test_drag_steel_balances_the_friction_of_half_a_slab() -> None:
    """As fs = F w L / 2 on a strip of concrete of 144 lb/ft3, the weight that the printed form implies."""
    weight = UNITS.Quantity(144.0, "lbf/ft^3")
    for length, friction, steel in [(20.0, 1.5, 45000.0), (60.0, 0.9, 30000.0)]:
        pull = friction * weight * UNITS.Quantity(length, "ft") / 2
        share = (pull / UNITS.Quantity(steel, "psi")).to("percent").magnitude
        found = drag_steel_percent(length * FOOT, friction, steel * PSI)
        assert 100 * float(found) == pytest.approx(share, rel=1e-9)


def test_the_weight_of_an_overlay_by_a_library_of_units() -> None:
    pressure = (UNITS.Quantity(150, "lb/ft^3") * UNITS.standard_gravity * UNITS.Quantity(3, "in")).to("Pa").magnitude
    density = UNITS.Quantity(150, "lb/ft^3").to("kg/m^3").magnitude
    assert float(overlay_dead_load(3 * INCH, density)) == pytest.approx(pressure, rel=1e-6)


@pytest.mark.parametrize("tests", [3, 5, 12, 40])
def test_the_share_within_a_limit_by_the_t_distribution(tests: int) -> None:
    """One value of a normal sample, given mean and deviation: u = q sqrt(n) / (n - 1), u sqrt((n - 2) / (1 - u^2)) is Student's
    t with n - 2 degrees of freedom."""
    quality = np.linspace(-0.99, 0.99, 41) * (tests - 1) / np.sqrt(tests)
    u = quality * np.sqrt(tests) / (tests - 1)
    expected = stats.t.cdf(u * np.sqrt((tests - 2) / (1 - u**2)), tests - 2)
    assert percent_within_limits(quality, tests) == pytest.approx(expected, abs=1e-9)


def test_two_lots_by_the_tests_of_scipy() -> None:
    for n_one, n_two in [(4, 9), (12, 7), (30, 30)]:
        one, two = RNG.normal(30, 3, n_one), RNG.normal(28, 4, n_two)
        found = t_test_pooled(one.mean(), one.std(ddof=1), n_one, two.mean(), two.std(ddof=1), n_two)
        expected = stats.ttest_ind(one, two)
        assert float(found.statistic) == pytest.approx(expected.statistic)
        assert float(found.probability) == pytest.approx(expected.pvalue)
        limits = f_test(one.std(ddof=1), n_one, two.std(ddof=1), n_two)
        beta = stats.beta.ppf([0.025, 0.975], (n_one - 1) / 2, (n_two - 1) / 2)
        expected_limits = beta / (1 - beta) * (n_two - 1) / (n_one - 1)
        assert [float(limits.lower), float(limits.upper)] == pytest.approx(expected_limits)


def test_the_farthest_value_by_standard_scores() -> None:
    values = RNG.normal(8, 1, (20, 9))
    assert grubbs_statistic(values) == pytest.approx(np.abs(stats.zscore(values, axis=1, ddof=1)).max(axis=1))


def test_the_mean_to_aim_at_leaves_the_share_below() -> None:
    for share in (0.2, 0.1, 0.05, 0.01):
        mean = float(mean_from_specified(28e6, 3e6, share))
        assert NormalDist(mean, 3e6).cdf(28e6) == pytest.approx(share)


def test_cumulative_differences_by_the_integral_of_a_library() -> None:
    """The trapezoid's running integral less the line to its end."""
    x, r = np.cumsum(RNG.uniform(5, 60, 50)), RNG.uniform(0, 1, 50)
    before, first = (
        np.r_[2 * x[0] - x[1], x],
        np.r_[r[0], r],
    )  # the printed form begins one spacing before the first point
    area = integrate.cumulative_trapezoid(first, before)
    expected = area - area[-1] * (x - before[0]) / (x[-1] - before[0])
    assert cumulative_difference(x, r) == pytest.approx(expected, abs=1e-9)
    lengths = np.diff(x, prepend=0.0)
    steps = np.concatenate([[0.0], np.cumsum(r * lengths)])
    by_steps = (steps - steps[-1] * np.concatenate([[0.0], x]) / x[-1])[1:]
    assert cumulative_difference_intervals(lengths, r) == pytest.approx(by_steps, abs=1e-9)
