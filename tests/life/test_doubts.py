"""What a past tells and does not tell: surveys that say nothing, quadrature of the posterior, lanes that nobody walked."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pandas as pd
import pytest
from scipy.special import ndtri
from scipy.stats import binom, qmc

from slabwright.evaluation.walked import walked as walked_lanes
from slabwright.life.cracking import Causes
from slabwright.life.past import Calibration, Surveyed, check_past, quantiles
from slabwright.life.run import _surveyed
from slabwright.plate.stresses import OLD_POINTS
from slabwright.records.decisions import Decisions
from slabwright.records.facts import FACTS, Facts
from slabwright.records.table import table

EXPONENT, SPREAD, ALLOWED = 1.68, 10.0, 2.0
NORMAL = ndtri(qmc.Sobol(1, rng=1).random_base2(13)[:, 0])


def checked(damage: float, cracked: int, slabs: int):  # type: ignore[no-untyped-def]
    """One bottom cause; the top does nothing."""
    points = np.tile([damage, 0.0, 0.0, 0.0], (len(NORMAL), 1))
    past = SimpleNamespace(causes=Causes.of(OLD_POINTS))
    return check_past(past, points, NORMAL, EXPONENT, Surveyed(slabs, cracked), SPREAD, ALLOWED)  # type: ignore[arg-type]


@pytest.mark.parametrize(("predicted", "cracked", "slabs"), [(0.005, 0, 200), (0.01, 0, 100), (0.02, 0, 20)])
def test_a_survey_that_the_prediction_would_often_show_does_not_refute_it(
    predicted: float, cracked: int, slabs: int
) -> None:
    assert binom.cdf(cracked, slabs, predicted) > 0.3  # by the binomial law alone
    assert not checked((predicted / (1 - predicted)) ** (1 / EXPONENT), cracked, slabs).refuted


@pytest.mark.parametrize("damage", [1e-6, 1e-8, 0.0])
def test_a_survey_that_tells_nothing_leaves_the_prior_of_the_multiplier(damage: float) -> None:
    """No slab of a hundred is cracked and none was to be expected: what is left is the prior, 10 at one deviation."""
    found = checked(damage, 0, 100)
    assert found.factor == pytest.approx(1.0, rel=0.2)
    assert found.factor_low == pytest.approx(SPREAD**-1.96, rel=0.3)


def test_the_posterior_of_a_small_damage_is_that_of_quadrature() -> None:
    logs = np.linspace(-25, 25, 100001)
    damage = 1e-6
    odds = (np.exp(logs) * damage) ** EXPONENT
    weight = np.exp(-((logs / np.log(SPREAD)) ** 2) / 2) * binom.pmf(0, 100, odds / (1 + odds))
    exact = np.exp(logs[np.searchsorted(weight.cumsum() / weight.sum(), [0.025, 0.5, 0.975])])
    points = np.column_stack([np.full(len(NORMAL), 0.1 * damage), np.full(len(NORMAL), damage)])
    multiplier, weights = Calibration(Surveyed(100, 0), SPREAD).multipliers(points, NORMAL, EXPONENT)
    np.testing.assert_allclose(quantiles(multiplier, [0.025, 0.5, 0.975], weights), exact, rtol=0.2)


LANES = table(
    FACTS["lanes"],
    {"lane": ["A1", "A2"], "direction": ["with stationing"] * 2, "position": [1, 2], "width": [3.6, 3.6]},
)  # A2 is the outer one


def surveyed(*rows: tuple[float, str, str, str], reach: float = 300.0) -> Surveyed | None:
    """Of a section from 1,000 to 1,500 m with slabs of 5 m, whose middle 50 m are a deck; a row shows ``reach`` to be walked."""
    walked = pd.DataFrame(rows, columns=["station", "lane", "kind", "severity"])
    deck = {"name": ["B"], "begin": [1225.0], "end": [1275.0], "passes": ["under the road"]}
    section = SimpleNamespace(
        condition={
            "section": "1",
            "pavement": "JPCP",
            "direction": "with stationing",
            "cracking": 0.0,
            "begin": 1000.0,
            "end": 1500.0,
        },
    )
    slabs = {"begin": [0.0], "end": [2000.0], "pavement": ["JPCP"], "joint_spacing": [5.0]}
    facts = replace(
        Facts(), distresses=table(FACTS["distresses"], walked), lanes=LANES, layers=table(FACTS["layers"], slabs)
    )
    facts = replace(facts, bridges=table(FACTS["bridges"], deck))
    ways = dict(zip(LANES["lane"], LANES["direction"], strict=True))
    walks = walked_lanes(
        facts, pd.DataFrame([section.condition]), ways, replace(Decisions().evaluation, survey_reach=reach)
    )
    return _surveyed(SimpleNamespace(name="1", condition=section.condition), facts, walks)  # type: ignore[arg-type]


def test_what_was_assumed_of_a_section_is_no_survey_of_it() -> None:
    """Another section was walked; in this one the engineer assumes that no slab is cracked."""
    assert surveyed((10.0, "A2", "transverse crack", "high")) is None


def test_the_inner_lane_says_nothing_of_the_trucks_of_the_outer_one() -> None:
    assert surveyed((1100.0, "A1", "transverse crack", "high")) is None


def test_cracks_of_every_severity_count_by_slab_on_the_ground() -> None:
    """Two in one slab, one without a severity; a corner break is no transverse crack; one lies on the deck."""
    assert surveyed((1100.0, "A2", "no distress", "")) == Surveyed(90, 0)
    found = surveyed(
        (1101.0, "A2", "transverse crack", "low"),
        (1103.0, "A2", "transverse crack", "high"),
        (1200.0, "A2", "transverse crack", ""),
        (1300.0, "A2", "corner break", "high"),
        (1250.0, "A2", "transverse crack", "high"),
    )
    assert found == Surveyed(90, 2)


def test_of_a_lane_walked_partly_the_slabs_walked_count() -> None:
    """100 m on either side of the row: 40 slabs of 5 m."""
    assert surveyed((1110.0, "A2", "transverse crack", "low"), reach=100.0) == Surveyed(40, 1)
