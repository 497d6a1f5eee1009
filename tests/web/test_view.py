"""A tab's computation: its progress is a real fraction, and a stopped run leaves nothing that looks finished."""

import asyncio
import shutil
from pathlib import Path

import pytest

from slabwright.web.project_folder import ProjectFolder
from slabwright.web.view import View
from slabwright.workflow import StageState


@pytest.fixture
def view(demo_file: Path, tmp_path: Path) -> View:
    """A tab on a copy of the demo road whose results are all stale."""
    shutil.copy(demo_file, tmp_path / "demo.slab")
    made = View(ProjectFolder(tmp_path, "tester"), "demo", "base")
    made.project.decide("base", {"survey.standard_load": 41000.0})
    made.look_again()
    assert set(made.states().values()) == {"stale"}
    return made


def test_a_run_tells_rising_fractions_and_ends_whole(view: View) -> None:
    told: list[float] = []
    assert asyncio.run(view.compute("design", lambda _, share: told.append(share)))
    assert told == [0.0, 0.25, 0.5, 0.75, 1.0]
    assert set(view.results()) == {"survey", "evaluation", "repair", "design"}


def test_a_stopped_run_shows_only_what_was_finished(view: View) -> None:
    def stop_at_once(name: str, share: float) -> None:
        view.stopped = True

    assert not asyncio.run(view.compute("design", stop_at_once))
    assert set(view.results()) == {"survey"}


def test_a_drawing_asks_once_what_is_computed(view: View, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each asking looks for every long stage in the file; a page of forty pieces must not do it forty times."""
    asked: list[int] = []
    states = view.computation.states

    def counted() -> tuple[StageState, ...]:
        asked.append(1)
        return states()

    monkeypatch.setattr(view.computation, "states", counted)
    with view.still():
        for _ in range(5):
            assert (view.section, view.sections(), view.results()) == ("", (), {})
        assert len(asked) == 1
        view.computation.result("survey")
        assert view.results() == {}
    assert set(view.results()) == {"survey"}
    assert view.section == view.sections()[0]


def test_what_is_drawn_after_a_change_is_the_road_as_it_is_then(view: View) -> None:
    with view.still():
        assert view.decisions.survey.standard_load == 41000.0
        assert view.results() == {}
        view.project.decide("base", {"survey.standard_load": 40033.9920237885})
        view.look_again()
        view.computation.result("survey")
        assert set(view.results()) == {"survey"}
