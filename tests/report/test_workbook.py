"""The workbook: its sheets in the order of the job, its formulas worked out by another reader, texts as texts."""

from __future__ import annotations

import dataclasses
import re
import zipfile
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
from python_calamine import CalamineWorkbook

from slabwright.economics.pricing import unit_prices
from slabwright.errors import StoreError
from slabwright.project import Project
from slabwright.records.decisions import Decisions, from_plain, to_plain
from slabwright.records.facts import Facts
from slabwright.records.results import StageResult
from slabwright.records.stage import RunContext
from slabwright.records.table import empty
from slabwright.report.given import Report
from slabwright.report.pages_open import all_points
from slabwright.report.workbook import sheet_names, write_workbook
from slabwright.report.workbook_formulas import FORMULAS, TOTALS
from slabwright.stages import outcomes, plan, stages
from slabwright.workflow import Computation
from slabwright.workflow.documents import points_told, results_at_hand
from tests.conftest import CONFIRMED_PRICES
from tests.report.conftest import MADE_AT
from tests.report.sheets import Book, read

Results = dict[str, StageResult]
SYSTEMS = ["us", "metric"]
DEFAULT = from_plain(CONFIRMED_PRICES)


def written(path: Path, results: Results, system: Any = "us", decisions: Decisions = DEFAULT) -> Book:
    write_workbook(path, alternative="base", decisions=decisions, results=results, system=system)
    return read(path)


def sheet(path: Path, name: str) -> pd.DataFrame:
    rows = CalamineWorkbook.from_path(str(path)).get_sheet_by_name(name).to_python()
    return pd.DataFrame(rows[1:], columns=rows[0])


def carried(facts: Facts, decisions: Decisions) -> Results:
    found: Results = {}
    for stage in plan():
        found[stage.name] = stage.compute(stage.given(facts, decisions, found, RunContext()))
    return found


def totals(book: Book) -> dict[str, float]:
    """The sums on the first sheet, worked out anew."""
    return {str(book.values["Contents", "A", row]): book.worked(("Contents", "B", row)) for row in range(3, 8)}


def test_the_sheets_are_the_tables_in_the_order_of_the_job(priced_results: Results, tmp_path: Path) -> None:
    book = written(tmp_path / "q.xlsx", priced_results)
    assert book.names[0] == "Contents"
    assert "9 of 9 unit prices are the program's placeholders" in str(book.values["Contents", "A", 9])
    assert book.names[-1] == "Decisions"
    listed = [book.values["Contents", "A", row] for row in range(11, 11 + len(book.names) - 1)]
    assert listed == book.names[1:]
    titles = [book.values["Contents", "B", row] for row in range(11, 11 + len(listed) - 1)]
    expected = [s.title for stage in stages() if stage.name in priced_results for s in stage.outcomes if not s.bulk]
    assert [t for t in titles if t != "Unit prices"] == expected
    assert book.names[book.names.index("Bid items") - 1] == "Unit prices"


