"""The design report beside its appendix: how long it is, what its numbers are worth, whose name it bears, what changed."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pypdf
import pytest

from slabwright import report
from slabwright.errors import InputError
from slabwright.project import create
from slabwright.records.decisions import Decisions, entries
from slabwright.records.words import HOLDS
from slabwright.report.blocks import Lines, Table
from slabwright.report.chapters import blocks_by_chapter
from slabwright.report.given import Report
from slabwright.report.pages_issue import issue
from slabwright.report.pages_section import built_sections, outcome
from slabwright.report.rounding import bare, worth
from slabwright.workflow.documents import _last_issue
from tests.conftest import clock
from tests.mechanistic_results import bond_result, life_result

MOST_PAGES = 20


@pytest.fixture(scope="session")
def with_long_stages(given: dict[str, Any], demo: Any, tmp_path_factory: pytest.TempPathFactory) -> Path:
    designed = demo.results["design"].tables["thicknesses"].dropna(subset=["overlay"])
    overlays = dict(zip(designed["section"], designed["overlay"], strict=True))
    results = {**demo.results, "bond": bond_result(overlays), "life": life_result(overlays)}
    path = tmp_path_factory.mktemp("long") / "r.pdf"
    report.build(path, **{**given, "results": results})
    return path


@pytest.mark.parametrize("system", ["us", "metric"])
def test_the_report_of_the_demo_has_twenty_pages_at_most(built: dict[str, SimpleNamespace], system: str) -> None:
    assert len(built[system].pages) <= MOST_PAGES


def test_with_bond_and_life_it_has_twenty_pages_at_most(with_long_stages: Path) -> None:
    assert len(pypdf.PdfReader(with_long_stages).pages) <= MOST_PAGES


def test_each_section_with_an_overlay_has_one_page(with_long_stages: Path, record: Report) -> None:
    texts = [page.extract_text() for page in pypdf.PdfReader(with_long_stages).pages]
    begins = [next(i for i, t in enumerate(texts) if f"\nSection {n}\n" in t) for n in built_sections(record)]
    assert begins == list(range(begins[0], begins[0] + len(begins)))
    assert "Sections without an overlay" in texts[begins[-1] + 1]


def test_the_report_calls_no_decision_by_its_code_name(built: dict[str, SimpleNamespace]) -> None:
    whole = re.sub(r"[\s\u200b]", "", " ".join(built["us"].pages))
    assert [e.name for e in entries(Decisions()) if e.name in whole] == []


def test_bookmarks_links_language_and_tags(built: dict[str, SimpleNamespace], record: Report) -> None:
    reader = pypdf.PdfReader(built["us"].path)
    names = [item.title for item in reader.outline if not isinstance(item, list)]
    assert [f"Section {n}" for n in built_sections(record)] == [n for n in names if n.startswith("Section ")]
    root = reader.trailer["/Root"]
    assert root["/Lang"] == "en"
    assert root["/MarkInfo"]["/Marked"]
    metadata = root["/Metadata"].get_object().get_data()
    assert b"<pdfuaid:part>1</pdfuaid:part>" in metadata  # ISO 14289-1
    assert b"<dc:creator>" not in metadata  # no name was given
    sections = len(record.table("survey", "sections"))
    links = [a for a in reader.pages[0].get("/Annots", []) if a.get_object()["/Subtype"] == "/Link"]
    assert len(links) >= sections


def test_sections_stand_in_one_order(computed_report: Report) -> None:
    """Direction with the stationing first, then by station."""
    sections = computed_report.table("survey", "sections")
    way = sections["direction"] != "with stationing"
    order = list(sections.assign(way=way).sort_values(["way", "begin"])["section"])
    for part in ("report", "appendix"):
        for chapter in blocks_by_chapter(replace(computed_report, part=part)):
            for table in (b for b in chapter if isinstance(b, Table) and b.headings[0] == "section"):
                named = list(dict.fromkeys(row[0] for row in table.rows if row[0] in order))
                assert named == sorted(named, key=order.index), table.title


@pytest.fixture
def computed_report(record: Report, demo: Any) -> Report:
    designed = demo.results["design"].tables["thicknesses"].dropna(subset=["overlay"])
    overlays = dict(zip(designed["section"], designed["overlay"], strict=True))
    return replace(record, results={**demo.results, "bond": bond_result(overlays), "life": life_result(overlays)})


def test_numbers_are_rounded_to_what_they_are_worth() -> None:
    """1 psi is 6894.757 Pa; years are promised, so they are rounded down."""
    assert worth(4_879_123 * 6894.757293168361, "modulus", "us") == "4.88 million psi"
    assert worth(33.64e9, "modulus", "metric") == "33.6 GPa"
    assert worth(12_661_801, "axles", "us") == "12.7 million"
    assert worth(28.95, "years", "us") == "29 years"
    assert worth(1.0, "years", "us") == "1 year"
    assert worth(28.94, "years", "us") == "28 years"
    assert (worth(60.0, "years", "us"), bare(60.0, "years", "us")) == (
        "60 years or more",
        "60+",
    )  # the longest computed
    assert (
        worth(1_234_567, "money", "us") == "1,230,000"
    )  # three figures, what an estimate is worth (common practice, no source)
    assert (bare(0.3378, "share", "us"), bare(0.0014, "share", "us"), bare(1.0, "share", "us")) == ("34", "0.1", "100")
    assert worth(854.0, "length", "us") == "2,802 ft"  # 1 ft = 0.3048 m
    assert worth(float("nan"), "money", "us") == "–"


def test_what_failing_means_stands_beside_what_fails_alone(record: Report) -> None:
    assert outcome(HOLDS, "not suited", "") == "holds"
    assert outcome("fails", "not suited", "") == "✗ not suited"
    tables = [b for c in blocks_by_chapter(record) for b in c if isinstance(b, Table) and b.title.startswith("Reasons")]
    assert len(tables) == len(built_sections(record))
    assert all("not suited" not in row for table in tables for row in table.rows)


def test_nor_does_the_wide_table_say_it_where_every_section_passes(appended: Report) -> None:
    tables = [b for c in blocks_by_chapter(appended) for b in c if isinstance(b, Table) and b.headings[0] == "reason"]
    rows = [row for table in tables for row in table.rows[:-1]]
    passing = [row for row in rows if not any(cell.startswith(("✗", "?")) for cell in row)]
    assert 0 < len(passing) < len(rows)
    assert {row[-2] for row in passing} == {"–"}
    assert "–" not in {row[-2] for row in rows if row not in passing}


def test_no_name_is_printed_where_none_is_given(record: Report) -> None:
    empty, named = (
        next(b for b in issue(r) if isinstance(b, Lines)) for r in (record, replace(record, engineer="R. Oak"))
    )
    assert empty.lines[0] == ("Engineer", "")
    assert named.lines[0] == ("Engineer", "R. Oak")


def test_revisions_say_what_changed_and_not_who(tmp_path: Path, record: Report) -> None:
    """4 in is 101.6 mm."""
    with create(tmp_path / "r.slab", user="account7", clock=clock) as project:
        assert _last_issue(project, "us") is None
        project.decide("base", {"design.thickness": 0.1016})
        project.mark_report("r.pdf", "base", project.head)
        project.decide("base", {"design.reliability": 0.9})
        project.undo()
        project.decide("base", {"design.wheel_load": 50e3, "design.thickness": 0.0})
        last = _last_issue(project, "us")
    assert last is not None
    (said,) = last.changes
    assert "4.00 in to 0.00 in" in said
    assert "account7" not in said
    assert "design." not in said
    table = next(b for b in issue(replace(record, last_issue=last)) if isinstance(b, Table))
    assert [row[0] for row in table.rows] == ["last one", "this one"]
    assert "4.00 in to 0.00 in" in table.rows[1][2]
    assert next(b for b in issue(record) if isinstance(b, Table)).rows[0][2] == "First issue."
    many = replace(last, changes=(said, "loaded cores.xlsx"))
    table = next(b for b in issue(replace(record, last_issue=many)) if isinstance(b, Table))
    assert [row[2] for row in table.rows[2:]] == ["loaded cores.xlsx."]  # a row each, none as high as a page


def test_a_replaced_change_is_told_without_its_account(tmp_path: Path) -> None:
    with create(tmp_path / "r.slab", user="account7", clock=clock) as project:
        project.decide("base", {"design.reliability": 0.9})
        project.mark_report("r.pdf", "base", project.head)
        project.undo()
        project.decide("base", {"design.reliability": 0.8})
        last = _last_issue(project, "us")
    assert last is not None
    assert any("undone and replaced" in change for change in last.changes)
    assert "account7" not in " ".join(last.changes)


def test_letters_that_no_font_holds_are_told_and_do_not_stop_the_report(
    given: dict[str, Any], demo: Any, tmp_path: Path
) -> None:
    facts = replace(demo.facts, road=demo.facts.road.assign(name="\u9053\u8def Stra\u00dfe \u0141\u00f3d\u017a"))
    report.build(tmp_path / "r.pdf", **{**given, "road": facts})
    reader = pypdf.PdfReader(tmp_path / "r.pdf")
    assert "not declared as PDF/UA" in re.sub(r"\s+", " ", "".join(page.extract_text() for page in reader.pages[:2]))
    root = reader.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    assert b"pdfuaid" not in root["/Metadata"].get_object().get_data()


def test_an_unknown_document_is_refused(given: dict[str, Any], tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no such document"):
        report.build(tmp_path / "r.pdf", **{**given, "part": "book"})


def test_the_moment_stands_on_the_report(built: dict[str, SimpleNamespace]) -> None:
    assert f"{datetime(2026, 11, 25, tzinfo=UTC):%Y-%m-%d}" in built["us"].pages[1]
