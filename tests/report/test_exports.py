"""Map and drawing: where things lie, layers, audits, whole or not at all."""

from __future__ import annotations

import dataclasses
import sqlite3
from contextlib import closing
from pathlib import Path
from xml.etree import ElementTree

import geopandas as gpd
import numpy as np
import pytest
from ezdxf.colors import aci2rgb
from ezdxf.filemanagement import readfile

from slabwright.errors import InputError, MissingFact
from slabwright.project import Project
from slabwright.records.facts import FACTS, Facts
from slabwright.records.results import StageResult
from slabwright.records.table import table
from slabwright.report.drawing import LAYERS, write_drawing
from slabwright.report.geopackage import write_geopackage
from slabwright.report.placing import Placing, placing_of
from slabwright.roadway.joints import joints_of_road

Results = dict[str, StageResult]


@pytest.fixture(scope="session")
def facts(demo_project: Project) -> Facts:
    return demo_project.facts()


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


def test_each_map_layer_has_a_style_with_every_word_that_it_tells_apart(
    facts: Facts, demo_results: Results, tmp_path: Path
) -> None:
    path = tmp_path / "r.gpkg"
    write_geopackage(path, facts=facts, results=demo_results, system="us")
    with closing(sqlite3.connect(path)) as connection:
        styles = dict(connection.execute("SELECT f_table_name, styleQML FROM layer_styles WHERE useAsDefault"))
        shapes = dict(connection.execute("SELECT table_name, geometry_type_name FROM gpkg_geometry_columns"))
        columns = dict(connection.execute("SELECT table_name, column_name FROM gpkg_geometry_columns"))
        named = dict(connection.execute("SELECT f_table_name, f_geometry_column FROM layer_styles"))
        kinds = dict(connection.execute("SELECT table_name, data_type FROM gpkg_contents"))
    assert set(styles) == set(shapes)
    assert named == columns
    assert kinds["layer_styles"] == "attributes"
    for layer, xml in styles.items():
        (renderer,) = ElementTree.fromstring(xml)
        symbols = {s.attrib["name"]: s for s in renderer.iter("symbol")}
        assert {s.attrib["type"] for s in symbols.values()} == {"line" if "LINE" in shapes[layer] else "marker"}
        if column := renderer.get("attr"):
            told = {c.attrib["value"]: c.attrib["symbol"] for c in renderer.iter("category")}
            assert set(told) == set(gpd.read_file(path, layer=layer)[column].fillna("").astype(str))
            assert set(told.values()) == set(symbols)
            colours = [p.attrib["v"] for p in renderer.iter("prop") if p.attrib["k"] in ("line_color", "color")]
            assert len(set(colours)) == len(colours), layer
    assert {"sections", "repairs"} <= {n for n, xml in styles.items() if "categorizedSymbol" in xml}


def unrolled(facts: Facts) -> Facts:
    return dataclasses.replace(facts, alignment=facts.alignment.iloc[:0])


def test_a_curve_is_followed_and_goes_on_beyond_its_ends() -> None:
    """A quarter of a circle of 400 m: a point 10 m to the right of travel, which turns left, lies on a circle of 410 m."""
    radius, angle = 400.0, np.linspace(0, np.pi / 2, 200)
    place = Placing(radius * angle, radius * np.sin(angle), radius * (1 - np.cos(angle)), "EPSG:1", 1.0)
    station = np.linspace(10.0, 600.0, 7)
    right = place.points(station, np.full(7, 10.0))
    assert np.hypot(right[:, 0], right[:, 1] - radius) == pytest.approx(410.0, abs=0.02)  # chords of 3 m
    assert np.degrees(place.bearing(station)) == pytest.approx(np.degrees(station / radius), abs=0.3)
    assert place.points(np.array([-50.0]), np.zeros(1))[0] == pytest.approx([-50.0, 0.0], abs=0.3)


