"""The conductor: staleness, alternatives, what runs again and what does not."""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from slabwright.errors import InputError, MissingFact
from slabwright.project import Project, create, open_project
from slabwright.records.decisions import change, to_plain
from slabwright.stages import stage_named
from slabwright.workflow import Computation, FactsCache
from tests.conftest import clock


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
        ("economics.saw_cost", "250", {"economics"}),
        ("design.thickness", "4 in", {"design", "economics"}),
        # The evaluation reads whether joints are restored at all: without it, low load transfer is no matter of repair.
        ("repair.merge_gap", "8 ft", {"evaluation", "repair", "design", "economics"}),
        ("evaluation.poisson", "0.18", {"evaluation", "repair", "design", "economics"}),
        ("traffic.growth", "3 %", {"evaluation", "repair", "design", "economics"}),
        ("survey.standard_load", "9500 lb", {"survey", "evaluation", "repair", "design", "economics"}),
    ],
)
def test_a_decision_makes_stale_only_what_depends_on_it(
    road: Project, decision: str, value: str, stale: set[str]
) -> None:
    decide(road, decision, value)
    assert {stage for stage, state in states(road).items() if state == "stale"} == stale


def test_undo_makes_the_old_results_current_again(road: Project) -> None:
    decide(road, "design.thickness", "4 in")
    Computation(road).run()
    road.undo()
    assert states(road)["design"] == "current"


def test_changed_facts_make_stale_what_uses_them(road: Project) -> None:
    counts = road.facts().counts
    road.replace_table("counts", counts.assign(daily_traffic=counts["daily_traffic"] + 100))
    later = dict.fromkeys(("evaluation", "repair", "design", "economics"), "stale")
    assert states(road) == {"survey": "current", **later}


def test_an_alternative_has_its_own_results(road: Project) -> None:
    road.add_alternative("thick")
    decide(road, "design.thickness", "6 in", "thick")
    base, thick = (Computation(road, name).run()["design"].tables["thicknesses"] for name in ("base", "thick"))
    assert thick["overlay"].max() == pytest.approx(0.1524)
    assert base["overlay"].max() < 0.1524


def test_progress_is_told_for_computed_stages_only(road: Project) -> None:
    decide(road, "design.thickness", "4 in")
    told: list[tuple[str, float]] = []
    Computation(road).run(progress=lambda stage, share: told.append((stage, share)))
    assert told == [(stage, share) for stage in ("design", "economics") for share in (0.0, 1.0)]


def test_an_empty_project_waits_for_facts_and_says_which(tmp_path: Path) -> None:
    with create(tmp_path / "empty.slab", user="tester", clock=clock) as road:
        computation = Computation(road)
        assert {s.state for s in computation.states()} == {"waiting"}
        with pytest.raises(MissingFact, match="layers"):
            computation.run()


def test_an_unknown_stage_is_refused() -> None:
    with pytest.raises(InputError, match="survey, evaluation, repair, design"):
        stage_named("paving")


def test_a_shelf_reads_facts_again_only_when_they_changed(road: Project) -> None:
    shelf = FactsCache()
    first = Computation(road, cache=shelf).facts
    decide(road, "design.thickness", "4 in")
    assert Computation(road, cache=shelf).facts is first
    road.replace_table("bridges", first.bridges.iloc[:1])
    assert len(Computation(road, cache=shelf).facts.bridges) == 1
    road.undo()
    assert len(Computation(road, cache=shelf).facts.bridges) == 2
    road.replace_table("bridges", first.bridges.iloc[1:])
    assert Computation(road, cache=shelf).facts.bridges["name"].tolist() == first.bridges["name"].tolist()[1:]
