"""The reviewer's pencil: every governing calculation with its equation, the values put in, result and source.

One section is worked in full; of the others the values put in and the results stand in a table under the sheet.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from slabwright.calculation import Working
from slabwright.report.blocks import TINY, Block, Heading, Sheet, Table, Text, rows_table
from slabwright.report.chapters import AFTER_STAGES, Chapter
from slabwright.report.given import Report
from slabwright.report.pages_section import built_sections
from slabwright.report.text import literal

__all__ = ["CHAPTERS", "workings"]

HEAD = (
    "Each sheet gives the equation as published, the values put in and where they come from, the equation with these values, the"
    " result, the source and how well the source is known. Numbers beside each other are multiplied. One section is worked in full;"
    " the values and results of the others stand under each sheet."
)
METRIC = (
    " The values given and the results are in metric units. Where an equation takes others, those stand in brackets and in the line"
    " with the values put in: SI units where it holds in any, the inch-pound units of its constants where it was published in"
    " them."
)
PRODUCT = re.compile(r"(?<=[\d)]) (?=\d)")


def workings(report: Report) -> list[Block]:
    """Each calculation in full once, then a table of the others."""
    metric = report.system == "metric"
    blocks: list[Block] = [Heading("Workings"), Text(HEAD + (METRIC if metric else ""))]
    for stage in report.stages:
        blocks.append(Heading(stage.capitalize(), 2))
        found = report.workings[stage]
        if not found:
            blocks.append(
                Text("This stage counts, measures or computes by a model; it has no equation to show for one number.")
            )
        for same in _alike(found).values():
            shown = _shown(report, same)
            blocks.append(_sheet(shown))
            if others := [w for w in same if w is not shown]:
                blocks.append(_values(report, others))
    return blocks


def _alike(found: Iterable[Working]) -> dict[tuple[str, str, str, str], list[Working]]:
    """Workings of one equation from one source put to one use, e.g. with the overlay and before it."""
    made: dict[tuple[str, str, str, str], list[Working]] = {}
    for w in found:
        made.setdefault((w.title, w.equation, w.source, _place(w)[1]), []).append(w)
    return made


def _place(working: Working) -> tuple[str, str]:
    """(the section or test that a working belongs to, the rest of its context)."""
    pieces = working.context.split(", ")
    kept = 1 if working.context.startswith("section ") else 2
    return ", ".join(pieces[:kept]), ", ".join(pieces[kept:])


def _shown(report: Report, same: Sequence[Working]) -> Working:
    """Of the section worked in full where it has this working, else the first."""
    names = built_sections(report)
    own = [w for w in same if names and _place(w)[0] == f"section {names[0]}"]
    return (own or list(same))[0]


def _values(report: Report, others: Sequence[Working]) -> Table:
    """The same calculation elsewhere, the values put in and the results."""
    rank = {
        f"section {name}": i for i, name in enumerate(report.in_order(report.table("survey", "sections")["section"]))
    }
    rows = [
        (
            literal(w.context),
            ";  ".join(f"{symbol} = {value}" for symbol, value, _ in w.given),
            ";  ".join(value for _, value in w.results),
        )
        for w in sorted(others, key=lambda w: rank.get(_place(w)[0], len(rank)))
    ]
    headings = ("the same for", "values put in", "results, in that order")
    return rows_table("", headings, rows, report.system, size=TINY)


def _sheet(working: Working) -> Sheet:
    return Sheet(
        working.title,
        literal(working.context),
        working.equation,
        working.given,
        PRODUCT.sub(" × ", working.substituted),
        working.results,
        working.source,
        working.tag,
    )


CHAPTERS = (Chapter(lambda: AFTER_STAGES + 1, workings),)
