"""The reviewer's pencil: every governing calculation with its equation, the values put in, result and source."""

from __future__ import annotations

import re

from slabwright.calculation import Working
from slabwright.report.blocks import Block, Heading, Sheet, Text
from slabwright.report.chapters import AFTER_STAGES, Chapter
from slabwright.report.given import Report
from slabwright.report.text import literal

__all__ = ["CHAPTERS", "workings"]

HEAD = (
    "Each sheet gives the equation as published, the values put in and where they come from, the equation with these values, the"
    " result, the source and how well the source is known. Numbers beside each other are multiplied."
)
METRIC = (
    " The values given and the results are in metric units. Where an equation takes others, those stand in brackets and in the line"
    " with the values put in: SI units where it holds in any, the inch-pound units of its constants where it was published in"
    " them."
)
PRODUCT = re.compile(r"(?<=[\d)]) (?=\d)")


def workings(report: Report) -> list[Block]:
    """All workings by stage, then by section or test."""
    metric = report.system == "metric"
    blocks: list[Block] = [Heading("Workings"), Text(HEAD + (METRIC if metric else ""))]
    for stage in report.stages:
        blocks.append(Heading(stage.capitalize(), 2))
        found = report.workings[stage]
        if not found:
            blocks.append(
                Text("This stage counts, measures or computes by a model; it has no equation to show for one number.")
            )
        last = ""
        for working in found:
            group, rest = _group(working.context)
            if group != last:
                blocks.append(Heading(literal(group[:1].upper() + group[1:]), 3))
                last = group
            blocks.append(_sheet(working, rest))
    return blocks


def _group(context: str) -> tuple[str, str]:
    """(what a working belongs to, the rest of its context): a section, or a test given by station and lane."""
    pieces = context.split(", ")
    kept = 1 if context.startswith("section ") else 2
    return ", ".join(pieces[:kept]), ", ".join(pieces[kept:])


def _sheet(working: Working, context: str) -> Sheet:
    return Sheet(
        working.title,
        literal(context),
        working.equation,
        working.given,
        PRODUCT.sub(" × ", working.substituted),
        working.results,
        working.source,
        working.tag,
    )


CHAPTERS = (Chapter(lambda: AFTER_STAGES + 1, workings),)
