"""Nine untidy files of an invented ring road load as they come, with at most one question each, shown with its answer.

Expected values are those that ``ring_road`` writes, turned into SI by hand (1 km is 1,000 m, 1 kN is 1,000 N).
"""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from slabwright.intake import read
from slabwright.project import create
from slabwright.workflow import load_files, read_files

from .conftest import rules
from .ring_road import LOST, OFFSETS, write

# What each file asks, and nothing else does: the answer is to accept it.
ASKED = {
    "distresses": {"word guessed"},
    "counts": {"mark of thousands"},
    "deflections": {"drop set aside"},
}


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    return write(tmp_path_factory.mktemp("ring"))


TABLES = ["road", "lanes", "layers", "bridges", "ramps", "distresses", "counts", "deflections", "cores"]


@pytest.mark.parametrize("table", TABLES)
def test_each_file_is_known_for_its_table_and_asks_at_most_one_thing(files, table) -> None:
    (found,) = read(files[table], system="metric")
    assert found.table == table
    assert rules(found) == ASKED.get(table, set())


def test_the_values_are_those_written(files) -> None:
    frames = {table: read(files[table], system="metric")[0].frame for table in TABLES}
    assert frames["road"][["begin", "end"]].to_numpy().tolist() == [[0.0, 12480.0]]
    assert frames["lanes"]["width"].tolist() == [3.5, 3.5, 3.75]
    layers = frames["layers"]
    assert layers["end"].tolist() == [3490.0, 12480.0]
    assert layers["thickness"].to_numpy() == pytest.approx([0.24, 0.26])
    assert (layers["dowelled"].tolist(), layers["year_built"].tolist()) == (["yes", "no"], [1998.0, 2004.0])
    bridges = frames["bridges"]
    assert bridges["name"].tolist() == ["Pont du canal", "Passage rue haute"]
    assert bridges[["begin", "end"]].to_numpy().tolist() == [[5120.0, 5180.0], [7340.0, 7352.0]]
    assert bridges["passes"].tolist() == ["under the road", "over the road"]
    assert frames["ramps"][["station", "kind"]].to_numpy().tolist() == [[2250.0, "on"], [2900.0, "off"]]
    assert frames["counts"]["daily_traffic"].tolist() == [45000.0, 46250.0]
    assert frames["cores"]["compressive_strength"].to_numpy() == pytest.approx([41.5e6, 44e6])
    assert frames["cores"]["station"].to_numpy() == pytest.approx([1200.0, 6750.0])


def test_distresses_in_the_crews_words(files) -> None:
    frame = read(files["distresses"], system="metric")[0].frame
    kinds = frame["kind"].value_counts().to_dict()
    assert kinds == {"longitudinal crack": 300, "transverse crack": 1, "other": 1, "corner break": 1}
    assert frame[frame["kind"] == "other"]["written"].tolist() == ["popouts"]
    assert (frame["written"] == "").sum() == 302
    assert frame["crack_width"][0] == pytest.approx(0.0006)
    assert frame["severity"].tolist()[:3] == ["moderate", "high", "low"]
    assert frame["severity"].tolist()[-3:] == ["moderate", "low", "high"]


def test_300_equal_words_are_one_finding_with_its_rows(files) -> None:
    (found,) = [f for f in read(files["distresses"], system="metric")[0].findings if f.rule == "word guessed"]
    assert "300 rows: 3, 4, 5" in found.message


def test_metric_sensors_and_the_drop_without_a_centre(files) -> None:
    (found,) = read(files["deflections"], system="metric")
    frame = found.frame
    assert len(frame) == 640
    offsets = [frame[f"offset_{i}"][0] for i in range(1, 9)]
    assert offsets == pytest.approx([o / 1000 for o in OFFSETS])
    assert frame["load"].to_numpy()[:4] == pytest.approx([30e3, 40e3, 50e3, 70e3])
    assert frame["deflection_1"][0] == pytest.approx(96e-6)
    assert frame["deflection_1"].isna().to_numpy().nonzero()[0].tolist() == [LOST]


def test_all_nine_load_and_the_lost_drop_is_left_out_with_a_trace(files, tmp_path: Path) -> None:
    with create(
        tmp_path / "ring.slab", user="an engineer", clock=lambda: datetime(2026, 11, 25, tzinfo=UTC)
    ) as project:
        for path in files.values():
            load_files(project, read_files(project, [path], system="metric"), accept=True)
        held = project.facts()
        assert {t: len(getattr(held, t)) for t in ("deflections", "distresses", "cores")} == {
            "deflections": 639,
            "distresses": 303,
            "cores": 2,
        }
        assert held.deflections["deflection_1"].notna().all()
        assert [t.answer for t in project.findings() if t.finding.rule == "drop set aside"] == ["accepted"]
