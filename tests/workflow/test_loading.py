"""Loading is whole or not at all, also over several files."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from slabwright.errors import Conflict, StoreError
from slabwright.project import Project, create
from slabwright.workflow import load_files, load_whole, loading, read_files

LANES = "lane,position,width (ft)\nNB1,1,12\nNB2,2,12\n"
COUNTS = "year,daily traffic,trucks (%)\n2024,41000,9\n2025,42000,9\n"
CRACKS = "station,lane,distress\n" + "1+00,NB1,faulting\n" * 2 + "2+00,NB1,faulting\n" * 2


@pytest.fixture
def project(tmp_path: Path) -> Iterator[Project]:
    with create(tmp_path / "road.slab", user="an engineer", clock=lambda: datetime(2026, 11, 25, tzinfo=UTC)) as made:
        yield made


def written(folder: Path, **files: str) -> list[Path]:
    paths = []
    for name, content in files.items():
        paths.append(folder / f"{name}.csv")
        paths[-1].write_text(content)
    return paths


def test_a_file_loaded_before_refuses_all_of_them(project: Project, tmp_path: Path) -> None:
    lanes, counts = written(tmp_path, lanes=LANES, counts=COUNTS)
    load_files(project, read_files(project, [lanes]), accept=True)
    with pytest.raises(Conflict, match=r"lanes.csv.*already loaded by an engineer"):
        load_files(project, read_files(project, [counts, lanes]), accept=True)
    assert [s.name for s in project.sources()] == ["lanes.csv"]
    assert project.facts().counts.empty


def test_the_same_bytes_under_two_names_refuse_both(project: Project, tmp_path: Path) -> None:
    readings = read_files(project, written(tmp_path, lanes=LANES, copy=LANES))
    with pytest.raises(Conflict, match="given twice"):
        load_files(project, readings, accept=True)
    assert project.head == 0


def test_findings_are_struck_one_by_one_with_their_trace(project: Project, tmp_path: Path) -> None:
    (cracks,) = written(tmp_path, cracks=CRACKS)
    readings = read_files(project, [cracks])
    (found,) = readings[cracks]
    repeats = [i for i, f in enumerate(found.findings) if f.rule == "duplicate row"]
    (loaded,) = load_files(project, readings, accept=True, reject_findings={cracks: [repeats[1:]]})
    assert project.facts().distresses["station"].round(2).tolist() == [30.48, 30.48, 60.96]
    assert (loaded.accepted, loaded.rejected) == (1, 1)
    assert [(t.finding.row, t.answer) for t in project.findings()] == [(3, "accepted"), (5, "rejected")]


def test_a_stale_view_loads_nothing(project: Project, tmp_path: Path) -> None:
    lanes, counts = written(tmp_path, lanes=LANES, counts=COUNTS)
    seen = project.head
    load_files(project, read_files(project, [lanes]))
    with pytest.raises(Conflict, match="has changed since it was read"):
        load_files(project, read_files(project, [counts]), accept=True, expected=seen)
    assert len(project.sources()) == 1


def edits_before(monkeypatch: pytest.MonkeyPatch, name: str, times: int) -> None:
    """Somebody else edits just before that file is loaded, each of so many times that it is tried."""
    plain, left = loading._load_one, [times]

    def load_one(load: Any, file: Any, written: Any) -> Any:
        if file.readings[0].file == name and left[0]:
            left[0] -= 1
            raise Conflict("the project has changed since it was read")
        return plain(load, file, written)

    monkeypatch.setattr(loading, "_load_one", load_one)


def test_of_files_loaded_together_none_is_in_where_one_meets_a_conflict(
    project: Project, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    readings, told = read_files(project, written(tmp_path, lanes=LANES, counts=COUNTS)), []
    edits_before(monkeypatch, "counts.csv", loading.ANEW + 1)
    with pytest.raises(Conflict):
        load_files(project, readings, accept=True, tell=told.append)
    assert (project.head, project.sources(), told) == (0, (), [])
    edits_before(monkeypatch, "counts.csv", 1)
    assert [each.change for each in load_files(project, readings, accept=True, tell=told.append)] == [1, 2]
    assert [each.file for each in told] == ["lanes.csv", "counts.csv"]


@pytest.mark.parametrize("stale", [False, True])
def test_what_is_loaded_is_told_where_another_file_meets_a_conflict(
    project: Project, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, stale: bool
) -> None:
    readings, told = read_files(project, written(tmp_path, lanes=LANES, counts=COUNTS)), []
    edits_before(monkeypatch, "counts.csv", loading.ANEW + 1)
    loaded, refused = load_whole(
        project, readings, accept=True, expected=project.head if stale else None, tell=told.append
    )
    assert [each.file for each in loaded] == [each.file for each in told] == ["lanes.csv"]
    assert [path.name for path in refused] == ["counts.csv"]
    assert [s.name for s in project.sources()] == ["lanes.csv"]


def test_what_is_loaded_is_told_where_the_disk_is_full_for_the_next(
    project: Project, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    readings = read_files(project, written(tmp_path, lanes=LANES, counts=COUNTS))
    plain = loading._load_one

    def load_one(load: Any, file: Any, written: Any) -> Any:
        done = plain(load, file, written)
        if done.file == "lanes.csv":
            raise StoreError("there is no room left on the disk")
        return done

    monkeypatch.setattr(loading, "_load_one", load_one)
    loaded, refused = load_whole(project, readings, accept=True)
    assert [each.file for each in loaded] == ["counts.csv"]
    assert [str(problem) for problem in refused.values()] == ["there is no room left on the disk."]
    assert [(s.name, project.head) for s in project.sources()] == [("counts.csv", 1)]


def hours(temperature: int) -> str:
    """A year of hours, all at one temperature."""
    days = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
    rows = [
        f"{month},{day},{hour},{temperature}"
        for month, count in enumerate(days, start=1)
        for day in range(1, count + 1)
        for hour in range(1, 25)
    ]
    return "month,day,hour,air temperature (C)\n" + "\n".join(rows) + "\n"


def test_one_file_fills_the_year_of_weather(project: Project, tmp_path: Path) -> None:
    mild, hot = written(tmp_path, mild=hours(12), hot=hours(30))
    with pytest.raises(Conflict, match=r"hot.csv.*one file fills the table weather.*mild.csv"):
        load_files(project, read_files(project, [mild, hot]))
    load_files(project, read_files(project, [mild]))
    with pytest.raises(Conflict, match=r"hot.csv.*holds hourly weather already.*Take the other file out"):
        load_files(project, read_files(project, [hot]))
    assert project.facts().weather["air_temperature"].unique().tolist() == [12]
    project.remove_source("mild.csv")
    load_files(project, read_files(project, [hot]))
    assert len(project.facts().weather) == 8760
    assert project.facts().weather["air_temperature"].unique().tolist() == [30]