def test_the_name_of_a_sheet_is_a_title_that_a_sheet_may_have() -> None:
    """At most 31 characters, none of []:*?/\\, each once whatever its case: as spreadsheets demand."""
    assert sheet_names({"a": "Cost by section"}) == {"a": "Cost by section"}
    assert sheet_names({"a": "State of the old slab by section"}) == {"a": "State of the old slab"}
    assert sheet_names({"a": "What the thickness depends on"}) == {"a": "What the thickness depends on"}
    assert sheet_names({"a": "x" * 40}) == {"a": "x" * 31}
    assert sheet_names({"a": "Cost [in] $/yd: all?"}) == {"a": "Cost in $ yd all"}
    assert sheet_names({"a": "decisions", "b": "Cores", "c": "CORES"}) == {
        "a": "decisions 2",
        "b": "Cores",
        "c": "CORES 2",
    }
    every = sheet_names({name: schema.title for name, schema in outcomes().items()})
    assert len({name.lower() for name in every.values()}) == len(outcomes())
    assert max(map(len, every.values())) <= 31


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("filled", ["yes", "no"])
def test_every_formula_gives_its_stored_value(demo_project: Project, tmp_path: Path, system: str, filled: str) -> None:
    """Worked out from the cells that they name, in the units of the sheet; the stored values come from the stages."""
    plain = to_plain(demo_project.decisions()) | CONFIRMED_PRICES | {"repair.fill_partial_with_overlay": filled}
    decisions = from_plain(plain)
    results = carried(demo_project.facts(), decisions)
    book = written(tmp_path / "q.xlsx", results, system, decisions)
    names = sheet_names({name: schema.title for name, schema in outcomes().items()})
    kinds = results["repair"].tables["repairs"]["kind"]
    wanted = {table: len(columns) * len(_rows(results, table)) for table, columns in FORMULAS.items()}
    wanted["repairs"] = int(kinds.isin(["full depth", "partial depth"]).sum())
    wanted["bid_items"] = int(results["economics"].tables["bid_items"]["amount"].notna().sum())
    for table, number in wanted.items():
        found = sum(place[0] == names[table] for place in book.formulas)
        assert found == number + len(TOTALS.get(table, ())), table
    for place in book.formulas:
        assert book.worked(place) == pytest.approx(book.values[place], rel=1e-9), (place, book.formulas[place])


def _rows(results: Results, table: str) -> pd.DataFrame:
    return next(r.tables[table] for r in results.values() if table in r.tables)


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("name", sorted(unit_prices(DEFAULT.economics)))
def test_a_price_changed_in_the_sheet_gives_what_the_stage_gives(
    demo_project: Project, priced_results: Results, tmp_path: Path, system: str, name: str
) -> None:
    """Each unit price doubled in its cell: the costs of the workbook are those of the stage at that price."""
    plain = to_plain(demo_project.decisions()) | CONFIRMED_PRICES
    dear = from_plain(plain | {f"economics.{name}": 2 * float(plain[f"economics.{name}"])})
    stage = next(s for s in stages() if s.name == "economics")
    expected = stage.compute(stage.given(demo_project.facts(), dear, priced_results, RunContext())).tables
    book = written(tmp_path / "q.xlsx", priced_results, system)
    row = 2 + list(unit_prices(DEFAULT.economics)).index(name)
    place = ("Unit prices", "B", row)
    book.put(place, 2 * book.values[place])
    found = totals(book)
    assert found["Cost of overlay and repairs"] == pytest.approx(expected["section_costs"]["cost"].sum())
    assert found["Cost of repairs"] == pytest.approx(expected["repair_costs"]["cost"].sum())


def test_a_road_without_repairs_and_without_an_overlay_has_its_workbook(
    priced_results: Results, tmp_path: Path
) -> None:
    bare = dict(priced_results)
    for stage, tables in (
        ("repair", ("repairs", "repair_quantities")),
        ("design", ("overlay_quantities",)),
        ("economics", ("bid_items", "section_costs", "repair_kind_costs", "repair_costs")),
    ):
        emptied = {name: empty(outcomes()[name]) for name in tables}
        bare[stage] = dataclasses.replace(bare[stage], tables={**bare[stage].tables, **emptied})
    book = written(tmp_path / "q.xlsx", bare)
    assert set(totals(book).values()) == {0.0}
    assert all(place[0] == "Contents" for place in book.formulas)


def test_unit_prices_are_for_the_units_of_the_sheet(priced_results: Results, tmp_path: Path) -> None:
    """Stored per m2, m and m3; 1 yd2 = 0.83612736 m2, 1 ft = 0.3048 m, 1 yd3 = 0.764554857984 m3 exactly."""
    for system in SYSTEMS:
        written(tmp_path / f"{system}.xlsx", priced_results, system)
    us, metric = (sheet(tmp_path / f"{s}.xlsx", "Unit prices").set_index("Item") for s in SYSTEMS)
    wanted = {
        "Full-depth repair": (260.0, "m²", 217.393114, "yd²"),
        "Crack routed and filled": (28.0, "m", 8.5344, "ft"),
        "Overlay concrete in place": (310.0, "m³", 237.012006, "yd³"),
        "Cost of one transverse sawcut across a lane": (180.0, "each", 180.0, "each"),
        "Preparation, joints and curing": (14.0, "m²", 11.705783, "yd²"),
    }
    for item, (per_metric, unit, per_us, us_unit) in wanted.items():
        assert tuple(metric.loc[item]) == (pytest.approx(per_metric), unit)
        assert tuple(us.loc[item]) == (pytest.approx(per_us, rel=1e-7), us_unit)
    assert len(us) == len(unit_prices(DEFAULT.economics))


