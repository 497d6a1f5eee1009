"""Evaluation: what is left of the old slab, and whether it suits."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from typing import TYPE_CHECKING

from slabwright.evaluation.examined import ASSUMING
from slabwright.figures.loading import accumulated_axles, axles_by_year
from slabwright.figures.record import Figure
from slabwright.records.decisions import Decisions
from slabwright.records.remarks import reads
from slabwright.records.results import StageResult
from slabwright.records.words import VERDICTS
from slabwright.units import System
from slabwright.web.pages import stage_page
from slabwright.web.parts.choices import decision_form
from slabwright.web.parts.html import element, text
from slabwright.web.parts.live import piece
from slabwright.web.parts.pictures import picture
from slabwright.web.parts.road import show_strip
from slabwright.web.parts.stage import notes, result_table
from slabwright.web.view import View

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["PAGE", "answer"]


# Not the column of the state that it enters, which is for the program.
ASSUMED = ("section", "quantity", "value", "low", "high", "why", "decision", "without", "source")


async def draw(view: View) -> None:
    piece(view, lambda: answer(view.results()["evaluation"].tables, view.system), _say)
    show_strip(view)
    with element("div", cls="desk"):
        with element("div", cls="panel"):
            text("h2", "How the old slab is judged")
            decision_form(
                view,
                "evaluation",
                first=(
                    *(f"evaluation.{name}" for name in ASSUMING.values()),
                    "evaluation.reason_to_assume",
                    "evaluation.settled_cores",
                    "evaluation.lanes_walked_whole",
                    "evaluation.moduli_from",
                    "evaluation.strength_from",
                    "evaluation.static_ratio",
                ),
            )
            text("h2", "Traffic")
            decision_form(view, "traffic", first=("traffic.base_year", "traffic.design_period", "traffic.growth"))
        with element("div"):
            notes(view, "evaluation")
            for table in ("verdicts", "open_points", "assumptions", "suitability", "condition", "core_states"):
                result_table(view, "evaluation", table, columns=ASSUMED if table == "assumptions" else ())
            for describe in (axles_by_year, accumulated_axles):
                picture(
                    view,
                    partial(_loading, view, describe),
                    "traffic",
                    lambda: view.results()["evaluation"].tables["traffic"],
                )
            for table in ("lanes_walked", "moduli", "transfers", "voids"):
                result_table(view, "evaluation", table)


def answer(tables: Mapping[str, pd.DataFrame], system: System) -> tuple[str, ...]:
    """How many sections have which verdict, and what stands against the answer: open points, and what is assumed by name."""
    verdicts = tables["verdicts"]["verdict"]
    counted = ", ".join(f"{n} {verdict}" for verdict in VERDICTS if (n := int((verdicts == verdict).sum())))
    by_name = tables["assumptions"][tables["assumptions"]["without"] != ""]
    assumed = tuple(
        f"{quantity}: assumed in {', '.join(here['section'])} by {decision}; without it: {without}."
        for (quantity, decision, without), here in by_name.groupby(["quantity", "decision", "without"], sort=False)
    )
    points = tables["open_points"]
    said = (f"{about}: {reads(point, system)}. {settle}" for about, point, settle in points.itertuples(index=False))
    stands = f"{len(points)} open point{'' if len(points) == 1 else 's'}." if len(points) else "No point is open."
    return (f"{len(verdicts)} sections: {counted}. {stands}", *said, *assumed)


def _say(lines: tuple[str, ...]) -> None:
    with element("div", role="status", cls="panel"):
        text("p", lines[0])
        with element("ul"):
            for line in lines[1:]:
                text("li", line)


def _loading(view: View, describe: Callable[[Mapping[str, StageResult], Decisions], Figure]) -> Figure:
    return describe(view.results(), view.decisions)


PAGE = stage_page("evaluation", draw)
