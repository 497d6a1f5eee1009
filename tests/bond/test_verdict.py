"""Verdicts by stress and energy together, the overlay's own tension, and what the notes say of both."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from slabwright.bond.notes import notes
from slabwright.bond.strength import concrete_tension
from slabwright.bond.verdict import growth, outcome, remedy
from slabwright.materials.terms import DAY, YEAR
from slabwright.records.decisions import Decisions
from slabwright.records.remarks import worded
from tests.mechanistic_results import bond_result

TABLES = bond_result({"A1": 0.075, "A2": 0.075, "A3": 0.05, "A4": 0.1}).tables


@pytest.mark.parametrize(
    ("stress", "energy", "wanted"),
    [(True, True, "no"), (True, False, "open"), (False, True, "open"), (False, False, "yes")],
)
def test_three_outcomes(stress: bool, energy: bool, wanted: str) -> None:
    """Leguillon 2002, from memory: a crack begins only where both suffice; one alone shows neither."""
    assert outcome(stress, energy) == wanted
    said = remedy(wanted, stress, "shrinkage")
    assert ("shrinkage test of the mix" in said and "records of overlays" in said) == (wanted == "open")
    assert bool(said) == (wanted != "yes")
    if wanted == "open":
        assert said.startswith("stress reaches" if stress else "the energy released reaches")
        assert "energy" not in remedy("no", True, "wheels").split(";")[1]


@pytest.mark.parametrize(("mean", "tension"), [(28, 2.2), (33, 2.6), (38, 2.9), (58, 4.1), (63, 4.2), (68, 4.4)])
def test_tensile_strength_by_table_3_1(mean: float, tension: float) -> None:
    """EN 1992-1-1, Table 3.1 (from memory): C20/25 to C60/75."""
    at_28_days = float(concrete_tension(mean * 1e6, np.asarray([28 * DAY]), "normal")[0])
    assert at_28_days / 1e6 == pytest.approx(tension, abs=0.05)
    assert float(concrete_tension(mean * 1e6, np.asarray([3 * DAY]), "normal")[0]) < 0.7 * at_28_days


def said(tables: dict[str, pd.DataFrame], decisions: Decisions | None = None) -> list[str]:
    return [worded(note, "metric") for note in notes(tables, decisions or Decisions())]


def test_the_notes_count_and_name_each_outcome() -> None:
    found = said(TABLES)
    assert "passes in 2 of 4 sections, is open in 1 and fails in 1" in found[0]
    assert "60.00 N/m, of 50.00 N/m decided" in found[0]
    assert any(f.startswith("The bond is open at the corner in section A2:") for f in found)
    assert any(f.startswith("The bond fails at the corner in section A4:") for f in found)


def test_an_open_verdict_that_a_factor_on_energy_would_turn_is_told() -> None:
    """17 N/m times 1.5 squared is 38; 23 N/m is 52, above the 50 decided."""
    assert not any("without a factor" in f for f in said(TABLES))
    verdicts = TABLES["bond_verdicts"].copy()
    verdicts.loc[1, "energy"] = 23.0
    (told,) = [f for f in said(TABLES | {"bond_verdicts": verdicts}) if "without a factor" in f]
    assert "2.250 on energy" in told
    assert "in section A2:" in told


def test_an_overlay_that_cracks_is_told_with_number_and_age() -> None:
    assert not any("would crack" in f for f in said(TABLES))
    verdicts = TABLES["bond_verdicts"].copy()
    verdicts.loc[1, "pull_held"], verdicts.loc[1, "pull_age"] = 3.5e6, 5 * YEAR
    (cracked,) = [f for f in said(TABLES | {"bond_verdicts": verdicts}) if "would crack between joints" in f]
    for part in ("in section A2:", "5.0 years", "3.500 MPa", "2.700 MPa"):
        assert part in cracked, (part, cracked)


def test_unlike_expansion_is_told_either_way() -> None:
    decisions = Decisions()
    assert any("taken to expand alike" in f for f in said(TABLES, decisions))
    unlike = replace(decisions, bond=replace(decisions.bond, expansion_difference=2e-6, yearly_change=30.0))
    (told,) = [f for f in said(TABLES, unlike) if "expand unlike" in f]
    assert "6e-05" in told


def test_a_patch_is_safe_only_with_the_factor_required() -> None:
    """Energy goes with the square of the load (linear elasticity): 1.5 on the load is 2.25 on energy, 50 / 2.25 = 22.2."""
    assert growth(50.1, 50.0, 1.5) == "may grow"
    assert growth(22.3, 50.0, 1.5) == "may grow with the factor required"
    assert growth(22.2, 50.0, 1.5) == "does not grow"
    assert growth(22.3, 50.0, 1.0) == "does not grow"
    assert growth(float("nan"), 50.0, 1.5) == "no energy from an even strain"
