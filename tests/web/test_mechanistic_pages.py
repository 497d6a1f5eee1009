"""What the pages of bond and life show: only current results, in the units chosen."""

from __future__ import annotations

import asyncio
import math
import shutil
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any
from unittest.mock import patch

import pytest

from slabwright.figures.layer_tables import strip_layers
from slabwright.figures.mechanistic import bond_ages, bond_map, bond_ratio, cracking_years, fatigue_lives, life_shares
from slabwright.figures.record import Bars, Field, Figure, Line, Points, Rule
from slabwright.figures.road import road_of
from slabwright.figures.shown import in_units
from slabwright.figures.strip import row_figure
from slabwright.records.decisions import Decisions
from slabwright.web.pages import page_named
from slabwright.web.pages.bond import _measure, _worst
from slabwright.web.parts.drawer import explained
from slabwright.web.parts.paint import painted
from slabwright.web.project_folder import ProjectFolder
from slabwright.web.view import View
from tests.mechanistic_results import bond_result, life_result, save_field_results

BOND, LIFE = bond_result({"A1": 0.0762, "A2": 0.1016}), life_result({"A1": 0.0762, "A2": 0.1016})


@pytest.fixture
def view(demo_file: Path, tmp_path: Path) -> View:
    """A tab on a copy of the demo road with results of the long stages."""
    shutil.copy(demo_file, tmp_path / "demo.slab")
    made = View(ProjectFolder(tmp_path, "tester"), "demo", "base")
    save_field_results(made.project)
    return made


def test_a_decision_takes_the_result_off_the_page_and_undo_brings_it_back(view: View) -> None:
    assert {"bond", "life"} <= set(view.results())
    view.project.decide("base", {"bond.least_factor": 3.0})
    view.look_again()
    assert "bond" not in view.results()
    assert "life" in view.results()  # no life depends on what the bond must bear
    view.project.decide("base", {"life.cracking_level": 0.2})
    view.look_again()
    assert "life" not in view.results()
    for _ in range(2):
        view.project.undo()
    view.look_again()
    assert {"bond", "life"} <= set(view.results())


def test_the_page_says_what_open_means() -> None:
    seen: Any = SimpleNamespace(decisions=Decisions(), system="us")
    assert "open where one alone does" in _measure(seen)


RESULTS = {"bond": BOND, "life": LIFE}


def field_of(figure: Figure) -> Field:
    return next(s for s in figure.series if isinstance(s, Field))


@pytest.mark.parametrize(("system", "stress"), [("us", 290.075), ("metric", 2.0)])
def test_the_map_shows_the_corner_in_the_unit_chosen(system: Any, stress: float) -> None:
    """2 MPa in the corner is 290.075 psi (1 psi = 6894.757 Pa, ISO 80000 by definition of the pound-force)."""
    made = in_units(bond_map(RESULTS, "A1", "all together"), system)
    shade, numbers = made.series
    assert isinstance(shade, Field)
    assert isinstance(numbers, Points)
    assert shade.z[0][0] == pytest.approx(stress, abs=0.001)  # rounded to three digits after the point
    assert shade.z.shape == (41, 41)
    assert shade.z.max() == shade.z[0][0]
    assert (numbers.x[0], numbers.y[0]) == (0.0, 0.0)
    assert numbers.words == ("1", "2", "3", "4", "5")


