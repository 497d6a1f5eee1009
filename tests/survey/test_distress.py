"""Severity by the thresholds of the public federal manual (FHWA-RD-03-031, from memory): each side of each limit."""

import numpy as np
import pandas as pd
import pytest

from slabwright.records.facts import FACTS
from slabwright.records.table import table
from slabwright.survey.distress import distress_quantities, rate_distresses, severity

LOW, MODERATE, HIGH = 1, 2, 3
MM = 0.001


@pytest.mark.parametrize(
    ("kind", "measure", "value", "level"),
    [
        ("transverse crack", "crack_width", 2.9, LOW),
        ("transverse crack", "crack_width", 3.0, MODERATE),
        ("transverse crack", "crack_width", 6.0, MODERATE),
        ("transverse crack", "crack_width", 6.1, HIGH),
        ("transverse crack", "spall_width", 0.0, LOW),
        ("transverse crack", "spall_width", 74.0, MODERATE),
        ("transverse crack", "spall_width", 75.0, HIGH),
        ("transverse crack", "faulting", 0.0, LOW),
        ("transverse crack", "faulting", 6.0, MODERATE),
        ("transverse crack", "faulting", -6.5, HIGH),
        ("longitudinal crack", "crack_width", 13.0, MODERATE),
        ("longitudinal crack", "crack_width", 13.1, HIGH),
        ("longitudinal crack", "faulting", 13.0, HIGH),
        ("corner break", "faulting", 12.9, MODERATE),
        ("corner break", "faulting", 13.0, HIGH),
        ("joint spalling", "spall_width", 74.0, LOW),
        ("joint spalling", "spall_width", 150.0, MODERATE),
        ("joint spalling", "spall_width", 151.0, HIGH),
        ("patch", "faulting", 6.0, MODERATE),
        ("patch", "faulting", 6.1, HIGH),
        ("punchout", "spall_width", 74.0, LOW),
        ("punchout", "faulting", 6.0, MODERATE),
        ("punchout", "faulting", 13.0, HIGH),
    ],
)
def test_thresholds(kind: str, measure: str, value: float, level: int) -> None:
    assert int(severity(kind, **{measure: value * MM})) == level


def test_the_worst_measure_governs_and_missing_ones_do_not_count() -> None:
    widths = np.array([1.0, 1.0, np.nan]) * MM
    spalls = np.array([np.nan, 80.0, np.nan]) * MM
    assert severity("transverse crack", crack_width=widths, spall_width=spalls).tolist() == [LOW, HIGH, 0]


def distresses(**columns: list[object]) -> pd.DataFrame:
    return table(FACTS["distresses"], columns)


def test_a_field_rating_stands_and_a_blank_one_is_measured() -> None:
    rated = rate_distresses(
        distresses(
            station=[1, 2, 3],
            lane=["1"] * 3,
            kind=["transverse crack"] * 3,
            severity=["low", "", ""],
            crack_width=[0.007, 0.007, np.nan],
        )
    )
    assert rated["severity"].tolist() == ["low", "high", "none"]
    assert rated["measured_severity"].tolist() == ["high", "high", ""]


def test_quantities_per_length_of_lane() -> None:
    rated = rate_distresses(
        distresses(
            station=[1, 2, 3, 4],
            lane=["1", "1", "2", "1"],
            kind=["transverse crack"] * 3 + ["patch"],
            severity=["low", "low", "low", "high"],
            length=[3.0, 4.0, 3.6, 2.0],
            area=[np.nan, np.nan, np.nan, 5.0],
        )
    )
    found = distress_quantities(rated, {"1": 1000.0, "2": 500.0}).set_index(["lane", "kind"])
    assert found.loc[("1", "transverse crack"), "number"] == 2
    assert found.loc[("1", "transverse crack"), "length"] == 7.0
    assert found.loc[("1", "transverse crack"), "number_density"] == pytest.approx(0.002)
    assert found.loc[("2", "transverse crack"), "length_share"] == pytest.approx(3.6 / 500)
    assert found.loc[("1", "patch"), "area"] == 5.0


def test_an_empty_survey_has_no_quantities() -> None:
    assert distress_quantities(rate_distresses(distresses()), {}).empty
