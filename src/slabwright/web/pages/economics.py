"""Cost: what the repairs and the overlay come to, beside the unit prices."""

from __future__ import annotations

from slabwright.web.pages import stage_page
from slabwright.web.parts.choices import decision_form
from slabwright.web.parts.html import element, text
from slabwright.web.parts.prices import price_table
from slabwright.web.parts.road import show_strip
from slabwright.web.parts.stage import notes, result_table
from slabwright.web.view import View

__all__ = ["PAGE"]

STANDING = ("prices_are", "currency", "price_year", "overrun")


async def draw(view: View) -> None:
    notes(view, "economics")
    show_strip(view)
    with element("div", cls="desk"):
        with element("div", cls="panel"):
            text("h2", "Standing of the prices")
            decision_form(view, "economics", first=tuple(f"economics.{name}" for name in STANDING))
            price_table(view)
        with element("div"):
            for table in ("bid_items", "section_costs", "repair_kind_costs", "repair_costs"):
                result_table(view, "economics", table)


PAGE = stage_page("economics", draw)
