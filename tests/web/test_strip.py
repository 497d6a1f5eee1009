"""The road strip without a browser: what it shows, that nothing is hidden by drawing less, and that no name can harm it.

Expected values come from the tables that the layers are made of, from loops over them, and from plain geometry.
"""

from __future__ import annotations

import asyncio
import dataclasses
import json
import re
from collections.abc import Awaitable, Callable
from itertools import pairwise
from typing import Any

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st
from nicegui import ui
from nicegui.testing import User, user_simulation
from nicegui.testing.user_interaction import UserInteraction

from slabwright import units
from slabwright.errors import MissingFact
from slabwright.figures.layer_tables import DENSITY, strip_layers
from slabwright.figures.layers import MOST, Layer, aggregated, by_group, in_window
from slabwright.figures.road import CLOSEST, Road, clamped, lane_rows, moved, road_of, zoomed
from slabwright.figures.shown import station_ticks
from slabwright.project import Project
from slabwright.records.decisions import Decisions
from slabwright.records.facts import FACTS, Facts
from slabwright.records.results import StageResult
from slabwright.records.table import table
from slabwright.units import FOOT
from slabwright.web.parts import paint
from slabwright.web.parts.chart import Chart
from slabwright.web.parts.strip import words as strip_words
from slabwright.web.parts.strip.figure import figure
from slabwright.web.parts.strip.strip import road_strip

Results = dict[str, StageResult]
HARM = '<img src=x onerror=alert(1)> =HYPERLINK("x") & "quoted" \u202e\u05d0\u05d1\u05d2 ' + "long " * 2000


def layer_of(station: Any, value: Any, end: Any = None, shape: str = "points") -> Layer:
    station = np.asarray(station, dtype=float)
    words = np.full(len(station), "a", dtype=object)
    return Layer(
        "test",
        "Test",
        "thickness",
        shape,
        "basins",
        ("a",),
        station,
        None if end is None else np.asarray(end, float),
        words,
        np.asarray(value, dtype=float),
        words,
        words,
        np.arange(len(station)),
    )


@pytest.fixture
def facts(demo_project: Project) -> Facts:
    return demo_project.facts()


@pytest.fixture
def road(facts: Facts, demo_results: Results) -> Road:
    return road_of(facts, demo_results)


@pytest.fixture
def layers(facts: Facts, demo_results: Results) -> tuple[Layer, ...]:
    return strip_layers(facts, demo_results, Decisions())


# Windows and bins -----------------------------------------------------------------------------------------

numbers = st.floats(-1e6, 1e6) | st.just(float("nan"))
records = st.lists(st.tuples(st.floats(0, 100), numbers), min_size=1, max_size=200)


