"""Seasons, classes and shrinkage."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from slabwright.climate.temperature import TemperatureClasses
from slabwright.errors import InputError
from slabwright.life.damage import LAWS
from slabwright.life.exposure import (
    Climate,
    exact_damage,
    group_months,
    outside_grid,
    seasons_of,
    shrinkage_profile,
)
from slabwright.life.inputs import exposure_of, monthly_factors
from slabwright.life.reliability import INPUTS, normals, pavements_of, values_of
from slabwright.units import INCH
from tests.life import roads

STATES = np.array([[0.05, 0.20, 3.2e10, 2.6e10, 4e7, 0.0], [0.15, 0.25, 2.0e10, 4.0e10, 4e7, 0.1]])


def test_shrinkage_of_an_upper_half_is_the_line_that_fits_a_step_best() -> None:
    """A step of height c on half of a uniform depth: its least-squares line has the slope 1.5 c (exact)."""
    same = np.array([[0.1, 0.1, 3e10, 3e10, 4e7, 0.0]])
    difference, residual = shrinkage_profile(same, 1e-4, 1e-5)
    assert difference[0] == pytest.approx(-15.0, rel=1e-12)
    np.testing.assert_allclose(residual[0], [-10 + 5 + 7.5, -10 + 5, 5, 5 - 7.5], rtol=1e-12)


def test_what_shrinkage_leaves_balances_itself() -> None:
    """No axial force and no moment are left: exact, so that only rounding is allowed."""
    _, residual = shrinkage_profile(STATES, 2e-4, 9e-6)
    h, e = STATES[:, :2], STATES[:, 2:4]
    top, bottom = residual[:, [0, 2]], residual[:, [1, 3]]  # of each layer, straight between
    force = (e * h * (top + bottom) / 2).sum(axis=1)
    start = np.stack([np.zeros(2), h[:, 0]], axis=1)
    moment = (e * h * (start * (top + bottom) / 2 + h * (top + 2 * bottom) / 6)).sum(axis=1)
    assert np.abs(force).max() < 1e-9 * (e * h).max() * 20
    assert np.abs(moment).max() < 1e-9 * (e * h).max() * 20


def test_no_shrinkage_and_no_overlay_leave_nothing() -> None:
    for states, shrinkage in ((STATES, 0.0), (np.array([[0.0, 0.2, 3e10, 3e10, 4e7, 0.0]]), 3e-4)):
        difference, residual = shrinkage_profile(states, shrinkage, 9e-6)
        assert np.abs(difference).max() == 0
        assert np.abs(residual).max() == 0


def test_up_to_four_factors_are_kept_and_more_are_grouped_by_their_geometric_mean() -> None:
    factors, season = group_months(np.repeat([1.0, 0.7, 1.3], 4))
    assert factors.tolist() == [0.7, 1.0, 1.3]
    assert season.tolist() == [1] * 4 + [0] * 4 + [2] * 4
    many = np.linspace(0.5, 2.0, 12)
    grouped, season = group_months(many)
    assert len(grouped) == 4
    assert np.exp(np.log(grouped[season]).mean()) == pytest.approx(np.exp(np.log(many).mean()))
    assert (np.abs(np.log(grouped[season] / many)) <= np.log(4) / 4).all()


@pytest.mark.parametrize("factors", [[1.0] * 11, [1.0] * 11 + [0.0], [1.0] * 11 + [np.nan]])
def test_months_without_a_factor_are_refused(factors: list[float]) -> None:
    with pytest.raises(InputError, match="twelve monthly factors"):
        group_months(np.array(factors))


def test_january_is_winter_and_every_month_has_its_season() -> None:
    choice = roads.decided(foundation_winter=1.5, foundation_spring=0.6).life
    assert monthly_factors(choice).tolist() == [1.5, 1.5, 0.6, 0.6, 0.6, 1, 1, 1, 1, 1, 1, 1.5]


def test_seasons_keep_the_year_whole_and_its_mean_temperature() -> None:
    classes = roads.year(0.3)
    seasons = seasons_of(Climate(np.array([0.1]), (classes,)), np.repeat([1.5, 0.8, 1.0], 4))
    assert sum(s.classes[0].share.sum() for s in seasons) == pytest.approx(1, abs=1e-12)
    mean = sum((s.classes[0].share * s.classes[0].difference).sum() for s in seasons)
    assert mean == pytest.approx((classes.share * classes.difference).sum(), rel=1e-12)
    assert [s.factor for s in seasons] == [0.8, 1.0, 1.5]


def test_a_year_whose_shares_do_not_add_up_is_refused() -> None:
    classes = replace(roads.year(0.3), share=roads.year(0.3).share * 0.9)
    with pytest.raises(InputError, match=r"do not add up to a year; given 0\.9"):
        seasons_of(Climate(np.array([0.1]), (classes,)), np.ones(12))


def sample(overlay: float) -> tuple[roads.Road, object]:
    made = roads.road()
    values = values_of(roads.section_inputs(made), normals(32, 3, len(INPUTS)))
    return made, pavements_of(values, overlay, made.surface.grid)


@pytest.mark.parametrize("law", ["NCHRP 1-37A, 2004", "PCA 1984"])
def test_classes_taken_together_change_damage_little(law: str) -> None:
    """Steps of 1 K against hourly classes as they are: measured below 0.7 %, far below a law's own scatter."""
    made, pavements = sample(4 * INCH)
    exposure = exposure_of(roads.passes(), roads.climate(), made.surface.grid, made.decisions)
    finely = replace(exposure, seasons=seasons_of(roads.climate(), np.ones(12), width=1e-9))
    assert len(finely.seasons[0].classes[0].share) > 4 * len(exposure.seasons[0].classes[0].share)
    coarse, fine = (exact_damage(made.surface, e, LAWS[law], pavements)[:, 0] for e in (exposure, finely))
    matter = fine > 1e-11
    assert matter.any()
    np.testing.assert_allclose(coarse[matter], fine[matter], rtol=0.02)


