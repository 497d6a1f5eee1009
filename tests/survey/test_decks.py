"""Tests on a deck that carries the road make no section and enter no mean of one."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from slabwright.project import Project
from slabwright.records.facts import Facts
from tests.pipeline import tables


@pytest.fixture(scope="module")
def facts(demo_project: Project) -> Facts:
    return demo_project.facts()


def long_deck(facts: Facts, factor: float) -> Facts:
    """A deck of 300 m within one section of the demo, on which all deflections are so many times theirs."""
    begin, end = 3350.0, 3650.0
    deck = facts.bridges.iloc[:1].assign(name="Deck", begin=begin, end=end, passes="under the road")
    columns = [c for c in facts.deflections if c.startswith("deflection")]
    on_it = facts.deflections["station"].between(begin, end)
    assert on_it.sum() > 20
    deflections = facts.deflections.copy()
    deflections.loc[on_it, columns] *= factor
    return replace(facts, bridges=pd.concat([facts.bridges, deck], ignore_index=True), deflections=deflections)


def test_a_deck_that_deflects_much_more_leaves_the_sections_as_they_are(facts: Facts) -> None:
    one, many = (tables(long_deck(facts, factor), until="survey") for factor in (1.0, 5.0))
    pd.testing.assert_frame_equal(one["sections"], many["sections"])
    pd.testing.assert_frame_equal(one["differences"], many["differences"])
    assert len(many["basins"]) == len(one["basins"])  # the tests themselves stay to be seen
    stations = many["differences"]["station"].to_numpy()
    assert not np.any((stations > 3350) & (stations < 3650))


def test_without_the_deck_the_same_tests_change_the_sections(facts: Facts) -> None:
    tested = long_deck(facts, 5.0)
    plain = tables(replace(tested, bridges=facts.bridges), until="survey")["sections"]
    assert plain["mean_deflection"].max() > 1.5 * tables(tested, until="survey")["sections"]["mean_deflection"].max()