@given(records, st.integers(1, 40))
def test_bins_keep_every_record_and_every_extreme(given: list[tuple[float, float]], most: int) -> None:
    station, value = (np.array(column) for column in zip(*given, strict=True))
    view = aggregated(layer_of(station, value), 0, 100, most)
    assert view.exact == (len(given) <= most)
    if view.bins is None:
        assert np.array_equal(view.records.value, value, equal_nan=True)
        return
    bins = view.bins
    assert bins.count.sum() == len(given)
    assert bins.missing.sum() == np.isnan(value).sum()
    assert len(bins.count) <= max(1, most // 3)
    known = value[np.isfinite(value)]
    if len(known):
        assert np.nanmin(bins.low) == known.min()
        assert np.nanmax(bins.high) == known.max()


@given(records)
def test_each_bin_tells_of_its_own_records(given: list[tuple[float, float]]) -> None:
    """Against a loop: a value at a whole station can only lie in the bin over it (bins of 10 m, stations at 5, 15 ...)."""
    station = np.array([10.0 * (int(s) // 10 % 10) + 5 for s, _ in given])
    value = np.array([v for _, v in given])
    bins = aggregated(layer_of(np.append(station, station), np.append(value, value)), 0, 100, 1).bins
    fine = aggregated(layer_of(np.tile(station, 40), np.tile(value, 40)), 0, 100, 30).bins
    assert bins is not None
    assert bins.count.tolist() == [2 * len(station)]
    assert fine is not None
    for i, middle in enumerate((fine.begin + fine.end) / 2):
        here = value[np.isclose(station, middle)]
        known = here[np.isfinite(here)]
        assert fine.count[i] == 40 * len(here)
        expected = [known.min(), np.median(known), known.max()] if len(known) else [np.nan] * 3
        np.testing.assert_allclose([fine.low[i], fine.median[i], fine.high[i]], expected, rtol=1e-12)


def test_infinite_values_count_as_missing() -> None:
    bins = aggregated(layer_of([1, 2, 3, 4], [np.inf, 5.0, -np.inf, 7.0]), 0, 10, 3).bins
    assert bins is not None
    assert (bins.low[0], bins.median[0], bins.high[0], bins.missing[0]) == (5.0, 6.0, 7.0, 2)


def test_a_bin_without_any_value_is_kept_with_its_number() -> None:
    bins = aggregated(layer_of([1, 1, 1, 1], [np.nan] * 4), 0, 10, 3).bins
    assert bins is not None
    assert (bins.count.tolist(), bins.missing.tolist()) == ([4], [4])
    assert np.isnan([bins.low, bins.median, bins.high]).all()


def test_the_window_holds_both_its_ends() -> None:
    points = layer_of([9.999, 10, 15, 20, 20.001], range(5))
    assert in_window(points, 10, 20).row.tolist() == [1, 2, 3]


def test_a_stretch_is_seen_when_it_reaches_into_the_window() -> None:
    stretches = layer_of([0, 0, 0, 12, 20, 21, 5], range(7), [9.9, 10, 30, 13, 25, 25, np.nan])
    assert in_window(stretches, 10, 20).row.tolist() == [1, 2, 3, 4]


def test_a_record_without_a_station_is_nowhere() -> None:
    assert len(in_window(layer_of([np.nan, 5.0], [1, 2]), 0, 10)) == 1


@pytest.mark.parametrize("window", [(0, 10), (5, 5), (20, 30), (10, 0)])
def test_an_empty_layer_has_nothing_to_show(window: tuple[float, float]) -> None:
    view = aggregated(layer_of([], []), *window)
    assert view.exact
    assert len(view.records) == 0


def test_a_window_of_no_length_still_counts() -> None:
    bins = aggregated(layer_of([5.0] * 9, range(9)), 5, 5, 3).bins
    assert bins is not None
    assert (bins.count.tolist(), bins.low[0], bins.high[0]) == ([9], 0.0, 8.0)


def test_long_stretches_are_binned_inside_the_window() -> None:
    bins = aggregated(layer_of([-1000.0] * 9, range(9), [20.0] * 9), 0, 10, 6).bins
    assert bins is not None
    assert bins.count.sum() == 9
    assert bins.begin.min() >= 0
    assert bins.end.max() <= 10


def test_zoomed_in_the_records_are_exact() -> None:
    rng = np.random.default_rng(3)
    station, value = np.sort(rng.uniform(0, 3000, 20_000)), rng.normal(size=20_000)
    layer = layer_of(station, value)
    assert not aggregated(layer, 0, 3000).exact
    near = aggregated(layer, 1000, 1080)
    here = (station >= 1000) & (station <= 1080)
    assert near.exact
    assert 0 < len(near.records) < MOST
    assert np.array_equal(near.records.value, value[here])
    assert np.array_equal(near.records.row, np.flatnonzero(here))


ROAD = Road(1000.0, 2000.0, (), (), (), ())


@pytest.mark.parametrize(
    ("window", "expected"),
    [
        ((1200, 1400), (1200, 1400)),
        ((1400, 1200), (1200, 1400)),
        ((900, 1100), (1000, 1200)),
        ((1950, 2150), (1800, 2000)),
        ((0, 9000), (1000, 2000)),
        ((1500, 1500), (1500 - CLOSEST / 2, 1500 + CLOSEST / 2)),
    ],
)
def test_a_window_stays_on_the_road(window: tuple[float, float], expected: tuple[float, float]) -> None:
    assert clamped(*window, ROAD) == pytest.approx(expected)


def test_zooming_in_and_out_again_comes_back() -> None:
    window = (1400.0, 1600.0)
    assert zoomed(window, 2, ROAD) == (1450, 1550)
    assert zoomed(zoomed(window, 2, ROAD), 0.5, ROAD) == window


def test_moving_stops_at_the_end_of_the_road() -> None:
    assert moved((1400, 1600), 0.5, ROAD) == (1500, 1700)
    assert moved((1800, 1950), 0.5, ROAD) == (1850, 2000)
    assert moved((1010, 1110), -0.5, ROAD) == (1000, 1100)


# Layers ---------------------------------------------------------------------------------------------------


def test_without_facts_or_results_there_is_no_layer() -> None:
    assert strip_layers(Facts(), {}, Decisions()) == ()
    with pytest.raises(MissingFact, match="limits of the road"):
        road_of(Facts(), {})


def test_missing_results_leave_their_layers_out(facts: Facts, demo_results: Results) -> None:
    names = [layer.name for layer in strip_layers(facts, {"survey": demo_results["survey"]}, Decisions())]
    assert names[0] == "deflection"
    assert names[1] == DENSITY
    assert all(name.startswith("distress: ") for name in names[2:])
    assert {layer.table for layer in strip_layers(facts, {}, Decisions())} == {"distresses"}


def test_all_layers_of_the_demo_road(layers: tuple[Layer, ...]) -> None:
    plain = [layer.name for layer in layers if not layer.name.startswith("distress")]
    assert plain == [
        "deflection",
        "foundation",
        "modulus",
        "transfer",
        "voids",
        "repairs",
        "effective",
        "overlay",
        DENSITY,
    ]


@pytest.mark.parametrize(
    ("name", "stage", "column"),
    [
        ("deflection", "survey", "deflection_1"),
        ("transfer", "evaluation", "efficiency"),
        ("voids", "evaluation", "intercept"),
        ("repairs", "repair", "length"),
        ("effective", "design", "effective"),
    ],
)
def test_a_row_leads_back_to_its_record(
    layers: tuple[Layer, ...], demo_results: Results, name: str, stage: str, column: str
) -> None:
    layer = next(layer for layer in layers if layer.name == name)
    frame = demo_results[stage].tables[layer.table].iloc[layer.row]
    assert np.array_equal(layer.value, frame[column].to_numpy(), equal_nan=True)
    assert np.array_equal(layer.station, frame["station" if "station" in frame else "begin"].to_numpy())


def test_only_mid_slab_tests_show_the_centre_deflection(layers: tuple[Layer, ...], demo_results: Results) -> None:
    basins = demo_results["survey"].tables["basins"]
    layer = layers[0]
    assert len(layer) == (basins["position"] == "mid-slab").sum() < len(basins)
    assert set(basins.iloc[layer.row]["position"]) == {"mid-slab"}


def test_both_methods_show_k_and_tests_left_out_stay_visible(layers: tuple[Layer, ...], demo_results: Results) -> None:
    moduli = demo_results["evaluation"].tables["moduli"]
    parts = by_group(next(layer for layer in layers if layer.name == "foundation"))
    excluded = int((moduli["excluded"] != "").sum())
    assert {name: len(part) for name, part in parts.items()} == {
        "basin area": len(moduli) - excluded,
        "plate fit": len(moduli) - excluded,
        "left out": 2 * excluded,
    }
    for group, column in (("basin area", "foundation_area"), ("plate fit", "foundation_fit")):
        assert np.array_equal(parts[group].value, moduli.iloc[parts[group].row][column], equal_nan=True)


def test_every_distress_is_in_one_layer(layers: tuple[Layer, ...], demo_results: Results) -> None:
    rows = np.concatenate([layer.row for layer in layers if layer.name.startswith("distress: ")])
    assert sorted(rows) == list(range(len(demo_results["survey"].tables["rated_distresses"])))


def test_where_no_overlay_is_built_there_is_no_thickness(facts: Facts, demo_results: Results) -> None:
    """Whether the stage wrote no number there or zero."""
    given = demo_results["design"]
    thicknesses = given.tables["thicknesses"]
    unsuited = thicknesses["verdict"].to_numpy() == "not suited"
    assert unsuited.any()
    zero = thicknesses.assign(overlay=thicknesses["overlay"].where(~unsuited, 0.0))
    stage = dataclasses.replace(given, tables={**given.tables, "thicknesses": zero})
    overlay = strip_layers(facts, {"overlay": stage}, Decisions())[1]
    assert overlay.name == "overlay"
    assert np.array_equal(np.isnan(overlay.value), unsuited)


def test_the_groups_hold_every_record_once(layers: tuple[Layer, ...]) -> None:
    for layer in layers:
        assert sorted(np.concatenate([p.row for p in by_group(layer).values()])) == sorted(layer.row)


def test_the_road_before_and_after_the_evaluation(facts: Facts, demo_results: Results) -> None:
    cut = road_of(facts, {"survey": demo_results["survey"]})
    judged = road_of(facts, demo_results)
    assert [s.name for s in cut.sections] == [s.name for s in judged.sections]
    assert {s.verdict for s in cut.sections} == {""}
    assert [s.verdict for s in judged.sections] == list(demo_results["evaluation"].tables["verdicts"]["verdict"])
    assert [r.name for r in judged.ramps] == list(facts.ramps["name"])


# The drawing ----------------------------------------------------------------------------------------------


def strings(value: Any) -> list[str]:
    """Every text in a figure, however deep."""
    if isinstance(value, str):
        return [value]
    inner = value.values() if isinstance(value, dict) else value if isinstance(value, (list, tuple)) else ()
    return [text for one in inner for text in strings(one)]


def whole(layers: tuple[Layer, ...], road: Road, system: units.System = "us", **more: Any) -> dict[str, Any]:
    return figure(layers, road, more.pop("window", (road.begin, road.end)), system, False, **more)


@pytest.mark.parametrize("width", [320, 390, 1440])
@pytest.mark.parametrize("dark", [False, True])
def test_a_figure_is_whole(layers: tuple[Layer, ...], road: Road, width: int, dark: bool) -> None:
    """What the drawing library asks for: plain JSON, equal lengths, an axis for each trace, panels that do not overlap."""
    drawn = figure(layers, road, (road.begin, road.end), "us", dark, width=width)
    assert json.loads(json.dumps(drawn, allow_nan=False)) == drawn
    layout = drawn["layout"]
    for trace in drawn["data"]:
        assert trace["type"] in ("scatter", "bar")
        assert "yaxis" + trace["yaxis"][1:] in layout
        lengths = {len(trace[k]) for k in ("x", "y", "customdata", "base", "text") if isinstance(trace.get(k), list)}
        assert len(lengths) == 1
    domains = [layout["yaxis" + ("" if i == 0 else str(i + 1))]["domain"] for i in range(len(layers) + 1)]
    assert domains[0][1] <= 1
    assert domains[-1][0] == pytest.approx(0, abs=1e-9)
    assert all(low < high for low, high in domains)
    assert all(upper[0] > lower[1] for upper, lower in pairwise(domains))


def test_height_grows_with_the_panels(layers: tuple[Layer, ...], road: Road) -> None:
    heights = [whole(layers[:n], road)["layout"]["height"] for n in range(len(layers))]
    assert all(np.diff(heights) > 50)


def test_switching_units_moves_no_record(layers: tuple[Layer, ...], road: Road) -> None:
    us, metric = whole(layers, road, "us"), whole(layers, road, "metric")
    assert [t["x"] for t in us["data"]] == [t["x"] for t in metric["data"]]
    assert us["layout"]["xaxis"]["range"] == metric["layout"]["xaxis"]["range"] == [road.begin, road.end]
    assert us["layout"]["xaxis"]["ticktext"] != metric["layout"]["xaxis"]["ticktext"]
    again = whole(layers, road, "us")
    assert again == us


def test_points_stand_at_their_values(layers: tuple[Layer, ...], road: Road) -> None:
    drawn = whole(layers[:1], road)
    seen = {
        row: y
        for t in drawn["data"]
        if t.get("meta") == "basins"
        for row, y in zip(t["customdata"], t["y"], strict=True)
    }
    expected = dict(zip(layers[0].row.tolist(), (layers[0].value / units.MIL).tolist(), strict=True))
    assert seen == pytest.approx(expected, abs=1e-5)  # drawn to a thousandth of the last digit that is written


def test_zoomed_out_the_whiskers_reach_the_extremes(road: Road) -> None:
    rng = np.random.default_rng(5)
    layer = layer_of(rng.uniform(road.begin, road.end, 5000), rng.normal(0.2, 0.02, 5000))
    trace = whole((layer,), road, "metric")["data"][-1]
    middle = np.array(trace["y"])
    assert trace["meta"] == "zoom"
    assert (middle + trace["error_y"]["array"]).max() == pytest.approx(layer.value.max() * 1000, abs=1e-3)
    assert (middle - trace["error_y"]["arrayminus"]).min() == pytest.approx(layer.value.min() * 1000, abs=1e-3)
    assert any("zoom in for each" in text for text in strings(whole((layer,), road)))
    assert not any("zoom in for each" in text for text in strings(whole((layer.take(np.arange(50)),), road)))
    high = whole((layer,), road, "metric")["layout"]["yaxis2"]["range"][1]
    assert high > layer.value.max() * 1000


def test_too_many_marks_are_counted(road: Road) -> None:
    layer = layer_of(np.linspace(road.begin, road.end, 5000), [np.nan] * 5000, shape="marks")
    trace = whole((layer,), road)["data"][-1]
    assert sum(trace["y"]) == 5000


def test_overlay_lies_on_the_side_of_its_direction(layers: tuple[Layer, ...], road: Road) -> None:
    overlay = next(layer for layer in layers if layer.name == "overlay")
    bars = [t for t in whole((overlay,), road)["data"] if t.get("meta") == "thicknesses"]
    for bar in bars:
        side = 1 if set(overlay.lane[np.isin(overlay.row, bar["customdata"])]) == {"against stationing"} else -1
        heights = {row: y * side for row, y in zip(bar["customdata"], bar["y"], strict=True)}
        expected = np.nan_to_num(overlay.value[np.isin(overlay.row, list(heights))] / units.INCH)
        assert list(heights.values()) == pytest.approx(expected.tolist())
    assert len(bars) == 2


def test_no_group_is_told_by_colour_alone(layers: tuple[Layer, ...], road: Road) -> None:
    """Nor are the means of both directions; what is drawn as lines and as signs differs by that."""
    for layer in layers:
        traces = [t for t in whole((layer,), road)["data"] if t["yaxis"] == "y2"]
        looks = [
            (
                t.get("marker", {}).get("symbol") or "",
                t.get("marker", {}).get("pattern", {}).get("shape") or "",
                t.get("line", {}).get("dash") or "",
            )
            for t in traces
        ]
        assert len(looks) == len(set(looks))
        assert len([t for t in traces if "meta" in t]) == len(by_group(layer))


def test_section_means_and_limits_are_those_of_the_tables(
    layers: tuple[Layer, ...], road: Road, demo_results: Results
) -> None:
    drawn = whole(tuple(layer for layer in layers if layer.name in ("deflection", "voids")), road)
    means = {t["name"]: t for t in drawn["data"] if t["name"].startswith("section mean")}
    sections = demo_results["survey"].tables["sections"]
    for direction, here in sections.groupby("direction"):
        levels = [y for y in means[f"section mean, {direction}"]["y"] if y is not None]
        assert sorted(set(levels)) == pytest.approx(sorted(here["mean_deflection"] / units.MIL), abs=1e-5)
    limits = [s for s in drawn["layout"]["shapes"] if s.get("name") == "limit"]
    assert [s["y0"] for s in limits] == [pytest.approx(Decisions().evaluation.void_intercept / units.MIL)]


def test_distresses_of_each_stretch_are_counted(layers: tuple[Layer, ...], demo_results: Results, facts: Facts) -> None:
    """Against a histogram of the table: 500 ft from station to station, each direction and severity by itself."""
    density = next(layer for layer in layers if layer.name == DENSITY)
    rated = demo_results["survey"].tables["rated_distresses"]
    ways = dict(zip(facts.lanes["lane"], facts.lanes["direction"], strict=True))
    stretch = 500 * FOOT
    edges = np.arange(0, rated["station"].max() + 2 * stretch, stretch)
    number = 0
    for direction in set(ways.values()):
        for severity in density.groups:
            named = rated["severity"].where(rated["severity"] != "none", "not rated")
            here = rated[(rated["lane"].map(ways) == direction) & (named == severity)]
            counted = np.histogram(here["station"], edges)[0]
            cells = density.take((density.lane == direction) & (density.group == severity))
            np.testing.assert_allclose(cells.value * stretch, counted[counted > 0])
            np.testing.assert_allclose(cells.station, edges[:-1][counted > 0])
            number += int(counted.sum())
    assert number == len(rated)
    drawn = whole((density,), road_of(facts, demo_results))["data"]
    tops = [abs(b + y) for t in drawn if t["yaxis"] == "y2" for b, y in zip(t["base"], t["y"], strict=True)]
    total = max(
        density.value[(density.lane == d) & (density.station == s)].sum()
        for d, s in zip(density.lane, density.station, strict=True)
    )
    assert max(tops) == pytest.approx(units.convert(float(total), "frequency", "us"), abs=1e-3)


def test_an_empty_stretch_says_so(layers: tuple[Layer, ...], road: Road) -> None:
    voids = next(layer for layer in layers if layer.name == "voids")
    drawn = whole((voids,), road, window=(road.end - 20, road.end))
    assert "none in this stretch" in strings(drawn)


def test_lanes_lie_as_on_a_plan_sheet(road: Road) -> None:
    rows = lane_rows(road.lanes)
    assert sorted(rows, key=rows.__getitem__) == ["NB3", "NB2", "NB1", "SB1", "SB2", "SB3"]


@pytest.mark.parametrize(
    ("window", "system", "most", "expected"),
    [
        (
            (3048.0, 6278.88),
            "us",
            11,
            [
                "100+00",
                "110+00",
                "120+00",
                "130+00",
                "140+00",
                "150+00",
                "160+00",
                "170+00",
                "180+00",
                "190+00",
                "200+00",
            ],
        ),
        ((3048.0, 6278.88), "metric", 4, ["4+000", "5+000", "6+000"]),
        ((-30.48, 30.48), "us", 2, ["-1+00", "0+00", "1+00"]),
        ((100.0, 101.0), "metric", 5, ["0+100.0", "0+100.2", "0+100.4", "0+100.6", "0+100.8", "0+101.0"]),
    ],
)
def test_ticks_are_round_stations(
    window: tuple[float, float], system: units.System, most: int, expected: list[str]
) -> None:
    metres, words = station_ticks(window, system, most)
    assert words == expected
    assert [units.parse_station(w, system) for w in words] == pytest.approx(metres, abs=1e-6)


@given(st.floats(-1e5, 1e6), st.floats(6.0, 1e5), st.integers(2, 20), st.sampled_from(["us", "metric"]))
def test_ticks_lie_in_the_window_and_are_few(begin: float, length: float, most: int, system: units.System) -> None:
    metres, words = station_ticks((begin, begin + length), system, most)
    assert 0 <= len(words) == len(metres) <= most + 1
    assert all(begin - 1e-3 <= m <= begin + length + 1e-3 for m in metres)
    assert len(set(words)) == len(words)


def test_a_marked_stretch_is_drawn(road: Road) -> None:
    mark = (road.begin + 100 * FOOT, road.begin + 200 * FOOT)
    shapes = whole((), road, mark=mark)["layout"]["shapes"]
    assert [(s["x0"], s["x1"]) for s in shapes if s["yref"] == "paper"] == [mark]


# Names that would do harm ---------------------------------------------------------------------------------


def harmful(facts: Facts, results: Results) -> tuple[Facts, Results]:
    """The demo road with every name replaced by one that holds HTML, a formula, right-to-left text, 10,000 characters."""
    renamed = {"NB1": HARM + "1", "NB2": HARM + "2", "SB3": HARM + "3"}

    def spoil(frame: pd.DataFrame) -> pd.DataFrame:
        frame = frame.copy()
        for column in {"section", "name", "point", "repair", "reason", "reasons", "note"} & set(frame.columns):
            frame[column] = HARM
        if "lane" in frame:
            frame["lane"] = frame["lane"].replace(renamed)
        return frame

    tables = {f.name: spoil(getattr(facts, f.name)) for f in dataclasses.fields(Facts)}
    spoilt = {
        stage: dataclasses.replace(r, tables={name: spoil(frame) for name, frame in r.tables.items()})
        for stage, r in results.items()
    }
    return Facts(**tables), spoilt


OURS = re.compile(r'</?b>|<br>|<span style="color:#[0-9a-f]{6}">|</span>')


@pytest.mark.parametrize("width", [390, 1440])
def test_no_name_reaches_the_drawing_as_markup(facts: Facts, demo_results: Results, width: int) -> None:
    spoilt, results = harmful(facts, demo_results)
    road = road_of(spoilt, results)
    drawn = whole(strip_layers(spoilt, results, Decisions()), road, width=width)
    texts = strings(drawn)
    assert any("&lt;img" in text for text in texts)
    for text in texts:
        assert "<" not in OURS.sub("", text)
        assert "\u202e" not in text
        assert len(text) < 900


def test_no_name_reaches_a_table_as_markup(facts: Facts, demo_results: Results) -> None:
    spoilt, results = harmful(facts, demo_results)
    road = road_of(spoilt, results)
    window = (road.begin, road.end)
    made = strip_words.road_tables(road, window, "us")
    made += "".join(
        strip_words.layer_table(layer, window, "us") for layer in strip_layers(spoilt, results, Decisions())
    )
    assert "&lt;img" in made
    assert "<img" not in made
    assert not re.search(r'aria-label="[^"]*"[^ >]', made)
    assert "\u202e" not in made


def test_right_to_left_words_are_kept_apart() -> None:
    assert paint.plain("\u05d0\u05d1 12") == "\u2068\u05d0\u05d1 12\u2069"
    assert paint.plain("NB1") == "NB1"
    assert paint.plain("x" * 500, 10) == "x" * 9 + "…"
    assert paint.escaped('a & b <c> "d"') == 'a &amp; b &lt;c&gt; "d"'


# Words and tables -----------------------------------------------------------------------------------------


def test_the_table_shows_every_record_of_the_window_once(layers: tuple[Layer, ...], road: Road) -> None:
    repairs = next(layer for layer in layers if layer.name == "repairs")
    window = (road.begin, road.end)
    number = strip_words.pages(repairs, window)
    made = [strip_words.layer_table(repairs, window, "us", page) for page in range(number)]
    rows = [int(row) for one in made for row in re.findall(r'data-row="(\d+)"', one)]
    assert sorted(rows) == list(range(len(repairs)))
    assert number == -(-len(repairs) // strip_words.PAGE) > 1
    assert f"<caption>Repairs before the overlay: 1 to {strip_words.PAGE} of {len(repairs)}</caption>" in made[0]
    assert all(one.count('scope="col"') == 6 and 'scope="row"' in one for one in made)


def test_the_table_is_in_the_readers_units(layers: tuple[Layer, ...], road: Road) -> None:
    first = int(np.argmin(layers[0].station))
    window = (float(layers[0].station[first]), float(layers[0].station[first]))
    for system in ("us", "metric"):
        made = strip_words.layer_table(layers[0], window, system)
        assert f"<td>{units.format_quantity(layers[0].value[first], 'deflection', system, unit=False)}</td>" in made
        assert units.format_station(window[0], system) in made
    assert "[mil]" in strip_words.layer_table(layers[0], window, "us")


def test_an_empty_table_says_so(layers: tuple[Layer, ...]) -> None:
    made = strip_words.layer_table(layers[0], (0, 1), "us")
    assert "nothing in this stretch" in made
    assert "<table" not in made


def test_the_summary_names_sections_and_extremes(layers: tuple[Layer, ...], road: Road) -> None:
    said = strip_words.summary(layers[:1], road, (road.begin, road.end), "us")
    assert "A4, not suited, 167+50.0 to 182+00.0" in said
    low, high = (units.format_quantity(f(layers[0].value), "deflection", "us") for f in (np.min, np.max))
    assert f"lowest {low}" in said
    assert f"highest {high}" in said


def test_a_road_with_limits_only_is_drawn() -> None:
    bare = Facts(road=table(FACTS["road"], {"name": ["x"], "begin": [0.0], "end": [100.0]}))
    drawn = whole(strip_layers(bare, {}, Decisions()), road_of(bare, {}))
    assert json.dumps(drawn, allow_nan=False)
    assert drawn["layout"]["xaxis"]["range"] == [0.0, 100.0]


# On a page, with NiceGUI's simulated reader ---------------------------------------------------------------


class Told:
    """What the strip told its page."""

    def __init__(self) -> None:
        self.windows: list[Any] = []
        self.records: list[tuple[str, int]] = []
        self.sections: list[str] = []
        self.state: dict[str, Any] = {}


def on_a_page(facts: Facts, results: Results, told: Told, act: Callable[[User], Awaitable[None]]) -> None:
    """Open a page that holds the strip, and act on it."""

    def page() -> None:
        road_strip(
            facts=facts,
            results=results,
            decisions=Decisions(),
            system="us",
            dark=False,
            on_window=told.windows.append,
            on_record=lambda name, row: told.records.append((name, row)),
            on_section=told.sections.append,
            section="A1",
            state=told.state,
        )

    async def open_and_act() -> None:
        async with user_simulation(page) as user:
            await user.open("/")
            await act(user)

    asyncio.run(open_and_act())


def press(user: User, words: str) -> None:
    """Press the button that is called so."""
    found = [e for e in user.find(kind=ui.html).elements if words in (e.props.get("aria-label"), e.content)]
    (button,) = (e for e in found if e.props.get("tag") == "button")
    UserInteraction(user, {button}, None).click()


def test_buttons_move_the_window(facts: Facts, demo_results: Results) -> None:
    told = Told()

    async def act(user: User) -> None:
        await user.should_see("Shown: 100+00.0 to 206+00.0, 10,600.0 ft.")
        for button, shown in (
            ("Zoom in", "126+50.0 to 179+50.0"),
            ("Toward begin", "100+00.0 to 153+00.0"),
            ("Toward end", "126+50.0 to 179+50.0"),
            ("Zoom out", "100+00.0 to 206+00.0"),
            ("Zoom in", "126+50.0 to 179+50.0"),
            ("Whole road", "100+00.0 to 206+00.0"),
        ):
            press(user, button)
            await user.should_see(f"Shown: {shown}")

    on_a_page(facts, demo_results, told, act)
    assert told.windows == []


def test_a_typed_stretch_is_marked_and_cleared(facts: Facts, demo_results: Results) -> None:
    told = Told()

    async def act(user: User) -> None:
        press(user, "Stations")
        for box, station in (("From station", "134+00"), ("To station", "138+50")):
            user.find(kind=ui.input, content=box).clear().type(station)
        press(user, "Mark stretch")
        await user.should_see("Marked: 134+00.0 to 138+50.0.")
        press(user, "Clear mark")
        await user.should_not_see("Marked:")

    on_a_page(facts, demo_results, told, act)
    assert told.windows == [pytest.approx((13400 * FOOT, 13850 * FOOT)), None]


def test_a_wrong_station_is_refused_in_words(facts: Facts, demo_results: Results) -> None:
    told = Told()

    async def act(user: User) -> None:
        press(user, "Stations")
        user.find(kind=ui.input, content="From station").clear().type("<b>somewhere")
        press(user, "Show stretch")
        await user.should_see("From station: this is not a number with a unit")
        await user.should_see("Shown: 100+00.0 to 206+00.0")

    on_a_page(facts, demo_results, told, act)


def test_switches_and_window_outlive_a_redraw(facts: Facts, demo_results: Results) -> None:
    told = Told()

    async def act(user: User) -> None:
        press(user, "Layers")
        user.find("Slab modulus E").click()
        user.find("Centre deflection").click()
        press(user, "Zoom in")
        await user.open("/")
        await user.should_see("Shown: 126+50.0 to 179+50.0")

    on_a_page(facts, demo_results, told, act)
    assert sorted(told.state["layers"]) == ["modulus"]


def chart(user: User) -> Chart:
    (element,) = user.find(kind=Chart).elements
    return element


def test_clicks_open_records_and_nothing_else(facts: Facts, demo_results: Results) -> None:
    """What comes from a browser may be anything; only a table of the strip and a whole row number open."""
    told = Told()

    async def act(user: User) -> None:
        for what in (
            ["basins", 3],
            ["verdicts", 0],
            ["users", 1],
            ["basins", -1],
            ["basins", 1.5],
            ["basins", "x"],
            [None, None],
            ["zoom", "x"],
        ):
            user.find(kind=Chart).trigger("plotly_click", what)
        user.find(kind=Chart).trigger("plotly_click", ["zoom", [4000.0, 4100.0]])
        await user.should_see("Shown: 131+23.4 to 134+51.4")

    on_a_page(facts, demo_results, told, act)
    assert told.records == [("basins", 3)]
    assert told.sections == [road_of(facts, demo_results).sections[0].name]


def test_dragging_zooms_and_brushing_marks(facts: Facts, demo_results: Results) -> None:
    told = Told()

    async def act(user: User) -> None:
        user.find(kind=Chart).trigger("plotly_selected", [4100.0, 4000.0])
        await user.should_see("Marked: 131+23.4 to 134+51.4.")
        user.find(kind=Chart).trigger("plotly_relayout", [4000.0, 4100.0])
        await user.should_see("Shown: 131+23.4 to 134+51.4")
        user.find(kind=Chart).trigger("plotly_afterplot", 390)
        await user.should_see("Shown: 131+23.4 to 134+51.4")
        assert chart(user).figure["layout"]["margin"]["l"] == 58

    on_a_page(facts, demo_results, told, act)
    assert told.windows == [(4000.0, 4100.0)]
    assert told.state["width"] == 390


def test_the_same_data_as_tables(facts: Facts, demo_results: Results) -> None:
    told = Told()

    async def act(user: User) -> None:
        press(user, "As tables")
        await user.should_see("Centre deflection, mid-slab, at the standard load: 1 to 50 of 150", kind=ui.html)
        press(user, "Onward: Centre deflection, mid-slab, at the standard load")
        await user.should_see("Centre deflection, mid-slab, at the standard load: 51 to 100 of 150", kind=ui.html)

    on_a_page(facts, demo_results, told, act)


def test_an_unknown_road_says_what_to_load() -> None:
    async def act(user: User) -> None:
        await user.should_see("The road strip appears here once the road is known.")
        await user.should_see("Load the road, its layers or its deflection tests.")

    on_a_page(Facts(), {}, Told(), act)


def test_a_name_that_does_not_fit_along_a_narrow_section_stands_upright(road: Road) -> None:
    """15 pixels of 1,200 hold one letter along the road; three lanes of 13 pixels hold three on end, but no long name."""
    pixel = (road.end - road.begin) / (1200 - 78)
    first = road.sections[0]
    narrow = dataclasses.replace(first, begin=road.begin, end=road.begin + 18 * pixel)

    def names(name: str, wide: float = 18.0) -> list[Any]:
        one = dataclasses.replace(narrow, name=name, end=road.begin + wide * pixel)
        few = dataclasses.replace(road, sections=(one,))
        drawn = figure([], few, (road.begin, road.end), "us", False)
        return [a.get("textangle", 0) for a in drawn["layout"]["annotations"] if name in a["text"]]

    assert names("A24") == [-90]
    assert names("A24", wide=60.0) == [0]
    assert names("A24", wide=9.0) == []
    assert names("Approach 24") == []
