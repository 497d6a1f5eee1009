"""Page one: the question, the answer, what was refused and why, what stands open, and who must judge it."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING

from slabwright.calculation import UNCONFIRMED
from slabwright.economics.items import NO_PRICE
from slabwright.evaluation.reasons import BLOCKING
from slabwright.figures.methods import DISAGREE, NO_PROMISE, methods
from slabwright.records.words import FAILS, NOT_EXAMINED, NOT_JUDGED, NOT_SUITED
from slabwright.report.blocks import Block, Box, Heading, Items, Table, Text, rows_table
from slabwright.report.chapters import Chapter
from slabwright.report.given import Report
from slabwright.report.pages_methods import against, method_blocks
from slabwright.report.pages_open import assumed, open_points
from slabwright.report.pages_section import anchor
from slabwright.report.text import listed, literal, plural

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["CHAPTERS", "answer"]

REFUSING = (NOT_SUITED, NOT_JUDGED)
GOVERNS = (
    (
        "",
        "This report assists a licensed engineer and replaces none: local codes, the agency's standards and that engineer's"
        " judgement govern. What lies between the tests is not in it. Values 'from memory' were not checked against the document"
        " named.",
    ),
)
MOST_REFUSALS = 6
DECIDING = ("evaluation", "repair", "design", "bond", "life")


def answer(report: Report) -> list[Block]:
    """The first page."""
    thicknesses = report.by_section("design", "thicknesses")
    return [
        Heading(literal(report.road_name, 120)),
        Text(_question(report), "question"),
        *(Text(sentence, "lead") for sentence in (*_answer(report, thicknesses), *against(report))),
        _summary(report, thicknesses),
        *method_blocks(report),
        Box("Before anyone builds from this", GOVERNS),
        *open_points(report),
        *_refusals(report),
        *assumed(report),
        *_unconfirmed(report),
    ]


def _unconfirmed(report: Report) -> list[Block]:
    """Equations behind the thickness that nothing confirms; all of them by name, for each is to be looked up."""
    behind = (c for stage in DECIDING if stage in report.stages for c in report.calculations_behind(stage))
    titles = {
        re.split(r"[.;:] ", c.title)[0] for c in behind if c.known == UNCONFIRMED
    }  # without the rest of the sentence
    if not titles:
        return []
    words = "; ".join(sorted(literal(t[:1].lower() + t[1:]) for t in titles))
    lead = (
        "Nothing among the checks confirms these equations behind the thickness; look them up in the documents named:"
    )
    return [Heading("Unconfirmed, from memory", 2), Items(((lead, f"{words}."),), small=True)]


def _question(report: Report) -> str:
    sections, choice = report.table("survey", "sections"), report.decisions
    begin, end = report.station(sections["begin"].min()), report.station(sections["end"].max())
    return (
        f"Can the old slab from station {begin} to {end} be carried on with a thin bonded concrete overlay, and how thick"
        f" must it be to serve {choice.traffic.design_period:g} years from"
        f" {choice.traffic.base_year:.0f} at {choice.design.reliability:.0%} reliability?"
    )


def _answer(report: Report, thicknesses: pd.DataFrame) -> list[str]:
    designed = thicknesses[thicknesses["overlay"] > 0]
    if designed.empty:
        if (~thicknesses["verdict"].isin(REFUSING)).any():
            return [_none_found(thicknesses[~thicknesses["verdict"].isin(REFUSING)])]
        if (thicknesses["verdict"] == NOT_JUDGED).any():
            return ["Not yet. No section is found to suit a bonded overlay; what was not examined is named below."]
        return ["No. No section of this road suits a bonded overlay; the reasons are below."]
    count = plural(len(thicknesses), "section")
    apart = any(m.agree in (DISAGREE, NO_PROMISE) for m in methods(report.results, report.decisions))
    head = _head(
        designed,
        len(thicknesses),
        count,
        report.decisions.traffic.design_period,
        report.decisions.design.thickest,
        apart=apart,
    )
    sums = report.table("design", "overlay_quantities")[["area", "volume"]].sum()
    sentences = [f"{head}. {' '.join(_direction(report, d, thicknesses) for d in report.directions)}"]
    sentences.append(
        f"That is {report.value(sums['area'], 'paved_area')} of overlay and {report.value(sums['volume'], 'volume')} of concrete."
        f" {_bid(report)}"
    )
    rests = report.table("evaluation", "assumptions").query("without == @NOT_JUDGED")["section"]
    if resting := sorted(set(rests) & set(designed["section"])):
        sentences.append(
            f"In {plural(len(resting), 'section')} this rests on what was assumed and not examined, named below; without it"
            f" {'they are' if len(resting) > 1 else 'it is'} not judged."
        )
    return sentences


def _bid(report: Report) -> str:
    """What the items come to, in which money; nothing of it before the engineer stands by the prices."""
    if not report.money:
        return "No sum of money is told: the unit prices are placeholders until the engineer confirms them."
    items = report.table("economics", "bid_items")
    lacking = int((items["amount"].isna() & ((items["priced_by"] != "") | (items["price"] == NO_PRICE))).sum())
    beside = (
        f"; {plural(lacking, 'item')} without a price or a quantity {'is' if lacking == 1 else 'are'} not in it"
        if lacking
        else ""
    )
    return f"The items of the bid come to {report.value(items['amount'].sum(), 'money')} ({literal(report.money, 60)}){beside}."


def _none_found(suited: pd.DataFrame) -> str:
    """Sections that suit an overlay, none of which has one."""
    count = plural(len(suited), "section")
    if (suited["future_axles"] == 0).all():
        return (
            f"No overlay is found needed: no truck is counted in the design lane, so nothing asks for a thickness. By what was"
            f" examined {count} would suit one; look at the traffic counts and the share of trucks."
        )
    reasons = listed(dict.fromkeys(literal(note) for note in suited["note"] if note))
    return f"No overlay is found, though {count} {'suit' if len(suited) > 1 else 'suits'} one: {reasons}."


def _head(designed: pd.DataFrame, sections: int, count: str, period: float, thickest: float, *, apart: bool) -> str:
    """Yes where the overlay reaches the design period; what takes one and lasts less is told beside it.

    ``apart``: the methods disagree, or one promises nothing, so that it is the yes of one of them whatever is built on.
    """
    reach = int((designed["years"] >= period - 0.05).sum())
    less = len(designed) - reach
    if not reach:
        return f"Not for {period:g} years: {less} of {count} take an overlay that lasts less by AASHTO 1993"
    yes = "Yes by AASHTO 1993, while the methods do not agree" if apart else "Yes"
    head = f"{yes}: everywhere" if reach == sections else f"{yes}: in {reach} of {count}"
    head = f"{head}; {less} more take one that lasts less than {period:g} years" if less else head
    thick = int((designed["overlay"] > thickest + 1e-6).sum())
    return f"{head}; {thick} of these thicker than a bonded overlay is considered for" if thick else head


def _direction(report: Report, direction: str, thicknesses: pd.DataFrame) -> str:
    here = thicknesses[thicknesses["direction"] == direction]
    designed, refused = here[here["overlay"] > 0], here[~(here["overlay"] > 0)]
    where = literal(direction).capitalize() if direction else "In the direction surveyed"
    if designed.empty:
        return f"{where}, no section takes one."
    words = f"{where}, {listed(map(literal, designed['section']))} {'take' if len(designed) > 1 else 'takes'} {_range(report, designed, 'overlay', 'thickness')}"
    words += (
        f" and last {_range(report, designed, 'years', 'years')} by AASHTO 1993"
        if len(designed) > 1
        else f" and lasts {_range(report, designed, 'years', 'years')} by AASHTO 1993"
    )
    words += f"; deflection falls by {_range(report, designed, 'reduction', 'share')}"
    if len(refused):
        words += f"; {listed(map(literal, refused['section']))} {'do' if len(refused) > 1 else 'does'} not"
    return words + "."


def _range(report: Report, frame: pd.DataFrame, column: str, kind: str) -> str:
    low, high = (float(v) for v in (frame[column].min(), frame[column].max()))
    least, most = report.bare(low, kind), report.value(high, kind)
    return most if least == report.bare(high, kind) else f"{least} to {most}"


def _summary(report: Report, thicknesses: pd.DataFrame) -> Table:
    costs = report.table("economics", "section_costs").set_index("section")["cost"]
    headings = [
        "section",
        "direction",
        "from station",
        "to station",
        "verdict",
        report.in_unit("required", "thickness"),
        report.in_unit("overlay", "thickness"),
        report.in_unit("life", "years"),
        report.in_unit("gained", "years"),
        "deflection falls [%]",
        *([f"cost [{literal(report.decisions.economics.currency, 12)}]"] if report.money else []),
    ]
    rows = []
    for s in thicknesses.itertuples(index=False):
        pairs = (
            (s.bonded, "thickness"),
            (s.overlay, "thickness"),
            (s.years, "years"),
            (s.years_gained, "years"),
            (s.reduction, "share"),
            *([(costs.get(s.section, float("nan")), "money")] if report.money else []),
        )
        numbers = [report.bare(float(v), kind) for v, kind in pairs]
        rows.append([
            literal(s.section),
            _way(s.direction),
            report.station(s.begin),
            report.station(s.end),
            s.verdict,
            *numbers,
        ])
    if report.money:
        rows.append(["all", *[""] * 9, report.bare(float(costs.sum()), "money")])
    strong = [len(rows) - 1] if report.money else []
    made = rows_table(
        "The answer by section", headings, rows, report.system, right=range(5, len(headings)), strong=strong
    )
    return replace(made, links={literal(name): anchor(report, name) for name in thicknesses["section"]})


def _way(direction: str) -> str:
    return {"with stationing": "with", "against stationing": "against"}.get(direction, literal(direction))


def _refusals(report: Report) -> list[Block]:
    """Sections that are refused or not judged, those of one verdict and one reason together."""
    verdicts = report.by_section("evaluation", "verdicts")
    refused = verdicts[verdicts["verdict"].isin(REFUSING)]
    if refused.empty:
        return [Text("Nothing was refused: every section suits a bonded overlay, some after repair.")]
    groups: dict[tuple[str, str], list[str]] = {}
    for s in refused.itertuples(index=False):
        groups.setdefault((s.verdict, _why(report, s)), []).append(literal(s.section))
    items = [(f"{listed(names)}, {verdict}:", why) for (verdict, why), names in groups.items()]
    shown = items[:MOST_REFUSALS]
    if more := sum(len(names) for names in [*groups.values()][MOST_REFUSALS:]):
        shown.append(("", f"{plural(more, 'more section')}: see the page of refused sections."))
    return [Heading("Refused or not judged, and why", 2), Items(tuple(shown), small=True)]


def _why(report: Report, section: object) -> str:
    table = report.table("evaluation", "suitability")
    name, verdict, consider = (getattr(section, a) for a in ("section", "verdict", "consider"))
    here = table[table["section"] == name]
    failed = here[(here["outcome"] == FAILS) & (here["weight"] == verdict)]
    found = [
        f"{_small(r.subject)} {report.said(r.provided)}{f' ({report.said(r.sample)})' if r.sample else ''}"
        f" (limit {report.said(r.required)})"
        for r in failed.itertuples(index=False)
    ]
    gaps = here[(here["outcome"] == NOT_EXAMINED) & (here["assumed_by"] == "") & here["weight"].isin(BLOCKING)]
    if verdict == NOT_JUDGED and len(gaps):
        found.append(f"not examined: {listed(map(_small, gaps['subject']))}")
    return f"{'; '.join(found) or 'see the reasons for and against'}." + (f" Consider {consider}." if consider else "")


def _small(subject: str) -> str:
    words = literal(subject, 80)
    return words[:1].lower() + words[1:]


CHAPTERS = (Chapter(lambda: -4.0, answer, part="report"),)
