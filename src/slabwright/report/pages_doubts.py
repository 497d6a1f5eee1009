"""What was not examined, where methods disagree, and at the end every assumption and open point."""

from __future__ import annotations

from slabwright.records.words import NOT_EXAMINED
from slabwright.report.blocks import TINY, Block, Heading, Items, Text, rows_table
from slabwright.report.chapters import AFTER_STAGES, Chapter
from slabwright.report.given import Report
from slabwright.report.pages_open import later_points
from slabwright.report.text import listed, literal

__all__ = ["CHAPTERS", "assumptions", "doubts"]


def doubts(report: Report) -> list[Block]:
    """What nobody examined, and the numbers of each method where there are two."""
    return [
        Heading("What was not examined, and where methods disagree"),
        Heading("Not examined", 2),
        *_not_examined(report),
        Heading("Where methods disagree", 2),
        *_two_ways(report),
        *_boundaries(report),
    ]


def _not_examined(report: Report) -> list[Block]:
    table = report.table("evaluation", "suitability")
    missing = table[table["outcome"] == NOT_EXAMINED]
    items: list[tuple[str, str]] = []
    for subject, here in missing.groupby("subject", sort=False):
        assumed = here["assumed_by"] != ""
        names = listed(map(literal, report.in_order(here["section"])))
        words = (
            "assumed by the engineer's decision" if assumed.all() else f"failing would mean {here['weight'].iloc[0]}"
        )
        items.append((f"{literal(subject, 100)}:", f"not examined in {names}; {words}."))
    items += [
        (f"{literal(point.about, 120)}:", f"{report.said(point.point)}.")
        for point in report.table("evaluation", "open_points").itertuples(index=False)
    ]
    lead = (
        []
        if len(missing)
        else [Text("Everything that the limits for suitability ask for was examined in every section.")]
    )
    between = (
        "Between the tests:",
        "nothing is known of the slab or the foundation where no test, core or survey lies; the appendix lists every test.",
    )
    return [*lead, Items((*items, between), small=True)]


def _two_ways(report: Report) -> list[Block]:
    """Of each designed section the old slab's worth and the moduli by either method."""
    frame = report.by_section("design", "thicknesses")
    moduli = report.table("evaluation", "moduli")
    used = moduli[moduli["excluded"] == ""].groupby("section")
    means = used[["foundation_area", "foundation_fit", "modulus_area", "modulus_fit"]].mean()
    rows = []
    for s in frame.itertuples(index=False):
        if s.section not in means.index:
            continue
        found = means.loc[s.section]
        pairs = [(s.effective_condition, "thickness"), (s.effective_life, "thickness")]
        pairs += [(found[c], "foundation") for c in ("foundation_area", "foundation_fit")]
        pairs += [(found[c], "modulus") for c in ("modulus_area", "modulus_fit")]
        rows.append([literal(s.section), *(report.bare(float(v), kind) for v, kind in pairs)])
    headings = (
        "section",
        report.in_unit("old slab is worth, by condition", "thickness"),
        report.in_unit("by remaining life", "thickness"),
        report.in_unit("dynamic k, basin area", "foundation"),
        report.in_unit("dynamic k, plate fit", "foundation"),
        report.in_unit("E, basin area", "modulus"),
        report.in_unit("E, plate fit", "modulus"),
    )
    choice = report.decisions
    return [
        rows_table("", headings, rows, report.system, right=range(1, 7), whole=True),
        Text(
            f"Built on: the old slab's worth by {choice.design.effective_by}, moduli by {choice.evaluation.moduli_from}"
            " (means of the mid-slab tests used). What each method asks of the overlay and its life stands on page one.",
            "fine",
        ),
    ]


def _boundaries(report: Report) -> list[Block]:
    """How many boundaries each method of sectioning found, and which are used."""
    frame = report.table("survey", "boundaries")
    found = [
        f"by {literal(method)} {len(here)} and {int((here['used'] == 'yes').sum())}"
        for method, here in frame.groupby("method", sort=False)
    ]
    return [Text(f"Boundaries of sections found and used: {'; '.join(found)}.", "fine")] if found else []


def assumptions(report: Report) -> list[Block]:
    """Every assumption with what it does to the thickness, then the open points that do not stand on page one."""
    return [Heading("Assumptions and open points"), *_assumed(report), *later_points(report)]


def _assumed(report: Report) -> list[Block]:
    """Assumptions of one quantity, value and reason together."""
    table = report.by_section("evaluation", "assumptions")
    if table.empty:
        return [Text("Nothing is assumed: every number that enters was measured or decided.")]
    effects = report.table("design", "assumption_effects").groupby("quantity")["swing"].max()
    rows = []
    keys = ["quantity", "value", "low", "high", "why", "decision"]
    for (quantity, value, low, high, why, decision), here in table.groupby(keys, sort=False, dropna=False):
        swing = float(effects.get(quantity, float("nan")))
        rows.append((
            literal(quantity, 80),
            report.bare(float(value), "number"),
            f"{report.bare(float(low), 'number')} to {report.bare(float(high), 'number')}",
            listed(map(literal, here["section"])),
            report.said(why),
            literal(report.plain(str(decision))) or "–",
            report.bare(swing, "thickness"),
        ))
    most = report.in_unit("moves the overlay by at most", "thickness")
    headings = ("assumed", "value", "could be", "sections", "why", "set by", most)
    return [
        Heading("Assumed, not measured", 2, "assumed"),
        rows_table("", headings, rows, report.system, right=(1, 6), size=TINY + 0.6),
    ]


CHAPTERS = (
    Chapter(lambda: -2.0, doubts, part="report", flows=True),
    Chapter(lambda: AFTER_STAGES + 1, assumptions, part="report", flows=True),
)
