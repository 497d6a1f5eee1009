"""What the answers say when an overlay is too thin, when a life is the longest that is computed, and of which decision."""

from __future__ import annotations

from dataclasses import replace

import pandas as pd
import pytest

from slabwright.economics.pricing import unit_prices
from slabwright.figures.design import lives
from slabwright.figures.layer_tables import strip_layers
from slabwright.figures.record import Rule
from slabwright.figures.slab_plan import stretch_of
from slabwright.life.past import REFUTED
from slabwright.project import Project
from slabwright.records.decisions import Decisions, from_plain
from slabwright.records.display import heading
from slabwright.records.remarks import remark, worded
from slabwright.records.results import StageResult
from slabwright.records.table import Column, Schema
from slabwright.units import FOOT, PSI, System
from slabwright.web.answers import ANSWERS, Seen, road_answer
from slabwright.web.parts.alternatives import _html
from slabwright.web.parts.meant import meant
from slabwright.web.parts.tables import Shown, _Seen
from slabwright.web.parts.written import as_read, written
from tests.conftest import CONFIRMED_PRICES
from tests.mechanistic_results import life_result

Results = dict[str, StageResult]
NUMBERS = ("factor", "least_factor", "energy", "fracture_energy", "pull", "pull_held", "tensile")  # of a bond verdict


def with_rows(results: Results, section: str, **values: object) -> Results:
    """The results with other values in the row of a section of the table of thicknesses."""
    design = results["design"]
    frame = design.tables["thicknesses"].copy()
    for name, value in values.items():
        frame.loc[frame["section"] == section, name] = value
    return {**results, "design": replace(design, tables={**design.tables, "thicknesses": frame})}


def test_a_section_that_is_too_thin_is_named_with_what_it_lasts_and_needs(demo_results: Results) -> None:
    """0.1016 m is 4 in and 0.1095 m is 4.31 in."""
    found = with_rows(demo_results, "A2", overlay=0.1016, bonded=0.1095, years=21.6, enough="no")
    decisions = Decisions()
    assert "not in A2 (21.6 years)" in road_answer(Seen(found, decisions, "us")).head
    assert "Too thin in A2 (4.31 in needed)." in ANSWERS["design"](Seen(found, decisions, "us", "A2")).head
    assert "oo thin" not in ANSWERS["design"](Seen(demo_results, decisions, "us", "A2")).head


def test_the_longest_life_that_is_computed_is_told_as_such(demo_results: Results) -> None:
    found = with_rows(demo_results, "A1", years=60.0)
    assert "60 years or more" in ANSWERS["design"](Seen(found, Decisions(), "us", "A1")).head
    assert "to 60 years or more" in road_answer(Seen(found, Decisions(), "us")).head
    names = [mark.name for mark in lives(demo_results, Decisions(), "A1").marks]
    assert "60 years or more" in names


def test_a_thickness_off_the_curves_is_inside_the_picture(demo_results: Results) -> None:
    made = lives(with_rows(demo_results, "A1", overlay=0.0127), Decisions(), "A1")
    chosen = next(m for m in made.marks if isinstance(m, Rule) and m.name == "overlay chosen")
    assert made.x.limits is not None
    assert made.x.limits[0] < chosen.places[0]


def test_decisions_are_called_by_their_meaning() -> None:
    said = meant("Which is not decided (basis.method, with its reason); see design.thickness.")
    assert "basis.method" not in said
    assert "design.thickness" not in said
    assert "“method that the thickness is built on”" in said


def test_the_plan_shows_full_depth_patches_where_there_are_some(demo_results: Results) -> None:
    begin, end = stretch_of(demo_results, "A1", None)
    repairs = demo_results["repair"].tables["repairs"]
    deep = repairs[(repairs["section"] == "A1") & (repairs["kind"] == "full depth")]
    assert len(deep)
    assert ((deep["begin"] >= begin) & (deep["begin"] <= end)).any()


def test_the_filter_finds_what_is_shown_and_nothing_else() -> None:
    """The number 60 stands in a column that is behind the press "more columns"."""
    shown = Shown.__new__(Shown)
    shown.schema = Schema("t", "t", "a row", (Column("a", "text", "a"), Column("b", "text", "b")))
    shown.frame, shown.system, shown.columns = pd.DataFrame({"a": ["one", "two"], "b": ["60", "x"]}), "us", ("a",)
    shown.seen, shown.exact = _Seen(words="60"), False
    assert shown._rows().empty
    shown.seen = _Seen(words="60", wide=True)
    assert shown._rows()["a"].tolist() == ["one"]


def test_alternatives_stand_in_columns_with_what_they_come_to() -> None:
    """0.1016 m is 4 in; 357,400 and 392,100 are 749,500 together, 750,000 to three figures."""
    rows = {
        name: {"overlay": 0.1016, "years": 60.0, "reduction": 0.4, "cost": cost, "verdict": "suited"}
        for name, cost in (("A1", 357400.0), ("A2", 392100.0))
    }
    made = _html({"base": rows, "thin": {"A1": {**rows["A1"], "overlay": 0.0, "verdict": "not suited"}}}, "us")
    assert (
        '<td class="n">4.00</td><td class="n">60 or more</td><td class="n">40.0</td><td class="n">357,000</td>' in made
    )
    assert '<td class="n">750,000</td>' in made
    assert '<td colspan="3">not suited</td>' in made


def test_a_layer_without_a_value_is_not_on_the_strip(demo_results: Results, demo_project: Project) -> None:
    facts, found = demo_project.facts(), demo_results
    assert "overlay" in {layer.name for layer in strip_layers(facts, found, Decisions())}
    for name in found["design"].tables["thicknesses"]["section"]:
        found = with_rows(found, name, overlay=float("nan"))
    assert "overlay" not in {layer.name for layer in strip_layers(facts, found, Decisions())}


