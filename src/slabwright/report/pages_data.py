"""The data: files and their digests, warnings and what was done, tests left out, and every test and input."""

from __future__ import annotations

import re

from slabwright.records.decisions import Entry, entries
from slabwright.records.facts import FACTS
from slabwright.report.blocks import TINY, Block, Heading, Items, Text, frame_table, rows_table
from slabwright.report.chapters import AFTER_STAGES, Chapter
from slabwright.report.given import Report
from slabwright.report.pages_road import distress
from slabwright.report.text import literal
from slabwright.stages import outcomes, stages

__all__ = ["CHAPTERS", "data", "inputs"]

LONGEST_LIST = 45  # rows of a table of facts that is printed whole
TESTS = (("evaluation", "moduli"), ("evaluation", "transfers"), ("evaluation", "voids"), ("survey", "core_strengths"))
MODULI = (
    "station",
    "lane",
    "section",
    "thickness",
    "stiffness_area",
    "foundation_area",
    "modulus_area",
    "stiffness_fit",
    "foundation_fit",
    "modulus_fit",
    "misfit",
    "excluded",
)


def data(report: Report) -> list[Block]:
    """Where the numbers come from and what was questioned."""
    return [
        Heading("Data"),
        *_sources(report),
        *_findings(report),
        *_left_out(report),
        *_notes(report),
        *distress(report),
        *_tests(report),
    ]


def _sources(report: Report) -> list[Block]:
    if not report.sources:
        return [Text("No files are recorded: the facts were entered by hand or by a program.")]
    rows = [[literal(s.name, 120), f"{s.rows:,}", literal(s.loaded_at, 40), _digest(s.sha256)] for s in report.sources]
    return [
        rows_table(
            "Files loaded", ("file", "rows", "loaded", "SHA-256 digest"), rows, report.system, right=(1,), size=7.2
        )
    ]


def _digest(text: str) -> str:
    """In two halves, so that it fits and can still be compared."""
    return f"{text[:32]} {text[32:]}" if re.fullmatch("[0-9a-f]{64}", text) else literal(text, 80)


def _findings(report: Report) -> list[Block]:
    if not report.findings:
        return [Heading("Suspicious data", 2), Text("No value was found suspicious in the files loaded.")]
    rows = [
        [literal(f.file, 120), literal(f.rule), f"{f.rows:,}", literal(f.message), literal(f.action)]
        for f in report.findings
    ]
    headings = ("file", "warning", "number", "as the file tells it", "what was done")
    return [
        Heading("Suspicious data", 2),
        Text("Accepted rows are used as measured; rejected values are left out of every calculation."),
        rows_table("", headings, rows, report.system, right=(2,)),
    ]


def _left_out(report: Report) -> list[Block]:
    moduli = report.table("evaluation", "moduli")
    out = moduli[moduli["excluded"] != ""]
    if out.empty:
        return [
            Heading("Tests left out", 2),
            Text(f"All {len(moduli)} mid-slab tests are used in the backcalculation."),
        ]
    columns = ("station", "lane", "point", "section", "excluded")
    return [
        Heading("Tests left out", 2),
        frame_table(outcomes()["moduli"], out, report.system, title="Mid-slab tests", columns=columns),
    ]


def _notes(report: Report) -> list[Block]:
    items = tuple((f"{stage.capitalize()}:", note) for stage in report.stages for note in report.notes(stage))
    return [Heading("Notes of the stages", 2), Items(items) if items else Text("The stages have nothing to note.")]


def _tests(report: Report) -> list[Block]:
    blocks: list[Block] = [Heading("Test by test", 2)]
    for stage, name in TESTS:
        columns = MODULI if name == "moduli" else ()
        blocks.append(
            frame_table(outcomes()[name], report.table(stage, name), report.system, columns=columns, size=TINY)
        )
    return blocks


def _value(entry: Entry, report: Report) -> str:
    if entry.name.endswith("_year"):
        return f"{entry.value:.0f}"
    return literal(entry.text(report.system)) or "–"


def inputs(report: Report) -> list[Block]:
    """All decisions of the alternative, and the facts that are not tests."""
    blocks: list[Block] = [
        Heading("All inputs"),
        Text(f"Decisions of the alternative {literal(report.alternative, 60)}."),
    ]
    titles = {stage.name: stage.title for stage in stages()}
    for group in dict.fromkeys(e.name.partition(".")[0] for e in entries(report.decisions)):
        rows = [
            [e.name, literal(e.about.meaning), _value(e, report)]
            for e in entries(report.decisions)
            if e.name.startswith(f"{group}.")
        ]
        blocks.append(
            rows_table(
                titles.get(group, group.capitalize()), ("name", "meaning", "value"), rows, report.system, size=7.4
            )
        )
    blocks.append(Heading("Facts", 2))
    for name, schema in FACTS.items():
        frame = getattr(report.road, name)
        if len(frame) > LONGEST_LIST:
            blocks.append(Text(f"{schema.title}: {len(frame):,} rows, not printed here."))
        elif len(frame):
            blocks.append(frame_table(schema, frame, report.system, size=7.2))
    absent = [FACTS[n].title.lower() for n in FACTS if getattr(report.road, n).empty]
    if absent:
        blocks.append(Text(f"Not loaded: {', '.join(absent)}."))
    return blocks


CHAPTERS = (
    Chapter(lambda: AFTER_STAGES + 2, data),
    Chapter(lambda: AFTER_STAGES + 3, inputs),
)
