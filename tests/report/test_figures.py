"""The drawings: well-formed, the same each time, readable without colour, and without a trace outside."""

from xml.etree import ElementTree

import matplotlib
import pytest

from slabwright.report.document import drawings
from slabwright.report.paint import FACES, SETTINGS

SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def drawn(record, appended):
    return drawings(record) | drawings(appended)


def words(svg: str) -> list[str]:
    return ["".join(e.itertext()) for e in ElementTree.fromstring(svg).iter(f"{SVG}text")]


def test_each_direction_has_a_strip_with_its_sections_and_lanes(drawn, demo):
    sections = demo.results["survey"].tables["sections"]
    for name, direction, lane in (("strip_0", "with stationing", "NB1"), ("strip_1", "against stationing", "SB1")):
        shown = words(drawn[name])
        assert set(sections.loc[sections["direction"] == direction, "section"]) <= set(shown)
        assert lane in shown
        assert "B1" in shown


def test_thickness_on_the_strip_is_that_of_the_design(drawn, demo):
    """Drawn in inches; 1 in = 0.0254 m."""
    thicknesses = (
        demo.results["design"].tables["thicknesses"].query("direction == 'with stationing'")["overlay"].dropna()
    )
    shown = words(drawn["strip_0"])
    assert [t for t in thicknesses if f"{t / 0.0254:.2f}" not in shown] == []
    assert "none" in shown


def test_every_designed_section_has_its_curves(drawn, demo):
    designed = demo.results["design"].tables["thicknesses"].query("overlay > 0")["section"]
    shown = words(drawn["lives_0"])
    assert [s for s in designed if not any(w.startswith(f"{s}:") for w in shown)] == []


def test_drawings_are_vectors_with_words_in_the_face_of_the_report(drawn):
    for name, svg in drawn.items():
        root = ElementTree.fromstring(svg)
        assert not list(root.iter(f"{SVG}image")), name
        assert [face for face in FACES if face in svg] == [], name
        assert "'Libertinus Serif'" in svg, name


def test_same_data_same_drawing_and_no_trace_in_the_settings(record, appended, drawn):
    assert drawings(record) | drawings(appended) == drawn
    changed = [name for name in SETTINGS if matplotlib.rcParams[name] != matplotlib.rcParamsDefault[name]]
    assert changed == []
