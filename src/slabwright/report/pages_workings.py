"""The reviewer's pencil: every governing calculation with its equation, the values put in, result and source."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from slabwright import units
from slabwright.calculation import Calculation, Choice, Quantity, Working
from slabwright.catalogue import calculations
from slabwright.report.blocks import Block, Heading, Sheet, Text
from slabwright.report.chapters import AFTER_STAGES, Chapter
from slabwright.report.given import Report
from slabwright.report.text import literal, restated

__all__ = ["CHAPTERS", "workings"]

HEAD = (
    "Each sheet gives the equation as published, the values put in, the equation with these values, the result, the source"
    " and how well the source is known. Numbers beside each other are multiplied."
)
METRIC = (
    " Equations keep the inch-pound units in which they are published, and so does the line with the values put in; the values"
    " given and the results are in metric units, with the printed ones in brackets."
)
PRODUCT = re.compile(r"(?<=[\d)]) (?=\d)")


def workings(report: Report) -> list[Block]:
    """All workings by stage, then by section or test."""
    known = calculations()
    metric = report.system == "metric"
    blocks: list[Block] = [Heading("Workings"), Text(HEAD + (METRIC if metric else ""))]
    for stage in report.stages:
        blocks.append(Heading(stage.capitalize(), 2))
        found = report.results[stage].workings
        if not found:
            blocks.append(Text("This stage only counts and measures; it has no equation to show."))
        last = ""
        for working in found:
            group, rest = _group(restated(working.context, report.system))
            if group != last:
                blocks.append(Heading(literal(group[:1].upper() + group[1:]), 3))
                last = group
            blocks.append(_sheet(working, rest, known, report.system))
    return blocks


def _group(context: str) -> tuple[str, str]:
    """(what a working belongs to, the rest of its context): a section, or a test given by station and lane."""
    pieces = context.split(", ")
    kept = 1 if context.startswith("section ") else 2 if context.startswith("station ") else len(pieces)
    return ", ".join(pieces[:kept]), ", ".join(pieces[kept:])


def _sheet(working: Working, context: str, known: Mapping[str, Calculation[Any]], system: units.System) -> Sheet:
    given, results = working.given, working.results
    calculation = known.get(working.name)
    if system == "metric" and calculation is not None:
        abouts = [p.about for p in calculation.parameters]
        given = tuple(
            (symbol, _metric(value, about), meaning)
            for (symbol, value, meaning), about in zip(given, abouts, strict=True)
        )
        outputs = calculation.outputs.values()
        results = tuple((name, _metric(value, about)) for (name, value), about in zip(results, outputs, strict=True))
    return Sheet(
        working.title, literal(context), working.equation, given, PRODUCT.sub(" × ", working.substituted), results,
        working.source, working.tag,
    )  # fmt: skip


def _metric(text: str, about: Quantity | Choice) -> str:
    """A value printed in the calculation's inch-pound unit, in the metric unit of its kind, the printed one behind it."""
    if isinstance(about, Choice):
        return text
    kind = units.kind(about.kind)
    printed, shown = about.printed or kind.us, kind.metric
    if printed == shown:
        return text
    numbers = text.removesuffix(units.label(printed)).strip() if printed != "1" else text
    values = [units.from_si(units.to_si(float(n.replace(",", "")), printed, about.kind), shown, about.kind)
              for n in numbers.split(", ")]  # fmt: skip
    return f"{', '.join(_six(v) for v in values)} {units.label(shown)} ({text})"


def _six(value: float) -> str:
    return f"{value:,.0f}" if 1e5 <= abs(value) < 1e12 else f"{value:.6g}"


CHAPTERS = (Chapter(lambda: AFTER_STAGES + 1, workings),)
