"""Where and when the old slab was not tested is an open point."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from slabwright.project import Project
from slabwright.records.decisions import Decisions, change
from slabwright.records.facts import Facts
from slabwright.records.remarks import reads
from tests.pipeline import tables


@pytest.fixture(scope="module")
def facts(demo_project: Project) -> Facts:
    return demo_project.facts()


def points(facts: Facts, decisions: Decisions | None = None) -> dict[str, str]:
    frame = tables(facts, decisions, until="evaluation")["open_points"]
    return {reads(row.point, "us"): row.about for row in frame.itertuples(index=False)}


def those(found: dict[str, str], words: str) -> dict[str, str]:
    return {said: about for said, about in found.items() if words in said}


def test_the_demo_was_tested_where_and_when_it_should_be(facts: Facts) -> None:
    found = points(facts)
    for words in ("which the trucks of the design use", "less than half", "above 80.6", "deflection tests are of"):
        assert not those(found, words)


def test_another_lane_stands_for_the_design_lane(facts: Facts) -> None:
    lane = facts.deflections["lane"].replace("NB3", "NB1")
    told = those(
        points(replace(facts, deflections=facts.deflections.assign(lane=lane))), "which the trucks of the design use"
    )
    assert len(told) == 3  # mid-slab, joints, corners
    assert all("W1" in about and "A1" not in about for about in told.values())
    assert all("no row" not in said and "lane NB3" in said for said in told)


def test_tests_in_one_end_of_a_section(facts: Facts) -> None:
    frame = facts.deflections
    station = np.where(
        frame["lane"].isin(["NB3"]) & (frame["position"] == "mid-slab"),
        frame["station"].min() + 1e-3 * frame["station"],
        frame["station"],
    )
    told = those(
        points(replace(facts, deflections=frame.assign(station=station))), "mid-slab tests span less than half"
    )
    assert told


def test_warm_joints(facts: Facts) -> None:
    warm = facts.deflections.assign(surface_temperature=40.0)
    (about,) = those(points(replace(facts, deflections=warm)), "which hides poor load transfer and voids").values()
    assert {"W1", "A1"} <= set(about.split(", "))


@pytest.mark.parametrize(
    ("date", "words"),
    [("1991-05-01", "of 1991 to 1991, more than five years before"), ("2033-05-01", "of 2033 to 2033, after")],
)
def test_tests_of_another_time(facts: Facts, date: str, words: str) -> None:
    assert those(points(replace(facts, deflections=facts.deflections.assign(date=date))), words)


def test_a_factor_by_hand_beside_weighed_axles(facts: Facts) -> None:
    assert len(facts.axles)
    by_hand = change(Decisions(), "traffic.esal_per_truck", "0.1")
    assert those(points(facts, by_hand), "the axle loads of the road are not used")
    assert not those(points(facts), "the axle loads of the road are not used")
