"""A stage sees only what it declared, whatever the road lacks; what it looks at is what makes it stale."""

from __future__ import annotations

import pickle
import shutil
import sys
from contextlib import nullcontext
from dataclasses import fields, replace
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest

from slabwright import stages as order
from slabwright.bond import run as bond_run
from slabwright.design import section_model
from slabwright.errors import BadResult, MissingFact, Undeclared
from slabwright.life import run as life_run
from slabwright.life import section_life
from slabwright.plate.plate_stresses import PlateStresses
from slabwright.project import Project, open_project
from slabwright.records.decisions import Decisions, change
from slabwright.records.facts import FACTS, Facts
from slabwright.records.results import StageResult
from slabwright.records.stage import Given, RunContext, Stage
from slabwright.records.table import Column, Schema, empty, table
from slabwright.stages import plan, stage_named, stages
from slabwright.workflow import Computation
from tests.conftest import clock
from tests.life.closed_form import ClosedForm

NAMES = [stage.name for stage in stages()]


@pytest.fixture
def rough(monkeypatch: pytest.MonkeyPatch) -> None:
    """The long stages on one section, with closed forms for the plate: enough to see what they look at."""
    monkeypatch.setattr(PlateStresses, "__call__", lambda _, state, grid: ClosedForm()(state, grid))
    monkeypatch.setattr(section_life, "DAMAGE_SUMS", 128)
    few = section_model.modelled_sections
    for module in (bond_run, life_run):
        monkeypatch.setattr(module, "modelled_sections", lambda *given: few(*given)[:1])


@pytest.fixture(scope="module")
def road(demo_project: Project) -> Computation:
    return Computation(demo_project)


def carried(facts: Facts, decisions: Any, until: str) -> dict[str, StageResult]:
    """Results up to a stage, each from what it declared."""
    found: dict[str, StageResult] = {}
    for stage in plan(until):
        found[stage.name] = stage.compute(stage.given(facts, decisions, found, RunContext()))
    return found


@pytest.mark.usefixtures("rough")
@pytest.mark.parametrize("name", NAMES)
def test_every_stage_runs_on_what_it_declared(road: Computation, name: str) -> None:
    decisions = change(road.decisions, "life.surface_power", "5")
    result = carried(road.facts, change(decisions, "life.sample_power", "8"), name)[name]
    assert set(result.tables) == {schema.name for schema in stage_named(name).outcomes}
    for schema in stage_named(name).outcomes:
        assert tuple(result.tables[schema.name].columns) == schema.names


@pytest.mark.parametrize("missing", list(FACTS))
def test_an_emptied_table_stops_only_the_stages_that_need_it(road: Computation, missing: str) -> None:
    """Every short stage, each table emptied in turn: refused by name where declared as needed, else computed."""
    facts = replace(road.facts, **{missing: empty(FACTS[missing])})
    for stage in plan():
        needs = any(missing in behind.needed for behind in plan(stage.name))
        with pytest.raises(MissingFact, match=missing) if needs else nullcontext():
            carried(facts, road.decisions, stage.name)


@pytest.mark.usefixtures("rough")
@pytest.mark.parametrize("missing", ["layers", "lanes", "weather", "axles", "truck_classes"])
@pytest.mark.parametrize("name", ["bond", "life"])
def test_an_emptied_table_stops_only_the_long_stages_that_need_it(road: Computation, name: str, missing: str) -> None:
    decisions = change(change(road.decisions, "life.surface_power", "4"), "life.sample_power", "8")
    stage = stage_named(name)
    earlier = {up: road.result(up) for up in stage.after}
    facts = replace(road.facts, **{missing: empty(FACTS[missing])})
    with pytest.raises(MissingFact, match=missing) if missing in stage.needed else nullcontext():
        stage.compute(stage.given(facts, decisions, earlier, RunContext()))


@pytest.mark.parametrize("stage", stages(), ids=NAMES)
def test_what_is_not_declared_is_refused_by_name(road: Computation, stage: Stage) -> None:
    given = stage.given(road.facts, road.decisions, road.run(), RunContext())
    hidden = next(name for name in FACTS if name not in stage.facts)
    with pytest.raises(Undeclared, match=f"stage {stage.name} looks at the table {hidden}"):
        getattr(given.facts, hidden)
    with pytest.raises(Undeclared, match=f"stage {stage.name} looks at the table {hidden}"):
        given.facts.need(hidden, stage.name)
    group = next(f.name for f in fields(road.decisions) if f.name not in stage.decisions)
    with pytest.raises(Undeclared, match=f"stage {stage.name} looks at the decisions {group}"):
        getattr(given.decisions, group)
    other = next(n for n in NAMES if n not in stage.after)
    with pytest.raises(Undeclared, match=f"stage {stage.name} looks at the result of the stage {other}"):
        _ = given.results[other]
    for name in stage.facts:
        assert getattr(given.facts, name) is getattr(road.facts, name)
    for name in stage.decisions:
        assert getattr(given.decisions, name) == getattr(road.decisions, name)


