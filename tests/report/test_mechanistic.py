"""The bond as a field and the life at a reliability in documents: only where computed, and then what was computed."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from python_calamine import CalamineWorkbook

from slabwright import report
from slabwright.calculation import UNCONFIRMED
from slabwright.catalogue import calculations
from slabwright.figures.methods import methods
from slabwright.project import open_project
from slabwright.records.decisions import Decisions
from slabwright.report.blocks import Items
from slabwright.report.chapters import blocks_by_chapter
from slabwright.report.document import drawings
from slabwright.report.given import Report
from slabwright.report.pages_answer import answer
from slabwright.report.pages_mechanistic import lived_sections, worst_bond
from slabwright.report.pages_methods import against
from slabwright.report.text import listed
from slabwright.report.workbook import sheet_names, write_workbook
from slabwright.stages import outcomes
from slabwright.workflow import Computation
from slabwright.workflow.documents import results_at_hand
from tests.conftest import clock
from tests.mechanistic_results import LAWS, bond_result, life_result, save_field_results
from tests.report.conftest import pages


@pytest.fixture(scope="session")
def field_results(demo: Any) -> dict[str, Any]:
    designed = demo.results["design"].tables["thicknesses"].dropna(subset=["overlay"])
    overlays = dict(zip(designed["section"], designed["overlay"], strict=True))
    return {**demo.results, "bond": bond_result(overlays), "life": life_result(overlays)}


@pytest.fixture(scope="session")
def computed(record: Report, field_results: dict[str, Any]) -> Report:
    return replace(record, results=field_results)


def words(blocks: list[Any]) -> str:
    return str(blocks)


@pytest.fixture(scope="session")
def computed_appendix(computed: Report) -> Report:
    return replace(computed, part="appendix")


def test_what_was_not_computed_is_said_in_a_sentence(record: Report, appended: Report) -> None:
    in_report = " ".join(words(chapter) for chapter in blocks_by_chapter(record))
    assert in_report.count("Not computed for this alternative") == 2
    said = [words(chapter) for chapter in blocks_by_chapter(appended)]
    overlay = next(text for text in said if "'Overlay'" in text)
    assert overlay.count("Not computed for this alternative") == 2
    assert sum("Heading(text='Bond', level=1" in text for text in said) == 1
    assert not {"bond_map", "fatigue_lives_0"} & set(drawings(appended))


def test_one_of_the_two_may_be_there(appended: Report, field_results: dict[str, Any]) -> None:
    results = {name: result for name, result in field_results.items() if name != "life"}
    said = [words(chapter) for chapter in blocks_by_chapter(replace(appended, results=results))]
    assert sum("Not computed for this alternative" in text for text in said) == 1
    assert any(text.startswith("[Heading(text='Bond'") for text in said)


@pytest.mark.parametrize("system", ["us", "metric"])
def test_the_report_is_set_with_both(
    given: dict[str, Any], field_results: dict[str, Any], tmp_path: Path, system: str
) -> None:
    path = tmp_path / "report.pdf"
    report.build(path, **{**given, "results": field_results, "system": system, "part": "appendix"})
    text = " ".join(" ".join(pages(path)).split())
    for part in (
        "Bond",
        "Fatigue life",
        "no thickness lives long enough",
        *LAWS,
        "Not computed",
    ):
        assert (part in text) is (part != "Not computed"), part
    assert ("290.1 psi, by night" if system == "us" else "2.000 MPa, by night") in text  # 2 MPa in the corner


def test_the_worst_section_is_drawn_and_every_life(computed_appendix: Report) -> None:
    """Every other section has 1.2 for its factor, the second in the order of its table first."""
    computed = computed_appendix
    order = computed.table("bond", "bond_verdicts")["section"]
    assert worst_bond(computed) == order.iloc[1]
    assert set(lived_sections(computed)) == set(order)
    made = drawings(computed)
    assert made["bond_map"].startswith("<?xml")
    assert "bond strength" in made["bond_ages"]
    assert ">1,000</text>" in made["bond_ages"], "a logarithmic axis is labelled in plain numbers"
    assert "mathdefault" not in "".join(made.values())
    assert "reliability 95%" in made["fatigue_lives_0"]
    assert f"{order.iloc[1]}: shear between the layers" in made["bond_map"]


def test_each_place_stands_once_in_the_order_of_the_road(computed_appendix: Report) -> None:
    """The worse of both causes is the first that the table lists: 1.4 for the corner, then 4.2, 7.0 and 9.8."""
    table = next(
        b for c in blocks_by_chapter(computed_appendix) for b in c if getattr(b, "title", "").startswith("Each place")
    )
    sections = [row[0] for row in table.rows]
    assert list(dict.fromkeys(sections)) == [
        str(s) for s in computed_appendix.by_section("bond", "bond_verdicts")["section"]
    ]
    assert [row[1] for row in table.rows[:4]] == ["corner", "joint", "free edge", "under the wheels"]
    assert [row[-2] for row in table.rows[:4]] == ["1.400", "4.200", "7.000", "9.800"]


def test_laws_and_inputs_stand_beside_the_sections(computed_appendix: Report) -> None:
    computed = computed_appendix
    tables = {b.title: b for c in blocks_by_chapter(computed) for b in c if getattr(b, "title", "")}
    laws = next(b for title, b in tables.items() if title.startswith("Years by each law"))
    assert [row[0] for row in laws.rows] == list(LAWS)
    assert {row[1] for row in laws.rows} == {"24.0", "60.0", "3.5"}
    assert laws.headings[1:] == tuple(lived_sections(computed))
    shares = next(b for title, b in tables.items() if title.startswith("Share of the variance"))
    assert shares.rows[0][:2] == ("k of the foundation", "60.0")


def test_notes_and_workings_of_long_stages_are_printed(computed_appendix: Report) -> None:
    said = " ".join(words(chapter) for chapter in blocks_by_chapter(computed_appendix))
    assert said.count("3.0 % of samples lie beyond") >= 2  # beside the tables, and among the notes
    assert "Heading(text='Life', level=2" in said


def test_the_workbook_holds_all_but_the_long_tables(field_results: dict[str, Any], tmp_path: Path) -> None:
    write_workbook(tmp_path / "q.xlsx", alternative="base", decisions=Decisions(), results=field_results, system="us")
    book = CalamineWorkbook.from_path(str(tmp_path / "q.xlsx"))
    names = sheet_names({n: s.title for n, s in outcomes().items() if not s.bulk})
    assert {names[n] for s in ("bond", "life") for n in field_results[s].tables if not outcomes()[n].bulk} <= set(
        book.sheet_names
    )
    assert len(names) == len([s for s in outcomes().values() if not s.bulk])
    assert len(book.sheet_names) == len(names) + 3  # contents, unit prices, decisions
    rows = book.get_sheet_by_name(names["fatigue_thickness"]).to_python()
    assert rows[1][1] == 20.0


@pytest.fixture
def change(demo_file: Path, tmp_path: Path) -> Callable[..., set[str]]:
    """Names of the results that documents would show after a decision, on a copy of the demo road with all results."""

    def after(**decided: float) -> set[str]:
        shutil.copy(demo_file, tmp_path / "demo.slab")
        with open_project(tmp_path / "demo.slab", user="tester", clock=clock) as project:
            save_field_results(project)
            if decided:
                project.decide("base", {name.replace("__", "."): value for name, value in decided.items()})
            return set(results_at_hand(Computation(project)))

    return after


def test_documents_show_long_results_only_while_current(change: Callable[..., set[str]]) -> None:
    assert {"bond", "life"} <= change()
    assert {"bond", "life"} & change(bond__least_factor=3.0) == {"life"}
    assert not {"bond", "life"} & change(design__overlay_modulus=2.5e10)


def test_page_one_names_unconfirmed_equations_of_the_life_where_it_is_computed(
    record: Report, computed: Report
) -> None:
    """The law that is decided and the curve of cracks; without the life neither is behind the answer."""
    title = calculations()["cracked_slabs_2004"].title
    assert calculations()["cracked_slabs_2004"].known == UNCONFIRMED
    title = title[:1].lower() + title[1:]
    assert title in words(answer(computed))
    assert title not in words(answer(record))


def test_page_one_names_the_sections_outside_of_known_roads(computed: Report) -> None:
    items = [lead + said for b in answer(computed) if isinstance(b, Items) for lead, said in b.items]
    assert any(i.startswith("Mechanistic analysis of cracking:used beyond its data in") for i in items)


def test_page_one_says_what_the_long_stages_say_against_the_answer(record: Report, computed: Report) -> None:
    (short,) = against(record)  # the bond is no part of the short stages: the answer must not pass for one that held it
    assert short.startswith("Whether the bond bears load, temperature and shrinkage was not computed")
    (said,) = against(computed)
    assert "was not computed" not in said
    years = computed.table("life", "fatigue_thickness").query("promised == 'yes'")["overlay_years"]
    silent = computed.table("life", "fatigue_thickness").query("promised == 'no'")["section"]
    assert f"last {int(years.min() + 0.05)} years to {int(years.max() + 0.05)} years at the same reliability" in said
    assert f"It promises nothing in {', '.join(silent)}." in said
    verdicts = computed.by_section("bond", "bond_verdicts")
    for passes, words_ in (("open", "is open in"), ("no", "fails in")):
        named = list(verdicts["section"][verdicts["passes"] == passes])
        assert named
        assert f"{words_} {listed(named)}" in said
    holds = (verdicts["passes"] == "yes").sum()
    assert f"is shown to hold in {holds} of {len(verdicts)} sections" in said
    assert "open is no pass" in said
    assert "the least factor of stress is 1.2 where 1.5 is required" in said
    assert "the most energy released is" in said
    assert "exceeds its tensile strength" not in said  # 2.5 MPa of 2.7 MPa
    (chapter,) = [
        words(blocks)
        for blocks in blocks_by_chapter(replace(computed, part="appendix"))
        if "Patches without bond" in words(blocks)
    ]
    assert "open where one alone does" in chapter
    names = [m.section for m in methods(computed.results, computed.decisions)]
    table = words(blocks_by_chapter(computed)[0])
    assert all(f"'{name}'" in table for name in names)
    assert "Which method is built on is not decided" in table


def test_page_one_adds_cracks_left_to_those_at_the_end_of_life(record: Report, computed: Report) -> None:
    """Of all slabs, 2 % left by the repairs and a tenth of the rest: 0.02 + 0.98 x 0.1 = 11.8 %; one section has more."""
    assert "At the end of life" not in words(answer(record))
    life = computed.results["life"]
    thickness = life.tables["fatigue_thickness"].reset_index(drop=True)
    assert thickness["all_cracked"].max() == 0.118
    thickness.loc[thickness["section"] == "W2", "all_cracked"] = 0.334
    results = {**computed.results, "life": replace(life, tables={**life.tables, "fatigue_thickness": thickness})}
    said = words(answer(replace(computed, results=results)))
    told = "At the end of life 33 % of all slabs in W2 are cracked: the level of 10 % counts those that were sound."
    assert told in said


def test_the_past_is_that_of_the_design_lane(computed: Report) -> None:
    """The survey's slabs held against the model are those of the outermost lane, by transverse cracks alone."""
    whole = blocks_by_chapter(replace(computed, part="appendix"))
    (chapter,) = [words(blocks) for blocks in whole if "own past" in words(blocks)]
    assert "slabs of the design lane, the outermost" in chapter
    assert "found a transverse crack" in chapter
    assert "worst lane" not in chapter.split("Held against the road")[1].split("Table(")[0]


def test_page_one_names_sections_whose_overlay_shrinkage_would_crack(computed: Report) -> None:
    """Held flat 2.8 MPa against 2.7 MPa in the second section of the table; in the others 2.5 MPa."""
    bond = computed.results["bond"]
    verdicts = bond.tables["bond_verdicts"].reset_index(drop=True)
    verdicts.loc[1, "pull_held"] = 2.8e6
    results = {**computed.results, "bond": replace(bond, tables={**bond.tables, "bond_verdicts": verdicts})}
    (said,) = against(replace(computed, results=results))
    assert f"In {verdicts['section'][1]} the overlay's own tension from shrinkage exceeds its tensile strength" in said
