"""Cost: what the repairs and the overlay come to, beside the unit prices."""

from __future__ import annotations

from slabwright.web.pages import stage_page
from slabwright.web.parts.choices import decision_form
from slabwright.web.parts.layout import laid_out
from slabwright.web.parts.prices import price_table
from slabwright.web.parts.stage import result_table
from slabwright.web.view import View

__all__ = ["PAGE"]

STANDING = tuple(f"economics.{name}" for name in ("prices_are", "currency", "price_year", "overrun"))
ITEMS = ("direction", "lane", "item", "quantity", "price", "amount", "note")


async def draw(view: View) -> None:
    laid_out(
        view,
        "economics",
        layers=("overlay",),
        picture=lambda: result_table(view, "economics", "bid_items", columns=ITEMS),
        decisions=lambda: _decisions(view),
        below=lambda: _tables(view),
    )


def _decisions(view: View) -> None:
    decision_form(view, "economics", first=STANDING)
    price_table(view)


def _tables(view: View) -> None:
    for table in ("section_costs", "repair_kind_costs", "repair_costs"):
        result_table(view, "economics", table)


PAGE = stage_page("economics", draw)
