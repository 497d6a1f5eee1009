"""Traffic, repairs and overlay: what will load the road, what is mended first, and what is laid on it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from slabwright.design.run import stationing_of
from slabwright.design.thickness import built_step, least_built
from slabwright.report.blocks import (
    TINY,
    Block,
    Figure,
    Heading,
    Text,
    frame_table,
    frame_tables,
    rows_table,
    summed_table,
)
from slabwright.report.chapters import Chapter, place_of
from slabwright.report.figures import sections_in_pages
from slabwright.report.given import Report
from slabwright.report.text import listed, literal
from slabwright.stages import outcomes
from slabwright.terms import LONGEST_LIFE
from slabwright.units import format_quantity, label, unit_of

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["CHAPTERS", "designed_sections", "overlay", "repairs", "traffic", "worst_sections", "years_shown"]

BOND_COLUMNS = ("section", "overlay", "spread", "shear", "strength", "factor", "passes")  # the rest is in the workings
AXLES = {"us": "18-kip", "metric": "80-kN"}
STEP = 5  # years between the rows of the traffic table


def designed_sections(report: Report) -> list[str]:
    """Sections for which an overlay is designed and its curves exist, in the order of the road."""
    lives = report.by_section("design", "lives")
    return [str(name) for name in dict.fromkeys(lives["section"])]


def worst_sections(report: Report) -> list[str]:
    """In each direction the designed section that needs the thickest overlay."""
    frame = report.by_section("design", "thicknesses")
    here = frame[frame["section"].isin(report.table("design", "sensitivities")["section"])].dropna(subset=["bonded"])
    return [str(part.loc[part["bonded"].idxmax(), "section"]) for _, part in here.groupby("direction", sort=False)]


def years_shown(report: Report, step: int) -> pd.DataFrame:
    """The rows of the traffic table that are printed: every ``step`` years, the first, and both ends of the design period."""
    frame = report.table("evaluation", "traffic")
    year, base = frame["year"].astype(float), report.decisions.traffic.base_year
    end = base + report.decisions.traffic.design_period - 1
    keep = ((year - base) % step == 0) | year.isin([year.min(), base - 1, end])
    return frame[keep & (year <= end)]


def traffic(report: Report) -> list[Block]:
    """Loading of the past and of the years to come."""
    frame = report.table("evaluation", "traffic")
    blocks: list[Block] = [Heading("Traffic")]
    if frame.empty:
        return [*blocks, Text("No traffic was computed.")]
    return [
        *blocks,
        *(Text(note) for note in report.notes("evaluation") if "equivalent axles" in note),
        Figure(
            "traffic",
            f"Left: equivalent {AXLES[report.system]} single axles in each year. Right: accumulated since construction.",
            "Equivalent axles by year and accumulated.",
        ),
        frame_table(
            outcomes()["traffic"], years_shown(report, STEP), report.system, title=f"Loading, every {STEP} years"
        ),
    ]


def repairs(report: Report) -> list[Block]:
    """Quantities by kind and section, what the old slab is worth afterwards, then every repair."""
    found, quantities = report.table("repair", "repairs"), report.by_section("repair", "repair_quantities")
    notes = [Text(note) for note in report.notes("repair")]
    through = frame_table(
        outcomes()["reflected_cracks"], report.by_section("repair", "reflected_cracks"), report.system
    )
    if found.empty:
        return [
            Heading("Repairs before the overlay"),
            Text("No repair is needed in a section that takes an overlay."),
            *notes,
            through,
        ]
    return [
        Heading("Repairs before the overlay"),
        *notes,
        through,
        frame_table(outcomes()["repair_quantities"], quantities, report.system, title="Quantities"),
        Heading("The old slab after repair", 2),
        *frame_tables(outcomes()["after_repair"], report.table("repair", "after_repair"), report.system, title=""),
        Heading("Every repair", 2),
        frame_table(outcomes()["repairs"], found, report.system, title="In the order of lanes and stations", size=TINY),
    ]


def overlay(report: Report) -> list[Block]:
    """Thickness, life, deflection, sensitivity, steel and joints, bond, clearances, specification, quantities."""
    shown = report.system
    tables = {n: report.by_section("design", n) for n in ("thicknesses", "steel")}
    tables |= {n: report.table("design", n) for n in ("clearances", "structures", "specifications")}
    tables["assumption_effects"] = report.by_section("design", "assumption_effects")
    designed = designed_sections(report)
    step = built_step(report.decisions.design.round_to, stationing_of(report.road))
    blocks: list[Block] = [
        Heading("Overlay"),
        Text(
            f"Thickness is what the future traffic requires of a slab, less what the old slab is worth by"
            f" {report.decisions.design.effective_by}, rounded up to {report.value(step, 'thickness')}"
            f" and not under {report.value(least_built(report.decisions.design.thinnest, step), 'thickness')}. Years are shown up to {LONGEST_LIFE:.0f}."
        ),
        *frame_tables(outcomes()["thicknesses"], tables["thicknesses"], shown, title="Thickness"),
        *(
            block
            for name in ("stretches", "refused_ways", "tapers", "side_areas")
            for block in frame_tables(outcomes()[name], _in_order(report, name), shown)
        ),
        *_curves(report, designed),
        Heading("Steel and joints", 2),
        *frame_tables(outcomes()["steel"], tables["steel"], shown, title=""),
        Heading("Bond", 2),
        *_bond(report),
        Heading("Clearances and grade raise", 2),
        frame_table(outcomes()["clearances"], tables["clearances"], shown, title=""),
        Heading("Decks that carry the road", 2),
        *frame_tables(outcomes()["structures"], tables["structures"], shown, title=""),
        Heading("What the assumptions do to the thickness", 2),
        frame_table(outcomes()["assumption_effects"], tables["assumption_effects"], shown, title="", size=TINY),
        Heading("What the laws were fitted to", 2),
        frame_table(outcomes()["design_fits"], report.by_section("design", "design_fits"), shown, title="", size=TINY),
        Heading("Specification values", 2),
        frame_table(outcomes()["specifications"], tables["specifications"], shown, title=""),
        Heading("Quantities", 2),
        summed_table(
            outcomes()["overlay_quantities"],
            report.by_section("design", "overlay_quantities"),
            shown,
            ("area", "volume"),
            title="",
        ),
        frame_table(outcomes()["lane_quantities"], report.table("design", "lane_quantities"), shown, size=TINY),
        *_comparison(report),
    ]
    return blocks


def _in_order(report: Report, name: str) -> pd.DataFrame:
    """A table of the design, by section where its rows are of sections."""
    frame = report.table("design", name)
    return report.by_section("design", name) if "section" in frame else frame


def _curves(report: Report, designed: list[str]) -> list[Block]:
    if not designed:
        return [Text("No overlay is designed, so there are no curves of life, deflection or sensitivity.")]
    pages = range(len(sections_in_pages(designed)))
    worst = worst_sections(report)
    return [
        Heading("Life against thickness", 2),
        *(
            Figure(
                f"lives_{i}",
                "Years to terminal serviceability. Vertical line: the overlay chosen; dashed line: the design period.",
                "Curves of life against overlay thickness at several reliabilities.",
            )
            for i in pages
        ),
        Heading("Deflection reduction against thickness", 2),
        *(
            Figure(
                f"falls_{i}",
                "Predicted deflection reduction at the standard load. Grey band: 30 to 50 %, reported by practice"
                " (common practice, no source). Vertical line: the overlay chosen.",
                "Curves of the deflection reduction against overlay thickness.",
            )
            for i in pages
        ),
        Heading("What the thickness depends on", 2),
        *(
            [
                Figure(
                    "tornado",
                    f"One input at a time between the two values given, for {listed(map(literal, worst))}, which need the"
                    " thickest overlay in their direction.",
                    "Bars of the change of thickness with each input.",
                )
            ]
            if worst
            else []
        ),
        _swings(report),
    ]


def _swings(report: Report) -> Block:
    """The swing of every input in every designed section."""
    frame = report.by_section("design", "sensitivities")
    if frame.empty:
        return Text("No sensitivities were computed.")
    wide = frame.pivot_table(index="section", columns="input", values="swing", sort=False, dropna=False)
    rows = [
        [literal(name), *(format_quantity(v, "thickness", report.system, unit=False) for v in row)]
        for name, row in zip(wide.index, wide.to_numpy(), strict=True)
    ]
    title = f"Difference of the overlay required between both values [{label(unit_of('thickness', report.system))}]"
    return rows_table(
        title, ["section", *map(str, wide.columns)], rows, report.system, right=range(1, len(wide.columns) + 1)
    )


def _bond(report: Report) -> list[Block]:
    frame = report.by_section("design", "bond")
    if frame.empty:
        return [Text("No overlay is designed, so no bond is loaded.")]
    load = report.value(report.decisions.design.wheel_load, "force")
    return [
        Text(
            f"Interface shear from a wheel of {load} against the bond strength specified. Curling, shrinkage and edges ask"
            " for more and are not in this table."
        ),
        frame_table(outcomes()["bond"], frame, report.system, title="", columns=BOND_COLUMNS),
    ]


def _comparison(report: Report) -> list[Block]:
    """Alternatives side by side; rows as ``workflow.summary_rows`` gives them with ``alternative`` beside."""
    if not report.comparison:
        return []
    columns = (
        ("bonded", "thickness"),
        ("overlay", "thickness"),
        ("years", "years"),
        ("years_gained", "years"),
        ("reduction", "share"),
        ("cost", "money"),
    )
    rows = [
        [
            literal(r.get("alternative", ""), 40),
            literal(r["section"]),
            report.station(r["begin"]),
            report.station(r["end"]),
            r["verdict"],
            *(format_quantity(float(r[name]), kind, report.system) for name, kind in columns),
        ]
        for r in report.comparison
    ]
    headings = (
        "alternative",
        "section",
        "from station",
        "to station",
        "verdict",
        "required",
        "overlay",
        "life",
        "gained",
        "deflection falls",
        "cost",
    )
    return [Heading("Alternatives side by side", 2), rows_table("", headings, rows, report.system, right=range(5, 11))]


CHAPTERS = (
    Chapter(lambda: place_of("evaluation"), traffic, "evaluation"),
    Chapter(lambda: place_of("repair"), repairs, "repair"),
    Chapter(lambda: place_of("design"), overlay, "design"),
)
