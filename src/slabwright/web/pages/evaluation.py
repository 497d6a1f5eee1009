"""Evaluation: what is left of the old slab, and whether it suits."""

from __future__ import annotations

from slabwright.web.pages import stage_page
from slabwright.web.parts.choices import decision_form
from slabwright.web.parts.curves import chart, traffic_figure
from slabwright.web.parts.html import element, text
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
            chart(
                view,
                "Loading since construction",
                "traffic",
                lambda: view.results()["evaluation"].tables["traffic"],
                lambda traffic: traffic_figure(traffic, view.dark),
            )
            for table in ("moduli", "transfers", "voids"):
                result_table(view, "evaluation", table)


PAGE = stage_page("evaluation", draw)
