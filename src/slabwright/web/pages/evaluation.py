"""Evaluation: what is left of the old slab, and whether it suits."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial

from slabwright.figures.loading import accumulated_axles, axles_by_year
from slabwright.figures.record import Figure
from slabwright.records.decisions import Decisions
from slabwright.records.results import StageResult
from slabwright.web.pages import stage_page
from slabwright.web.parts.choices import decision_form
from slabwright.web.parts.html import element, text
from slabwright.web.parts.pictures import picture
from slabwright.web.parts.road import show_strip
from slabwright.web.parts.stage import notes, result_table
from slabwright.web.view import View

__all__ = ["PAGE"]


async def draw(view: View) -> None:
    show_strip(view)
    with element("div", cls="desk"):
        with element("div", cls="panel"):
            text("h2", "How the old slab is judged")
            decision_form(
                view,
                "evaluation",
                first=("evaluation.moduli_from", "evaluation.strength_from", "evaluation.static_ratio"),
            )
            text("h2", "Traffic")
            decision_form(view, "traffic", first=("traffic.base_year", "traffic.design_period", "traffic.growth"))
        with element("div"):
            notes(view, "evaluation")
            for table in ("verdicts", "suitability", "condition"):
                result_table(view, "evaluation", table)
            for describe in (axles_by_year, accumulated_axles):
                picture(
                    view,
                    partial(_loading, view, describe),
                    "traffic",
                    lambda: view.results()["evaluation"].tables["traffic"],
                )
            for table in ("moduli", "transfers", "voids"):
                result_table(view, "evaluation", table)


def _loading(view: View, describe: Callable[[Mapping[str, StageResult], Decisions], Figure]) -> Figure:
    return describe(view.results(), view.decisions)


PAGE = stage_page("evaluation", draw)