def test_sheets_lie_along_the_alignment_with_stations_to_the_right(
    facts: Facts, demo_results: Results, tmp_path: Path
) -> None:
    write_drawing(tmp_path / "r.dxf", facts=facts, results=demo_results, system="us")
    drawing, place = readfile(tmp_path / "r.dxf"), placing_of(facts, "us")
    assert not drawing.audit().errors
    repair = demo_results["repair"].tables["repairs"].query("kind == 'full depth'").iloc[0]
    drawn = [np.array(e.get_points())[:, :2] for e in drawing.modelspace().query('LWPOLYLINE[layer=="C-PVMT-FULL"]')]
    on_road = place.points(np.array([repair["begin"]]), np.zeros(1))[0]
    near = min(np.linalg.norm(corners - on_road, axis=1).min() for corners in drawn)
    assert near < 2.0 + 3 * 3.66  # half of the median and three lanes
    views = [v for v in drawing.layouts.get("Sheet 3").query("VIEWPORT") if v.dxf.id != 1]
    for view in views:
        into = view.get_transformation_matrix()
        middle = np.array(view.dxf.view_target_point)[:2]
        stations = np.linspace(facts.layers["begin"].min(), facts.layers["end"].max(), 4000)
        centre = stations[np.linalg.norm(place.points(stations, 0 * stations) - middle, axis=1).argmin()]
        ends = place.points(np.array([centre - 30, centre + 30]), np.zeros(2))
        back, ahead = (into.transform((x, y, 0)) for x, y in ends)
        assert ahead.x - back.x > 0
        assert abs(ahead.y - back.y) < 0.05 * (ahead.x - back.x)
        assert view.dxf.center.x == pytest.approx((back.x + ahead.x) / 2, abs=0.2)  # in


def test_the_drawing_is_sound_and_holds_every_repair(facts: Facts, demo_results: Results, tmp_path: Path) -> None:
    write_drawing(tmp_path / "r.dxf", facts=unrolled(facts), results=demo_results, system="us")
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


def luminance(colour: tuple[int, int, int]) -> float:
    """Relative luminance by W3C WCAG 2.1."""
    shares = [c / 255 for c in colour]
    linear = [c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in shares]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def test_layers_stand_out_on_white_and_on_black() -> None:
    """Contrast of at least 3 to 1, which WCAG 2.1 asks of graphics; colour 7 is by convention the paper's opposite."""
    for colour, _ in LAYERS.values():
        if colour != 7:
            seen = luminance(aci2rgb(colour))
            assert min((seen + 0.05) / 0.05, 1.05 / (seen + 0.05)) >= 3.0, colour


def test_joints_that_nobody_surveyed_are_drawn_as_assumed(facts: Facts, demo_results: Results, tmp_path: Path) -> None:
    write_drawing(tmp_path / "r.dxf", facts=facts, results=demo_results, system="us")
    space = readfile(tmp_path / "r.dxf").modelspace()
    drawn = {n: len(space.query(f'LINE[layer=="{n}"]')) for n in ("C-PVMT-JNTS", "C-PVMT-JNTA")}
    joints = joints_of_road(facts, demo_results["evaluation"].tables["condition"])
    assert drawn == {"C-PVMT-JNTS": (~joints["assumed"]).sum(), "C-PVMT-JNTA": joints["assumed"].sum()}
    assert min(drawn.values()) > 0
    bare = dataclasses.replace(
        facts,
        distresses=facts.distresses.iloc[:0],
        deflections=facts.deflections[facts.deflections["position"] == "mid-slab"],
    )
    write_drawing(tmp_path / "r.dxf", facts=bare, results=demo_results, system="us")
    assert not len(readfile(tmp_path / "r.dxf").modelspace().query('LINE[layer=="C-PVMT-JNTS"]'))


def test_numbers_are_legible_and_the_ends_are_on_the_sheets(
    facts: Facts, demo_results: Results, tmp_path: Path
) -> None:
    """17 by 11 in sheets; text of a tenth of an inch is common practice, no source."""
    write_drawing(tmp_path / "r.dxf", facts=unrolled(facts), results=demo_results, system="us")
    drawing = readfile(tmp_path / "r.dxf")
    views = [v for v in drawing.layouts.get("Sheet 1").query("VIEWPORT") if v.dxf.view_height < 1000 and v.dxf.id != 1]
    repairs = set(demo_results["repair"].tables["repairs"]["repair"])
    heights = [t.dxf.height for t in drawing.modelspace().query("TEXT") if t.dxf.text in repairs]
    for view in views:
        assert min(heights) * view.dxf.height / view.dxf.view_height >= 0.095
    first = min(views, key=lambda v: v.dxf.view_center_point[0])
    wide = first.dxf.view_height * first.dxf.width / first.dxf.height
    left = first.dxf.view_center_point[0] - wide / 2
    texts = {t.dxf.text: t for t in drawing.modelspace().query('TEXT[layer=="C-ROAD-STAN"]')}
    begin = texts["100+00.0"]
    assert begin.dxf.align_point[0] - 0.5 * len(begin.dxf.text) * begin.dxf.height > left


def test_a_drawing_needs_lanes(facts: Facts, demo_results: Results, tmp_path: Path) -> None:
    with pytest.raises(MissingFact, match="lanes"):
        write_drawing(
            tmp_path / "r.dxf",
            facts=dataclasses.replace(facts, lanes=table(FACTS["lanes"], {})),
            results=demo_results,
            system="us",
        )