def test_a_narrowed_view_travels_to_another_process(road: Computation) -> None:
    stage = stage_named("bond")
    given = stage.given(road.facts, road.decisions, {}, RunContext())
    again = pickle.loads(pickle.dumps(given.decisions))
    assert again.bond == road.decisions.bond
    with pytest.raises(Undeclared):
        _ = again.life


def test_a_decision_that_a_stage_reads_makes_it_stale(road: Computation) -> None:
    """Load transfer of untested joints is read by the plate model of both long stages."""
    keys = {name: road.key(name) for name in NAMES}
    other = Computation(road.project)
    other.decisions = change(road.decisions, "plate.unmeasured_transfer", "90 %")
    assert {name for name in NAMES if other.key(name) != keys[name]} == {"bond", "life"}


def test_an_optional_result_is_taken_as_the_key_says(
    demo_file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A result computed with an optional one must not lie under the key of a result without it."""
    monkeypatch.setattr(order, "ORDER", (*order.ORDER, "tests.added_stage.stage"))
    file = shutil.copy(demo_file, tmp_path / "demo.slab")
    with open_project(file, user="tester", clock=clock) as project:
        taken: list[list[str]] = []
        run = import_module("tests.added_stage.run")
        first = run.run
        monkeypatch.setattr(run, "run", lambda given: (taken.append(sorted(given.results)), first(given))[1])
        one = Computation(project)
        without = one.key("tally")
        project.save_result("bond", one.key("bond"), StageResult("bond", {}))
        one.result("tally")
        assert taken == [["survey"]]
        assert one.key("tally") == without
        two = Computation(project)
        assert two.key("tally") != without
        assert two.saved("tally") is None
        two.result("tally")
        assert taken[1] == ["bond", "survey"]


LANE = Schema("lane", "Lanes", "a lane", (Column("lane", "text", "lane"),))
SOUND = Stage("sound", "Sound", "Is it sound?", ("lanes",), (), (), (), (LANE,), "tests.workflow.test_declared")


def run(given: Given) -> StageResult:
    """What the stage ``sound`` gives; a test replaces it."""
    return StageResult("sound", {"lane": table(LANE, {"lane": list(given.facts.lanes["lane"])})})


@pytest.mark.parametrize(
    ("made", "words"),
    [
        (StageResult("other", {"lane": empty(LANE)}), "gives a result under another name; given 'other'"),
        (StageResult("sound", {}), "does not give the table that it declares; given 'lane'"),
        (
            StageResult("sound", {"lane": empty(LANE), "more": empty(LANE)}),
            "a table that it does not declare; given 'more'",
        ),
        (
            StageResult("sound", {"lane": empty(LANE).assign(x=1.0)}),
            "other columns than it declares in the table; given 'lane'",
        ),
    ],
)
def test_a_result_that_was_not_declared_is_refused(
    road: Computation, monkeypatch: pytest.MonkeyPatch, made: StageResult, words: str
) -> None:
    given = SOUND.given(road.facts, road.decisions, {}, RunContext())
    assert len(SOUND.compute(given).tables["lane"])
    monkeypatch.setattr(sys.modules[__name__], "run", lambda _: made)
    with pytest.raises(BadResult, match=words):
        SOUND.compute(given)


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"name": "a/b"}, "has a name that is no address"),
        ({"name": "survey"}, "has the name of another stage"),
        ({"after": ("later",)}, "takes results of what does not come before it; given 'later'"),
        ({"after": ("sound",)}, "takes results of what does not come before it; given 'sound'"),
        ({"may_use": ("sound",)}, "may use its own result"),
        ({"outcomes": (replace(LANE, name="basins"),)}, "declares a table of another stage; given 'basins'"),
    ],
)
def test_a_declaration_that_cannot_be_is_refused(changed: dict[str, Any], words: str) -> None:
    with pytest.raises(BadResult, match=words):
        order.check((*stages(), replace(SOUND, **changed)))


def test_sections_have_a_length_whatever_boundaries_are_set(demo_file: Path, tmp_path: Path) -> None:
    """A boundary where the pavement changes, one nearly at another and one nearly at the end make no section of no length."""
    file = shutil.copy(demo_file, tmp_path / "demo.slab")
    with open_project(file, user="tester", clock=clock) as project:
        text = change(
            Decisions(), "survey.section_boundaries", "182+00; 150+00; 150+00.001; 205+99.9"
        ).survey.section_boundaries
        project.decide("base", {"survey.section_boundaries": text})
        sections = Computation(project).run()["survey"].tables["sections"]
    assert ((sections["end"] - sections["begin"]) > 1.0).all()
    assert sections["section"].is_unique
