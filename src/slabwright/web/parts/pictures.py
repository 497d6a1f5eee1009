"""Pictures of results on a page, each with the same numbers as a table for those who cannot see it."""

from __future__ import annotations

from collections.abc import Callable

import pandas as pd

from slabwright.figures.record import Figure
from slabwright.stages import outcomes
from slabwright.web.parts.chart import Chart
from slabwright.web.parts.html import element, text
from slabwright.web.parts.live import folded, piece
from slabwright.web.parts.paint import painted
from slabwright.web.parts.tables import data_table
from slabwright.web.view import View

__all__ = ["picture"]


def picture(view: View, describe: Callable[[], Figure], table: str, rows: Callable[[], pd.DataFrame]) -> None:
    """What ``describe`` gives, painted under its title, with the rows of a table that it shows folded below."""

    def draw(figure: Figure) -> Callable[[Figure], None]:
        def numbers(frame: pd.DataFrame) -> Callable[[pd.DataFrame], None]:
            return data_table(outcomes()[table], frame, view.system, caption=figure.title)

        with element("div", cls="panel"):
            text("h2", figure.title)
            box = element("div", cls="chart", role="img", aria_label=_said(figure))
            box.style(_tall(figure))
            with box:
                drawn = Chart(painted(figure, view.system, view.dark)).style("width: 100%; height: 100%")
            folded(view, "The numbers", lambda: piece(view, rows, numbers))

        def mend(now: Figure) -> None:
            box.props["aria-label"] = _said(now)
            drawn.show(painted(now, view.system, view.dark))

        return mend

    piece(view, describe, draw)


def _tall(figure: Figure) -> str:
    """Room for the names of bars, which would lie on each other in the usual height."""
    line = 2.6 if figure.y.under else 1.7
    return f"height: {max(20.0, line * len(figure.y.places) + 6)}rem" if figure.y.kind == "words" else ""


def _said(figure: Figure) -> str:
    return f"{figure.description} The numbers are in the table below."
