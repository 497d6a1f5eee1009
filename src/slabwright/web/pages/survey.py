"""Survey: what the road shows."""

from __future__ import annotations

from functools import partial

import pandas as pd

from slabwright.figures.record import Figure
from slabwright.figures.sectioning import cumulative_differences
from slabwright.web.pages import stage_page
from slabwright.web.parts.choices import decision_form
from slabwright.web.parts.html import text
from slabwright.web.parts.layout import laid_out
from slabwright.web.parts.live import piece
from slabwright.web.parts.pictures import picture
from slabwright.web.parts.stage import result_table
from slabwright.web.view import View

__all__ = ["PAGE"]

FIRST = ("survey.section_method", "survey.section_boundaries", "survey.shortest_section")
SECTIONS = ("section", "begin", "end", "pavement", "tests", "mean_deflection", "variation", "boundary")


async def draw(view: View) -> None:
    laid_out(
        view,
        "survey",
        layers=("deflection",),
        picture=lambda: piece(view, lambda: _directions(view), lambda found: _differences(view, found)),
        decisions=lambda: decision_form(view, "survey", first=FIRST),
        below=lambda: _tables(view),
    )


def _tables(view: View) -> None:
    result_table(view, "survey", "sections", columns=SECTIONS)
    result_table(view, "survey", "boundaries")
    text(
        "p",
        "Boundaries that are used are looked for apart in each stretch between changes of the pavement, and the weak ones"
        " dropped; those for comparison over the whole direction at once. The same method can therefore put them elsewhere.",
        "quiet",
    )
    for table in ("distress_quantities", "core_strengths", "basins"):
        result_table(view, "survey", table)


def _directions(view: View) -> tuple[str, ...]:
    """Directions of travel that were tested; that of the section at hand first."""
    tables = view.results()["survey"].tables
    sections = tables["sections"]
    here = [str(d) for d in sections.loc[sections["section"] == view.section, "direction"]]
    return tuple(dict.fromkeys([*here, *(str(d) for d in tables["differences"]["direction"])]))


def _differences(view: View, directions: tuple[str, ...]) -> None:
    for direction in directions:
        picture(view, partial(_difference, view, direction), "differences", partial(_rows, view, direction))


def _difference(view: View, direction: str) -> Figure:
    return cumulative_differences(view.results(), direction)


def _rows(view: View, direction: str) -> pd.DataFrame:
    frame = view.results()["survey"].tables["differences"]
    return frame[frame["direction"] == direction]


PAGE = stage_page("survey", draw)
