"""What ``run`` would refuse, ``check`` says, and nothing else: tables emptied, cells blanked and decisions mistaken in turn."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from slabwright.errors import InputError, SlabwrightError
from slabwright.project import Project, open_project
from slabwright.records.decisions import change
from slabwright.records.facts import FACTS, Facts
from slabwright.records.results import StageResult
from slabwright.records.stage import RunContext, Stage
from slabwright.records.table import empty
from slabwright.stages import plan, stage_named, stages
from slabwright.workflow import Computation
from tests.conftest import clock
from tests.pipeline import computed

# table, column, and the rows whose cell is emptied
BLANKED = [
    ("road", "begin", 1),
    ("road", "end", 1),
    ("layers", "thickness", 1),
    ("layers", "pavement", 1),
    ("layers", "year_built", 1),
    ("layers", "year_built", 99),
    ("layers", "joint_spacing", 99),
    ("layers", "begin", 1),
    ("lanes", "width", 1),
    ("lanes", "lane", 1),
    ("counts", "year", 1),
    ("counts", "daily_traffic", 1),
    ("counts", "truck_share", 1),
    ("counts", "truck_share", 99),
    ("axles", "load", 1),
    ("axles", "axle", 1),
    ("bridges", "end", 1),
    ("deflections", "deflection_1", 1),
    ("distresses", "station", 9999),
    ("cores", "thickness", 9999),
]


@pytest.fixture(scope="module")
def given(demo_project: Project) -> Computation:
    """The demo road with results that belong to it."""
    return Computation(demo_project)


def refused_by_run(road: Computation, facts: Facts, decisions: object, until: str) -> str:
    """The refusal of a run up to a stage; a stage that sees nothing changed gives the demo's results."""
    results: dict[str, StageResult] = {}
    for stage in plan(until):
        same = decisions is road.decisions and all(getattr(facts, t) is getattr(road.facts, t) for t in stage.facts)
        if same and all(results[up] is road.result(up) for up in stage.after):
            results[stage.name] = road.result(stage.name)
            continue
        try:
            results[stage.name] = stage.compute(stage.given(facts, decisions, results, RunContext()))  # type: ignore[arg-type]
        except SlabwrightError as refusal:
            return str(refusal)
    return ""


def said_by_check(facts: Facts, decisions: object, stage: Stage) -> list[str]:
    """What is unmet of a stage and those before it without any result, as ``check`` finds it on a road never run."""
    behind = plan(stage.name)
    return [str(p) for s in behind for p in s.unmet(s.given(facts, decisions, {}, RunContext()))]  # type: ignore[arg-type]


def with_blank(facts: Facts, table: str, column: str, rows: int) -> Facts:
    frame: pd.DataFrame = getattr(facts, table)
    values = frame[column].to_numpy(copy=True)
    values[:rows] = "" if FACTS[table][column].is_text else np.nan
    return replace(facts, **{table: frame.assign(**{column: values})})


@pytest.mark.parametrize(("table", "column", "rows"), BLANKED)
def test_run_refuses_a_blank_cell_just_where_check_says_so(
    given: Computation, table: str, column: str, rows: int
) -> None:
    facts = with_blank(given.facts, table, column, rows)
    said = said_by_check(facts, given.decisions, stage_named("evaluation"))
    refused = refused_by_run(given, facts, given.decisions, "evaluation")
    assert bool(refused) == bool(said)
    if said:
        assert refused == said[0]
        assert column in refused or "year of construction" in refused or "share of trucks" in refused


@pytest.mark.parametrize("table", list(FACTS))
def test_run_refuses_an_empty_table_just_where_check_says_so(given: Computation, table: str) -> None:
    facts = replace(given.facts, **{table: empty(FACTS[table])})
    said = said_by_check(facts, given.decisions, stage_named("evaluation"))
    assert refused_by_run(given, facts, given.decisions, "evaluation") == (said[0] if said else "")


