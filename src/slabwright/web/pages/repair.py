"""Repairs: what must be mended first."""

from __future__ import annotations

import pandas as pd

from slabwright import units
from slabwright.figures.record import Figure
from slabwright.figures.slab_plan import LONGEST_STRETCH, repair_plan, stretch_of
from slabwright.web.pages import stage_page
from slabwright.web.parts.choices import decision_form
from slabwright.web.parts.html import paragraph
from slabwright.web.parts.layout import laid_out
from slabwright.web.parts.live import piece
from slabwright.web.parts.pictures import picture
from slabwright.web.parts.stage import result_table
from slabwright.web.view import View

__all__ = ["PAGE"]

FIRST = ("repair.full_depth_severity", "repair.full_depth_shortest", "repair.merge_gap")
REPAIRS = ("repair", "lane", "begin", "end", "kind", "area", "reason", "filled_with")


async def draw(view: View) -> None:
    laid_out(
        view,
        "repair",
        layers=("repairs",),
        picture=lambda: _picture(view),
        decisions=lambda: decision_form(view, "repair", first=FIRST),
        below=lambda: _tables(view),
    )


def _picture(view: View) -> None:
    picture(view, lambda: _plan(view), "repairs", lambda: _rows(view), cls="flat")
    piece(view, lambda: _stands(view), paragraph)
    result_table(view, "repair", "repair_quantities")


def _stands(view: View) -> str:
    """Which stations the plan shows and why, and what of the page is not of them alone."""
    if not view.section:
        return ""
    marked = view.state.get("window")
    window = stretch_of(view.results(), view.section, marked)
    begin, end = (units.format_station(x, view.system) for x in window)
    if marked is not None and window == tuple(marked):
        return (
            f"The plan shows the stretch marked on the strip, {begin} to {end}. Quantities, and cracks that come through, are"
            " of whole sections."
        )
    return (
        f"The plan shows {begin} to {end}, the stretch of section {view.section} with most full-depth repairs, or with most"
        " repairs where there is none. Mark up"
        f" to {units.format_quantity(LONGEST_STRETCH, 'length', view.system)} of the section on the strip to see other stations."
    )


def _plan(view: View) -> Figure | None:
    if not view.section:
        return None
    window = stretch_of(view.results(), view.section, view.state.get("window"))
    return repair_plan(view.computation.facts, view.results(), view.section, window)


def _rows(view: View) -> pd.DataFrame:
    frame = view.results()["repair"].tables["repairs"]
    begin, end = stretch_of(view.results(), view.section, view.state.get("window"))
    return frame[(frame["end"] >= begin) & (frame["begin"] <= end)]


def _tables(view: View) -> None:
    result_table(view, "repair", "after_repair")
    result_table(view, "repair", "reflected_cracks")
    result_table(view, "repair", "repairs", columns=REPAIRS)


PAGE = stage_page("repair", draw)