def test_between_two_thicknesses_of_a_climate_damage_is_between() -> None:
    made, pavements = sample(5 * INCH)

    def damage(overlays: tuple[float, ...]) -> np.ndarray:
        exposure = exposure_of(roads.passes(), roads.climate(overlays), made.surface.grid, made.decisions)
        return exact_damage(made.surface, exposure, LAWS["AASHTO 2008"], pavements)[:, 0]

    thin, thick, both = damage((4 * INCH,)), damage((6 * INCH,)), damage((4 * INCH, 6 * INCH))
    weight = np.clip((pavements.states[:, 0] / INCH - 4) / 2, 0, 1)
    np.testing.assert_allclose(both, (1 - weight) * thin + weight * thick, rtol=1e-9)


def test_a_softer_spring_does_more_damage() -> None:
    made, pavements = sample(4 * INCH)
    found = []
    for spring in (1.0, 0.6):
        decisions = roads.decided(foundation_spring=spring)
        exposure = exposure_of(roads.passes(), roads.climate(), made.surface.grid, decisions)
        found.append(exact_damage(made.surface, exposure, LAWS["AASHTO 2008"], pavements)[:, 0].sum())
    assert found[1] > found[0]


def test_the_share_beyond_the_grid_is_told() -> None:
    made, pavements = sample(4 * INCH)
    one = TemperatureClasses(np.array([1.0, 7.0]), np.array([-90.0, 0.0]), np.zeros((2, 4)), np.array([0.25, 0.75]))
    exposure = exposure_of(roads.passes(), Climate(np.array([0.1]), (one,)), made.surface.grid, made.decisions)
    assert outside_grid(exposure, pavements, made.surface.grid) == pytest.approx(0.25)