@pytest.mark.parametrize(("inches", "refuses"), [(3.9, True), (4.0, False), (20.0, False), (20.5, True)])
def test_run_refuses_a_road_too_thin_or_thick_for_the_road_test_just_where_check_says_so(
    given: Computation, inches: float, refuses: bool
) -> None:
    """The load equivalencies of the Road Test hold from 4 to 20 in; a decided number of axles per truck needs none."""
    facts = replace(given.facts, layers=given.facts.layers.assign(thickness=inches * 0.0254))
    said = said_by_check(facts, given.decisions, stage_named("evaluation"))
    assert bool(said) == refuses
    assert refused_by_run(given, facts, given.decisions, "evaluation") == (said[0] if said else "")
    assert all("4 to 20 in" in words for words in said)
    decided = change(given.decisions, "traffic.esal_per_truck", "1.5")
    assert said_by_check(facts, decided, stage_named("evaluation")) == []


@pytest.mark.parametrize(
    ("decision", "value", "stage"),
    [
        ("survey.section_boundaries", "900+00", "survey"),
        ("traffic.base_year", "1980", "evaluation"),
        ("design.round_to", "0.01 in", "design"),
    ],
)
def test_run_refuses_a_decision_just_where_check_says_so(
    given: Computation, decision: str, value: str, stage: str
) -> None:
    try:
        decisions = change(given.decisions, decision, value)
    except InputError:
        pytest.fail("the decision itself must be possible")
    said = said_by_check(given.facts, decisions, stage_named(stage))
    assert said
    assert refused_by_run(given, given.facts, decisions, stage) == said[0]


@pytest.fixture
def road(demo_file: Path, tmp_path: Path) -> Iterator[Project]:
    with open_project(shutil.copy(demo_file, tmp_path / "demo.slab"), user="tester", clock=clock) as project:
        yield project


def test_check_of_the_long_stages_looks_at_what_is_computed(given: Computation) -> None:
    """Slab sizes are asked of the sections that get an overlay, which are known once the short stages have run."""
    facts = with_blank(given.facts, "layers", "joint_spacing", 99)
    results = given.run()
    for name in ("bond", "life"):
        stage = stage_named(name)
        assert stage.unmet(stage.given(given.facts, given.decisions, results, RunContext())) == ()
        (problem,) = stage.unmet(stage.given(facts, given.decisions, results, RunContext()))
        assert "length and width of the slabs" in str(problem)
        with pytest.raises(InputError, match="length and width of the slabs"):
            stage.compute(stage.given(facts, given.decisions, results, RunContext()))
        assert stage.unmet(stage.given(facts, given.decisions, {}, RunContext())) == ()


def test_a_survey_that_a_calibration_needs_is_asked_for(given: Computation) -> None:
    stage, facts = stage_named("life"), replace(given.facts, distresses=empty(FACTS["distresses"]))
    decisions = change(given.decisions, "life.calibration", "calibrated to the section's own past")
    decisions = change(decisions, "evaluation.assume_without_survey", "yes")  # else no section is designed
    (problem,) = stage.unmet(stage.given(facts, decisions, computed(facts, decisions), RunContext()))
    assert "Load the distress survey" in str(problem)


def test_the_states_of_a_project_say_all_that_is_unmet(road: Project) -> None:
    frame = road.facts().layers
    road.replace_table("layers", frame.assign(year_built=np.nan))
    road.replace_table("counts", road.facts().counts.assign(truck_share=np.nan))
    states = {s.stage: s for s in Computation(road).states()}
    assert states["survey"].state in ("stale", "current")
    for name in ("evaluation", "design", "life"):
        assert states[name].state == "waiting"
        assert "year of construction" in states[name].needs
        assert "share of trucks" in states[name].needs
    with pytest.raises(InputError, match="year of construction"):
        Computation(road).run()


def test_every_stage_names_functions_that_exist() -> None:
    from importlib import import_module

    for stage in stages():
        if stage.preconditions:
            assert all(callable(p) for p in import_module(stage.preconditions).PRECONDITIONS)
