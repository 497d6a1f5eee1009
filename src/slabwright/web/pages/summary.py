"""Summary: the answer for the whole road, a row for each section, what to do next."""

from __future__ import annotations

from dataclasses import replace

import pandas as pd
from nicegui import ui

from slabwright import units
from slabwright.economics.run import three_figures
from slabwright.figures.methods import methods
from slabwright.records.display import is_longest, life_words
from slabwright.records.results import StageResult
from slabwright.records.table import Column, Schema, table
from slabwright.stages import stages
from slabwright.web.answers import Seen, road_answer
from slabwright.web.pages import Page
from slabwright.web.parts.alternatives import alternatives
from slabwright.web.parts.drawer import open_working
from slabwright.web.parts.html import element, paragraph, text
from slabwright.web.parts.layout import answered
from slabwright.web.parts.live import piece
from slabwright.web.parts.road import show_strip
from slabwright.web.parts.tables import data_table
from slabwright.web.view import View
from slabwright.workflow import summary_rows

__all__ = ["PAGE", "SECTIONS", "section_rows"]

LAST_SHORT = next(stage.name for stage in reversed(stages()) if not stage.long)
STATES = {"current": "computed", "stale": "ready to compute", "waiting": "waits for facts"}

SECTIONS = Schema(
    "summary",
    "Section by section",
    "one section",
    (
        Column("section", "text", "section"),
        Column("verdict", "text", "verdict"),
        Column("bonded", "thickness", "bonded overlay needed", brief="needed"),
        Column("overlay", "thickness", "overlay chosen", brief="chosen"),
        Column("years", "years", "life at the design reliability by AASHTO 1993", brief="life, AASHTO 1993"),
        Column(
            "mechanistic",
            "years",
            "life at the design reliability by the mechanistic analysis",
            brief="life, mechanistic",
        ),
        Column("reduction", "share", "fall of the interior deflection", brief="deflection falls"),
        Column("cost", "money", "cost of overlay and repairs", brief="cost"),
        Column("median", "years", "life at 50 % reliability by the mechanistic analysis", brief="at 50 %, mechanistic"),
    ),
)
LIVES = ("years", "mechanistic", "median")
# Where the working of a number of this table stands: the stage, its table and its column.
WORKINGS = {
    "bonded": ("design", "thicknesses", "bonded"),
    "overlay": ("design", "thicknesses", "overlay"),
    "years": ("design", "thicknesses", "years"),
    "reduction": ("design", "thicknesses", "reduction"),
    "mechanistic": ("life", "fatigue_thickness", "overlay_years"),
    "median": ("life", "fatigue_thickness", "median_years"),
    "cost": ("economics", "section_costs", "cost"),
}


def section_rows(view: View) -> pd.DataFrame:
    """One row a section of the table ``SECTIONS``: SI and years; what no method tells is NaN."""
    results = view.results()
    rows = pd.DataFrame(summary_rows(results))
    lives = {m.section: m.mechanistic_years for m in methods(results, view.decisions)}
    medians = _medians(results)
    rows["mechanistic"] = rows["section"].map(lives).astype(float)
    rows["median"] = rows["section"].map(medians).astype(float)
    rows["cost"] = [three_figures(float(v)) for v in rows["cost"]]
    return table(SECTIONS, rows[list(SECTIONS.names)])


def _medians(results: dict[str, StageResult]) -> dict[str, float]:
    """Median lives of the sections that the mechanistic analysis promises something of."""
    if "life" not in results:
        return {}
    found = results["life"].tables["fatigue_thickness"]
    told = found[found["promised"] != "no"]
    return dict(zip(told["section"], told["median_years"], strict=True))


async def draw(view: View) -> None:
    answered(view, lambda: road_answer(Seen(view.results(), view.decisions, view.system, before=view.before_now())))
    with element("div", data_part="picture"):
        show_strip(view, ("overlay",))
    with element("div", cls="below"):
        _table(view)
        with element("div", cls="beside"):
            _next(view)
            _stages(view)
        alternatives(view)


def _table(view: View) -> None:
    def door(row: int, column: str) -> None:
        stage, name, own = WORKINGS[column]
        section = section_rows(view)["section"].iloc[row]
        rows = view.results()[stage].tables[name]["section"]
        open_working(view, stage, name, int((rows == section).to_numpy().argmax()), own)

    def fill(frame: pd.DataFrame) -> None:
        period = view.decisions.traffic.design_period

        def seen(row: int, column: str, words: str) -> tuple[str, str]:
            if column not in LIVES:
                return words, ""
            value = float(frame[column].loc[row])
            told = life_words(value, view.system, unit=False) if is_longest(value) else words
            return told, ("bad" if value < period - 0.05 else "")

        data_table(_priced(view), frame, view.system, open_cell=door, here=view.section, seen=seen)

    piece(view, lambda: section_rows(view), fill)
    piece(view, lambda: _sum(view), lambda words: paragraph(words) if words else None)


def _priced(view: View) -> Schema:
    """The table with the currency in the heading of its cost."""
    money = view.decisions.economics.currency
    named = [replace(c, brief=f"cost [{money}]") if c.name == "cost" and money else c for c in SECTIONS.columns]
    return replace(SECTIONS, columns=tuple(named))


def _sum(view: View) -> str:
    """What the costs of the sections come to, and why the bid is more; "" while no sum is told."""
    results, money = view.results(), view.decisions.economics
    if "economics" not in results or not money.confirmed:
        return ""
    here = three_figures(float(results["economics"].tables["section_costs"]["cost"].sum()))
    whole = three_figures(float(results["economics"].tables["bid_items"]["amount"].sum()))
    lanes, bid = (units.format_quantity(v, "money", view.system) for v in (here, whole))
    return (
        f"Cost is overlay and repairs in the lanes, rounded to three figures: {lanes} {money.currency} in all. The bid of"
        f" {bid} {money.currency} holds besides what belongs to no section: overrun of concrete and the other items of the page Cost."
    )


def _next(view: View) -> None:
    """The next step, in a sentence and a link."""

    def step() -> tuple[str, str, str]:
        states = view.states()
        results = view.results()
        points = len(results["evaluation"].tables["open_points"])
        if points and not (results["design"].tables["thicknesses"]["overlay"] > 0).any():
            said = f"No section takes an overlay while {points} point{'' if points == 1 else 's'} of the evaluation are open."
            return said, "Settle the open points", "evaluation"
        open_stage = next((s for s in stages() if states[s.name] != "current"), None)
        if open_stage is None:
            return "Everything is computed.", "Take out the report", "report"
        old = view.outdated(open_stage.name)
        return (
            f"{open_stage.title} is not computed{' for the road as it is now' if old else ''}: {open_stage.question}",
            f"Go to {open_stage.title}",
            open_stage.name,
        )

    def fill(found: tuple[str, str, str]) -> None:
        words, link, slug = found
        with element("div"):
            text("h2", "Next step")
            text("p", words)
            ui.link(link, view.address(slug))

    piece(view, step, fill)


def _stages(view: View) -> None:
    def fill(states: tuple[str, ...]) -> None:
        with element("div"):
            text("h2", "How far the job is")
            with element("ul"):
                for stage, state in zip(stages(), states, strict=True):
                    with element("li"):
                        ui.link(stage.title, view.address(stage.name))
                        text("span", f": {state}", "quiet")

    piece(view, lambda: tuple(view.outdated(s.name) or STATES[view.states()[s.name]] for s in stages()), fill)


PAGE = Page("summary", "Summary", 5, draw, needs=LAST_SHORT, live=True, by_section=True)
