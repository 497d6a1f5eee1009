"""A stage added by its declaration alone is everywhere: commands, pages, documents and the HTTP description."""

from __future__ import annotations

import json
import shutil
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator
from pathlib import Path

import pypdf
import pytest
from python_calamine import CalamineWorkbook

from slabwright import stages
from slabwright.project import open_project
from slabwright.records.results import StageResult
from slabwright.workflow import Computation
from tests.conftest import clock

ROOT = Path(__file__).parents[2]
PROGRAM = [sys.executable, "-m", "tests.added_stage.drive"]
PATIENCE = 60  # seconds


def driven(*words: object) -> str:
    """The output of the program with the added stage, in a process of its own."""
    made = subprocess.run([*PROGRAM, *map(str, words)], cwd=ROOT, capture_output=True, text=True, check=False)
    assert made.returncode == 0, made.stderr
    return made.stdout


@pytest.fixture(scope="module")
def road(demo_file: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = Path(shutil.copy(demo_file, tmp_path_factory.mktemp("added") / "demo.slab"))
    assert "tally: computed" in driven("run", made)
    return made


@pytest.fixture(scope="module")
def got(road: Path) -> Iterator[Callable[[str], str]]:
    """What the workspace with the added stage answers at an address."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    server = subprocess.Popen([*PROGRAM, "serve", str(road), "--port", str(port)], cwd=ROOT)

    def get(address: str) -> str:
        end = time.monotonic() + PATIENCE
        while True:
            try:
                with urllib.request.urlopen(f"http://127.0.0.1:{port}{address}", timeout=PATIENCE) as reply:
                    return str(reply.read().decode())
            except urllib.error.URLError:
                assert time.monotonic() < end
                time.sleep(0.1)

    yield get
    server.terminate()
    server.wait(PATIENCE)


def test_commands_know_it(road: Path) -> None:
    for command in ("run", "show"):
        assert "tally" in driven(command, "--help")
    shown = json.loads(driven("show", road, "tally", "--json"))
    rows = shown["tables"]["tally"]
    assert rows, shown
    assert "mean core length" in driven("show", road, "tally").replace("\n", " ")
    state = {s["stage"]: s["state"] for s in json.loads(driven("check", road, "--json"))["stages"]}
    assert state["tally"] == "current"
    assert "survey: current" in driven("run", road, "tally")
    assert "design" not in driven("run", road, "tally")


def test_the_workspace_has_its_page_and_leads_to_it(got: Callable[[str], str]) -> None:
    assert "/road/demo/tally" in got("/road/demo/survey")
    own = got("/road/demo/tally")
    for words in ("Core tally", "How many cores were taken in each lane", "Cores by lane", "mean core length"):
        assert words in own


def test_the_interface_describes_it(got: Callable[[str], str]) -> None:
    listed = json.loads(got("/api/stages"))["stages"]
    made = next(s for s in listed if s["name"] == "tally")
    assert made["after"] == ["survey"]
    assert made["tables"][0]["name"] == "tally"
    result = json.loads(got("/api/roads/demo/results/tally"))
    assert result["tables"]["tally"]["columns"][1]["name"] == "cores"
    assert "tally" in got("/openapi.json")


def test_documents_hold_it(road: Path, tmp_path: Path) -> None:
    driven("report", road, "-o", tmp_path / "report.pdf")
    words = " ".join(page.extract_text() for page in pypdf.PdfReader(tmp_path / "report.pdf").pages)
    assert "Core tally" in words
    assert "Cores by lane" in words
    driven("export", road, "--xlsx", "-o", tmp_path)
    book = CalamineWorkbook.from_path(next(tmp_path.glob("*.xlsx")))
    heading, *rows = book.get_sheet_by_name("Cores by lane").to_python()
    with open_project(road, user="tester", clock=clock) as project:
        cores = project.facts().cores
    assert sum(row[1] for row in rows) == len(cores)
    assert "cores taken" in heading[1]


def test_it_becomes_stale_when_an_optional_result_appears(road: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(stages, "ORDER", (*stages.ORDER, "tests.added_stage.stage"))
    with open_project(road, user="tester", clock=clock) as project:
        before = Computation(project)
        assert before.saved("tally") is not None
        project.save_result("bond", before.key("bond"), StageResult("bond", {}))
        after = Computation(project)
        assert after.key("tally") != before.key("tally")
        assert after.saved("tally") is None
        assert [stage.name for stage in stages.plan("tally")] == ["survey", "tally"]