def test_map_and_list_tell_the_age_that_decides_the_unit_and_the_limit(
    view: View, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The made-up corner bears 2 MPa; its shear strength and the age of three years stand in the made-up tables."""
    ratio = bond_ratio(view.results(), "A1")
    assert ratio is not None
    assert "shear alone" in ratio.title
    assert "at 3.0 years" in ratio.title
    assert "at 3.0 years" in bond_map(RESULTS, "A1", "wheels").title
    shade, limit, _ = (s for s in ratio.series)
    assert isinstance(shade, Field)
    assert isinstance(limit, Field)
    assert (shade.limit, limit.limit) == (None, pytest.approx(1 / 1.5))
    monkeypatch.setattr(View, "system", "us")
    first = _worst(view, "A1", "together", ratio=True)[0]
    assert f"{shade.z[0][0]:.2f} of the shear strength" in first


def test_the_name_of_a_mark_stands_on_its_line_on_a_scale_of_tens() -> None:
    """Three years are 1,095.75 days; plotly places an annotation on such a scale by the logarithm (its documentation)."""
    layout = painted(bond_ages(RESULTS, "A1"), "metric", dark=False)["layout"]
    name = next(a for a in layout["annotations"] if a["text"] == "worst age")
    assert name["x"] == pytest.approx(math.log10(3 * 365.25), abs=1e-3)


def test_what_the_model_predicted_of_the_old_slab_is_inside_the_picture() -> None:
    past = LIFE.tables["fatigue_past"].assign(predicted=0.75, predicted_low=0.7, predicted_high=0.8)
    life = replace(LIFE, tables={**LIFE.tables, "fatigue_past": past})
    made = cracking_years({"life": life}, "A1")
    assert made is not None
    assert made.y.limits is not None
    assert made.y.limits[1] >= 0.8  # the whole whisker


def test_rows_of_the_map_lie_across_and_columns_along() -> None:
    """Along the joint x stays zero and y grows: the first of each row of z."""
    frame = BOND.tables["bond_map"].query("section == 'A1'")
    shade = field_of(bond_map(RESULTS, "A1", "all together"))
    place = frame[(frame["along"] == 0) & (frame["across"].round(6) == 0.9)]
    assert shade.z[10][0] == pytest.approx(float(place["together"].iloc[0]))
    assert (shade.x[-1], shade.y[-1]) == (4.6, 3.6)


def test_demand_and_strength_stand_against_age_in_days() -> None:
    """The made-up demand at the corner ends at 1.4 MPa over the factor of 2.5; ages are days, 28 of them for the strength."""
    made = in_units(bond_ages(RESULTS, "A1"), "metric")
    lines = {series.name: series for series in made.series if isinstance(series, Line)}
    assert made.x.log
    assert lines["bond strength"].x.tolist() == [1, 7, 28, 365, 1095, 7300]
    assert lines["bond strength"].y[2:].tolist() == [1.4] * 4
    assert lines["asked at the corner"].y[-1] == pytest.approx(0.56)
    assert lines["strength over the least factor"].y[-1] == pytest.approx(1.4 / 1.5, abs=1e-3)
    rule = next(mark for mark in made.marks if isinstance(mark, Rule))
    assert (rule.name, rule.places[0]) == ("worst age", pytest.approx(3 * 365.25))


def test_the_curves_carry_target_and_both_thicknesses() -> None:
    made = in_units(fatigue_lives(RESULTS, "A1"), "us")
    places = {mark.name: (mark.axis, *mark.places) for mark in made.marks if isinstance(mark, Rule)}
    assert places["target life"] == ("y", 20.0)
    assert places["thickness found"] == ("x", pytest.approx(20 / 220 / 0.0254, abs=1e-4))
    assert places["overlay chosen"] == ("x", pytest.approx(3.0))
    assert [series.name for series in made.series] == [f"reliability {r}%" for r in (50, 75, 90, 95)]


def test_a_thickness_that_was_not_found_has_no_line() -> None:
    assert [mark.name for mark in fatigue_lives(RESULTS, "A2").marks if mark.axis == "x"] == ["overlay chosen"]


def test_the_greatest_share_stands_on_top() -> None:
    made = in_units(life_shares(RESULTS, "A1"), "us")
    total = made.series[0]
    assert isinstance(total, Bars)
    assert made.y.reversed
    assert made.y.words[0] == "k of the foundation"
    assert total.top.tolist() == [60.0, 25.0, 12.0]


def test_a_number_opens_in_the_units_and_for_the_decisions_of_its_tab(
    view: View, monkeypatch: pytest.MonkeyPatch
) -> None:
    """3 in are 76.2 mm exactly; a decided thickness is copied, a required one is rounded."""
    monkeypatch.setattr(View, "system", "metric")
    found = explained(view, "bond", "bond_places", 0, "mean_peel")
    assert "two plates on a dense liquid" in found.method
    assert "psi" not in found.value
    assert [w.name for w in explained(view, "design", "thicknesses", 0, "overlay").workings] == ["rounded_thickness"]
    view.project.decide("base", {"design.thickness": 0.0762})
    view.look_again()
    view.computation.run()
    decided = explained(view, "design", "thicknesses", 0, "overlay")
    assert "design.thickness" in decided.copied
    assert decided.value == "76 mm"


def test_the_strip_has_a_layer_of_the_bond_and_one_of_cracking(view: View) -> None:
    """Made-up factors are 2.5 and 1.2 in turn with 1.5 asked; in year 20, the target, 0.1 is not passed, and 0.1 ends a life."""
    layers = {made.name: made for made in strip_layers(view.computation.facts, view.results(), view.decisions)}
    factors = view.results()["bond"].tables["bond_verdicts"].set_index("section")["factor"]
    bond, cracking = layers["bond"], layers["cracking"]
    placed = view.results()["design"].tables["thicknesses"].set_index("section")
    names = [str(label).partition(",")[0] for label in bond.label]
    assert list(bond.value) == list(factors[names])
    assert list(bond.station) == list(placed.loc[names, "begin"])
    assert list(bond.lane) == list(placed.loc[names, "direction"])
    assert (bond.limit, cracking.limit) == (1.5, 0.1)
    promised = view.results()["life"].tables["fatigue_thickness"]["promised"].iloc[cracking.row] != "no"
    assert cracking.value[promised].tolist() == [0.1] * int(promised.sum())
    road = road_of(view.computation.facts, view.results())
    drawn = row_figure(bond, road, (road.begin, road.end))
    low = row_figure(replace(cracking, value=0.01 * cracking.value), road, (road.begin, road.end))
    assert low.y.limits is not None
    assert min(abs(word.y) for word in low.words) > 0.15 * low.y.limits[1]  # 14 of 96 pixels hold a number
    assert (1.5, -1.5) in [mark.places for mark in drawn.marks if isinstance(mark, Rule)]
    assert show_layers(view) == {"bond": {"bond"}, "life": {"cracking"}}


def test_no_cracking_is_shown_where_nothing_is_promised(view: View) -> None:
    life = life_result({"A1": 0.0762})
    lives = life.tables["fatigue_thickness"].assign(promised="no")
    results = {**view.results(), "life": replace(life, tables={**life.tables, "fatigue_thickness": lives})}
    assert "cracking" not in {made.name for made in strip_layers(view.computation.facts, results, view.decisions)}


def show_layers(view: View) -> dict[str, set[str]]:
    """The layers with which the strip of each page of a long stage opens."""
    found: dict[str, set[str]] = {}
    for slug in ("bond", "life"):
        page = page_named(slug)
        assert page is not None
        with patch(f"slabwright.web.pages.{slug}.laid_out") as laid_out:
            asyncio.run(page.draw(view))  # type: ignore[arg-type]
        found[slug] = set(laid_out.call_args.kwargs["layers"])
    return found
