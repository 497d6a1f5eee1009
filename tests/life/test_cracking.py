"""From damage to cracked slabs and years: the published curves, causes that are independent, ageing, sums by hand."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq

from slabwright.life.cracking import (
    CRACKING_CURVES,
    LONGEST,
    YEARS,
    Ageing,
    Causes,
    TruckTraffic,
    cracked_after,
    cracked_share,
    cracking_exponent,
    damage_at_cracking,
    median_share_at,
    multiplier_for,
    share_per_multiplier,
    years_to_level,
)
from slabwright.materials.fatigue import cracked_slabs_2004, cracked_slabs_together, cracking_standard_error
from slabwright.plate.stresses import OLD_POINTS, POINTS

B = cracking_exponent("2004 calibration")
TRUCKS = TruckTraffic(1e6, 0.03)
ONES = np.ones(1)


@pytest.mark.parametrize(("curve", "printed"), [("2004 calibration", 1.68), ("2008 calibration", 1.98)])
def test_the_damage_of_a_cracking_level_is_the_curve_read_backwards(curve: str, printed: float) -> None:
    assert cracking_exponent(curve) == pytest.approx(printed, rel=1e-9)  # NCHRP 1-37A, from memory
    for share in (0.01, 0.1, 0.5, 0.9):
        damage = damage_at_cracking(share, printed)
        assert float(CRACKING_CURVES[curve](damage)) == pytest.approx(share, rel=1e-9)
    assert damage_at_cracking(0.5, printed) == 1.0  # both curves: half the slabs at a damage of one
    assert damage_at_cracking(0.0, printed) == 0.0


def test_causes_are_faces_and_count_their_worst_place() -> None:
    causes = Causes.of(POINTS)
    assert causes.faces == (0, 1, 3)
    np.testing.assert_array_equal(causes.worst(np.array([[4.0, 3.0, 1.0, 2.0]])), [[2.0, 3.0, 4.0]])
    assert causes.place(0, np.array([4.0, 3.0, 1.0, 2.0])) == 3
    assert Causes.of(OLD_POINTS).faces == (2, 3)


def test_independent_causes_add_up_as_published() -> None:
    damage = np.array([[0.3, 0.2], [0.0, 0.7], [5.0, 9.0]])
    bottom, top = (cracked_slabs_2004(d) for d in damage.T)
    np.testing.assert_allclose(cracked_share(damage, B), cracked_slabs_together(bottom, top), rtol=1e-9)


def test_the_multiplier_makes_the_share_and_its_slope_is_that_of_a_difference() -> None:
    damage = np.array([[0.3, 0.2], [1e-9, 0.7], [5.0, 900.0], [0.0, 2.0]])
    share = np.array([0.03, 0.5, 0.2, 0.001])
    found = multiplier_for(share, damage, B)
    np.testing.assert_allclose(cracked_share(found[:, None] * damage, B), share, rtol=1e-9)
    step = 1e-6
    apart = [cracked_share(np.exp(s) * found[:, None] * damage, B) for s in (step, -step)]
    np.testing.assert_allclose(
        share_per_multiplier(found[:, None] * damage, B), (apart[0] - apart[1]) / (2 * step), rtol=1e-6
    )


def test_the_share_that_may_be_predicted_leaves_room_for_the_standard_error() -> None:
    for deviate in (0.674, 1.282, 1.645):
        share = median_share_at(0.10, deviate)
        assert share + deviate * float(cracking_standard_error(share)) == pytest.approx(0.10, abs=1e-9)
    assert median_share_at(0.10, 0.0) == 0.10
    assert median_share_at(0.04, 1.645) == 0.0  # 2.99 % of slabs times 1.645 is beyond 4 % already


def exact_years(level: float, past: np.ndarray, rate: list[float], ageing: Ageing | None = None) -> float:
    """By quadrature of growing traffic over the ageing concrete, and a root: another way than spans and Newton's method."""

    def damage(years: float, cause: int) -> float:
        def per_year(t: float) -> float:
            trucks = TRUCKS.first_year * np.log1p(TRUCKS.growth) / TRUCKS.growth * (1 + TRUCKS.growth) ** t
            if ageing is None:
                return trucks * rate[cause]
            span = int(np.searchsorted(ageing.years, t, side="right")) - 1
            return trucks * rate[cause] * (0.5**span)

        cuts = [y for y in YEARS if 0 < y < years]
        return float(quad(per_year, 0, years, points=cuts or None, limit=200)[0])

    def left(years: float) -> float:
        spared = 1.0
        for cause in range(len(rate)):
            borne = damage(years, cause)
            spared *= min((1 + past[cause] ** B) / (1 + (past[cause] + borne) ** B), 1 / (1 + borne**B))
        return spared - (1 - level)

    return float(brentq(left, 1e-6, 400.0, xtol=1e-9))


