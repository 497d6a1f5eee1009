"""One page for each section that gets an overlay: its evidence, its design, its reasons and its curves; the refused together."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from slabwright.figures.design import deflection_reductions, lives
from slabwright.figures.mechanistic import fatigue_lives
from slabwright.records.words import HOLDS, NOT_EXAMINED
from slabwright.report.blocks import Block, Figure, Heading, Items, Table, Text, rows_table
from slabwright.report.chapters import Chapter
from slabwright.report.given import Report
from slabwright.report.text import listed, literal, plural

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["CHAPTERS", "anchor", "built_sections", "refused", "section_pages"]

SMALL_ROWS = 7.4  # points
CURVES, FATIGUE = 1.9, 1.5  # inches
# Columns of results beside each other: what they say, and their kind.
EVIDENCE = (
    ("survey", "sections", "tests", "mid-slab tests", "count"),
    ("survey", "sections", "mean_deflection", "mean deflection", "deflection"),
    ("evaluation", "condition", "thickness", "old slab", "thickness"),
    ("evaluation", "condition", "foundation", "static k", "foundation"),
    ("evaluation", "condition", "modulus", "slab modulus E", "modulus"),
    ("evaluation", "condition", "rupture", "modulus of rupture", "stress"),
    ("evaluation", "condition", "transfer", "load transfer", "share"),
    ("evaluation", "condition", "cracking", "slabs cracked", "share"),
    ("evaluation", "condition", "past_axles", "axles so far", "axles"),
    ("evaluation", "condition", "remaining_life", "remaining life", "share"),
)
DESIGN = (
    ("design", "thicknesses", "future_axles", "axles to come", "axles"),
    ("design", "thicknesses", "required_slab", "slab required", "thickness"),
    ("design", "thicknesses", "effective_condition", "old slab is worth, by condition", "thickness"),
    ("design", "thicknesses", "effective_life", "old slab is worth, by remaining life", "thickness"),
    ("design", "thicknesses", "bonded", "overlay required", "thickness"),
    ("design", "thicknesses", "overlay", "overlay chosen", "thickness"),
    ("design", "thicknesses", "years", "life", "years"),
    ("design", "thicknesses", "years_gained", "years gained", "years"),
    ("design", "thicknesses", "reduction", "deflection falls", "share"),
    ("design", "thicknesses", "surplus", "beyond what is required", "thickness"),
)


def built_sections(report: Report) -> list[str]:
    """Sections that get an overlay, in the order of the road."""
    frame = report.by_section("design", "thicknesses")
    return [str(name) for name in frame.loc[frame["overlay"] > 0, "section"]]


def anchor(report: Report, section: str) -> str:
    """The place to which links to a section lead: its own page, or that of the refused."""
    built = built_sections(report)
    return f"section-{built.index(section)}" if section in built else "refused"


def section_pages(report: Report) -> list[Block]:
    """The pages of all sections with an overlay; each begins a page of its own."""
    return [block for name in built_sections(report) for block in _page(report, name)]


def _page(report: Report, name: str) -> list[Block]:
    row, number = _row(report, "design", "thicknesses", name), built_sections(report).index(name)
    length = report.value(float(row["end"] - row["begin"]), "length")
    way = f", {literal(row['direction'])}" if row["direction"] else ""
    return [
        Heading(f"Section {literal(name)}", anchor=anchor(report, name), page=True),
        Text(
            f"Station {report.station(row['begin'])} to {report.station(row['end'])}{way}, {length};"
            f" {_slab(report, name)}. {str(row['verdict']).capitalize()}:"
            f" {report.value(row['overlay'], 'thickness')} of bonded overlay for"
            f" {report.value(row['years'], 'years')} by AASHTO 1993.",
            "lead",
        ),
        _beside(report, name),
        *_long_stages(report, name),
        *_repairs(report, name),
        _reasons(report, name),
        Figure(
            f"section_{number}",
            "Life and deflection reduction against the overlay's thickness. Upright line: the overlay chosen; dashed line:"
            " the design period; grey band: the reduction reported by practice (common practice, no source).",
            f"Curves of section {literal(name)}: years to the terminal condition at several reliabilities, and the reduction"
            f" of the deflection, against the thickness of the overlay; the overlay chosen is"
            f" {report.value(row['overlay'], 'thickness')}.",
        ),
        *_fatigue(name, number, _lived(report)),
    ]


def _lived(report: Report) -> set[str]:
    return set(report.table("life", "fatigue_thickness")["section"]) if "life" in report.stages else set()


def _fatigue(name: str, number: int, lived: set[str]) -> list[Block]:
    if name not in lived:
        return []
    return [
        Figure(
            f"fatigue_{number}",
            "Years to the cracking level by the mechanistic analysis. Upright line: the thickness found; dashed line: the life"
            " to reach.",
            f"Curves of fatigue life of section {literal(name)} against the overlay's thickness at several reliabilities.",
        )
    ]


def _row(report: Report, stage: str, table: str, name: str) -> pd.Series:
    frame = report.table(stage, table)
    return frame[frame["section"] == name].iloc[0]


def _slab(report: Report, name: str) -> str:
    found = _row(report, "survey", "sections", name)
    return f"{literal(found['pavement']) or 'pavement not given'}; boundary: {literal(found['boundary'])}"


def _beside(report: Report, name: str) -> Table:
    """What was found on the left, what is designed on the right."""
    found, made = (_numbers(report, name, columns) for columns in (EVIDENCE, DESIGN))
    rows = [(*left, *right) for left, right in zip(found, made, strict=True)]
    headings = ("found", "value", "designed", "value")
    return rows_table("Evidence and design", headings, rows, report.system, right=(1, 3), size=SMALL_ROWS)


def _numbers(report: Report, name: str, columns: tuple[tuple[str, str, str, str, str], ...]) -> list[tuple[str, str]]:
    pairs = []
    for stage, table, column, words, kind in columns:
        frame = report.table(stage, table)
        here = frame.loc[frame["section"] == name, column]
        pairs.append((report.in_unit(words, kind), report.bare(float(here.iloc[0]), kind) if len(here) else "–"))
    return pairs


def _long_stages(report: Report, name: str) -> list[Block]:
    """What the plate model says of this section, where it was asked."""
    items = []
    if "life" in report.stages:
        frame = report.table("life", "fatigue_thickness")
        for r in frame[frame["section"] == name].itertuples(index=False):
            promised = (
                ""
                if r.promised == "yes"
                else f" It promises nothing: {literal(report.plain(r.note)) or 'see the appendix'}."
            )
            items.append((
                "Mechanistic analysis:",
                f"overlay required {report.value(r.found, 'thickness')}; life of the overlay chosen"
                f" {report.value(r.overlay_years, 'years')}, by the cracking curve's own error"
                f" {report.value(r.overlay_curve_years, 'years')}.{promised}",
            ))
    if "bond" in report.stages:
        frame = report.table("bond", "bond_verdicts")
        for r in frame[frame["section"] == name].itertuples(index=False):
            words = {"yes": "holds", "no": "fails", "open": "is open"}.get(r.passes, r.passes)
            items.append((
                "Bond:",
                f"{words}; least factor {report.value(r.factor, 'number')} at the {r.place}, by {r.cause}, where"
                f" {report.value(r.least_factor, 'number')} is required.",
            ))
    return [Items(tuple(items), small=True)] if items else []


def _repairs(report: Report, name: str) -> list[Block]:
    frame = report.table("repair", "repair_quantities")
    here = frame[frame["section"] == name]
    said = [f"{r.kind} {r.number:.0f}" for r in here.itertuples(index=False)]
    cracks = report.table("repair", "reflected_cracks")
    left = int(cracks.loc[cracks["section"] == name, "left"].sum())
    words = f"{listed(said)}." if said else "none."
    if left:
        words += f" {plural(left, 'slab')} {'keep' if left > 1 else 'keeps'} a crack that comes through the overlay."
    return [Items((("Repairs first (number):", words),), small=True)]


def _reasons(report: Report, name: str) -> Table:
    """What failing would mean stands only where something fails or was not examined."""
    frame = report.table("evaluation", "suitability")
    rows = []
    for r in frame[frame["section"] == name].itertuples(index=False):
        found = report.said(r.provided) + (f" ({report.said(r.sample)})" if r.sample else "")
        rows.append((
            literal(r.subject, 100),
            found,
            report.said(r.required),
            outcome(r.outcome, r.weight, r.assumed_by),
        ))
    headings = ("reason", "found (sample)", "limit", "outcome")
    return rows_table("Reasons for and against", headings, rows, report.system, size=SMALL_ROWS, whole=True)


def outcome(found: str, weight: str, assumed_by: str) -> str:
    """Of one reason, in words; the weight is a consequence and belongs to what fails."""
    if found == HOLDS:
        return "holds"
    if found == NOT_EXAMINED:
        return "? assumed" if assumed_by else f"? not examined: {weight}"
    return f"✗ {weight}"


def refused(report: Report) -> list[Block]:
    """Sections without an overlay, together: where, why, and what to consider instead."""
    verdicts = report.by_section("evaluation", "verdicts")
    here = verdicts[~verdicts["section"].isin(built_sections(report))]
    if here.empty:
        return []
    rows = [
        (
            literal(s.section),
            literal(s.direction),
            report.station(s.begin),
            report.station(s.end),
            s.verdict,
            _against(report, s.section),
            literal(s.consider) or "–",
        )
        for s in here.itertuples(index=False)
    ]
    headings = ("section", "direction", "from station", "to station", "verdict", "against it", "consider")
    return [
        Heading("Sections without an overlay", anchor="refused"),
        rows_table("", headings, rows, report.system),
        Text(
            f"No overlay is designed in these sections.{_mended(report, here)} Their evidence is in the appendix.",
            "fine",
        ),
    ]


def _mended(report: Report, here: pd.DataFrame) -> str:
    """That repairs are marked where no overlay is designed, which are listed and priced all the same."""
    repairs = report.table("repair", "repairs")
    names = [name for name in here["section"] if (repairs["section"] == name).any()]
    if not names:
        return " Nothing is counted or priced there."
    return f" Repairs are marked in {listed(map(literal, names))}; they are listed and priced all the same."


def _against(report: Report, name: str) -> str:
    frame = report.table("evaluation", "suitability")
    here = frame[(frame["section"] == name) & (frame["outcome"] != HOLDS)]
    said = [
        f"{literal(r.subject, 80)} not examined"
        if r.outcome == NOT_EXAMINED
        else f"{literal(r.subject, 80)} {report.said(r.provided)} (limit {report.said(r.required)}; {r.weight})"
        for r in here.itertuples(index=False)
    ]
    return "; ".join(said) or "–"


def curves(report: Report) -> dict[str, Callable[[], str]]:
    """The curves of each section beside each other."""
    from slabwright.report import paint  # heavy, so only when something is painted

    lived = _lived(report)
    made: dict[str, Callable[[], str]] = {}
    for i, name in enumerate(built_sections(report)):
        figures = [lives(report.results, report.decisions, name), deflection_reductions(report.results, name)]
        made[f"section_{i}"] = partial(paint.beside, figures, report.system, CURVES)
        if name in lived:
            made[f"fatigue_{i}"] = partial(paint.beside, [fatigue_lives(report.results, name)], report.system, FATIGUE)
    return made


CHAPTERS = (
    Chapter(lambda: -0.5, section_pages, drawings=curves, part="report", flows=True),
    Chapter(lambda: -0.4, refused, part="report"),
)
