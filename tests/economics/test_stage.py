"""The stage on the demo road: a price makes nothing else stale, and its tables come to one sum."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from slabwright.cli import stages as cli_stages
from slabwright.economics.pricing import unit_prices
from slabwright.project import Project, open_project
from slabwright.records.decisions import Decisions, from_plain, to_plain
from slabwright.records.remarks import worded
from slabwright.records.results import StageResult
from slabwright.stages import stages
from slabwright.web.parts import alternatives
from slabwright.workflow import Computation, summary_rows
from tests.conftest import clock
from tests.mechanistic_results import save_field_results

PRICES = [f"economics.{name}" for name in unit_prices(Decisions().economics)]


@pytest.mark.parametrize("price", PRICES)
def test_a_price_is_part_of_no_other_result(demo_project: Project, price: str) -> None:
    before, after = Computation(demo_project), Computation(demo_project)
    after.decisions = from_plain(to_plain(before.decisions) | {price: 123.0})
    names = [stage.name for stage in stages()]
    assert [name for name in names if before.key(name) != after.key(name)] == ["economics"]


def test_a_price_leaves_design_bond_and_life_current(demo_file: Path, tmp_path: Path) -> None:
    with open_project(shutil.copy(demo_file, tmp_path / "demo.slab"), user="tester", clock=clock) as project:
        save_field_results(project)
        project.decide("base", {"economics.concrete_cost": 400.0, "economics.full_depth_cost": 1.0})
        states = {state.stage: state.state for state in Computation(project).states()}
        assert {name for name, state in states.items() if state != "current"} == {"economics"}
        assert {"design", "bond", "life"} <= set(states)


def test_each_repair_each_kind_and_each_section_come_to_one_sum(priced_results: dict[str, StageResult]) -> None:
    demo_results = priced_results
    found = demo_results["economics"].tables
    each, kinds, sections = (found[n] for n in ("repair_costs", "repair_kind_costs", "section_costs"))
    for section, cost in zip(sections["section"], sections["repair_cost"], strict=True):
        assert each.loc[each["section"] == section, "cost"].sum() == pytest.approx(cost)
        assert kinds.loc[kinds["section"] == section, "cost"].sum() == pytest.approx(cost)
    assert each["cost"].sum() == pytest.approx(sections["repair_cost"].sum())
    parts = sections[["concrete_cost", "surface_cost", "repair_cost"]].sum(axis=1)
    assert sections["cost"].tolist() == pytest.approx(parts.tolist())
    assert each["repair"].tolist() == demo_results["repair"].tables["repairs"]["repair"].tolist()


def test_the_demo_road_says_what_its_sum_leaves_out(demo_results: dict[str, StageResult]) -> None:
    text = " ".join(worded(note, "us") for note in demo_results["economics"].notes)
    assert "9 of 9 unit prices are the program's placeholders" in text
    thick = demo_results["design"].tables["thicknesses"]
    for name in thick.loc[~(thick["overlay"] > 0), "section"]:
        assert name in text.partition("No bonded overlay is priced for ")[2].partition(",")[0]
    designed = " ".join(worded(note, "us") for note in demo_results["design"].notes)
    assert "No bonded overlay is designed in sections W4 and A4." in designed


def test_a_summary_has_the_costs_that_were_asked_for(priced_results: dict[str, StageResult]) -> None:
    demo_results = priced_results
    whole = demo_results["economics"].tables["section_costs"]["cost"].sum()
    costs = [row["cost"] for row in summary_rows(demo_results)]
    assert sum(cost for cost in costs if cost == cost) == pytest.approx(whole)
    short = {name: result for name, result in demo_results.items() if name != "economics"}
    assert all(row["cost"] != row["cost"] for row in summary_rows(short))


def test_side_by_side_a_section_without_an_overlay_shows_what_its_repairs_cost() -> None:
    row = {
        "verdict": "not judged",
        "overlay": float("nan"),
        "years": float("nan"),
        "reduction": float("nan"),
        "cost": 290.0,
    }
    bare = {**row, "cost": float("nan")}
    assert cli_stages._cell(row, "us") == "not judged, cost 290"
    assert cli_stages._cell(bare, "us") == "not judged"
    assert "290" in alternatives._cells(row, "us")
    assert "290" not in alternatives._cells(bare, "us")
