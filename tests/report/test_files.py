"""Outputs appear whole or not at all, and never in the place of a project, a loaded file or something of another kind."""

from __future__ import annotations

import hashlib
import os
import resource
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

from slabwright.errors import StoreError
from slabwright.project import create
from slabwright.records.decisions import Decisions
from slabwright.report import document
from slabwright.report.drawing import write_drawing
from slabwright.report.files import Kind, refuse_target, write_whole
from slabwright.report.geopackage import write_geopackage
from slabwright.report.workbook import write_workbook
from tests.cli.test_commands import call, refused, road  # noqa: F401 (fixtures)
from tests.conftest import clock

PDF = b"%PDF-1.7\n...\n%%EOF\n"


@pytest.fixture
def slab(tmp_path: Path) -> Path:
    create(tmp_path / "a.slab", user="Ada", clock=clock).close()
    return tmp_path / "a.slab"


@pytest.mark.parametrize("name", ["a.slab", "renamed.pdf", "link.pdf"])
def test_nothing_is_written_over_a_project_whatever_is_said(slab: Path, tmp_path: Path, name: str) -> None:
    if name == "renamed.pdf":
        slab = slab.rename(tmp_path / name)
    if name == "link.pdf":
        (tmp_path / name).symlink_to(slab)
    before = slab.read_bytes()
    with pytest.raises(StoreError, match="is a project file"):
        refuse_target(tmp_path / name, "pdf", overwrite=True)
    with pytest.raises(StoreError, match="is a project file"):
        write_whole(tmp_path / name, PDF, "pdf")
    assert slab.read_bytes() == before


def test_a_name_that_a_project_would_have_is_no_place_for_a_report(tmp_path: Path) -> None:
    with pytest.raises(StoreError, match="is a project file"):
        refuse_target(tmp_path / "new.slab", "pdf", overwrite=True)


@pytest.mark.parametrize("kind", ["pdf", "xlsx", "gpkg", "dxf"])
def test_a_file_of_another_kind_is_replaced_only_when_that_is_said(tmp_path: Path, kind: Kind) -> None:
    lanes = tmp_path / "lanes.csv"
    lanes.write_text("lane,begin,end\n1,0,100\n")
    with pytest.raises(StoreError, match="a file of this name that is no") as refusal:
        refuse_target(lanes, kind)
    assert "--overwrite" in refusal.value.remedy
    refuse_target(lanes, kind, overwrite=True)


def test_a_loaded_file_is_replaced_only_when_that_is_said(tmp_path: Path) -> None:
    report = tmp_path / "report.pdf"
    report.write_bytes(PDF)
    refuse_target(report, "pdf")
    loaded = {hashlib.sha256(PDF).hexdigest()}
    with pytest.raises(StoreError, match="was loaded into the project"):
        refuse_target(report, "pdf", loaded=loaded)
    refuse_target(report, "pdf", loaded=loaded, overwrite=True)


def test_a_pipe_is_no_place_for_a_report(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.pdf")
    with pytest.raises(StoreError, match="no plain file"):
        write_whole(tmp_path / "pipe.pdf", PDF, "pdf")


@pytest.mark.parametrize("content", [PDF[:10], b"not a report", b""])
def test_what_was_not_written_whole_takes_no_name(tmp_path: Path, content: bytes) -> None:
    report = tmp_path / "report.pdf"
    report.write_bytes(PDF)
    with pytest.raises(StoreError, match="not written whole"):
        write_whole(report, content, "pdf")
    assert report.read_bytes() == PDF
    assert list(tmp_path.iterdir()) == [report]


@contextmanager
def full_disk(room: int) -> Iterator[None]:
    """No file may grow beyond ``room`` bytes: every writer meets the error of a full disk, in C as in Python."""
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (room, before[1]))
    yield
    resource.setrlimit(resource.RLIMIT_FSIZE, before)


def export(kind: Kind, out: Path, facts: Any, results: Any) -> None:
    if kind == "xlsx":
        write_workbook(out, alternative="base", decisions=Decisions(), results=results, system="us")
    elif kind == "gpkg":
        write_geopackage(out, facts=facts, results=results, system="us")
    else:
        write_drawing(out, facts=facts, results=results, system="us")


@pytest.mark.parametrize("kind", ["xlsx", "gpkg", "dxf"])
@pytest.mark.parametrize("room", [512, 60_000])
def test_a_full_disk_is_a_sentence_and_leaves_nothing(
    demo_project: Any, demo_results: Any, tmp_path: Path, kind: Kind, room: int
) -> None:
    facts, out = demo_project.facts(), tmp_path / f"out.{kind}"
    if kind == "xlsx" and room > 512:
        room = 20_000  # the demo's workbook is smaller than the others
    with full_disk(room), pytest.raises(StoreError, match=r"cannot be written|not written whole") as refusal:
        export(kind, out, facts, demo_results)
    assert "room on the disk" in refusal.value.remedy
    assert list(tmp_path.iterdir()) == []


def test_a_full_disk_while_a_report_is_set_is_a_sentence(
    record: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The drawings go to a temporary folder before the page that calls for them is set."""
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    monkeypatch.setattr(document, "drawings", lambda _: {"strip": "x" * 2000})
    with full_disk(512), pytest.raises(StoreError, match="cannot be kept while it is set: File too large") as refusal:
        document.typeset(record)
    assert "Make room on the disk" in refusal.value.remedy
    assert list(tmp_path.iterdir()) == []


def test_the_commands_refuse_their_own_project_and_what_was_loaded(call, road, tmp_path) -> None:  # noqa: F811
    before = road.read_bytes()
    assert "is a project file" in refused(call("report", road, "-o", road))
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "road.gpkg").write_text("my notes")
    assert "no GeoPackage" in refused(call("export", road, "--xlsx", "--gpkg", "-o", tmp_path / "out"))
    assert [p.name for p in (tmp_path / "out").iterdir()] == ["road.gpkg"]
    assert road.read_bytes() == before
    assert call("export", road, "--gpkg", "--overwrite", "-o", tmp_path / "out")[0] == 0
    assert call("export", road, "--gpkg", "-o", tmp_path / "out")[0] == 0
