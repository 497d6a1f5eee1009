"""Lives of scattered inputs against distributions that are known, a general reliability library, and plain limits."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pystra
import pytest
from scipy import stats

from slabwright.errors import InputError
from slabwright.life.cracking import TruckTraffic, cracking_exponent
from slabwright.life.damage_surface import Equivalence, fit_damage
from slabwright.life.exposure import Pavements
from slabwright.life.reliability import (
    INPUTS,
    LifeModel,
    Lives,
    Uncertain,
    lives,
    normals,
    pavements_of,
    sample_of,
    thickness_for,
    values_of,
)
from slabwright.materials.fatigue import cracked_slabs_2004
from slabwright.plate.stresses import POINTS, usual_grid
from slabwright.records.remarks import remark, worded

GRID = replace(usual_grid(), points=POINTS[:1])
TRUCKS = TruckTraffic(first_year=1e7, growth=0.0)
EXPONENT = cracking_exponent("2004 calibration")
LEVEL = float(cracked_slabs_2004(0.25))  # that damage of 0.25 cracks
CERTAIN = Uncertain("normal", 1.0, 0.0)
# Damage is a product of powers of the inputs, by a law of the fourth power: life is then lognormal.
POWERS = {"slab_modulus": 1.2, "foundation": -2.0, "slab_strength": -4.0}
INPUT_SET = {
    **dict.fromkeys(INPUTS, CERTAIN),
    "overlay": Uncertain("normal", 1.0, 0.0),
    "slab": Uncertain("normal", 0.2, 0.0),
    "overlay_modulus": Uncertain("lognormal", 3e10, 0.0),
    "slab_modulus": Uncertain("lognormal", 3e10, 0.2),
    "foundation": Uncertain("lognormal", 4e7, 0.35),
    "delaminated": Uncertain("beta", 0.0, 0.0),
    "overlay_strength": Uncertain("lognormal", 4.5e6, 0.0),
    "slab_strength": Uncertain("lognormal", 4.5e6, 0.12),
    "traffic": Uncertain("lognormal", 1.0, 0.3),
}


def fourth_power(ratio: np.ndarray) -> np.ndarray:
    return 2e5 * ratio**-4.0


def product(pavements: Pavements) -> np.ndarray:
    """Damage of a truck (n, 1): 1e-8 at the means, far from failure in one pass."""
    modulus, foundation, strength = pavements.states[:, 3], pavements.states[:, 4], pavements.strength[:, 0]
    return (
        1e-8
        * (modulus / 3e10) ** POWERS["slab_modulus"]
        * (foundation / 4e7) ** POWERS["foundation"]
        * (strength / 4.5e6) ** POWERS["slab_strength"]
    )[:, None]


def model(stress_error: float = 0.0, growth: float = 0.0, observed: float = 0.0) -> LifeModel:
    pavements = pavements_of(values_of(INPUT_SET, 1.5 * normals(256, 11)), 0.1, GRID)
    surface = fit_damage(fourth_power, pavements, product(pavements))
    assert surface.error[0] < 0.002  # a product of powers is a plane on logarithms
    exact = replace(surface, error=np.zeros(1))
    return LifeModel(
        INPUT_SET,
        GRID,
        exact,
        np.full(1, stress_error),
        replace(TRUCKS, growth=growth),
        LEVEL,
        EXPONENT,
        observed=observed,
    )


def lived(made: LifeModel, samples: int = 256, seed: int = 1) -> Lives:
    return lives(made, sample_of(made, normals(samples, seed)), 0.1)


def log_life(stress_error: float = 0.0) -> tuple[float, float]:
    """Mean and standard deviation of the natural logarithm of life, by hand."""
    spread = {name: np.sqrt(np.log1p(INPUT_SET[name].variation ** 2)) for name in (*POWERS, "traffic")}
    powers = {**POWERS, "traffic": 1.0}
    mean = np.log(0.25 / 1e-8 / 1e7) + sum(p * spread[n] ** 2 / 2 for n, p in powers.items())
    variance = sum((p * spread[n]) ** 2 for n, p in powers.items()) + (4 * stress_error) ** 2
    return float(mean), float(np.sqrt(variance))


@pytest.mark.parametrize("stress_error", [0.0, 0.05])
def test_a_lognormal_life_has_its_quantiles(stress_error: float) -> None:
    reliabilities = np.array([0.5, 0.75, 0.9, 0.95])
    found = lived(model(stress_error), 2**14).quantiles(reliabilities)
    mean, spread = log_life(stress_error)
    expected = np.exp(mean + spread * stats.norm.ppf(1 - reliabilities))
    # 16,384 Sobol points: measured within 0.5 %; plain random points would scatter by 2 % at 95 %.
    np.testing.assert_allclose(found, expected, rtol=0.01)


def test_the_sobol_sample_converges_faster_than_chance() -> None:
    """The error at 95 % over five seeds, against the standard error of a quantile of as many random points."""
    mean, spread = log_life()
    expected = mean + spread * stats.norm.ppf(0.05)
    made = model()
    errors = [np.log(lived(made, 4096, s).quantiles([0.95])[0]) - expected for s in range(5)]
    chance = np.sqrt(0.05 * 0.95 / 4096) / stats.norm.pdf(stats.norm.ppf(0.05)) * spread
    assert np.sqrt(np.mean(np.square(errors))) < chance / 2


def test_growing_traffic_shortens_a_life_as_the_sum_of_its_years_says() -> None:
    steady, growing = (lived(model(growth=g)).years for g in (0.0, 0.03))
    np.testing.assert_allclose((1.03**growing - 1) / 0.03, steady, rtol=1e-9)  # the growth factor, exact


def test_the_chance_of_a_short_life_is_that_of_a_general_reliability_library() -> None:
    """The same power law as a limit state for pystra's first-order method, exact for products of lognormals."""

    def margin(modulus: float, foundation: float, strength: float, traffic: float) -> float:
        damage = (
            1e-8
            * (modulus / 3e10) ** POWERS["slab_modulus"]
            * (foundation / 4e7) ** POWERS["foundation"]
            * (strength / 4.5e6) ** POWERS["slab_strength"]
        )
        return np.log(0.25 / damage / (1e7 * traffic)) - np.log(0.5)

    described = pystra.StochasticModel()
    for name, key in zip(("modulus", "foundation", "strength", "traffic"), (*POWERS, "traffic"), strict=True):
        described.addVariable(
            pystra.Lognormal(name, INPUT_SET[key].mean, INPUT_SET[key].mean * INPUT_SET[key].variation)
        )
    form = pystra.Form(stochastic_model=described, limit_state=pystra.LimitState(margin))
    form.run()
    years = lived(model(), 2**15).years
    expected = float(np.ravel(form.Pf)[0])
    assert 0.01 < expected < 0.4
    assert (years < 0.5).mean() == pytest.approx(expected, rel=0.02)  # 32,768 points


