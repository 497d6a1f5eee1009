"""Every number of every result table says where it comes from, and what it says gives that number.

The expected values are the cells of the tables, which the stages compute for all rows at once; what is declared is worked out
for one row at a time from the row, the decisions, the facts and the earlier tables. Neither uses the other.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import replace

import pytest

from slabwright import provenance
from slabwright.catalogue import calculations
from slabwright.project import Project
from slabwright.provenance import origin_of, record, scene, sheets, stage_of
from slabwright.records.decisions import from_plain, to_plain
from slabwright.records.facts import FACTS
from slabwright.records.provenance import (
    Calculated,
    Cell,
    Copied,
    Decided,
    Derived,
    Fact,
    Fixed,
    Gathered,
    Method,
    Of,
    Row,
    Scene,
    Worked,
)
from slabwright.records.results import StageResult
from slabwright.records.stage import RunContext
from slabwright.stages import outcomes, plan, stages
from slabwright.workflow import Computation
from tests.conftest import CONFIRMED_PRICES
from tests.mechanistic_results import bond_result, life_result
from tests.pipeline import computed, decided, without

TABLES = [(stage.name, schema.name) for stage in stages() for schema in stage.outcomes]
SHORT = [schema.name for stage in stages() if not stage.long for schema in stage.outcomes]


@pytest.fixture(scope="module")
def seen(demo_project: Project, priced_results: dict[str, StageResult]) -> Scene:
    """The demo road with all its short stages and confirmed prices, and results of the long ones made by plain formulas."""
    computation = Computation(demo_project)
    designed = priced_results["design"].tables["thicknesses"].dropna(subset=["overlay"])
    overlays = dict(zip(designed["section"], designed["overlay"], strict=True))
    results = priced_results | {"bond": bond_result(overlays), "life": life_result(overlays)}
    return scene(computation.facts, from_plain(CONFIRMED_PRICES), results)


def numbers(seen: Scene, table: str) -> Iterator[tuple[str, int, float]]:
    """Column, row and value of every number of a table."""
    frame = seen.frame(table)
    for column in outcomes()[table].columns:
        if not column.is_text:
            yield from ((column.name, i, v) for i, v in enumerate(frame[column.name]) if math.isfinite(v))


def declared_columns(table: str) -> set[str]:
    return set(provenance._declared(stage_of(table), "ORIGINS").get(table, {}))


@pytest.mark.parametrize("table", [table for _, table in TABLES])
def test_every_column_of_numbers_is_declared_and_nothing_else(table: str) -> None:
    assert declared_columns(table) == {c.name for c in outcomes()[table].columns if not c.is_text}


@pytest.mark.parametrize(("stage", "table"), TABLES)
def test_no_number_opens_nothing(seen: Scene, stage: str, table: str) -> None:
    """Each column, in its first and its last row that has a number: a working, what it copies, or the method in words."""
    places: dict[str, list[int]] = {}
    for column, row, _ in numbers(seen, table):
        places.setdefault(column, []).append(row)
    for column, rows in places.items():
        for row in {rows[0], rows[-1]}:
            found = record(seen, stage, table, row, column, "us")
            assert found.workings or found.copied or found.method, (column, row)
            assert "does not say" not in found.method
            assert all(w.results and "nan" not in w.text() for w in found.workings), (column, row)


OTHER_WAYS = (
    {
        "survey.bending_factor": 1.1,
        "evaluation.moduli_from": "basin area",
        "evaluation.slab_size_correction": "no",
        "evaluation.base_bond": "unbonded",
        "evaluation.strength_from": "modulus",
        "evaluation.drainage_coefficient": 1.0,
        "evaluation.load_transfer_coefficient": 3.0,
        "evaluation.durability_factor": 0.95,
        "traffic.lane_share": 0.8,
        "traffic.esal_per_truck": 1.5,
        "repair.fill_partial_with_overlay": "no",
        "design.thickness": 0.09,
        "design.effective_by": "condition",
        "design.reinforcement": "continuous",
        "design.milling_depth": 0.01,
    },
    {
        "evaluation.base_bond": "bonded",
        "evaluation.strength_from": "cores",
        "traffic.lanes_each_way": 1,
        "traffic.growth": -0.05,
        "design.effective_by": "remaining life",
        "design.reinforcement": "fabric",
        "traffic.axle_category": "2",
    },
)


@pytest.mark.parametrize("changed", OTHER_WAYS, ids=["decided by hand", "other methods"])
def test_other_decisions_open_their_own_origins(seen: Scene, changed: dict[str, float | str]) -> None:
    """Each choice that the stages offer: what is declared gives the numbers that the stage then computes."""
    decisions = from_plain(to_plain(seen.decisions) | changed)
    results: dict[str, StageResult] = {}
    for stage in plan():
        results[stage.name] = stage.compute(stage.given(seen.facts, decisions, results, RunContext()))
    other = scene(seen.facts, decisions, results)
    for table in (
        "moduli",
        "transfers",
        "traffic",
        "condition",
        "repairs",
        "thicknesses",
        "lives",
        "steel",
        "clearances",
        "overlay_quantities",
        "section_costs",
        "repair_costs",
        "assumptions",
        "assumption_effects",
    ):
        agree(other, table)


def test_assumed_numbers_open_what_is_assumed(seen: Scene) -> None:
    """A road without cores, survey, joint and corner tests, assumed by name, with a deck that knows its spare load."""
    bridges = seen.facts.bridges.assign(spare_load=[2000.0, math.nan])
    facts = replace(without(seen.facts, "cores", "survey", "joints", "corners"), bridges=bridges)
    decisions = decided(
        assume_without_cores="yes",
        assume_without_survey="yes",
        assume_without_joint_tests="below 50 %",
        assume_without_corner_tests="yes",
    )
    other = scene(facts, decisions, computed(facts, decisions))
    assert len(other.frame("assumption_effects")) > 50
    for table in ("condition", "assumptions", "assumption_effects", "structures", "overlay_quantities"):
        agree(other, table)


@pytest.mark.parametrize("table", SHORT)
def test_what_is_declared_gives_the_number_in_every_row(seen: Scene, table: str) -> None:
    agree(seen, table)


def agree(seen: Scene, table: str) -> None:
    """The same arithmetic in another order: only the last bits may differ."""
    for column, row, value in numbers(seen, table):
        origin = origin_of(Row(seen, table, row), column)
        if isinstance(origin, Method):
            for beside in origin.beside:
                beside.take(Row(seen, table, row))
            continue
        taken = (origin.source if isinstance(origin, Copied) else origin).take(Row(seen, table, row))
        assert taken.number == pytest.approx(value, rel=1e-9, abs=1e-15), (column, row)


def test_most_numbers_are_calculated_or_copied(seen: Scene) -> None:
    """So that the test above does not pass by words alone: kinds of origin over the columns of the short stages."""
    kinds = [type(origin_of(Row(seen, t, 0), c)) for t in SHORT for c, row, _ in numbers(seen, t) if row == 0]
    assert kinds.count(Method) < 0.2 * len(kinds)
    assert kinds.count(Calculated) > 0.2 * len(kinds)  # tables of quantities are sums and products


def place(seen: Scene, table: str, **wanted: object) -> int:
    frame = seen.frame(table)
    for column, value in wanted.items():
        frame = frame[frame[column].round(6) == value if isinstance(value, float) else frame[column] == value]
    return int(frame.index[0])


def test_a_life_at_50_percent_opens_its_own_reliability_and_thickness(seen: Scene) -> None:
    """2 in at 50 % once opened the sheet of the required thickness at 95 %."""
    row = place(seen, "lives", section="A2", overlay=0.0508, reliability=0.5)
    axles = record(seen, "design", "lives", row, "axles", "us").workings[-1]
    given = {symbol: value for symbol, value, _ in axles.given}
    assert axles.name == "rigid_allowable_axles"
    assert given["R"] == "50 %"
    effective = Of("thicknesses", "effective").take(Row(seen, "lives", row)).number
    assert given["D"] == f"{(effective + 0.0508) / 0.0254:.6g} in"
    workings = record(seen, "design", "lives", row, "years", "us").workings
    assert [w.name for w in workings if w.name] == ["growth_factor", "years_of_growing_traffic"]
    years = workings[-1]
    assert {s: v for s, v, _ in years.given}["W"] == f"{seen.frame('lives')['axles'][row]:,.0f}"
    assert years.results[0][1] == f"{seen.frame('lives')['years'][row]:.6g} years"


def test_the_cost_of_a_section_is_the_sum_of_its_row(seen: Scene) -> None:
    frame = seen.frame("section_costs")
    found = record(seen, "economics", "section_costs", 0, "cost", "us").workings[-1]
    assert [meaning for *_, meaning in found.given] == [
        f"{outcomes()['section_costs'][c].meaning} (this row)" for c in ("concrete_cost", "surface_cost", "repair_cost")
    ]
    assert found.equation == "a + b + c"
    assert found.results[0][1] == f"{frame['cost'][0]:,.0f}"


def test_the_fall_of_deflection_is_that_of_its_own_thickness(seen: Scene) -> None:
    row = place(seen, "deflection_changes", section="A2", overlay=0.1016)
    frame = seen.frame("deflection_changes")
    found = record(seen, "design", "deflection_changes", row, "interior", "metric").workings[-1]
    assert [v for _, v, _ in found.given] == [f"{frame[c][row] * 1e6:.6g} µm" for c in ("bonded", "before")]
    assert found.results[0][1] == f"{frame['interior'][row] * 100:.6g} %"
    after = record(seen, "design", "deflection_changes", row, "bonded", "us").workings
    assert [w.name for w in after if w.name] == [
        "composite_section",
        "relative_stiffness",
        "interior_deflection_westergaard",
    ]
    assert {s: v for s, v, _ in next(w for w in after if w.name == "composite_section").given}["h1"] == "4 in"


def test_the_years_of_a_section_are_at_the_design_reliability(seen: Scene) -> None:
    decided = seen.decisions.design.reliability
    for row in seen.frame("thicknesses").dropna(subset=["years"]).index:
        found = {w.name: w for w in record(seen, "design", "thicknesses", row, "years", "us").workings}
        assert {s: v for s, v, _ in found["rigid_allowable_axles"].given}["R"] == f"{decided * 100:.6g} %"
        assert found["years_of_growing_traffic"].results[0][1] == f"{seen.frame('thicknesses')['years'][row]:.6g} years"


def test_a_copied_number_names_its_source_and_shows_how_that_was_found(seen: Scene) -> None:
    found = record(seen, "design", "thicknesses", 0, "effective_life", "us")
    assert "State of the old slab by section" in found.copied
    assert [w.name for w in found.workings] == ["effective_thickness_remaining_life"]
    strength = record(seen, "design", "bond", 0, "strength", "us")
    assert "design.bond_strength" in strength.copied
    assert strength.workings == ()


def test_a_number_of_the_plate_model_stands_beside_closed_forms_of_its_own_section(seen: Scene) -> None:
    row = place(seen, "bond_places", section="A2")
    found = record(seen, "bond", "bond_places", row, "mean_shear", "us")
    assert "averaging length" in found.method
    assert "Suhir" in found.text()
    forms = [w for w in found.workings if w.name]  # beside the slab that milling leaves
    assert [w.name for w in forms] == ["edge_shear_suhir", "edge_shear_suhir"]
    overlay = seen.frame("bond_places")["overlay"][row]
    assert {{s: v for s, v, _ in w.given}["h1"] for w in forms} == {f"{overlay / 0.0254:.6g} in"}
    assert found.feeds == ()
    assert "weather" in found.facts


def test_each_fatigue_law_opens_its_own_equation(seen: Scene) -> None:
    laws = seen.frame("fatigue_laws")
    shown = [record(seen, "life", "fatigue_laws", i, "years", "us").equations for i in laws.index[:3]]
    assert len(set(shown)) == 3


def test_a_missing_number_says_so(seen: Scene) -> None:
    thicknesses = seen.frame("thicknesses")
    refused = int(thicknesses.index[thicknesses["years"].isna()][0])
    assert record(seen, "design", "thicknesses", refused, "years", "us").method == "There is no value."


def test_a_stage_that_declares_nothing_is_named(seen: Scene, monkeypatch: pytest.MonkeyPatch) -> None:
    silent = replace(stage_of("lives"), provenance="")
    monkeypatch.setattr(provenance, "stage_of", lambda _table: silent)
    assert silent.title in record(seen, "design", "lives", 0, "years", "us").method


@pytest.mark.parametrize(
    ("table", "wanted"), [("survey", 2), ("evaluation", 50), ("repair", 20), ("design", 60), ("bond", 30)]
)
def test_sheets_are_those_of_the_records(seen: Scene, table: str, wanted: int) -> None:
    """One for each section and governing number, and the chain of one test; each once, sections together."""
    found = sheets(seen, table, "us")
    assert len(found) >= wanted
    assert len(set(found)) == len(found)
    groups = [w.context.split(",")[0] for w in found]
    assert sum(a != b for a, b in itertools.pairwise(groups)) == len(set(groups)) - 1
    assert {w.name for w in found} <= set(calculations())


def test_a_sheet_in_metric_keeps_the_printed_value_where_the_equation_needs_it(seen: Scene) -> None:
    """The thickness equation is printed in inches; 25.4 mm are one inch exactly."""
    us, metric = (
        [w for w in sheets(seen, "design", system) if w.name == "rigid_required_thickness"]
        for system in ("us", "metric")
    )
    for one, other in zip(us, metric, strict=True):
        inches = float(one.results[0][1].removesuffix(" in"))
        shown, _, printed = other.results[0][1].partition(" (")
        assert printed == f"{one.results[0][1]})"
        assert float(shown.removesuffix(" mm")) == pytest.approx(25.4 * inches, rel=1e-5)  # six digits
        assert one.substituted == other.substituted


def test_arithmetic_of_records_by_hand(seen: Scene) -> None:
    """Four plain numbers: 6 + 3, 6 - 3, 6 x 3, 6 / 3, 1 - 6 / 3, and so on."""
    row, parts = Row(seen, "lives", 0), (Fixed(6.0), Fixed(3.0))
    found = {
        name: Derived(name, parts).take(row).number
        for name in (
            "sum",
            "difference",
            "product",
            "ratio",
            "reduction",
            "least",
            "greatest",
            "mean",
            "size of the difference",
        )
    }
    assert list(found.values()) == [9, 3, 18, 2, -1, 3, 6, 4.5, 3]
    assert Derived("rounded up", (Fixed(6.2),)).take(row).number == 7
    assert Derived("ratio", (Fixed(6.0), Fixed(0.0))).take(row).number == math.inf


def test_a_row_that_is_not_there_is_an_error(seen: Scene) -> None:
    with pytest.raises(KeyError, match="no row"):
        Of("traffic", "axles", (), {"year": "1066"}).take(Row(seen, "lives", 0))


def named(seen: Scene) -> Iterator[Fact | Decided | Calculated]:
    """Facts, decisions and calculations in the origins of the first rows."""
    for _, table in TABLES:
        for column, row, _ in numbers(seen, table):
            if row == 0:
                origin = origin_of(Row(seen, table, row), column)
                yield from _leaves(origin.source if isinstance(origin, Copied) else origin)


def _leaves(part: object) -> Iterator[Fact | Decided | Calculated]:
    if isinstance(part, (Fact, Decided, Calculated)):
        yield part
    inner = part.inputs.values() if isinstance(part, Calculated) else part.parts if isinstance(part, Derived) else ()
    for each in (*inner, *(part.beside if isinstance(part, Method) else ())):
        yield from _leaves(each)


def test_decisions_and_facts_are_those_that_the_stage_may_look_at(seen: Scene) -> None:
    """A stage's number can rest only on what the stage declared."""
    for stage, table in TABLES:
        declared = next(s for s in stages() if s.name == stage)
        for column, row, _ in numbers(seen, table):
            if row:
                continue
            origin = origin_of(Row(seen, table, row), column)
            for leaf in _leaves(origin.source if isinstance(origin, Copied) else origin):
                if isinstance(leaf, Decided):
                    assert leaf.name.partition(".")[0] in declared.decisions, (table, column, leaf)
                if isinstance(leaf, Fact):
                    assert leaf.table in declared.facts, (table, column, leaf)
                    assert leaf.column in FACTS[leaf.table].names


