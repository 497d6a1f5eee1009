"""Survey: what the road shows."""

from __future__ import annotations

from functools import partial

import pandas as pd

from slabwright.figures.record import Figure
from slabwright.figures.sectioning import cumulative_differences
from slabwright.web.pages import stage_page
from slabwright.web.parts.choices import decision_form
from slabwright.web.parts.html import element, text
from slabwright.web.parts.live import piece
from slabwright.web.parts.pictures import picture
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
                view, "survey", first=("survey.section_method", "survey.section_boundaries", "survey.shortest_section")
            )
        with element("div"):
            notes(view, "survey")
            piece(view, lambda: _directions(view), lambda found: _differences(view, found))
            for table in ("sections", "boundaries", "distress_quantities", "core_strengths", "basins"):
                result_table(view, "survey", table)


def _directions(view: View) -> tuple[str, ...]:
    """Directions of travel that were tested."""
    return tuple(dict.fromkeys(str(d) for d in view.results()["survey"].tables["differences"]["direction"]))


def _differences(view: View, directions: tuple[str, ...]) -> None:
    for direction in directions:
        picture(view, partial(_difference, view, direction), "differences", partial(_rows, view, direction))


def _difference(view: View, direction: str) -> Figure:
    return cumulative_differences(view.results(), direction)


def _rows(view: View, direction: str) -> pd.DataFrame:
    frame = view.results()["survey"].tables["differences"]
    return frame[frame["direction"] == direction]


PAGE = stage_page("survey", draw)
