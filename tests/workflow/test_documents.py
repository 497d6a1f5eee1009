"""A report is read from one state of the project, and its mark names that state."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from slabwright.cli import documents as commands
from slabwright.errors import Conflict
from slabwright.project import Project, create, open_project
from slabwright.workflow import documents
from tests.conftest import clock

THIN, THICK = {"design.thickness": 0.0762}, {"design.thickness": 0.1016}


@pytest.fixture
def road(tmp_path: Path) -> Path:
    path = tmp_path / "road.slab"
    with create(path, user="Ada", clock=clock) as project:
        project.decide("base", THICK)
    return path


@pytest.fixture
def printed(monkeypatch: pytest.MonkeyPatch) -> list[dict[str, Any]]:
    """What is given to the report, which needs no results to be marked."""
    given: list[dict[str, Any]] = []
    monkeypatch.setattr(documents, "results_at_hand", lambda _: {})
    monkeypatch.setattr(documents, "build", lambda path, **what: given.append(what) or path.write_bytes(b"%PDF-"))
    return given


def edited(road: Path, values: dict[str, Any]) -> None:
    with open_project(road, user="Ben", clock=clock) as other:
        other.decide("base", values)


def test_an_edit_while_the_report_is_printed_is_told_as_made_since(
    road: Path, tmp_path: Path, printed: list[dict[str, Any]], monkeypatch: pytest.MonkeyPatch
) -> None:
    plain = documents.build

    def build(path: Path, **what: Any) -> None:
        plain(path, **what)
        edited(road, THIN)

    monkeypatch.setattr(documents, "build", build)
    commands.report(road, tmp_path / "r.pdf", "base", "us", "", False, with_appendix=False)
    assert printed[0]["decisions"].design.thickness == THICK["design.thickness"]
    with open_project(road, user="Ada", clock=clock) as project:
        since = project.changes_since_report()
    assert since is not None
    assert [c.user for c in since.made] == ["Ben"]
    assert since.alternative == "base"


def test_an_edit_while_the_report_is_read_has_it_read_anew(
    road: Path, printed: list[dict[str, Any]], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The decisions are read before the loaded files: an edit between is in both or in neither."""
    plain, edits = Project.sources, iter([THIN])

    def sources(self: Project) -> Any:
        for values in edits:
            edited(road, values)
        return plain(self)

    monkeypatch.setattr(Project, "sources", sources)
    with open_project(road, user="Ada", clock=clock) as project:
        seen = documents.write_report(
            project, tmp_path / "r.pdf", alternative="base", system="us", made_at=clock(), engineer=""
        )
        assert seen == project.head == 2
    assert printed[0]["decisions"].design.thickness == THIN["design.thickness"]


def test_a_project_that_never_stands_still_is_refused(
    road: Path, printed: list[dict[str, Any]], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    plain = Project.sources

    def sources(self: Project) -> Any:
        edited(road, THIN if self.decisions().design.thickness != THIN["design.thickness"] else THICK)
        return plain(self)

    monkeypatch.setattr(Project, "sources", sources)
    with open_project(road, user="Ada", clock=clock) as project, pytest.raises(Conflict, match="all the time"):
        documents.write_report(project, tmp_path / "r.pdf", alternative="base", system="us", made_at=clock())
    assert printed == []


def test_an_appendix_of_another_state_than_the_report_is_not_handed_over(
    road: Path, printed: list[dict[str, Any]], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    plain = documents.build

    def build(path: Path, **what: Any) -> None:
        plain(path, **what)
        if what["part"] == "appendix":
            edited(road, THIN)

    monkeypatch.setattr(documents, "build", build)
    with pytest.raises(Conflict, match="do not belong together"):
        commands.report(road, tmp_path / "r.pdf", "base", "us", "", False, with_appendix=True)
    assert len(printed) == 2
    with open_project(road, user="Ada", clock=clock) as project:
        assert project.changes_since_report() is None
