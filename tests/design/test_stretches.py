"""Thickness as built: the search against every way of cutting a run, areas by hand, and what is decided by hand.

Expected values come from enumeration of all ways (an independent method) and from multiplication done here.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import numpy as np
import pandas as pd
import pytest
from hypothesis import given as drawn
from hypothesis import strategies as st

from slabwright.design.built import built_thickness, least_volume_stretches, runs, thickness_by_hand
from slabwright.errors import InputError, OutOfRange
from slabwright.project import Project
from slabwright.records.decisions import Decisions, change
from slabwright.records.decisions.design import BY_DIRECTION, BY_SECTION, DesignDecisions
from slabwright.records.results import StageResult
from slabwright.records.stage import RunContext
from slabwright.stages import stage_named
from slabwright.units import FOOT, INCH
from slabwright.workflow import Computation

WITH, AGAINST = "with stationing", "against stationing"
SECTIONS = pd.DataFrame({
    "section": ["W1", "W2", "W3", "W4", "A1", "A2"],
    "direction": [WITH] * 4 + [AGAINST] * 2,
    "begin": [0.0, 500.0, 700.0, 2000.0, 0.0, 900.0],
    "end": [500.0, 700.0, 1500.0, 2300.0, 900.0, 2300.0],
})
ROUNDED = np.array([0.08, 0.12, 0.09, 0.07, 0.10, 0.06])
AREA = (SECTIONS["end"] - SECTIONS["begin"]).to_numpy() * 10.0
ONE = DesignDecisions(least_stretch=400.0)


def concrete(ways: list[tuple[int, int]], need: list[float], area: list[float]) -> float:
    return sum(max(need[a:b]) * sum(area[a:b]) for a, b in ways)


def every_way(n: int) -> list[list[tuple[int, int]]]:
    """All 2^(n-1) ways to cut n sections into stretches."""
    cuts = [c for k in range(n) for c in combinations(range(1, n), k)]
    return [list(zip((0, *c), (*c, n), strict=True)) for c in cuts]


@drawn(
    st.lists(st.tuples(st.integers(4, 12), st.integers(50, 900), st.integers(0, 900)), min_size=1, max_size=7),
    st.integers(0, 2500),
)
def test_no_way_of_cutting_takes_less_concrete(rows: list[tuple[int, int, int]], least: int) -> None:
    need, length, area = ([r[i] / d for r in rows] for i, d in ((0, 100), (1, 1), (2, 1)))
    found = least_volume_stretches(np.array(need), np.array(area), np.array(length), float(least))
    allowed = [w for w in every_way(len(rows)) if len(w) == 1 or all(sum(length[a:b]) >= least for a, b in w)]
    fewest = min(concrete(w, need, area) for w in allowed)
    assert found in allowed
    assert concrete(found, need, area) == pytest.approx(fewest, rel=1e-8, abs=1e-12)
    equals = [len(w) for w in allowed if concrete(w, need, area) == pytest.approx(fewest, rel=1e-12, abs=1e-15)]
    assert len(found) <= min(equals)


def test_an_example_by_hand() -> None:
    """200 m that need 120 mm join the 500 m of 80 mm (40 mm x 5,000 m2) and not the 800 m of 90 mm (30 mm x 8,000 m2)."""
    found = built_thickness(SECTIONS, ROUNDED, AREA, ONE)
    np.testing.assert_allclose(found.proposed, [0.12, 0.12, 0.09, 0.07, 0.10, 0.06])
    assert (found.built == found.proposed).all()
    assert not found.decided_by.any()


def test_a_gap_begins_a_new_run_and_a_lone_short_section_is_a_stretch() -> None:
    assert [list(r) for r in runs(SECTIONS, np.full(6, True))] == [[0, 1, 2], [3], [4, 5]]
    assert [list(r) for r in runs(SECTIONS, np.array([True, False, True, True, True, True]))] == [[0], [2], [3], [4, 5]]
    assert least_volume_stretches(np.array([0.08]), np.array([1.0]), np.array([5.0]), 100.0) == [(0, 1)]


def test_by_direction_and_by_section() -> None:
    by = {
        how: built_thickness(SECTIONS, ROUNDED, AREA, replace(ONE, one_thickness_over=how))
        for how in (BY_DIRECTION, BY_SECTION)
    }
    np.testing.assert_allclose(by[BY_DIRECTION].built, [0.12] * 4 + [0.10] * 2)
    np.testing.assert_allclose(by[BY_SECTION].built, ROUNDED)
    holes = built_thickness(SECTIONS, np.where(np.arange(6) == 1, np.nan, ROUNDED), AREA, ONE)
    np.testing.assert_allclose(holes.built, [0.08, np.nan, 0.09, 0.07, 0.10, 0.06])


def test_what_is_decided_by_hand_goes_before_the_rest() -> None:
    """A section before its direction, that before the whole road, that before the proposal; 110 mm and 4.5 in by arithmetic."""
    choice = replace(ONE, thickness=0.1, thickness_by_hand=f"W2, A1: 4.5 in; {WITH}: 110 mm")
    found = built_thickness(SECTIONS, ROUNDED, AREA, choice)
    np.testing.assert_allclose(found.built, [0.11, 0.1143, 0.11, 0.11, 0.1143, 0.1])
    assert list(found.decided_by) == ["design.thickness_by_hand"] * 5 + ["design.thickness"]


@pytest.mark.parametrize(
    ("words", "error", "said"),
    [
        ("W9: 4 in", InputError, "neither a direction nor a section"),
        ("W1: 4", InputError, "needs its unit"),
        ("W1 4 in", InputError, "then a colon"),
        ("W1:", InputError, "then a colon"),
        ("W1: 4 in; W1: 5 in", InputError, "named twice"),
        ("W1: 4 psi", InputError, "psi"),
        ("W1: 9 in", OutOfRange, "outside its bounds"),
    ],
)
def test_words_that_cannot_be_read_are_refused(words: str, error: type[InputError], said: str) -> None:
    with pytest.raises(error, match=said):
        thickness_by_hand(words, SECTIONS)


def test_a_thickness_by_hand_is_refused_when_it_is_decided(
    demo_project: Project, demo_results: dict[str, StageResult]
) -> None:
    """As ``run`` would; without a result of the evaluation what the words say by themselves; in the units of the road."""
    now = Computation(demo_project)
    for words, said in (
        ("W9: 4 in", "W9"),
        ("A4: 4 in", "A4"),  # which is refused
        ("W1: 4 in; W1: 5 in", "named twice"),
        ("W1: 12 in", r"given '12 in'; allowed 0\.50 in to 8\.00 in"),
    ):
        with pytest.raises(InputError, match=said):
            now.check_decided({"design.thickness_by_hand": words})
    now.check_decided({"design.thickness_by_hand": "W1: 4 in; with stationing: 3 in"})
    with pytest.raises(InputError, match="no way through"):
        now.check_decided({"design.refused_by_hand": "A4: crack and seat"})


def computed(project: Project, results: dict[str, StageResult], **changes: str) -> dict[str, pd.DataFrame]:
    decisions = Decisions()
    for name, text in changes.items():
        decisions = change(decisions, f"design.{name}", text)
    stage = stage_named("design")
    return dict(stage.compute(stage.given(project.facts(), decisions, results, RunContext())).tables)


def test_quantities_steel_and_bond_speak_of_what_is_built(
    demo_project: Project, demo_results: dict[str, StageResult]
) -> None:
    """2,500 ft is more than A2 is long, so that it joins A3: 4.5 in over both, by areas of 36 ft less the deck of 170 ft."""
    found = computed(demo_project, demo_results, least_stretch="2500 ft")
    stretch = found["stretches"].set_index("sections").loc["A2, A3"]
    assert stretch["overlay"] == pytest.approx(4.5 * INCH)
    assert stretch["area"] == pytest.approx((16750 - 12802.5 - 170) * 36 * FOOT**2)
    assert stretch["volume"] == pytest.approx(stretch["area"] * 4.5 * INCH)
    of = {
        name: found[name].set_index("section")["overlay"]
        for name in ("thicknesses", "overlay_quantities", "steel", "bond")
    }
    for name, overlay in of.items():
        assert overlay["A3"] == pytest.approx(4.5 * INCH), name
    thick = found["thicknesses"].set_index("section").loc["A3"]
    assert thick["rounded"] == pytest.approx(3 * INCH)
    assert thick["surplus"] == pytest.approx(4.5 * INCH - thick["bonded"])
    assert stretch["most_surplus"] == pytest.approx(thick["surplus"])


def test_a_name_that_is_no_section_is_told_before_the_run(
    demo_project: Project, demo_results: dict[str, StageResult]
) -> None:
    stage = stage_named("design")
    decisions = change(Decisions(), "design.thickness_by_hand", "A4: 4 in")  # A4 is refused
    (problem,) = stage.unmet(stage.given(demo_project.facts(), decisions, demo_results, RunContext()))
    assert "neither a direction nor a section" in str(problem)
