"""A tab's computation: its progress is a real fraction, and a stopped run leaves nothing that looks finished."""

import asyncio
import shutil
from pathlib import Path

import pytest

from slabwright.web.project_folder import ProjectFolder
from slabwright.web.view import View


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
