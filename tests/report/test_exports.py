"""Workbook, map and drawing: totals against the results, texts as texts, layers, audits, whole or not at all."""

from __future__ import annotations

import dataclasses
from pathlib import Path

import geopandas as gpd
import numpy as np
import pandas as pd
import pytest
from ezdxf.filemanagement import readfile
from python_calamine import CalamineWorkbook

from slabwright.errors import InputError, MissingFact, StoreError
from slabwright.project import Project
from slabwright.records.decisions import Decisions
from slabwright.records.facts import FACTS, Facts
from slabwright.records.results import StageResult
from slabwright.records.table import table
from slabwright.report.drawing import LAYERS, write_drawing
from slabwright.report.geopackage import placing_of, write_geopackage
from slabwright.report.workbook import write_workbook

Results = dict[str, StageResult]


@pytest.fixture(scope="session")
def facts(demo_project: Project) -> Facts:
    return demo_project.facts()


def workbook(path: Path, results: Results, system: str = "us", alternative: str = "base") -> CalamineWorkbook:
    write_workbook(path, alternative=alternative, decisions=Decisions(), results=results, system=system)  # type: ignore[arg-type]
    return CalamineWorkbook.from_path(str(path))


def frame(book: CalamineWorkbook, sheet: str) -> pd.DataFrame:
    rows = book.get_sheet_by_name(sheet).to_python()
    return pd.DataFrame(rows[1:], columns=rows[0])


@pytest.mark.parametrize("system", ["us", "metric"])
def test_the_workbook_adds_up_to_the_results(demo_results: Results, tmp_path: Path, system: str) -> None:
    book = workbook(tmp_path / "q.xlsx", demo_results, system)
    total = demo_results["design"].tables["overlay_quantities"]["cost"].sum()
    summary = dict(book.get_sheet_by_name("Summary").to_python()[2:6])
    assert summary["Cost in all, repairs with it"] == pytest.approx(total)
    assert summary["Cost of repairs"] == pytest.approx(demo_results["repair"].tables["repairs"]["cost"].sum())
    assert frame(book, "Repairs")["Cost"].sum() == pytest.approx(summary["Cost of repairs"])


@pytest.mark.parametrize("system", ["us", "metric"])
def test_formulas_are_what_their_stored_values_say(demo_results: Results, tmp_path: Path, system: str) -> None:
    """The formulas by hand, in the units of the sheet, from the cells that they name."""
    book = workbook(tmp_path / "q.xlsx", demo_results, system)
    prices = frame(book, "Prices").set_index("Item")["Unit price"]
    repairs = frame(book, "Repairs")
    full = repairs[repairs["Kind"] == "full depth"]
    area = full.filter(like="Length").iloc[:, 0].astype(float) * full.filter(like="Width").iloc[:, 0].astype(float)
    area /= 9 if system == "us" else 1  # 9 ft2 to a yd2, for which the price is
    by_hand = area * prices["Full-depth repair"] + 2 * prices["Transverse sawcut across a lane"]
    np.testing.assert_allclose(full["Cost"].astype(float), by_hand)
    overlay = frame(book, "Overlay")[:-1]
    size, depth = (overlay.filter(like=n).iloc[:, 0].astype(float) for n in ("Area", "Thickness"))
    volume = size * depth / 36 if system == "us" else size * depth / 1000  # 36 in to a yard
    np.testing.assert_allclose(overlay.filter(regex="Concrete \\[").iloc[:, 0].astype(float), volume)
    np.testing.assert_allclose(overlay["Concrete cost"].astype(float), volume * prices["Overlay concrete in place"])


def test_unit_prices_are_for_the_units_of_the_sheet(demo_results: Results, tmp_path: Path) -> None:
    """Stored per m2, m and m3; 1 yd2 = 0.83612736 m2, 1 ft = 0.3048 m, 1 yd3 = 0.764554857984 m3 exactly."""
    us, metric = (
        frame(workbook(tmp_path / f"{s}.xlsx", demo_results, s), "Prices").set_index("Item") for s in ("us", "metric")
    )
    wanted = {
        "Full-depth repair": (260.0, "m²", 217.393114, "yd²"),
        "Crack routed and filled": (28.0, "m", 8.5344, "ft"),
        "Overlay concrete in place": (310.0, "m³", 237.012006, "yd³"),
        "Transverse sawcut across a lane": (180.0, "each", 180.0, "each"),
        "Preparation, joints and curing": (14.0, "m²", 11.705783, "yd²"),
    }
    for item, (per_metric, unit, per_us, us_unit) in wanted.items():
        assert tuple(metric.loc[item]) == (pytest.approx(per_metric), unit)
        assert tuple(us.loc[item]) == (pytest.approx(per_us, rel=1e-7), us_unit)


