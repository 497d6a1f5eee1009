"""What stands against the answer: open points, and what it assumes that nobody measured, with the effect of each."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

import numpy as np

from slabwright.design.ways import FLUSH
from slabwright.records.fits import OUTSIDE
from slabwright.report.blocks import Block, Heading, Items
from slabwright.report.given import Report
from slabwright.report.text import listed, literal, plural

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["all_points", "assumed", "later_points", "open_points"]

MOST_POINTS = 12
MOST_ASSUMED = 3
MOST_NAMED = 12  # sections named in one sentence
Line = tuple[str, str]


def open_points(report: Report) -> list[Block]:
    """What is assumed by name and what is left open, what holds verdicts up first; then what is wrong with the answer."""
    items = all_points(report)
    if not items:
        return []
    shown = items[:MOST_POINTS]
    if more := len(items) - len(shown):
        shown.append(("", f"{plural(more, 'more open point')}: see the end of this report."))
    return [Heading("Open points", 2), Items(tuple(shown), small=True)]


def later_points(report: Report) -> list[Block]:
    """The open points for which page one has no room; nothing where it has."""
    items = all_points(report)[MOST_POINTS:]
    return [Heading("Open points beyond those of page one", 2), Items(tuple(items), small=True)] if items else []


def all_points(report: Report) -> list[Line]:
    """Every open point in that order."""
    thicknesses = report.by_section("design", "thicknesses")
    return [
        *_by_name(report),
        *_to_settle(report),
        *_not_settled(report),
        *_cautions(report),
        *_watch(report, thicknesses),
    ]


def _to_settle(report: Report) -> Iterator[Line]:
    for point in report.table("evaluation", "open_points").itertuples(index=False):
        yield f"{literal(point.about, 120)}:", f"{report.said(point.point)}. {literal(report.plain(point.settle), 160)}"


def _not_settled(report: Report) -> Iterator[Line]:
    """What the plan cannot tell yet: what is built in refused sections, and shoulders and ramps of no known size."""
    ways = report.by_section("design", "refused_ways")
    decided = set(ways.loc[ways["chosen"] == "yes", "section"])
    if waiting := [s for s in dict.fromkeys(ways["section"]) if s not in decided]:
        yield f"{_named(waiting)}:", "what is built there is not decided, and not among the items."
    built = ways[ways["chosen"] == "yes"]
    for note, here in built[built["note"] == FLUSH].groupby("note", sort=False):
        yield f"{_named(here['section'])}:", f"built {literal(note)}."
    for s in built[built["fits"] == "no"].itertuples(index=False):
        room = report.value(s.room, "thickness")
        yield (
            f"{literal(s.section)}:",
            f"{s.way} raises the grade by {report.value(s.raised, 'thickness')}, and a bridge over it leaves {room}.",
        )
    sides = report.table("design", "side_areas")
    unknown = sides[sides["note"].str.contains("not known", regex=False)]
    if len(unknown):
        places = listed(dict.fromkeys(literal(place, 60) for place in unknown["place"]))
        yield f"{places[:1].upper()}{places[1:]}:", "size or kind not known, so that no quantity of theirs is known."


def _cautions(report: Report) -> Iterator[Line]:
    """Cautions of sections that get an overlay; those of refused ones stand on their own page."""
    verdicts = report.by_section("evaluation", "verdicts")
    built = set(report.table("design", "overlay_quantities")["section"])
    here = verdicts[(verdicts["cautions"] != "") & verdicts["section"].isin(built)]
    for words, sections in here.groupby(here["cautions"].map(report.said), sort=False):
        yield (
            f"{_named(sections['section'])}:",
            f"{str(words)[:1].lower()}{str(words)[1:]}; a caution: no repair that is marked mends it.",
        )


def _watch(report: Report, thicknesses: pd.DataFrame) -> Iterator[Line]:
    """Failed checks, short lives, suspicious data."""
    designed = thicknesses[thicknesses["overlay"] > 0]
    for s in designed[designed["note"] != ""].itertuples(index=False):
        yield f"{literal(s.section)}:", literal(s.note) + "."
    for s in designed[designed["years"] < report.decisions.traffic.design_period - 0.05].itertuples(index=False):
        yield f"{literal(s.section)}:", f"lasts {report.value(s.years, 'years')}, short of the design period."
    for b in report.table("design", "clearances").query("passes == 'no'").itertuples(index=False):
        yield f"{literal(b.bridge, 60)}:", report.said(b.remedy) + "."
    for b in report.table("design", "bond").query("passes == 'no'").itertuples(index=False):
        yield f"{literal(b.section)}:", "bond demand from wheels is too near the bond strength."
    yield from _reflected(report)
    yield from _beyond(report)
    if warnings := sum(f.rows for f in report.findings if f.action == "accepted"):
        yield "Data:", f"{plural(warnings, 'warning')} accepted as measured; see the appendix on data."


def _reflected(report: Report) -> Iterator[Line]:
    """Cracks that stay in the slabs of sections that get an overlay."""
    found = report.table("repair", "reflected_cracks")
    built = set(report.table("design", "overlay_quantities")["section"])
    kept = found[found["section"].isin(built) & (found["left"] > 0)]
    if kept.empty:
        return
    most = kept.loc[kept["share"].fillna(0).idxmax()]
    yield (
        "Cracks left by the repairs:",
        f"{plural(int(kept['left'].sum()), 'slab')} keep a crack that works and will come through the overlay; most in"
        f" {literal(most['section'])}, lane {literal(most['lane'])}: {report.value(float(most['share']), 'share')} of its slabs.{_at_the_end(report)}",
    )


def _at_the_end(report: Report) -> str:
    """The section with most slabs cracked at the end of its life, with those that the repairs left; where life is computed."""
    if "life" not in report.stages:
        return ""
    found = report.table("life", "fatigue_thickness").dropna(subset=["all_cracked"])
    if found.empty:
        return ""
    most = found.loc[found["all_cracked"].idxmax()]
    return (
        f" At the end of life {report.value(float(most['all_cracked']), 'share')} of all slabs in {literal(most['section'])} are"
        f" cracked: the level of {report.value(float(most['level']), 'share')} counts those that were sound."
    )


def _beyond(report: Report) -> Iterator[Line]:
    """Laws used beyond what they were fitted to, by quantity."""
    for stage, table in (("design", "design_fits"), ("life", "fatigue_fits")):
        if stage not in report.stages:
            continue
        frame = report.by_section(stage, table)
        for (law, quantity), here in frame[frame["inside"] == OUTSIDE].groupby(["law", "quantity"], sort=False):
            values = listed(sorted({report.said(v) for v in here["value"]}))
            first = here.iloc[0]
            yield (
                f"{str(law)[:1].upper()}{str(law)[1:]}:",
                f"used beyond its data in {_named(here['section'])}: {quantity}: {values}, against"
                f" {' to '.join(filter(None, (report.said(first['low']), report.said(first['high']))))}.",
            )


def assumed(report: Report) -> list[Block]:
    """What the answer assumes and nobody measured: the decision that sets it, and what the thickness would be without it."""
    lines = [*_with_effect(report)]
    if not lines:
        return []
    shown = lines[:MOST_ASSUMED]
    if more := len(lines) - len(shown):
        shown.append((
            "",
            f"{plural(more, 'more assumption')}: the whole list, with the range of each, stands at the end.",
        ))
    return [Heading("Assumed, not measured", 2), Items(tuple(shown), small=True)]


def _by_name(report: Report) -> Iterator[Line]:
    table = report.by_section("evaluation", "assumptions")
    for (quantity, decision, without), here in table[table["without"] != ""].groupby(
        ["quantity", "decision", "without"], sort=False
    ):
        words = f"assumed in {_named(here['section'])} by {report.plain(decision)}, {report.said(here['why'].iloc[0])}"
        yield f"{quantity}:", f"{words}; without it: {report.plain(without)}."


def _with_effect(report: Report) -> Iterator[Line]:
    """By quantity, the greatest effect first, told of the section where it is greatest."""
    effects = report.table("design", "assumption_effects")
    entered = dict(report.table("evaluation", "assumptions")[["quantity", "enters"]].itertuples(index=False))
    keys = ["quantity", "decision"]
    worst = effects.groupby(keys)["swing"].max().sort_values(ascending=False, na_position="first")
    for quantity, decision in worst.index:
        here = effects[(effects["quantity"] == quantity) & (effects["decision"] == decision)]
        most = here.iloc[int(np.nanargmax(here["swing"].fillna(np.inf)))]
        kind = "thickness" if entered.get(quantity) == "thickness" else "number"
        values = listed(sorted({report.value(float(v), kind) for v in here["value"]}))
        ends = [report.value(float(most[c]), kind) for c in ("low", "high")]
        needs = [_overlay(report, float(most[c])) for c in ("needed", "at_low", "at_high")]
        where = plural(here["section"].nunique(), "section")
        yield (
            f"{quantity} {values}:",
            f"{report.plain(decision) or 'no decision sets it'}, {where}. Most in {literal(most['section'])}: the overlay needs {needs[0]};"
            f" at {ends[0]} it needs {needs[1]}, at {ends[1]} {needs[2]}.",
        )


def _overlay(report: Report, thickness: float) -> str:
    return report.value(thickness, "thickness") if np.isfinite(thickness) else "more than the equation answers"


def _named(sections: Iterable[str]) -> str:
    names = [literal(name) for name in sections]
    rest = len(names) - MOST_NAMED
    return listed(names) if rest <= 0 else f"{', '.join(names[:MOST_NAMED])} and {plural(rest, 'more section')}"