@pytest.mark.parametrize("past", [(0.0, 0.0, 0.0), (0.2, 0.0, 0.0), (1.5, 0.0, 0.0)])
@pytest.mark.parametrize("rate", [(1e-8, 1e-12, 1e-13), (1e-8, 8e-9, 9e-9), (1e-9, 3e-9, 0.0)])
def test_years_are_those_of_a_sum_by_quadrature(past: tuple[float, ...], rate: tuple[float, ...]) -> None:
    years, part = years_to_level(0.1, B, np.array([past]), np.array([[rate]]), TRUCKS, ONES)
    assert years[0] == pytest.approx(exact_years(0.1, np.array(past), list(rate)), rel=1e-6)
    assert part.sum() == pytest.approx(1)


def test_concrete_that_ages_is_taken_span_by_span() -> None:
    ageing = Ageing(YEARS, np.ones(len(YEARS)), np.ones(1))
    halved = np.array([[(1e-8 * 0.5**n, 6e-9 * 0.5**n)] for n in range(len(YEARS))])
    past = np.array([[0.05, 0.0]])
    years, _ = years_to_level(0.02, B, past, halved, TRUCKS, ONES, ageing)
    assert years[0] == pytest.approx(exact_years(0.02, past[0], [1e-8, 6e-9], ageing), rel=1e-6)


def test_cracking_after_so_many_years_is_read_back_as_those_years() -> None:
    """The share at the years by quadrature and a root is the level that was asked; none has cracked at the opening."""
    ageing = Ageing(YEARS, np.ones(len(YEARS)), np.ones(1))
    halved = np.array([[(1e-8 * 0.5**n, 6e-9 * 0.5**n)] for n in range(len(YEARS))])
    past = np.array([[0.05, 0.0]])
    for level in (0.01, 0.02):
        years = exact_years(level, past[0], [1e-8, 6e-9], ageing)
        share = cracked_after(np.array([0.0, years]), B, past, halved, TRUCKS, ONES, ageing)
        assert share[:, 0] == pytest.approx([0.0, level], rel=1e-5)  # the quadrature's own error is 1e-8 of the years


def test_damage_between_ages_is_straight_on_its_logarithm() -> None:
    ageing = Ageing(np.array([0.0, 1.0, 5.0]), np.array([1.0, 1.1, 1.2]), np.array([1.0, 1.2]))
    np.testing.assert_allclose(ageing.spread(np.array([[1e-6], [1e-8]])), [[1e-6], [1e-7], [1e-8]])


def test_more_causes_more_past_and_more_traffic_never_lengthen_a_life() -> None:
    rates = np.geomspace(1e-12, 1e-6, 40)
    alone = years_to_level(0.1, B, np.zeros((40, 1)), rates[None, :, None], TRUCKS, np.ones(40))[0]
    assert (np.diff(alone) < 0).all()
    other = np.stack([rates, np.full(40, 1e-9)], axis=-1)[None]
    assert (years_to_level(0.1, B, np.zeros((40, 2)), other, TRUCKS, np.ones(40))[0] < alone).all()
    for past in (0.05, 0.5, 50.0):
        assert (
            years_to_level(0.1, B, np.full((40, 1), past), rates[None, :, None], TRUCKS, np.ones(40))[0] <= alone
        ).all()
    assert (years_to_level(0.1, B, np.zeros((40, 1)), rates[None, :, None], TRUCKS, np.full(40, 2.0))[0] < alone).all()


@pytest.mark.parametrize("growth", [0.0, -0.05])
def test_no_damage_lives_longest(growth: float) -> None:
    years, part = years_to_level(0.1, B, np.zeros((1, 2)), np.zeros((1, 1, 2)), TruckTraffic(1e6, growth), ONES)
    assert years[0] == LONGEST
    assert np.isfinite(part).all()