def test_hostile_texts_stay_texts(demo_results: Results, tmp_path: Path) -> None:
    repairs = demo_results["repair"].tables["repairs"].copy()
    repairs.loc[:2, "lane"] = ["=1+1", "@cmd", "<b>lane</b>" + "x" * 40_000]
    changed = dataclasses.replace(demo_results["repair"], tables={**demo_results["repair"].tables, "repairs": repairs})
    book = workbook(tmp_path / "q.xlsx", {**demo_results, "repair": changed}, alternative="=HYPERLINK(1)")
    assert frame(book, "Repairs")["Lane"].tolist()[:2] == ["=1+1", "@cmd"]
    assert book.get_sheet_by_name("Summary").to_python()[0][0].endswith("=HYPERLINK(1)")


def test_the_map_lies_along_the_alignment(facts: Facts, demo_results: Results, tmp_path: Path) -> None:
    write_geopackage(tmp_path / "r.gpkg", facts=facts, results=demo_results, system="us")
    sections = gpd.read_file(tmp_path / "r.gpkg", layer="sections")
    assert sections.crs.to_epsg() == int(facts.road["coordinate_system"].iloc[0].split(":")[-1])
    lengths = (sections["end (ft)"] - sections["begin (ft)"]) * 0.3048
    np.testing.assert_allclose(sections.geometry.length, lengths, rtol=0.02)  # a curve is longer outside than inside
    near = sections.geometry.distance(gpd.points_from_xy(facts.alignment["x"], facts.alignment["y"]).union_all())
    assert near.max() < 100


def test_a_lane_lies_on_its_side_of_travel(facts: Facts) -> None:
    place = placing_of(facts, "us")
    station = np.array([3500.0])
    right, left = (place.points(station, np.array([o]))[0] for o in (10.0, -10.0))
    ahead = place.points(station + 1, np.zeros(1))[0] - place.points(station, np.zeros(1))[0]
    assert np.cross([*ahead, 0], [*(left - right), 0])[2] > 0
    assert np.hypot(*(left - right)) == pytest.approx(20.0)


def test_without_an_alignment_the_map_is_linear(facts: Facts, demo_results: Results, tmp_path: Path) -> None:
    bare = dataclasses.replace(facts, alignment=table(FACTS["alignment"], {}))
    write_geopackage(tmp_path / "r.gpkg", facts=bare, results=demo_results, system="us")
    tests = gpd.read_file(tmp_path / "r.gpkg", layer="moduli")
    np.testing.assert_allclose(tests.geometry.x, tests["station (ft)"])


def test_a_wrong_coordinate_system_is_a_sentence(facts: Facts, demo_results: Results, tmp_path: Path) -> None:
    for stated, part in (("EPSG:1", "no such coordinate system"), ("", "has no coordinate system")):
        wrong = dataclasses.replace(facts, road=facts.road.assign(coordinate_system=stated))
        with pytest.raises(InputError, match=part):
            write_geopackage(tmp_path / "r.gpkg", facts=wrong, results=demo_results, system="us")
    assert not (tmp_path / "r.gpkg").exists()


def test_the_drawing_is_sound_and_holds_every_repair(facts: Facts, demo_results: Results, tmp_path: Path) -> None:
    write_drawing(tmp_path / "r.dxf", facts=facts, results=demo_results, system="us")
    drawing = readfile(tmp_path / "r.dxf")
    assert not drawing.audit().errors
    assert set(LAYERS) <= {layer.dxf.name for layer in drawing.layers}
    texts = {t.dxf.text for t in drawing.modelspace().query("TEXT")}
    assert set(demo_results["repair"].tables["repairs"]["repair"]) <= texts
    full = drawing.modelspace().query('LWPOLYLINE[layer=="C-PVMT-FULL"]')
    repairs = demo_results["repair"].tables["repairs"].query("kind == 'full depth'")
    assert len(full) == len(repairs)
    first = min(p[0] for p in min(full, key=lambda e: e[0][0]).get_points())
    assert first == pytest.approx(repairs["begin"].min() / 0.3048)
    sheets = [n for n in drawing.layouts.names() if n.startswith("Sheet")]
    assert len(sheets) == 11  # 10,600 ft at 1,000 ft a sheet


def test_a_drawing_needs_lanes(facts: Facts, demo_results: Results, tmp_path: Path) -> None:
    with pytest.raises(MissingFact, match="lanes"):
        write_drawing(
            tmp_path / "r.dxf",
            facts=dataclasses.replace(facts, lanes=table(FACTS["lanes"], {})),
            results=demo_results,
            system="us",
        )


def test_a_place_that_cannot_be_written_is_a_sentence_and_leaves_nothing(demo_results: Results, tmp_path: Path) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("here already")
    with pytest.raises(StoreError, match="cannot be written"):
        workbook(blocked / "q.xlsx", demo_results)
    assert blocked.read_text() == "here already"
    assert list(tmp_path.iterdir()) == [blocked]
