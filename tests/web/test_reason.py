"""The reason of the next change: what the box shows is what the next change is stored with."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from nicegui import ElementFilter

from slabwright.web.parts.choices import decision_form
from slabwright.web.parts.field import Field
from slabwright.web.project_folder import ProjectFolder
from slabwright.web.view import View
from tests.web.test_live import on_a_page


@pytest.fixture
def view(demo_file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> View:
    shutil.copy(demo_file, tmp_path / "demo.slab")
    monkeypatch.setattr(View, "system", "metric")
    return View(ProjectFolder(tmp_path, "tester"), "demo", "base")


def box() -> Field:
    return next(f for f in ElementFilter(kind=Field) if f.props["label"] == "Reason of the next change")


def test_a_reason_is_taken_once_and_leaves_the_box(view: View) -> None:
    """A refused change takes none; 150 % is no reliability."""

    def refreshed() -> Field:
        view.look_again()
        for shown in view.pieces:
            shown.refresh()
        return box()

    def act(_: object) -> None:
        decision_form(view, "design")
        first = box()
        view.state["why"] = "thicker ramps"  # as the box tells it
        assert not view.decide("design.reliability", "150 %")
        assert refreshed() is first
        assert view.decide("design.reliability", "90 %")
        second = refreshed()
        assert second is not first
        assert second.props["text"] == ""
        assert view.decide("design.reliability", "92 %")
        assert refreshed() is second
        assert [c.what.partition("): ")[2] for c in view.project.history()[-2:]] == ["thicker ramps", ""]

    on_a_page(act)