def test_strength_less_load_falls_short_as_often_as_the_library_says() -> None:
    """R - S with a lognormal and a normal variable: no closed form, so FORM's curvature error adds to the tolerance."""
    described = pystra.StochasticModel()
    described.addVariable(pystra.Lognormal("r", 5.0, 0.6))
    described.addVariable(pystra.Normal("s", 3.6, 0.5))
    form = pystra.Form(stochastic_model=described, limit_state=pystra.LimitState(lambda r, s: r - s))
    form.run()
    numbers = normals(2**16, 3, columns=2)
    short = Uncertain("lognormal", 5.0, 0.12).at(numbers[:, 0]) < Uncertain("normal", 3.6, 0.5 / 3.6).at(numbers[:, 1])
    assert short.mean() == pytest.approx(float(np.ravel(form.Pf)[0]), rel=0.05)


@pytest.mark.parametrize(
    ("law", "mean", "variation"),
    [("lognormal", 4.0, 0.35), ("normal", 4.0, 0.1), ("beta", 0.02, 1.0), ("beta", 0.2, 0.3)],
)
def test_an_input_has_its_mean_and_spread(law: str, mean: float, variation: float) -> None:
    made = Uncertain(law, mean, variation).at(normals(2**14, 5, columns=1)[:, 0])
    assert made.mean() == pytest.approx(mean, rel=2e-3)  # 16,384 Sobol points: measured 2e-4
    assert made.std() == pytest.approx(mean * variation, rel=1e-2)
    assert (np.diff(Uncertain(law, mean, variation).at(np.linspace(-6, 6, 101))) >= 0).all()


