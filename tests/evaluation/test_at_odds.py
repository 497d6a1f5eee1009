"""Surveys that deny what the table of the existing pavement says are open points; what they agree with is none."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from slabwright.project import Project
from slabwright.records.facts import Facts
from slabwright.records.remarks import reads
from tests.pipeline import tables

ODD = ("declared", "its own cores")


@pytest.fixture(scope="module")
def facts(demo_project: Project) -> Facts:
    return demo_project.facts()


def odd(facts: Facts) -> dict[str, str]:
    """The points of that kind by section; one a section."""
    points = tables(facts, until="evaluation")["open_points"]
    said = {row.about: reads(row.point, "us") for row in points.itertuples(index=False)}
    return {about: words for about, words in said.items() if any(odd in words for odd in ODD)}


def test_the_demo_is_what_it_is_declared_to_be(facts: Facts) -> None:
    assert odd(facts) == {}


def test_tests_at_joints_of_a_slab_that_has_none(facts: Facts) -> None:
    told = odd(replace(facts, layers=facts.layers.assign(pavement="CRCP")))
    frame = facts.deflections
    at_joints = frame[frame["position"].str.startswith("joint")]["station"].nunique()
    ((names, words),) = told.items()
    assert "continuously reinforced" in words
    counted = int(words.split(" while ")[1].split()[0])
    assert counted == pytest.approx(at_joints, abs=2 * len(names.split(", ")))  # both directions may share a station


def test_punchouts_of_a_jointed_slab(facts: Facts) -> None:
    frame = facts.distresses
    some = frame.index[frame["lane"] == "NB3"][:3]
    changed = frame.assign(kind=np.where(frame.index.isin(some), "punchout", frame["kind"]))
    told = odd(replace(facts, distresses=changed))
    (words,) = told.values()
    assert words.endswith("3 punchouts were found, which continuous slabs have")


def test_cores_that_are_not_as_thick_as_planned(facts: Facts) -> None:
    thinner = facts.layers.assign(thickness=facts.layers["thickness"] - 0.0254)  # an inch
    told = odd(replace(facts, layers=thinner))
    with_cores = set(tables(facts, until="evaluation")["core_states"]["section"]) - {""}
    ((names, words),) = told.items()
    assert set(names.split(", ")) <= with_cores
    assert words.startswith("the slab by its own cores (mean, how many), by the plan, and as it is taken: ")
    assert "W1: 9.01 in of 6, 8.00 in, 8.99 in" in words  # an inch off the plan of 9 in


def test_joints_tested_nearer_than_slabs_are_long(facts: Facts) -> None:
    """Four neighbouring joints 15 ft apart are tested in W1; the plan is made to say 15 and then 30 ft."""
    frame = facts.deflections
    rows = frame[(frame["lane"] == "NB3") & frame["position"].str.startswith("joint")].head(4)
    first = float(rows["station"].iloc[0])
    moved = frame.copy()
    moved.loc[rows.index, "station"] = first + 4.572 * np.arange(len(rows))
    near = replace(facts, deflections=moved)
    long = replace(near, layers=near.layers.assign(joint_spacing=9.144))
    word = "nearer than the slabs are declared long"
    for road, told in ((near, 0), (long, 1)):
        points = tables(road, until="evaluation")["open_points"]["point"]
        assert sum(word in reads(p, "us") for p in points) == told


def test_a_core_without_a_mark_is_assumed_whole_where_only_delaminated_ones_are_marked(facts: Facts) -> None:
    blank = facts.cores.assign(delaminated="", delamination_depth=np.nan)
    marked = blank.copy()
    marked.loc[marked.index[0], "delaminated"] = "yes"
    name = "Cores without a mark are whole"
    before, after = (
        tables(replace(facts, cores=c), until="evaluation")["assumptions"]["quantity"].eq(name).sum()
        for c in (blank, marked)
    )
    assert before == 0
    assert after > 0


def test_a_slab_of_unknown_kind_is_not_judged(facts: Facts) -> None:
    """Of a slab declared without joints in which joints were tested nobody knows what it is: no answer is built on it."""
    verdicts = tables(replace(facts, layers=facts.layers.assign(pavement="CRCP")), until="evaluation")["verdicts"]
    found = dict(zip(verdicts["section"], verdicts["verdict"], strict=True))
    assert found["W1"] == found["W2"] == "not judged"
    assert found["W5"] != "not judged"  # which is what it is declared to be


def test_cores_of_one_direction_say_nothing_of_the_other(facts: Facts) -> None:
    """SB cored two inches thinner than NB, one line of plan for both: each is taken as its own cores say."""
    south = facts.cores["lane"].str.startswith("SB")
    thick = np.where(south, facts.cores["thickness"] - 0.0508, facts.cores["thickness"])
    made = tables(replace(facts, cores=facts.cores.assign(thickness=thick)), until="evaluation")
    before = tables(facts, until="evaluation")
    change = (
        before["condition"].set_index("section")["thickness"] - made["condition"].set_index("section")["thickness"]
    ) / 0.0508
    with_cores = facts.cores["station"].between(*before["condition"].set_index("section").loc["A1", ["begin", "end"]])
    assert (with_cores & south).sum() >= 3
    assert change["A1"] == pytest.approx(1.0, abs=0.1)
    assert change[["W1", "W2", "W3"]].abs().max() < 0.02
