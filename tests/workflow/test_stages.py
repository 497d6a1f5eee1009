"""The conductor: staleness, alternatives, what runs again and what does not."""

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from slabwright.errors import InputError, MissingFact
from slabwright.overlay import bond_run, life, life_run, section_model
from slabwright.overlay.plate_stresses import PlateStresses
from slabwright.project import Project, create, open_project
from slabwright.records.decisions import change, to_plain
from slabwright.records.results import Desk
from slabwright.workflow import STAGES, Computation, Shelf, stage_named
from tests.conftest import clock
from tests.overlay.closed_form import ClosedForm


@pytest.fixture
def road(demo_file: Path, tmp_path: Path) -> Iterator[Project]:
    """A copy of the computed demo road that a test may change."""
    shutil.copy(demo_file, tmp_path / "copy.slab")
    with open_project(tmp_path / "copy.slab", user="tester", clock=clock) as project:
        yield project


def decide(road: Project, name: str, text: str, alternative: str = "base") -> None:
    decided = change(road.decisions(alternative), name, text)
    road.decide(alternative, {name: to_plain(decided)[name]})


def states(road: Project, alternative: str = "base") -> dict[str, str]:
    """Of the stages that follow every decision; the long ones have tests of their own."""
    found = Computation(road, alternative).states()
    return {s.stage: s.state for s in found if not stage_named(s.stage).long}


def test_everything_is_current_after_a_run(road: Project) -> None:
    assert set(states(road).values()) == {"current"}


@pytest.mark.parametrize(
    ("decision", "value", "stale"),
    [
        ("overlay.thickness", "4 in", {"overlay"}),
        ("repair.merge_gap", "8 ft", {"repair", "overlay"}),
        ("evaluation.poisson", "0.18", {"evaluation", "repair", "overlay"}),
        ("traffic.growth", "3 %", {"evaluation", "repair", "overlay"}),
        ("survey.standard_load", "9500 lb", {"survey", "evaluation", "repair", "overlay"}),
    ],
)
def test_a_decision_makes_stale_only_what_depends_on_it(
    road: Project, decision: str, value: str, stale: set[str]
) -> None:
    decide(road, decision, value)
    assert {stage for stage, state in states(road).items() if state == "stale"} == stale


def test_undo_makes_the_old_results_current_again(road: Project) -> None:
    decide(road, "overlay.thickness", "4 in")
    Computation(road).run()
    road.undo()
    assert states(road)["overlay"] == "current"


def test_changed_facts_make_stale_what_uses_them(road: Project) -> None:
    bridges = road.facts().bridges
    road.replace_table("bridges", bridges.assign(allowable_raise=bridges["allowable_raise"] + 0.01))
    assert states(road) == {"survey": "current", "evaluation": "stale", "repair": "stale", "overlay": "stale"}


def test_an_alternative_has_its_own_results(road: Project) -> None:
    road.add_alternative("thick")
    decide(road, "overlay.thickness", "5 in", "thick")
    base, thick = (Computation(road, name).run()["overlay"].tables["thicknesses"] for name in ("base", "thick"))
    assert thick["overlay"].max() == pytest.approx(0.127)
    assert base["overlay"].max() < 0.127


def test_progress_is_told_for_computed_stages_only(road: Project) -> None:
    decide(road, "overlay.thickness", "4 in")
    told: list[tuple[str, float]] = []
    Computation(road).run(progress=lambda stage, share: told.append((stage, share)))
    assert told == [("overlay", 0.0), ("overlay", 1.0)]


def test_an_empty_project_waits_for_facts_and_says_which(tmp_path: Path) -> None:
    with create(tmp_path / "empty.slab", user="tester", clock=clock) as road:
        computation = Computation(road)
        assert {s.state for s in computation.states()} == {"waiting"}
        with pytest.raises(MissingFact, match="layers"):
            computation.run()


def test_an_unknown_stage_is_refused() -> None:
    with pytest.raises(InputError, match="survey, evaluation, repair, overlay"):
        stage_named("paving")


def test_a_shelf_reads_facts_again_only_when_they_changed(road: Project) -> None:
    shelf = Shelf()
    first = Computation(road, shelf=shelf).facts
    decide(road, "overlay.thickness", "4 in")
    assert Computation(road, shelf=shelf).facts is first
    road.replace_table("bridges", first.bridges.iloc[:1])
    assert len(Computation(road, shelf=shelf).facts.bridges) == 1
    road.undo()
    assert len(Computation(road, shelf=shelf).facts.bridges) == 2
    road.replace_table("bridges", first.bridges.iloc[1:])
    assert Computation(road, shelf=shelf).facts.bridges["name"].tolist() == first.bridges["name"].tolist()[1:]


class Watched:
    """Facts or decisions that note which of their tables or groups are looked at."""

    def __init__(self, whole: Any) -> None:
        self._whole = whole
        self.seen: set[str] = set()

    def __getattr__(self, name: str) -> Any:
        self.seen.add(name)
        return getattr(self._whole, name)

    def need(self, name: str, *rest: Any) -> Any:
        self.seen.add(name)
        return self._whole.need(name, *rest)


@pytest.mark.parametrize("name", [stage.name for stage in STAGES])
def test_a_stage_looks_only_at_what_makes_it_stale(road: Project, name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever a stage reads without naming it would leave an old result standing as current."""
    computation, stage = Computation(road), stage_named(name)
    facts, decisions = Watched(computation.facts), Watched(computation.decisions)
    monkeypatch.setattr(PlateStresses, "__call__", lambda _, state, grid: ClosedForm()(state, grid))
    monkeypatch.setattr(life, "DAMAGE_SUMS", 128)
    few = section_model.modelled_sections  # one section is enough to see what is read for any
    for module in (bond_run, life_run):
        monkeypatch.setattr(module, "modelled_sections", lambda *given: few(*given)[:1])
    desk = Desk(None, lambda _name, _share: None, lambda _kind, _parts, make: make())
    upstream = {up: computation.result(up) for up in stage.upstream}
    stage.run(facts, decisions, upstream, desk)  # type: ignore[arg-type]
    behind = [stage, *(stage_named(up) for up in _behind(name))]  # a stale stage before it makes it stale too
    assert decisions.seen <= {group for s in behind for group in s.decisions}
    assert facts.seen <= {table for s in behind for table in s.facts}
    assert decisions.seen
    assert facts.seen


def _behind(name: str) -> set[str]:
    upstream = set(stage_named(name).upstream)
    return upstream.union(*(_behind(up) for up in upstream))
