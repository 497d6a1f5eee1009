"""Copying a project, checking that it is whole, and reading one that stands where nothing can be written."""

from __future__ import annotations

import json
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from slabwright.project import create, open_project
from tests.cli.test_commands import call, refused, road  # noqa: F401 (fixtures)
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
