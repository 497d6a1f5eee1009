"""Both painters show what a figure record says: the same series, numbers, axes, units, marks and words, in both systems.

Each drawing is read back from what the library was really given (``reading``) and compared with the record.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator
from typing import Any, get_args

import numpy as np
import pytest
from matplotlib.figure import Figure as Sheet
from scipy.interpolate import RegularGridInterpolator

from slabwright import units
from slabwright.bond.map import MAP_CAUSES
from slabwright.figures.design import deflection_reductions, lives, ranges, swings
from slabwright.figures.layer_tables import strip_layers
from slabwright.figures.layers import MOST, Layer
from slabwright.figures.loading import accumulated_axles, axles_by_year
from slabwright.figures.looks import GROUPS, LOOKS
from slabwright.figures.mechanistic import bond_ages, bond_map, fatigue_lives, life_shares
from slabwright.figures.record import Axis, Field, Figure, Line, Points, Rule, Series
from slabwright.figures.road import Road, road_of
from slabwright.figures.sectioning import cumulative_differences
from slabwright.figures.shown import in_units
from slabwright.figures.strip import plan_figure, row_figure
from slabwright.project import Project
from slabwright.records.decisions import Decisions
from slabwright.report import paint
from slabwright.web.parts.paint import painted
from slabwright.web.parts.strip.figure import figure as strip
from tests.figures.reading import Drawing, Read, expected, of_matplotlib, of_plotly
from tests.mechanistic_results import bond_result, life_result

SYSTEMS = ("us", "metric")


def crowded(shape: str) -> Layer:
    """More records than are drawn one by one."""
    rng, n = np.random.default_rng(5), 4 * MOST
    words = np.array(["low", "high"], dtype=object)[np.arange(n) % 2]
    value = np.where(rng.uniform(size=n) < 0.02, np.nan, rng.lognormal(-9, 0.3, n))
    station = np.sort(rng.uniform(3048, 6278, n))
    return Layer(
        "crowded",
        "Crowded",
        "deflection",
        shape,
        "basins",
        ("low", "high"),
        station,
        None,
        words,
        value,
        words,
        words,
        np.arange(n),
    )


def turned() -> Figure:
    """Axes that no picture has yet: logarithmic, and reversed."""
    x = np.array([0.01, 0.1, 1.0])
    return Figure(
        "Turned",
        Axis("length", "length", (0.005, 2.0), log=True),
        Axis("fall", "share", (0.0, 1.0), reversed=True),
        (Line("a", "group 0", x, x), Points("b", "group 1", x, x / 2)),
        (Rule("here", "limit", "y", (0.5,)),),
    )


@pytest.fixture(scope="module")
def figures(demo_project: Project, demo_results: dict[str, Any]) -> dict[str, Figure]:
    """Every picture of the demo road, by name."""
    facts, decisions = demo_project.facts(), Decisions()
    designed = demo_results["design"].tables["thicknesses"].dropna(subset=["overlay"])
    overlays = dict(zip(designed["section"], designed["overlay"], strict=True))
    results = {**demo_results, "bond": bond_result(overlays), "life": life_result(overlays)}
    road = road_of(facts, results)
    return {
        **dict(_of_sections(results, decisions, [*overlays][:2] + [*overlays][-1:])),
        **{
            d: cumulative_differences(results, d) for d in results["survey"].tables["differences"]["direction"].unique()
        },
        "each year": axles_by_year(results, decisions),
        "accumulated": accumulated_axles(results, decisions),
        "turned": turned(),
        **dict(_of_strip(strip_layers(facts, results, decisions), road)),
    }


def _of_sections(results: dict[str, Any], decisions: Decisions, names: list[str]) -> Iterator[tuple[str, Figure]]:
    for name in names:
        rows = results["design"].tables["sensitivities"]
        yield f"life {name}", lives(results, decisions, name)
        yield f"reduction {name}", deflection_reductions(results, name)
        yield f"swings {name}", swings(results, name, ranges(rows[rows["section"] == name], "us"))
        yield f"fatigue {name}", fatigue_lives(results, name)
        yield f"shares {name}", life_shares(results, name)
        yield f"bond {name}", bond_ages(results, name)
    for cause in MAP_CAUSES:
        yield f"map {cause}", bond_map(results, names[0], cause)


def _of_strip(layers: tuple[Layer, ...], road: Road) -> Iterator[tuple[str, Figure]]:
    whole, near = (road.begin, road.end), (4000.0, 4300.0)
    for window in (whole, near):
        yield f"plan {window}", plan_figure(road, window)
        for layer in (*layers, crowded("points"), crowded("marks")):
            yield f"{layer.name} {layer.shape} {window}", row_figure(layer, road, window)
    for direction in dict.fromkeys(lane.direction for lane in road.lanes):
        here = road.only(direction)
        yield f"plan {direction}", plan_figure(here, whole)
        for layer in layers:
            yield (
                f"{layer.name} {direction}",
                row_figure(layer.only([lane.name for lane in here.lanes], direction), here, whole),
            )


def by_plotly(figure: Figure, system: units.System, dark: bool = False) -> Read:
    return of_plotly(painted(figure, system, dark))


def by_matplotlib(figure: Figure, system: units.System) -> Read:
    with paint.drawing(4) as sheet:
        axes = sheet.subplots(1, 1)
        paint.paint(axes, in_units(figure, system), system)
        sheet.draw_without_rendering()
        return of_matplotlib(axes)


def compare(found: Read, wanted: Read) -> None:
    """Everything but the words, of which a painter may choose the long or the short form."""
    for part in ("dots", "boxes", "segments", "uprights"):
        _same(getattr(found, part), getattr(wanted, part))
    assert found.marks == wanted.marks
    assert found.named in (None, wanted.named)
    assert found.titles == wanted.titles
    assert found.scales == wanted.scales
    assert found.words == wanted.words
    for ends, limits in zip(found.ranges, wanted.ranges, strict=True):
        assert limits is None or ends == pytest.approx(limits, rel=1e-6)


def _same(found: Drawing, wanted: Drawing) -> None:
    known = {name: [lot for lot in lots if len(lot)] for name, lots in found.items()}
    assert {n for n, lots in known.items() if lots} == {n for n, lots in wanted.items() if any(map(len, lots))}
    for name, lots in wanted.items():
        for lot, other in zip(known.get(name, []), [lot for lot in lots if len(lot)], strict=True):
            np.testing.assert_allclose(lot, other, rtol=1e-9, atol=1e-9, err_msg=name)


@pytest.mark.parametrize("system", SYSTEMS)
def test_both_painters_show_every_figure_alike(figures: dict[str, Figure], system: units.System) -> None:
    assert len(figures) > 100
    for name, figure in figures.items():
        wanted = expected(in_units(figure, system))
        for read in (by_plotly(figure, system), by_plotly(figure, system, dark=True), by_matplotlib(figure, system)):
            try:
                compare(read, wanted)
            except AssertionError as wrong:
                raise AssertionError(f"{name}: {wrong}") from wrong


@pytest.mark.parametrize("system", SYSTEMS)
def test_both_painters_write_the_same_words(figures: dict[str, Figure], system: units.System) -> None:
    """Names along the axes, and words on the drawing: the long form on the page, the short one in print where there is one."""
    for name, figure in figures.items():
        shown = in_units(figure, system)
        page, print_ = by_plotly(figure, system), by_matplotlib(figure, system)
        points = [s for s in shown.series if isinstance(s, Points) and s.words]
        assert sorted(page.texts) == sorted([*(w.text for w in shown.words), *(w for s in points for w in s.words)]), (
            name
        )
        assert sorted(print_.texts) == sorted([
            *(w.short or w.text for w in shown.words),
            *(w for s in points for w in s.short),
        ]), name
        for which, axis in (("x", shown.x), ("y", shown.y)):
            if axis.kind == "words":
                assert page.names[which] == expected(shown).names[which], name
                assert [p for p, _ in print_.names[which]] == pytest.approx(list(axis.places)), name
                under = axis.under or ("",) * len(axis.words)
                assert [w for _, w in print_.names[which]] == [
                    f"{w}|{u}" for w, u in zip(axis.short or axis.words, under, strict=True)
                ], name
            if axis.mirrored and axis.limits and axis.limits[0] < 0:
                assert page.names[which] == print_.names[which], name
                assert not any("-" in w or "−" in w for _, w in page.names[which]), name
            if axis.kind == "station":
                for place, word in (*page.names[which], *print_.names[which]):
                    assert units.parse_station(word.rstrip("|"), system) == pytest.approx(place, abs=0.05), name


@pytest.mark.parametrize("system", SYSTEMS)
def test_both_painters_shade_the_same_field(figures: dict[str, Figure], system: units.System) -> None:
    """Lines of equal stress that matplotlib found run where the record, read between its places, has that stress."""
    for figure in (figures[f"map {cause}"] for cause in MAP_CAUSES):
        shown = in_units(figure, system)
        (field,) = (s for s in shown.series if isinstance(s, Field))
        trace = painted(figure, system, False)["data"][0]
        assert (trace["type"], trace["name"], trace["colorbar"]["title"]["text"]) == ("contour", field.name, field.name)
        np.testing.assert_allclose(trace["z"], field.z, rtol=1e-9)
        np.testing.assert_allclose(np.array(trace["x"]), field.x)
        np.testing.assert_allclose(np.array(trace["y"]), field.y)
        sheet = Sheet()
        axes = sheet.subplots(1, 1)
        paint.paint(axes, shown, system)
        assert sheet.axes[1].get_ylabel() == field.name
        read = RegularGridInterpolator((field.y, field.x), field.z)
        lines = axes.collections[1]
        for level, path in zip(lines.levels, lines.get_paths(), strict=True):  # type: ignore[attr-defined]
            inside = path.vertices[(path.codes != 79)] if path.codes is not None else path.vertices  # 79 closes a path
            np.testing.assert_allclose(read(inside[:, ::-1]), level, rtol=0.02, atol=0.02 * np.ptp(field.z))
        assert len(lines.levels) > 3  # type: ignore[attr-defined]


def without(figure: Figure, place: int) -> Figure:
    return dataclasses.replace(figure, series=figure.series[:place] + figure.series[place + 1 :])


def changed(figure: Figure, place: int) -> Figure:
    """One series moved a little to the right."""
    moved = figure.series[place].moved(lambda x: np.asarray(x) * 1.001 + 0.001, lambda y: y)
    return dataclasses.replace(figure, series=(*figure.series[:place], moved, *figure.series[place + 1 :]))


def renamed(figure: Figure, place: int) -> Figure:
    other = dataclasses.replace(figure.series[place], name="other")
    return dataclasses.replace(figure, series=(*figure.series[:place], other, *figure.series[place + 1 :]))


def without_marks(figure: Figure, _place: int) -> Figure:
    return dataclasses.replace(figure, marks=figure.marks[1:])


def one_of_each(figures: dict[str, Figure]) -> Iterator[tuple[Figure, int]]:
    """A figure and the place of a series in it, for every kind of series that is not empty."""
    met: set[type] = {Field}
    for figure in figures.values():
        for place, series in enumerate(figure.series):
            filled = any(len(v) for v in vars(series).values() if isinstance(v, np.ndarray))
            if type(series) not in met and filled and figure.marks:
                met.add(type(series))
                yield figure, place
    assert met == set(get_args(Series))


@pytest.mark.parametrize("spoil", [without, changed, renamed, without_marks])
@pytest.mark.parametrize("read", [by_plotly, by_matplotlib])
def test_the_comparison_sees_what_is_wrong(figures: dict[str, Figure], spoil: Any, read: Any) -> None:
    """A painter that loses, moves or renames one series of any kind, or loses a mark, is found."""
    for figure, place in one_of_each(figures):
        wanted = expected(in_units(figure, "us"))
        compare(read(figure, "us"), wanted)
        with pytest.raises(AssertionError):
            compare(read(spoil(figure, place), "us"), wanted)


def test_the_strip_shows_its_rows_as_they_are_painted_alone(
    demo_project: Project, demo_results: dict[str, Any]
) -> None:
    """Windows, words that fit and answers to a pointer are added; no number is changed by them."""
    facts, decisions = demo_project.facts(), Decisions()
    road, layers = road_of(facts, demo_results), strip_layers(facts, demo_results, decisions)
    for window in ((road.begin, road.end), (4000.0, 4300.0)):
        rows = [plan_figure(road, window), *(row_figure(layer, road, window) for layer in layers)]
        drawn = strip(layers, road, window, "us", False)
        for number, row in enumerate(rows):
            axis = "y" if number == 0 else f"y{number + 1}"
            here = [t for t in drawn["data"] if t["yaxis"] == axis and len(t["x"])]
            alone = [t for t in painted(row, "us", False)["data"] if len(t["x"])]
            assert [(t["name"], t["x"], t["y"]) for t in here] == [(t["name"], t["x"], t["y"]) for t in alone]


@pytest.mark.parametrize("system", SYSTEMS)
def test_sheets_of_the_report_name_what_they_hold(figures: dict[str, Figure], system: units.System) -> None:
    """Every series and mark in a key, every panel under the words of its record."""
    curves = [f for name, f in figures.items() if name.startswith("life")]
    rows = [f for name, f in figures.items() if name.endswith("with stationing") and len(f.series)]
    for paint_sheet, held in (
        (paint.paint_grid, curves),
        (paint.paint_beside, [figures["each year"], figures["accumulated"]]),
    ):
        sheet = Sheet((7, 9))
        paint_sheet(sheet, held, system)
        keys = {
            t.get_text() for k in (*sheet.legends, *(a.get_legend() for a in sheet.axes)) if k for t in k.get_texts()
        }
        assert keys == {each.name for f in held for each in (*f.series, *f.marks) if each.name}
        for axes, figure in zip(sheet.axes, held, strict=False):
            assert axes.get_title(loc="left") == f"{figure.subject}: {in_units(figure, system).y.label}"
            assert axes.get_xlabel() == in_units(figure, system).x.label
    sheet = Sheet((7, 9))
    paint.paint_stack(sheet, rows, system, [1.0] * len(rows))
    for axes, figure in zip(sheet.axes, rows, strict=True):
        legend = axes.get_legend()
        assert {t.get_text() for t in legend.get_texts()} == {e.name for e in (*figure.series, *figure.marks) if e.name}
        assert axes.get_title(loc="left").startswith(in_units(figure, system).heading)


def test_the_units_of_axes_are_those_of_the_system(figures: dict[str, Figure]) -> None:
    """Read from the drawings; 1 in = 25.4 mm, 1 ft = 0.3048 m and 1 lbf/in² = 6894.757 Pa by definition."""
    life, differences = figures["life W1"], figures["with stationing"]
    for by in (by_plotly, by_matplotlib):
        assert by(life, "us").titles == ("overlay [in]", "life [years]")
        assert by(life, "metric").titles == ("overlay [mm]", "life [years]")
        inches, metric = (by(life, s).dots["reliability 50%"][0][:, 0] for s in SYSTEMS)
        np.testing.assert_allclose(metric, inches * 25.4, atol=0.01)
        assert by(differences, "us").titles == ("station [ft]", "cumulative difference [mil·ft]")
        assert by(differences, "metric").titles == ("station [m]", "cumulative difference [µm·m]")
        small, large = (by(differences, s).dots["cumulative difference"][0][:, 1] for s in SYSTEMS)
        np.testing.assert_allclose(large, small * 25.4 * 0.3048, atol=0.01)
        modulus = figures["modulus with stationing"]
        psi, pascal = (by(modulus, s).segments["section mean"][0][:, 2] for s in SYSTEMS)
        np.testing.assert_allclose(pascal, psi * 6.894757, atol=0.02)


# Looks ---------------------------------------------------------------------------------------------------


def luminance(colour: str) -> float:
    """Relative luminance (W3C, Web Content Accessibility Guidelines 2.2, from memory)."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def test_no_colour_stands_alone() -> None:
    for told in ("dash", "marker", "hatch", "sign"):
        assert len({getattr(style, told) for style in GROUPS}) == len(GROUPS), told
    verdicts = [style for role, style in LOOKS.items() if role.startswith("verdict: ") and role != "verdict: "]
    assert len({style.hatch for style in verdicts}) == len(verdicts) == 4
    across = [LOOKS[role] for role in ("found", "second", "target")]
    assert len({style.dash for style in across}) == len(across)


@pytest.mark.parametrize("dark", [False, True])
def test_groups_stand_out_from_their_ground(dark: bool) -> None:
    """Contrast of 3 to 1 for graphical objects (W3C, Web Content Accessibility Guidelines 2.2, criterion 1.4.11, from memory)."""
    ground = luminance("#10181f" if dark else "#ffffff")
    for style in (*GROUPS, *LOOKS.values()):
        light, deep = sorted((luminance(style.dark if dark else style.light), ground), reverse=True)
        assert (light + 0.05) / (deep + 0.05) >= 3
