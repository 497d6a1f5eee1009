"""Survey: what the road shows."""

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
            text("h2", "How the survey is reduced")
            decision_form(
                view, "survey", first=("survey.section_method", "survey.section_borders", "survey.shortest_section")
            )
        with element("div"):
            notes(view, "survey")
            for table in ("sections", "borders", "distress_quantities", "core_strengths", "basins"):
                result_table(view, "survey", table)


PAGE = stage_page("survey", draw)
