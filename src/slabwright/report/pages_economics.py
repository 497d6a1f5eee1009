"""Cost: what the repairs and the overlay cost, by section, by kind of repair, and each repair."""

from __future__ import annotations

from slabwright.report.blocks import TINY, Block, Heading, Text, frame_table, summed_table
from slabwright.report.chapters import Chapter, place_of
from slabwright.report.given import Report
from slabwright.report.text import literal
from slabwright.stages import outcomes, stage_named

__all__ = ["CHAPTERS", "costs"]

SUMMED = {
    "section_costs": ("concrete_cost", "surface_cost", "repair_cost", "cost"),
    "repair_kind_costs": ("cost",),
}


def costs(report: Report) -> list[Block]:
    """The items, what they come to once the prices are confirmed, then the tables with their sums; the unit prices stand among the decisions."""
    stage = stage_named("economics")
    bid = summed_table(
        outcomes()["bid_items"], report.table("economics", "bid_items"), report.system, ("amount",), size=TINY
    )
    if not report.money:
        return [
            Heading(stage.title),
            Text(stage.question, "question"),
            *(Text(note) for note in report.notes("economics")),
            frame_table(outcomes()["bid_items"], report.table("economics", "bid_items"), report.system, size=TINY),
        ]
    sums = [
        summed_table(outcomes()[name], report.by_section("economics", name), report.system, columns)
        for name, columns in SUMMED.items()
    ]
    each = report.table("economics", "repair_costs")
    return [
        Heading(stage.title),
        Text(stage.question, "question"),
        *(Text(note) for note in report.notes("economics")),
        Text("Unit prices are decisions and stand among them. Quantities are those of the chapters before."),
        Text(f"Money is in {literal(report.money, 60)}."),
        bid,
        *sums,
        summed_table(outcomes()["repair_costs"], each, report.system, ("cost",), size=TINY),
    ]


CHAPTERS = (Chapter(lambda: place_of("economics"), costs, "economics"),)
