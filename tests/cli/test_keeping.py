"""Copying a project, checking that it is whole, and reading one that stands where nothing can be written."""

from __future__ import annotations

import ctypes
import json
import os
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from slabwright.project import create, open_project
from tests.cli.test_commands import call, refused  # noqa: F401 (fixtures)
from tests.conftest import clock


@pytest.fixture
def small(tmp_path: Path) -> Path:
    with create(tmp_path / "small.slab", user="Ada", clock=clock) as project:
        project.decide("base", {"design.thickness": 0.1})
    return tmp_path / "small.slab"


def test_a_project_in_use_is_copied_whole(call, small, tmp_path) -> None:  # noqa: F811
    with open_project(small, user="Ada", clock=clock) as project:
        project.decide("base", {"design.thickness": 0.12})
        code, out, _ = call("copy", small, tmp_path / "copy.slab")
        assert code == 0
        assert "checked the copy" in out
    with open_project(tmp_path / "copy.slab", user="Ada", clock=clock) as copied:
        assert copied.decisions().design.thickness == 0.12
        assert len(copied.history()) == 2
    assert {p.name for p in tmp_path.iterdir()} == {"small.slab", "copy.slab"}


def test_a_copy_is_never_written_over_anything(call, small, tmp_path) -> None:  # noqa: F811
    (tmp_path / "copy.slab").write_text("mine")
    assert "of this name already" in refused(call("copy", small, tmp_path / "copy.slab"))
    assert "of this name already" in refused(call("copy", small, small))
    assert (tmp_path / "copy.slab").read_text() == "mine"
    (tmp_path / "folder").mkdir()
    assert call("copy", small, tmp_path / "folder")[0] == 0
    assert (tmp_path / "folder" / "small.slab").exists()
    assert "Check that the folder exists" in refused(call("copy", small, tmp_path / "none" / "copy.slab"))


def test_a_copy_that_only_capitals_tell_from_another_is_refused(call, small, tmp_path) -> None:  # noqa: F811
    for words in (("copy", small, tmp_path / "SMALL.slab"), ("new", tmp_path / "Small.slab")):
        assert "but for capitals" in refused(call(*words))
    assert [p.name for p in tmp_path.glob("*.slab")] == ["small.slab"]


def test_a_whole_project_is_said_to_be_whole_and_counted(call, small) -> None:  # noqa: F811
    assert "is whole: 1 entries of the history, 0 loaded files" in call("check", small, "--whole")[1]
    found = json.loads(call("check", small, "--whole", "--json")[1])
    assert (found["whole"], found["changes"], found["alternatives"]) == (True, 1, 1)


@pytest.mark.parametrize(
    "damage",
    [
        "INSERT INTO result (stage, fingerprint, time, content) VALUES ('design', 'f', 'now', x'00')",
        "UPDATE change SET detail = '{'",
        "DELETE FROM head",
        "INSERT INTO fact_counts (inserted, source_file, year, daily_traffic) VALUES (1, 99, 2000, 1)",
    ],
)
def test_what_is_not_whole_is_refused(call, small, damage) -> None:  # noqa: F811
    with closing(sqlite3.connect(small)) as plain:
        plain.execute(damage)
        plain.commit()
    assert "damaged" in refused(call("check", small, "--whole"))


PLAY = """
import io, json, sys
from contextlib import redirect_stderr, redirect_stdout
from slabwright.cli import main
said = []
for words in json.loads(sys.argv[1]):
    sys.argv[1:], code, err = words, 0, io.StringIO()
    try:
        with redirect_stderr(err), redirect_stdout(io.StringIO()):
            main()
    except SystemExit as stop:
        code = stop.code
    said.append([code, err.getvalue()])
print(json.dumps(said))
"""
DROP, OVERRIDE = 24, 1  # of prctl: take a right from all that is started; the right to pass over permissions


def without_rights() -> None:
    """Whoever runs the tests may be allowed everything; what is started here is not."""
    if os.getuid() == 0:
        assert ctypes.CDLL(None, use_errno=True).prctl(DROP, OVERRIDE, 0, 0, 0) == 0


@pytest.fixture
def shelf(demo_file: Path, demo_results: Any, tmp_path: Path) -> Iterator[Path]:
    """The demo road where one may read only, as on a medium for reading; one stage is still to be computed."""
    (tmp_path / "shelf").mkdir()
    place = Path(shutil.copy(demo_file, tmp_path / "shelf" / "demo.slab"))
    with closing(sqlite3.connect(place)) as plain:
        assert plain.execute("DELETE FROM result WHERE stage = 'survey'").rowcount
        plain.commit()
    place.chmod(0o444)
    place.parent.chmod(0o555)
    yield place
    place.parent.chmod(0o755)


def test_a_project_on_a_medium_for_reading_is_checked_shown_and_reported(shelf: Path, tmp_path: Path) -> None:
    out, before = tmp_path / "out", shelf.read_bytes()
    out.mkdir()
    reading = [
        ("check", shelf),
        ("check", shelf, "--whole"),
        ("show", shelf, "survey"),
        ("history", shelf),
        ("report", shelf, "-o", out / "report.pdf"),
        ("export", shelf, "--xlsx", "--dxf", "-o", out),
        ("copy", shelf, out),
    ]
    writing = [("decide", shelf, "design.reliability=90 %"), ("undo", shelf)]
    words = json.dumps([list(map(str, command)) for command in (*reading, *writing)])
    played = subprocess.run(
        [sys.executable, "-c", PLAY, words], check=True, capture_output=True, text=True, preexec_fn=without_rights
    )
    said = json.loads(played.stdout)
    assert said[:7] == [[0, ""]] * 7
    for code, refusal in said[7:]:
        assert code == 2
        assert "stands where nothing can be written" in refusal
        assert "slabwright copy" in refusal
    assert {p.name for p in out.iterdir()} == {"report.pdf", "quantities.xlsx", "repairs.dxf", "demo.slab"}
    assert shelf.read_bytes() == before
    assert [p.name for p in shelf.parent.iterdir()] == ["demo.slab"]
