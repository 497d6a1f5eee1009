"""The road strips, the state of the old slab by section, and the reasons for and against an overlay."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from slabwright.figures.road import road_of
from slabwright.records.words import CARRIES, HOLDS, NOT_EXAMINED, OVER
from slabwright.report.blocks import (
    MOST_SIDEWAYS,
    TINY,
    Block,
    Figure,
    Heading,
    Table,
    Text,
    frame_table,
    frame_tables,
    rows_table,
)
from slabwright.report.chapters import Chapter, place_of
from slabwright.report.given import Report
from slabwright.report.text import literal
from slabwright.stages import outcomes

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["CHAPTERS", "sections", "strips"]

LAYERS = "Dotted lines are section boundaries; a limit is that of the decisions."
SECTION_COLUMNS = (
    "section",
    "direction",
    "begin",
    "end",
    "boundary",
    "pavement",
    "tests",
    "mean_deflection",
    "variation",
    "design_deflection",
    "mean_area",
    "distress_per_length",
    "durability_per_length",
)

ASSUMED_COLUMNS = ("section", "quantity", "value", "low", "high", "why", "decision", "without")


def strips(report: Report) -> list[Block]:
    """One page for each direction."""
    blocks: list[Block] = []
    for number, direction in enumerate(report.directions):
        name = literal(direction) or "direction not given"
        title = f"Road strip, {name}"
        blocks += [Heading(title), Figure(f"strip_{number}", _key(report, direction), _described(report, direction))]
    return blocks


def _key(report: Report, direction: str) -> str:
    """What the keys on the strip stand for."""
    road = road_of(report.road, report.results).only(direction)
    bridges, ramps = (sorted(marks, key=lambda mark: mark.begin) for marks in (road.bridges, road.ramps))
    load = report.value(report.decisions.survey.standard_load, "force")
    words = [f"{mark.key} {literal(mark.name, 60)} ({_carries(mark.kind)})" for mark in bridges]
    words += [f"{mark.key} {literal(mark.name, 60)} ({mark.kind}-ramp)" for mark in ramps]
    words += [f"{lane.key} is {literal(lane.name, 60)}" for lane in road.lanes if lane.key != lane.name]
    return f"{LAYERS} The standard load is {load}. {'; '.join(words)}{'.' if words else ''}".strip()


def _carries(passes: str) -> str:
    return {CARRIES: "carries the road", OVER: "passes over"}.get(passes, "unknown whether it carries the road")


def _described(report: Report, direction: str) -> str:
    verdicts = report.table("evaluation", "verdicts")
    here = verdicts[verdicts["direction"] == direction]
    parts = [
        f"{literal(s.section)} from {report.station(s.begin)} to {report.station(s.end)}: {s.verdict}"
        for s in here.itertuples(index=False)
    ]
    return f"Strip drawing of the road. {'; '.join(parts)}."


def sections(report: Report) -> list[Block]:
    """Homogeneous sections, the state of the old slab, reasons for and against."""
    shown = report.system
    blocks: list[Block] = [
        Heading("Sections and the state of the old slab"),
        Heading("Homogeneous sections", 2),
        Text(
            f"The road is cut by {report.decisions.survey.section_method} of the mid-slab deflection, at changes of pavement"
            f" and where durability cracking begins; no section is shorter than"
            f" {report.value(report.decisions.survey.shortest_section, 'length')}. Both published methods are drawn for comparison."
        ),
        Figure(
            "differences",
            "Cumulative difference of the mid-slab deflection. Where its slope changes, the response of the road changes.",
            "Cumulative differences of deflection along the road with the boundaries found by both methods.",
        ),
        *frame_tables(
            outcomes()["sections"], report.table("survey", "sections"), shown, title="Sections", columns=SECTION_COLUMNS
        ),
        Heading("State of the old slab", 2),
        *frame_tables(outcomes()["condition"], report.table("evaluation", "condition"), shown, title="State"),
        Heading("Reasons for and against a bonded overlay", 2),
        *_reasons(report),
        Heading("Open points of the evaluation", 2),
        frame_table(outcomes()["open_points"], report.table("evaluation", "open_points"), shown, title="", size=TINY),
        Heading("Assumed and not measured", 2),
        frame_table(
            outcomes()["assumptions"],
            report.by_section("evaluation", "assumptions"),
            shown,
            title="",
            size=TINY,
            columns=ASSUMED_COLUMNS,
        ),
    ]
    return blocks


def _reasons(report: Report) -> list[Block]:
    """One table for each direction: a reason in a row, a section in a column; what fails is marked."""
    verdicts, table = report.table("evaluation", "verdicts"), report.table("evaluation", "suitability")
    if table.empty:
        return [Text("There was nothing to compare with a limit.")]
    keys = {source: f"[{i + 1}]" for i, source in enumerate(dict.fromkeys(table["source"]))}
    lots = [
        here.iloc[begin : begin + MOST_SIDEWAYS]
        for here in (verdicts[verdicts["direction"] == d] for d in report.directions)
        for begin in range(0, len(here), MOST_SIDEWAYS)
    ]
    return [
        Text(
            "✗ marks what fails the limit, ? what was not examined; the column beside the limit says what that means. In"
            f" brackets: the sample, and its exact limits at {report.value(report.decisions.evaluation.sample_confidence, 'share')}"
            f" confidence; shares are judged by the {report.decisions.evaluation.samples_judged_by}. A dash: not asked."
        ),
        *(_matrix(report, lot, table, keys) for lot in lots),
        Text(
            f"Sources of the limits: {'; '.join(f'{key} {literal(source)}' for source, key in keys.items())}.", "fine"
        ),
    ]


def _matrix(report: Report, verdicts: pd.DataFrame, table: pd.DataFrame, keys: Mapping[str, str]) -> Table:
    names = list(verdicts["section"])
    rows: dict[tuple[str, str, str, str], dict[str, str]] = {}
    for r in table[table["section"].isin(names)].itertuples(index=False):
        found = report.said(r.provided).replace(" ", "\u00a0") + (f" ({report.said(r.sample)})" if r.sample else "")
        cells = rows.setdefault(
            (r.subject, report.said(r.required).replace(" ", "\u00a0"), r.weight, keys[r.source]), {}
        )
        cells[r.section] = _marked(found, r.outcome, r.assumed_by)
    body = [
        [literal(subject, 100), *(cells.get(n, "–") for n in names), limit, weight if _against(cells) else "–", source]
        for (subject, limit, weight, source), cells in rows.items()
    ]
    total = ["verdict", *verdicts["verdict"], "", "", ""]
    headings = ["reason", *map(literal, names), "limit", "failing means", "source"]
    return rows_table(
        literal(verdicts["direction"].iloc[0]).capitalize(),
        headings,
        [*body, total],
        report.system,
        right=range(1, len(names) + 2),
        size=7.2,
        strong=[len(body)],
        whole=True,
    )


def _against(cells: Mapping[str, str]) -> bool:
    """Whether a reason fails or was not examined anywhere; what failing means is told only then."""
    return any(words[0] in "✗?" for words in cells.values())


def _marked(found: str, outcome: str, assumed_by: str) -> str:
    if outcome == NOT_EXAMINED:
        return "? assumed" if assumed_by else f"? {found}"
    return found if outcome == HOLDS else f"✗ {found}"


def distress(report: Report) -> list[Block]:
    """Quantities of distress by lane."""
    return [
        Heading("Distress by lane", 2),
        frame_table(
            outcomes()["distress_quantities"],
            report.table("survey", "distress_quantities"),
            report.system,
            title="",
            size=TINY,
        ),
    ]


CHAPTERS = (
    Chapter(lambda: -1.0, strips, part="report"),
    Chapter(lambda: place_of("survey"), sections, "survey"),
)
