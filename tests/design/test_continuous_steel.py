"""Continuous steel is of the overlay's concrete, and says where its range held it; decisions that moved still open."""

from __future__ import annotations

from dataclasses import replace

import pytest

from slabwright.design.details import _continuous_design
from slabwright.design.steel import continuous_steel_for_stress
from slabwright.records.decisions import Decisions, from_plain
from slabwright.records.remarks import Remark, worded
from slabwright.units import PSI

CHOICE = Decisions().design


def test_steel_follows_the_flexural_strength_of_the_overlay() -> None:
    """The stress equation governs here; tension is 0.86 of the modulus of rupture (crcp_slides)."""
    for strength in (600 * PSI, 700 * PSI):
        found = _continuous_design(0.09, 3.6, replace(CHOICE, overlay_strength=strength))
        by_hand = continuous_steel_for_stress(
            60000 * PSI, CHOICE.temperature_drop, 0.86 * strength, 0.0, CHOICE.shrinkage
        )
        assert found["steel_ratio"] == pytest.approx(float(by_hand))
        assert found["note"] == "continuous reinforcement"


@pytest.mark.parametrize(
    ("changed", "ratio", "said"),
    [
        ({"overlay_strength": 1100 * PSI}, 0.015, "held at its upper bound"),
        (
            {"overlay_strength": 400 * PSI, "temperature_drop": 5.0, "shrinkage": 1.5e-3, "bar_diameter": 0.0064},
            0.004,
            "lower bound of its range",
        ),
    ],
)
def test_steel_held_at_an_end_of_its_range_says_so(changed: dict[str, float], ratio: float, said: str) -> None:
    found = _continuous_design(0.09, 3.6, replace(CHOICE, **changed))
    assert found["steel_ratio"] == pytest.approx(ratio)
    note = found["note"]
    assert isinstance(note, Remark)
    assert said in worded(note, "us")


def test_saved_decisions_of_older_versions_open() -> None:
    decisions = from_plain({"life.overlay_strength": 5.0e6, "bond.creep_coefficient": 2.0})
    assert decisions.design.overlay_strength == 5.0e6