@pytest.mark.parametrize(("system", "metres"), [("us", 0.3048), ("metric", 1.0)])
def test_stations_stand_as_numbers_too_and_rows_can_be_filtered(
    priced_results: Results, tmp_path: Path, system: str, metres: float
) -> None:
    """1 ft is 0.3048 m exactly."""
    written(tmp_path / "q.xlsx", priced_results, system)
    shown = sheet(tmp_path / "q.xlsx", "Repairs before the overlay")
    unit = "ft" if system == "us" else "m"
    found = pd.to_numeric(shown[f"from station, as a number [{unit}]"])
    repairs = priced_results["repair"].tables["repairs"]
    assert found[: len(repairs)].tolist() == pytest.approx((repairs["begin"] / metres).tolist())
    with zipfile.ZipFile(tmp_path / "q.xlsx") as parts:
        number = 1 + read(tmp_path / "q.xlsx").names.index("Repairs before the overlay")
        xml = parts.read(f"xl/worksheets/sheet{number}.xml").decode()
    assert f":{chr(ord('A') + len(shown.columns) - 1)}{len(repairs) + 1}" in re.findall(
        r'<autoFilter ref="A1(.*?)"', xml
    )
    assert 'xSplit="1" ySplit="1"' in xml


def test_hostile_texts_stay_texts(priced_results: Results, tmp_path: Path) -> None:
    repairs = priced_results["repair"].tables["repairs"].copy()
    repairs.loc[:2, "lane"] = ["=1+1", "@cmd", "<b>lane</b>" + "x" * 40_000]
    changed = dataclasses.replace(
        priced_results["repair"], tables={**priced_results["repair"].tables, "repairs": repairs}
    )
    path = tmp_path / "q.xlsx"
    results = {**priced_results, "repair": changed}
    write_workbook(path, alternative="=HYPERLINK(1)", decisions=DEFAULT, results=results, system="us")
    assert sheet(path, "Repairs before the overlay")["lane"].tolist()[:2] == ["=1+1", "@cmd"]
    assert str(read(path).values["Contents", "A", 1]).endswith("=HYPERLINK(1)")


def test_a_place_that_cannot_be_written_is_a_sentence_and_leaves_nothing(
    priced_results: Results, tmp_path: Path
) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("here already")
    with pytest.raises(StoreError, match="cannot be written"):
        written(blocked / "q.xlsx", priced_results)
    assert blocked.read_text() == "here already"
    assert list(tmp_path.iterdir()) == [blocked]


def test_the_open_points_are_those_of_the_report(demo_project: Project, tmp_path: Path) -> None:
    """Once the sheet held those of the evaluation alone, 3 where page one had 11."""
    computation = Computation(demo_project)
    results = results_at_hand(computation)
    points = points_told(demo_project, computation, results, "us")
    path = tmp_path / "q.xlsx"
    write_workbook(
        path, alternative="base", decisions=computation.decisions, results=results, system="us", points=points
    )
    found = sheet(path, "Open points")
    assert list(zip(found["About"], found["Open point"], strict=True)) == points
    report = Report(computation.facts, computation.decisions, "base", results, (), (), MADE_AT, "", "us")
    on_paper = [about.rstrip(":") for about, _ in all_points(report)]
    assert [about for about, _ in points if about != "Data"] == on_paper
    assert len(points) > len(results["evaluation"].tables["open_points"]) + 3