def test_a_past_that_the_model_misses_stands_against_its_lives() -> None:
    """The shares are put into the made-up table; 75 % and 1.6 % are as one road's section had them."""
    life = life_result({"A1": 0.0762})
    past = life.tables["fatigue_past"].assign(predicted=0.75, surveyed=0.016, agrees=REFUTED)
    seen = Seen({"life": replace(life, tables={**life.tables, "fatigue_past": past})}, Decisions(), "us", "A1")
    assert ANSWERS["life"](seen).against[0] == (
        "Section A1: the model predicts 75.0 % of the old slabs cracked by now; 1.6 % was surveyed."
    )


def test_the_road_s_answer_says_first_that_the_bond_is_not_checked(demo_results: Results) -> None:
    """While the plate model was not computed no sentence of the first page may pass for "the bond holds"."""
    assert "bond" not in demo_results
    assert road_answer(Seen(demo_results, Decisions(), "us")).against[0].startswith("Bond not checked")
    verdicts = pd.DataFrame({name: [1.0] for name in NUMBERS} | {"section": ["A1"], "passes": ["yes"]})
    checked = {**demo_results, "bond": replace(demo_results["design"], tables={"bond_verdicts": verdicts})}
    assert not any("not checked" in line for line in road_answer(Seen(checked, Decisions(), "us")).against)
    design = demo_results["design"]
    nothing = design.tables["thicknesses"].assign(overlay=0.0)
    bare = {**demo_results, "design": replace(design, tables={**design.tables, "thicknesses": nothing})}
    assert not any("not checked" in line for line in road_answer(Seen(bare, Decisions(), "us")).against)


def test_the_road_s_sum_of_money_is_told_with_what_it_lacks(priced_results: Results, demo_results: Results) -> None:
    """Each price that is confirmed here is the one that the program came with; nothing is priced where nothing is designed."""
    confirmed = from_plain(CONFIRMED_PRICES)
    answer = road_answer(Seen(priced_results, confirmed, "us"))
    assert "The items of the bid come to" in answer.head
    assert answer.head.endswith("which is no estimate: 9 of 9 unit prices are the program's placeholders.")
    for part in ("the sum is no estimate until they are replaced", "No bonded overlay is priced for"):
        assert any(part in line for line in answer.against), part
    own = {f"economics.{name}": 123.0 for name in unit_prices(confirmed.economics)}
    answer = road_answer(Seen(priced_results, from_plain(CONFIRMED_PRICES | own), "us"))
    assert answer.head.endswith("confirmed by the engineer; what is open or not designed is not in it.")
    nobody = road_answer(Seen(demo_results, Decisions(), "us"))
    assert "items of the bid" not in nobody.head
    assert not any("priced" in line for line in nobody.against)


@pytest.mark.parametrize(
    ("name", "kind", "value", "system", "words"),
    [
        ("a", "number", 17.453, "us", "17.5"),
        ("a", "number", 0.598, "us", "0.598"),
        ("age", "age", 1095.75 * 86400, "us", "1,096"),
        ("a", "area", 373.704, "metric", "374"),
        ("a", "area", 12345.6, "metric", "12,346"),
        ("a", "stress", 200 * PSI, "us", "200"),
        ("years", "years", 60.0, "us", "60 or more"),
        ("median_years", "years", 59.97, "metric", "60 or more"),
        ("years", "years", 59.9, "us", "59.9"),
        ("year", "years", 60.0, "us", "60.0"),
        ("target", "years", 60.0, "us", "60.0"),
        ("a", "number", float("nan"), "us", "–"),
        ("a", "area", 0.0, "us", "0.0"),
        ("a", "length", 1000 * FOOT, "us", "1,000.0"),
    ],
)
def test_numbers_of_a_table_are_rounded_to_what_they_are_worth(
    name: str, kind: str, value: float, system: System, words: str
) -> None:
    """Three figures, whole digits kept; lengths are set out and keep theirs; 60 years are the longest life computed."""
    assert written(value, Column(name, kind, name), system) == words


def test_a_modulus_of_concrete_is_read_as_its_picture_shows_it() -> None:
    """4,789,989 psi is 4.79 million psi and 33.0 GPa (1 psi = 6,894.757 Pa); that of a granular base stays in psi."""
    concrete, base = pd.Series([4789989 * PSI, float("nan")]), pd.Series([30123 * PSI])
    column = Column("modulus", "modulus", "mean slab modulus")
    read = as_read(column, concrete)
    assert heading(read, "us") == "mean slab modulus [million psi]"
    assert [written(concrete[0], read, system) for system in ("us", "metric")] == ["4.79", "33.0"]
    assert as_read(column, base) == column
    assert written(base[0], column, "us") == "30,123"
    assert worded(remark("E of {it}", it=("modulus", 4789989 * PSI)), "us") == "E of 4.79 million psi"
    assert worded(remark("E of {it}", it=("modulus", 30123 * PSI)), "us") == "E of 30,123 psi"


def test_facts_keep_the_digits_that_were_loaded() -> None:
    shown = Shown.__new__(Shown)
    shown.schema = Schema("t", "t", "a row", (Column("a", "number", "a"),))
    shown.frame, shown.system, shown.columns, shown.exact = pd.DataFrame({"a": [17.453]}), "us", (), True
    shown.seen, shown.here, shown.told, shown.open_cell = _Seen(), "", None, None
    assert "17.453" in shown._html(shown.frame)
    shown.exact = False
    assert "17.5" in shown._html(shown.frame)