def test_every_calculation_named_is_in_the_catalogue(seen: Scene) -> None:
    found = [leaf.calculation.name for leaf in named(seen) if isinstance(leaf, Calculated)]
    assert len(set(found)) > 30
    assert set(found) <= set(calculations())


def test_a_cell_and_a_gathered_column_say_where_they_are(seen: Scene) -> None:
    row = Row(seen, "condition", 0)
    assert Cell("modulus").take(row).where == "State of the old slab by section"
    mean = Gathered("mean", "moduli", "slab_modulus", where={"excluded": ""}).take(row)
    assert mean.where == "mean, Backcalculated moduli"
    assert not any(isinstance(step, Worked) for step in mean.steps)


def test_the_built_minimum_of_a_metric_road_opens_as_it_is(demo_project: Project) -> None:
    """On a road in metres the minimum governs some sections; the sheet must give the thickness of the row."""
    facts = demo_project.facts()
    facts = replace(facts, road=facts.road.assign(stationing="metres"))
    decisions = from_plain(to_plain(demo_project.decisions()) | {"design.thinnest": 0.076})
    found: dict[str, StageResult] = {}
    for stage in plan():
        found[stage.name] = stage.compute(stage.given(facts, decisions, found, RunContext()))
    here = scene(facts, decisions, found)
    rows = found["design"].tables["thicknesses"]
    built = [(row, value) for row, value in enumerate(rows["rounded"]) if value == value]
    assert min(value for _, value in built) == pytest.approx(0.08)
    for row, value in built:
        (sheet,) = record(here, "design", "thicknesses", row, "rounded", "metric").workings
        assert sheet.results[0][1].startswith(f"{1000 * value:g} mm"), sheet.text()