def test_a_beta_share_is_scipys() -> None:
    found = Uncertain("beta", 0.1, 0.5).at(np.array([-2.0, 0.0, 1.5]))
    size = 0.1 * 0.9 / 0.05**2 - 1
    np.testing.assert_allclose(
        found, stats.beta(0.1 * size, 0.9 * size).ppf(stats.norm.cdf([-2.0, 0.0, 1.5])), rtol=1e-9
    )


def test_a_share_that_cannot_spread_so_far_is_refused() -> None:
    with pytest.raises(InputError, match=r"mean 0.001, standard deviation 0.1.*Give a smaller"):
        Uncertain("beta", 0.001, 100.0).at(np.zeros(2))


@pytest.mark.parametrize("samples", [1000, 0, 2.5])
def test_a_sample_is_a_power_of_two(samples: float) -> None:
    with pytest.raises(InputError, match="number of lives is a power of two"):
        normals(samples, 1)  # type: ignore[arg-type]


def test_one_seed_gives_one_answer_and_others_nearly_the_same() -> None:
    made = model()
    first, again, other = (lived(made, 4096, s).quantiles([0.5, 0.9]) for s in (1, 1, 2))
    assert first.tolist() == again.tolist()
    assert first.tolist() != other.tolist()
    np.testing.assert_allclose(first, other, rtol=0.04)  # chance alone would scatter by 3 % at 90 %


def test_life_ends_when_the_stated_share_of_sound_slabs_has_cracked() -> None:
    """By the published curve itself: c after life = c before + level (1 - c before), whatever the past damage."""
    made = model()
    level = LEVEL
    for past in (0.0, 0.05, 0.2, 0.4):
        found = lived(replace(made, observed=past))
        borne = found.per_truck[:, 0] * found.years * made.trucks.first_year * _traffic(made)  # no growth
        before, after = (cracked_slabs_2004(d) for d in (past + 0 * borne, past + borne))
        # The model reads the exponent off the curve at one place; 1e-6 is far above its digits.
        np.testing.assert_allclose(after, before + level * (1 - before), rtol=1e-6)
        assert (found.past == past).all()


def _traffic(made: LifeModel) -> np.ndarray:
    return values_of(made.inputs, normals(256, 1))["traffic"]


def test_past_damage_never_lengthens_a_life() -> None:
    fresh = lived(model()).years
    for past in (0.05, 0.5, 5.0, 50.0):
        assert (lived(model(observed=past)).years <= fresh * (1 + 1e-9)).all()


def test_the_equivalent_ratio_goes_there_and_back() -> None:
    made = Equivalence.of(fourth_power)
    damage = np.geomspace(1e-9, 1e-6, 40)
    np.testing.assert_allclose(made.to_damage(made.to_ratio(damage)), damage, rtol=1e-9)
    # A power law stays one: four decades of damage for one of stress.
    slope = np.ptp(np.log(damage)) / np.ptp(made.to_ratio(damage))
    assert slope == pytest.approx(4, rel=1e-3)


def test_a_point_whose_damage_never_shows_gets_none_from_scatter() -> None:
    pavements = pavements_of(values_of(INPUT_SET, normals(256, 2)), 0.1, GRID)
    surface = fit_damage(fourth_power, pavements, np.zeros((256, 1)))
    assert surface.matters.tolist() == [False]
    assert surface(pavements, np.full((256, 1), 0.5)).max() < 2e-11


def test_the_thickness_is_where_the_life_meets_the_target() -> None:
    def life(h: float) -> float:
        return 1000 * h**2

    found, said = thickness_for(life, 10.0, 0.05, 0.15)
    assert (found, worded(said, "us")) == (pytest.approx(0.1, abs=2e-5), "")
    assert thickness_for(life, 1.0, 0.05, 0.15) == (0.05, remark("the thinnest overlay lives long enough"))
    missing, said = thickness_for(life, 40.0, 0.05, 0.15)
    assert np.isnan(missing)
    assert (
        worded(said, "metric")
        == "Target life not reached: the thickest overlay considered lasts 22.5 years of 40.0 years"
    )
