"""Cost: what the repairs and the overlay come to, beside the unit prices."""

from __future__ import annotations

from slabwright.web.pages import stage_page
from slabwright.web.parts.layout import laid_out
from slabwright.web.parts.prices import price_table
from slabwright.web.parts.stage import result_table
from slabwright.web.view import View

__all__ = ["PAGE"]


async def draw(view: View) -> None:
    laid_out(
        view,
        "economics",
        layers=("overlay",),
        picture=lambda: result_table(view, "economics", "section_costs"),
        decisions=lambda: price_table(view),
        below=lambda: _tables(view),
    )


def _tables(view: View) -> None:
    for table in ("repair_kind_costs", "repair_costs"):
        result_table(view, "economics", table)


PAGE = stage_page("economics", draw)
