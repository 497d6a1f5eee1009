"""Joints of a lane: those that are known, and the others by the spacing, each marked as such."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from slabwright.demo.truth import TRUTH
from slabwright.project import Project
from slabwright.records.results import StageResult
from slabwright.roadway.joints import joints_by_spacing, joints_of_road, known_joints
from slabwright.units import FOOT


def test_between_known_joints_slabs_are_equal_and_beyond_them_they_follow_the_spacing() -> None:
    """Worked by hand: 10 and 41 with slabs of about 10 are three slabs of 10.333; before 10 lies 0, after 41 lies 51."""
    found = joints_by_spacing(0.0, 60.0, np.array([10.0, 41.0]), 10.0)
    assert found.station == pytest.approx([0.0, 10.0, 20 + 1 / 3, 30 + 2 / 3, 41.0, 51.0])
    assert found.assumed.tolist() == [True, False, True, True, False, True]


def test_a_section_counts_from_a_known_joint_and_not_from_its_boundary() -> None:
    found = joints_by_spacing(3.0, 40.0, np.array([15.5]), 5.0)
    assert found.station == pytest.approx([5.5, 10.5, 15.5, 20.5, 25.5, 30.5, 35.5])


def test_without_a_known_joint_all_are_assumed_and_without_a_spacing_none_is() -> None:
    assert joints_by_spacing(0.0, 12.0, np.array([99.0]), 5.0).assumed.tolist() == [True, True, True]
    found = joints_by_spacing(0.0, 100.0, np.array([7.0, 70.0]), float("nan"))
    assert found.station.tolist() == [7.0, 70.0]
    assert not found.assumed.any()
    assert joints_by_spacing(0.0, 100.0, np.array([]), float("nan")).station.size == 0


@given(st.lists(st.integers(0, 60), max_size=8, unique=True), st.floats(0, 4.5), st.floats(3.5, 8))
def test_joints_of_even_slabs_are_found_wherever_they_are_known(
    number: list[int], first: float, spacing: float
) -> None:
    """Known exactly at some joints of evenly spaced slabs: every joint of the lane comes out at its place, none else."""
    known = np.sort(np.array([first + n * spacing for n in number], dtype=float))
    end = first + 60.5 * spacing
    found = joints_by_spacing(0.0, end, known, spacing)
    if number:
        every = first % spacing + spacing * np.arange(100)
        assert found.station == pytest.approx(every[every < end - 1e-6], abs=1e-9)
    assert (~found.assumed).sum() == len(number)


def test_the_demo_road_has_its_joints_within_half_a_foot(
    demo_project: Project, demo_results: dict[str, StageResult]
) -> None:
    """Truth: a joint every 15 ft from the begin of each stretch; the plate touches it, half a foot away. Tested lanes.

    All but one in fifty: where a stretch begins anew its joints do not follow those before it.
    """
    facts = demo_project.facts()
    joints = joints_of_road(facts, demo_results["evaluation"].tables["condition"])
    tested = joints[joints["lane"].isin(["NB3", "SB3"])]
    begins = np.array([s.begin for s in TRUTH.stretches])[TRUTH.index_at(tested["station"])]
    off = (tested["station"].to_numpy() - begins + TRUTH.slab_length / 2) % TRUTH.slab_length - TRUTH.slab_length / 2
    assert np.quantile(np.abs(off), 0.98) < 0.51 * FOOT
    assert len(tested) == pytest.approx(2 * (TRUTH.boundaries[-1] - TRUTH.begin) / TRUTH.slab_length, rel=0.01)
    assert 0.05 < (~tested["assumed"].astype(bool)).mean() < 0.5


def test_tests_on_both_sides_of_a_joint_and_its_spall_are_one_joint(demo_project: Project) -> None:
    facts = demo_project.facts()
    deflections = facts.deflections.iloc[:3].assign(lane="X", station=[99.8, 100.2, 150.0])
    deflections["position"] = ["joint approach", "joint leave", "mid-slab"]
    distresses = facts.distresses.iloc[:2].assign(lane="X", station=[200.1, 250.0], kind=["joint spalling", "patch"])
    assert known_joints(replace(facts, deflections=deflections, distresses=distresses), "X") == pytest.approx([
        100.0,
        200.1,
    ])
    near = pd.concat([distresses, distresses.iloc[:1].assign(station=100.3)])
    assert known_joints(replace(facts, deflections=deflections, distresses=near), "X") == pytest.approx([100.3, 200.1])
