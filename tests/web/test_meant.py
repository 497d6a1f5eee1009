"""No page calls a decision by the name in which it is stored: refusals, tables, the history."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from slabwright.records.decisions import Decisions, entries
from slabwright.records.results import StageResult
from slabwright.stages import outcomes
from slabwright.web.pages.history import _history_html
from slabwright.web.parts.meant import meant
from slabwright.web.parts.tables import data_table
from slabwright.web.project_folder import ProjectFolder
from slabwright.web.view import View
from tests.web.test_live import on_a_page

NAMED = re.compile("|".join(rf"\b{re.escape(e.name)}\b" for e in entries(Decisions())))


@pytest.fixture
def view(demo_file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> View:
    shutil.copy(demo_file, tmp_path / "demo.slab")
    monkeypatch.setattr(View, "system", "us")
    return View(ProjectFolder(tmp_path, "tester"), "demo", "base")


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        (
            "3 psi",
            "“overlay thickness”: 'psi' is no unit of this quantity; given '3 psi'; allowed for example \"4 in\".",
        ),
        (
            "3.5.5",
            "“overlay thickness”: this is not a number with a unit; given '3.5.5'; allowed for example \"4 in\".",
        ),
        ("99 in", "“overlay thickness” is outside its bounds; given '99.00 in'; allowed 0.00 in to 8.00 in."),
    ],
)
def test_a_refusal_names_the_field_and_a_unit_that_fits(
    view: View, monkeypatch: pytest.MonkeyPatch, typed: str, says: str
) -> None:
    told: list[str] = []
    monkeypatch.setattr("slabwright.web.view.ui.notification", lambda words, **_: told.append(words))
    assert not view.decide("design.thickness", typed)
    assert told == [says]


def test_tables_and_history_name_no_decision_as_stored(view: View, demo_results: dict[str, StageResult]) -> None:
    shown: list[str] = []

    def act(_: object) -> None:
        for name in ("assumptions", "open_points", "estimates"):
            frame = demo_results["evaluation"].tables.get(name)
            if frame is not None and len(frame):
                drawn = data_table(outcomes()[name], frame, "us")
                drawn._look(wide=True)
                shown.append(drawn.region.content)

    on_a_page(act)
    view.project.decide("base", {"design.thickness": 0.1}, "decide design.thickness (base): ramps")
    known = {e.name: e for e in entries(view.decisions)}
    history = _history_html(view.project.history(), known, "us")
    assert "decide “overlay thickness” (base): ramps" in history
    shown.append(history)
    assert len(shown) > 1
    assert [found for words in shown for found in NAMED.findall(words)] == []


def test_a_name_alone_becomes_its_meaning_alone() -> None:
    assert meant("design.thickness") == "overlay thickness"
    assert meant("see design.thickness (overlay thickness; 0 for the required one)") == "see “overlay thickness”"
    assert meant("see design.thickness (base)") == "see “overlay thickness” (base)"
