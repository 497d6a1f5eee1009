"""Flexural strength by cores in compression, by split cores, and by neither.

AASHTO Guide 1993, Part III, 5.8.5 (from memory): S'c = 210 + 1.02 IT [psi] by splitting.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from slabwright.project import Project
from slabwright.records.facts import Facts
from slabwright.records.remarks import reads
from slabwright.survey.cores import strength_tested
from slabwright.units import PSI
from tests.pipeline import decided, tables


@pytest.fixture
def facts(demo_project: Project) -> Facts:
    return demo_project.facts()


def condition(facts: Facts) -> pd.DataFrame:
    return tables(facts, decided(strength_from="cores"), until="evaluation")["condition"].set_index("section")


def test_split_cores_speak_where_none_was_tested_in_compression(facts: Facts) -> None:
    """450 psi everywhere: 210 + 1.02 x 450 = 669 psi in every section."""
    cores = facts.cores.assign(compressive_strength=np.nan, split_strength=450 * PSI)
    found = condition(replace(facts, cores=cores))
    assert found["rupture"].to_numpy() / PSI == pytest.approx(np.full(len(found), 669.0))
    assert found["core_strength"].isna().all()
    weak = condition(replace(facts, cores=cores.assign(split_strength=200 * PSI)))
    assert (weak["rupture"] < found["rupture"]).all()


def test_cores_in_compression_go_before_split_ones(facts: Facts) -> None:
    before = condition(facts)
    cores = facts.cores.assign(split_strength=facts.cores["split_strength"] / 2)
    after = condition(replace(facts, cores=cores))
    tested = before["core_split"].isna()
    assert tested.any()
    pd.testing.assert_series_equal(before.loc[tested, "rupture"], after.loc[tested, "rupture"])


def test_cores_of_the_other_direction_say_nothing_of_a_section(facts: Facts) -> None:
    """3,500 psi with the stationing and 8,500 against it: every mean is of its own side, whatever the corrections of a core."""
    lanes = facts.cores["lane"]
    north = lanes.str.startswith("NB")
    tested = facts.cores["compressive_strength"].notna()
    strength = pd.Series(np.where(north, 3500.0, 8500.0) * PSI, index=lanes.index).where(tested)
    found = condition(replace(facts, cores=facts.cores.assign(compressive_strength=strength, material_distress="none")))
    weak = found.index.str.startswith("W")
    assert (found.loc[weak, "core_strength"] < 4500 * PSI).all()
    assert (found.loc[~weak, "core_strength"] > 7500 * PSI).all()


def test_a_core_without_a_strength_or_of_bad_concrete_is_no_test_of_strength() -> None:
    cores = pd.DataFrame({
        "compressive_strength": [30e6, np.nan, np.nan, 40e6, 30e6],
        "split_strength": [np.nan, 3e6, np.nan, np.nan, np.nan],
        "specimen_length": [0.2, np.nan, np.nan, 0.2, np.nan],
        "diameter": [0.1, np.nan, np.nan, 0.1, 0.1],
        "material_distress": ["none", "", "none", "alkali-silica reaction", "none"],
    })
    assert strength_tested(cores).tolist() == [True, True, False, False, False]


def test_a_strength_whose_specimen_nobody_measured_is_told(facts: Facts) -> None:
    """A laboratory's list of strengths alone: none of them can be corrected, so none counts, and that is an open point."""
    listed = facts.cores.assign(diameter=np.nan, specimen_length=np.nan)
    made = tables(replace(facts, cores=listed), until="evaluation")
    said = [reads(p, "us") for p in made["open_points"]["point"]]
    assert any("tested in compression have no diameter or no length of the specimen" in words for words in said)
    assert (made["assumptions"]["quantity"] == "Flexural strength").sum() >= 6  # the others have split cores
    assert not any(
        "no diameter or no length" in reads(p, "us") for p in tables(facts, until="evaluation")["open_points"]["point"]
    )


def test_one_sound_core_is_no_worse_than_none_where_cores_are_assumed(facts: Facts) -> None:
    """Of W1 one core is left: with no core at all the section is assumed sound by name, so with one it must be too."""
    sections = tables(facts, until="evaluation")["core_states"]["section"].to_numpy()
    keep = (sections != "W1") | (np.arange(len(sections)) == np.flatnonzero(sections == "W1")[0])
    one = replace(facts, cores=facts.cores[keep].reset_index(drop=True))
    verdicts = [
        tables(one, d, until="evaluation")["verdicts"].set_index("section").loc["W1", "verdict"]
        for d in (decided(), decided(assume_without_cores="yes"))
    ]
    assert verdicts == ["not judged", "suited after repair"]
    told = tables(one, until="evaluation")["open_points"]
    assert any(reads(r.point, "us").startswith("fewer cores than the") for r in told.itertuples() if r.about == "W1")
