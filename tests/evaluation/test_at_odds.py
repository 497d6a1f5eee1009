"""Surveys that deny what the table of the existing pavement says are open points; what they agree with is none."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from slabwright.project import Project
from slabwright.records.facts import Facts
from slabwright.records.remarks import reads
from tests.pipeline import tables

ODD = ("declared", "cores are")


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
    counted = [int(words.split(" while ")[1].split()[0]) for words in told.values()]
    assert all("continuously reinforced" in words for words in told.values())
    assert sum(counted) == pytest.approx(at_joints, abs=2 * len(told))  # both directions may share a station


def test_punchouts_of_a_jointed_slab(facts: Facts) -> None:
    frame = facts.distresses
    some = frame.index[frame["lane"] == "NB3"][:3]
    changed = frame.assign(kind=np.where(frame.index.isin(some), "punchout", frame["kind"]))
    told = odd(replace(facts, distresses=changed))
    assert told
    assert all("punchouts were found, which continuous slabs have" in words for words in told.values())


def test_cores_that_are_not_as_thick_as_planned(facts: Facts) -> None:
    thinner = facts.layers.assign(thickness=facts.layers["thickness"] - 0.0254)  # an inch
    told = odd(replace(facts, layers=thinner))
    with_cores = tables(facts, until="evaluation")["core_states"]["section"].replace("", np.nan).dropna().unique()
    assert 0 < len(told) <= len(with_cores)
    assert all("and the plan says" in words for words in told.values())


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
