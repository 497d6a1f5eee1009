"""Repairs, traffic, bond, fatigue life and cost in summary; every row of them is in the appendix."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from slabwright.economics.items import NOT_KNOWN, measured
from slabwright.figures.loading import accumulated_axles, axles_by_year
from slabwright.report.blocks import TINY, Block, Figure, Heading, Text, rows_table
from slabwright.report.chapters import Chapter, place_of
from slabwright.report.given import Report
from slabwright.report.pages_design import AXLES, years_shown
from slabwright.report.rounding import shown_unit
from slabwright.report.text import literal
from slabwright.stages import stage_named

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["CHAPTERS", "bond", "costs", "life", "repairs", "traffic"]

STEP = 10  # years between the rows of the traffic table


def traffic(report: Report) -> list[Block]:
    """Loading of the past and of the years to come."""
    frame = report.table("evaluation", "traffic")
    blocks: list[Block] = [Heading("Traffic")]
    if frame.empty:
        return [*blocks, Text("No traffic was computed.")]
    rows = [
        (
            f"{float(r.year):.0f}",
            _three(r.daily_traffic),
            _three(r.trucks),
            report.bare(r.axles, "axles"),
            report.bare(r.accumulated, "axles"),
            literal(r.basis),
        )
        for r in years_shown(report, STEP).itertuples(index=False)
    ]
    headings = (
        "year",
        "vehicles a day",
        "trucks a day in the design lane",
        report.in_unit("axles in the year", "axles"),
        report.in_unit("axles so far", "axles"),
        "basis",
    )
    return [
        *blocks,
        Figure(
            "traffic_report",
            f"Left: equivalent {AXLES[report.system]} single axles in each year. Right: accumulated since construction.",
            "Equivalent axles by year and accumulated.",
        ),
        *(Text(note) for note in report.notes("evaluation") if "equivalent axles" in note),
        rows_table(f"Loading of the design lane, every {STEP} years", headings, rows, report.system, right=range(5)),
    ]


def _three(number: float) -> str:
    """A count forecast, to three figures."""
    return f"{float(f'{number:.3g}'):,.0f}"


def _traffic_drawing(report: Report) -> dict[str, Callable[[], str]]:
    from slabwright.report import paint  # heavy, so only when something is painted

    def made() -> str:
        figures = [f(report.results, report.decisions) for f in (axles_by_year, accumulated_axles)]
        return paint.beside(figures, report.system, 2.1)

    return {"traffic_report": made}


def repairs(report: Report) -> list[Block]:
    """How many of each kind in each section, what they measure and what they cost in all."""
    quantities = report.by_section("repair", "repair_quantities")
    if quantities.empty:
        return [
            Heading("Repairs before the overlay"),
            Text("No repair is needed in a section that takes an overlay."),
        ]
    kinds = list(dict.fromkeys(quantities["kind"]))
    numbers = quantities.pivot_table(index="section", columns="kind", values="number", sort=False, fill_value=0)
    rows = [[literal(s), *(f"{numbers.loc[s, k]:,.0f}" for k in kinds)] for s in dict.fromkeys(quantities["section"])]
    rows.append(["all", *(f"{numbers[k].sum():,.0f}" for k in kinds)])
    prices = report.table("economics", "repair_kind_costs").groupby("kind")["cost"].sum()
    sums = quantities.groupby("kind", sort=False)[["number", "length", "area"]].sum()
    measured = [
        (
            kind,
            f"{r.number:,.0f}",
            report.bare(r.length, "length") if r.length else "–",
            report.bare(r.area, "area") if r.area else "–",
            *([report.bare(float(prices.get(kind, float("nan"))), "money")] if report.money else []),
        )
        for kind, r in sums.iterrows()
    ]
    headings = (
        "kind",
        "number",
        report.in_unit("length", "length"),
        report.in_unit("area", "area"),
        *(["cost"] if report.money else []),
    )
    return [
        Heading("Repairs before the overlay"),
        *(Text(note) for note in report.notes("repair") if "slabs of lane" not in note),
        rows_table(
            "Number by section",
            ["section", *kinds],
            rows,
            report.system,
            right=range(1, len(kinds) + 1),
            strong=[len(rows) - 1],
        ),
        rows_table("What they measure", headings, measured, report.system, right=range(1, len(headings))),
        Text("Each repair with its place stands in the appendix and in the workbook.", "fine"),
    ]


def bond(report: Report) -> list[Block]:
    """The verdict of each section."""
    frame = report.by_section("bond", "bond_verdicts")
    rows = [
        (
            literal(r.section),
            report.bare(r.overlay, "thickness"),
            r.place,
            r.cause,
            report.bare(r.factor, "number"),
            report.bare(r.least_factor, "number"),
            report.bare(r.energy, "energy_release"),
            report.bare(r.fracture_energy, "energy_release"),
            r.passes,
        )
        for r in frame.itertuples(index=False)
    ]
    headings = (
        "section",
        report.in_unit("overlay", "thickness"),
        "worst place",
        "cause",
        "factor",
        "required",
        report.in_unit("energy released", "energy_release"),
        report.in_unit("borne", "energy_release"),
        "holds",
    )
    return [
        Heading(stage_named("bond").title),
        rows_table("", headings, rows, report.system, right=(1, 4, 5, 6, 7)),
        *(Text(note, "fine") for note in report.notes("bond")),
    ]


def life(report: Report) -> list[Block]:
    """Thickness and life of each section by the mechanistic analysis."""
    frame = report.by_section("life", "fatigue_thickness")
    kinds = {
        "found": "thickness",
        "aashto": "thickness",
        "overlay": "thickness",
        "overlay_years": "years",
        "overlay_curve_years": "years",
        "median_years": "years",
    }
    rows = [
        [literal(r["section"]), *(report.bare(float(r[c]), k) for c, k in kinds.items()), r["promised"]]
        for _, r in frame.iterrows()
    ]
    headings = (
        "section",
        report.in_unit("required", "thickness"),
        report.in_unit("AASHTO 1993", "thickness"),
        report.in_unit("overlay", "thickness"),
        report.in_unit("its life", "years"),
        report.in_unit("by the curve's error", "years"),
        report.in_unit("at the median", "years"),
        "promised",
    )
    return [
        Heading(stage_named("life").title),
        rows_table("", headings, rows, report.system, right=range(1, 7)),
        *(Text(note, "fine") for note in report.notes("life")),
    ]


def costs(report: Report) -> list[Block]:
    """The items of the bid, lanes together, and where the prices are confirmed what each comes to."""
    frame = report.table("economics", "bid_items")
    rows = [_item(report, part) for _, part in frame.groupby(["direction", "item", "price", "note"], sort=False)]
    if report.money:
        rows.append(["all", "", "", "", "", report.bare(float(frame["amount"].sum()), "money"), ""])
    headings = ("direction", "item", "unit", "quantity", "unit price", "amount", "remark")
    title = f"Bid items, lanes together ({literal(report.money, 60) or 'prices not confirmed'})"
    return [
        Heading(stage_named("economics").title),
        *(Text(note) for note in report.notes("economics")),
        rows_table(
            title,
            headings,
            rows,
            report.system,
            right=(3, 4, 5),
            strong=[len(rows) - 1] if report.money else [],
            size=TINY,
        ),
        Text("By lane they stand in the appendix and in the workbook. Sums are rounded after adding.", "fine"),
    ]


def _item(report: Report, part: pd.DataFrame) -> list[str]:
    """One item of a direction over its lanes."""
    kinds = [measured(q) for q in part["quantity"]]
    kind, whole = kinds[0][0], sum(value for _, value in kinds)
    first = part.iloc[0]
    unit = shown_unit(kind, report.system) if kind else ""
    return [
        literal(
            {"with stationing": "with", "against stationing": "against"}.get(first["direction"], first["direction"])
        ),
        literal(first["item"], 80),
        unit or ("each" if kind else ""),
        report.bare(whole, kind) if kind else NOT_KNOWN,
        report.said(first["price"]).partition(" per ")[0],
        report.bare(float(part["amount"].sum()), "money") if part["amount"].notna().any() else "–",
        literal(first["note"], 90),
    ]


CHAPTERS = (
    Chapter(lambda: -0.3, repairs, part="report", flows=True),
    Chapter(lambda: -0.2, traffic, drawings=_traffic_drawing, part="report", flows=True),
    Chapter(lambda: place_of("design") + 0.1, bond, "bond", part="report", flows=True),
    Chapter(lambda: place_of("design") + 0.2, life, "life", part="report", flows=True),
    Chapter(lambda: place_of("economics"), costs, "economics", part="report", flows=True),
)
