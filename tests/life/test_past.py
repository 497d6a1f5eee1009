"""A section held against its own past: the posterior against a grid, limits, and what is promised when."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from slabwright.life.cracking import cracked_share, cracking_exponent
from slabwright.life.inputs import old_ratios
from slabwright.life.past import Calibration, Surveyed, quantiles
from slabwright.life.reliability import normals
from slabwright.life.section_life import SectionLife
from slabwright.life.tables import life_tables
from slabwright.records.remarks import worded
from tests.life import roads

B = cracking_exponent("2004 calibration")
CALIBRATED = {"calibration": "calibrated to the section's own past", "past_damage_from": "past traffic"}


@pytest.mark.parametrize(("slabs", "cracked"), [(20, 0), (20, 3), (300, 9), (12, 12)])
def test_the_posterior_of_the_multiplier_is_that_on_a_grid(slabs: int, cracked: int) -> None:
    """One known damage, so that the posterior has one dimension: prior times binomial likelihood on a fine grid."""
    damage = np.broadcast_to([0.4, 0.1], (2**14, 2))
    normal = normals(2**14, 3, columns=1)[:, 0]
    found, weight = Calibration(Surveyed(slabs, cracked), 10.0).multipliers(damage, normal, B)
    assert weight.sum() == pytest.approx(1)
    logs = np.linspace(np.log(1e-6), np.log(1e6), 40001)
    share = cracked_share(np.exp(logs)[:, None] * np.array([0.4, 0.1]), B)
    density = stats.norm.pdf(logs / np.log(10)) * stats.binom.pmf(cracked, slabs, share)
    reached = np.cumsum(density) / density.sum()
    expected = np.exp(np.interp([0.025, 0.5, 0.975], reached, logs))
    # 16,384 points: quantiles within 1 %, the tails of an importance sample within 3 %
    np.testing.assert_allclose(quantiles(found, [0.025, 0.5, 0.975], weight), expected, rtol=0.03)


def test_the_interval_of_the_survey_is_the_exact_one() -> None:
    found = stats.binomtest(1, 4).proportion_ci(0.95, method="exact")
    assert Surveyed(4, 1).interval() == pytest.approx((found.low, found.high))


def test_more_slabs_leave_less_doubt() -> None:
    damage = np.broadcast_to([0.4, 0.1], (4096, 2))
    normal = normals(4096, 3, columns=1)[:, 0]
    widths = []
    for slabs in (10, 100, 1000):
        found, weight = Calibration(Surveyed(slabs, slabs // 10), 10.0).multipliers(damage, normal, B)
        low, high = quantiles(found, [0.05, 0.95], weight)
        widths.append(np.log(high / low))
    assert (np.diff(widths) < 0).all()


def test_younger_concrete_was_weaker() -> None:
    decisions = roads.decided()
    trucks, ratio = old_ratios(replace(roads.STATE, past=((0.5, 1.0), (2.0, 3.0), (2.5, 4.0), (19.5, 5.0))), decisions)
    np.testing.assert_allclose(trucks, [1.0, 7.0, 5.0])
    assert (np.diff(ratio) > 0).all()
    assert ratio[-1] == pytest.approx(1.0, abs=0.001)  # at 19.5 years of 20
    assert old_ratios(roads.STATE, roads.decided(strength_growth="none"))[1].tolist() == [1.0, 1.0]


@pytest.fixture(scope="module")
def heavy() -> roads.Road:
    """So many trucks so far that nearly every slab ought to have cracked, where 2 % did."""
    return roads.road(replace(roads.STATE, past=((5.0, 4e6), (15.0, 4e6))), past_damage_from="past traffic")


@pytest.fixture(scope="module")
def refuted(heavy: roads.Road) -> SectionLife:
    return heavy.life()


def test_a_past_that_refutes_the_model_promises_nothing(refuted: SectionLife) -> None:
    assert refuted.past.predicted > 0.9
    assert refuted.past.refuted
    assert refuted.promised == "no"
    assert np.isnan(refuted.found)
    said = worded(refuted.remark, "us")
    assert said.startswith("The road's own past refutes the model: it predicts 9")
    assert "the survey found 2.0 %" in said
    row = life_tables([refuted])["fatigue_past"].iloc[0]
    assert (row["agrees"], row["used"], row["slabs"], row["cracked"]) == ("no", "as published", 300, 6)
    assert life_tables([refuted])["fatigue_thickness"]["promised"].tolist() == ["no"]


def test_a_calibrated_section_predicts_its_past_and_speaks_of_its_future(
    heavy: roads.Road, refuted: SectionLife
) -> None:
    made = roads.road(heavy.state, **CALIBRATED).life()
    assert made.promised == "yes"
    assert made.past.factor < 0.3
    assert made.past.factor_low < made.past.factor < made.past.factor_high
    bottom = made.model.causes.faces.index(3)
    share = cracked_share(made.detail.past[:, [bottom]], B)
    assert float(quantiles(share, [0.5], made.detail.weight)[0]) == pytest.approx(0.02, abs=0.01)
    assert (made.years[:, 1] > refuted.years[:, 1]).all()  # less damage than published, longer lives
    assert life_tables([made])["fatigue_past"]["used"].tolist() == ["calibrated"]


def test_without_a_survey_the_past_is_not_examined() -> None:
    made = roads.road(replace(roads.STATE, surveyed=None), past_damage_from="past traffic").life()
    assert made.promised == "past not examined"
    row = life_tables([made])["fatigue_past"].iloc[0]
    assert row["agrees"] == "not examined"
    assert np.isnan([row["surveyed"], row["factor"], row["slabs"]]).all()
    assert 0 < row["predicted"] < 1


def test_slabs_longer_than_known_roads_support_promise_nothing_unless_calibrated() -> None:
    few = replace(roads.STATE, length=6.1)
    made = roads.road(few, past_damage_from="past traffic").life()
    assert (made.promised, made.past.refuted) == ("no", False)
    assert "6.10 m are longer than the 5.00 m" in worded(made.remark, "metric")
    assert roads.road(few, **CALIBRATED).life().promised == "yes"
