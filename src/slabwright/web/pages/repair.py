"""Repairs: what must be mended first."""

from __future__ import annotations

from slabwright.web.pages import stage_page
from slabwright.web.parts.choices import decision_form
from slabwright.web.parts.html import element, text
from slabwright.web.parts.road import show_strip
from slabwright.web.parts.stage import notes, result_table
from slabwright.web.view import View

__all__ = ["PAGE"]


async def draw(view: View) -> None:
    show_strip(view)
    with element("div", cls="desk"):
        with element("div", cls="panel"):
            text("h2", "Rules")
            decision_form(
                view, "repair", first=("repair.full_depth_severity", "repair.full_depth_shortest", "repair.merge_gap")
            )
        with element("div"):
            notes(view, "repair")
            result_table(view, "repair", "repair_quantities")
            result_table(view, "repair", "after_repair")
            result_table(view, "repair", "reflected_cracks")
            result_table(view, "repair", "repairs")


PAGE = stage_page("repair", draw)
