"""Pictures of results on a page, each with the same numbers as a table for those who cannot see it, and to take away."""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import partial
from typing import Any

import pandas as pd
from nicegui import ui

from slabwright.figures.record import Figure
from slabwright.records.display import plain_columns, plain_rows
from slabwright.stages import outcomes
from slabwright.web.parts.chart import Chart
from slabwright.web.parts.html import act, element, text
from slabwright.web.parts.live import piece
from slabwright.web.parts.paint import painted
from slabwright.web.parts.tables import data_table
from slabwright.web.view import View

__all__ = ["picture"]


def picture(
    view: View,
    describe: Callable[[], Figure | None],
    table: str,
    rows: Callable[[], pd.DataFrame],
    *,
    none: Callable[[], str] = lambda: "",
    cls: str = "",
) -> None:
    """What ``describe`` gives, painted under its title, with the rows of a table that it shows behind a press.

    Where it gives nothing, ``none`` says why.
    """

    seen: dict[str, Figure | None] = {}

    def read() -> str | None:
        seen["figure"] = describe()
        return none() if seen["figure"] is None else None

    def draw(words: str | None) -> None:
        if words is None:  # the inner piece is read right after this one, so that a figure is made once
            piece(view, lambda: seen["figure"], lambda figure: _drawn(view, figure, table, rows, cls))
        elif words:
            text("p", words, "quiet").props["role"] = "status"

    piece(view, read, draw)


def _drawn(
    view: View, figure: Figure | None, table: str, rows: Callable[[], pd.DataFrame], cls: str
) -> Callable[[Figure | None], None] | None:
    if figure is None:  # the piece around it is about to say why
        return None
    shown: dict[str, Any] = {"figure": figure, "table": False}

    def save(kind: str) -> None:
        drawn.save(kind, _name(shown["figure"]))

    with element("div", cls="figure"):
        with element("div", cls="line"):
            title = text("h2", figure.title)
            with element("div", cls="takes", role="group", aria_label="Numbers and files of the picture"):
                act(
                    "Numbers",
                    lambda: turn(),
                    cls="slim",
                    aria_label=f"Numbers of {figure.title}",
                    aria_expanded="false",
                )
                for kind in ("png", "svg"):
                    act(kind.upper(), partial(save, kind), cls="slim", title=f"Save the picture as {kind.upper()}")
                csv = partial(_csv, view, table, rows, lambda: _name(shown["figure"]))
                act("CSV", csv, cls="slim", title="Save the numbers as CSV")
        box = element("div", cls=f"chart {cls}".strip(), role="img", aria_label=_said(figure))
        box.style("" if cls else _tall(figure))
        with box:
            drawn = Chart(painted(figure, view.system, view.dark)).style("width: 100%; height: 100%")
        numbers = piece(view, lambda: rows() if shown["table"] else None, lambda frame: _numbers(view, table, frame))

    def turn() -> None:
        shown["table"] = not shown["table"]
        numbers.refresh()

    def mend(now: Figure | None) -> None:
        if now is None:
            return
        shown["figure"] = now
        title.content = now.title
        box.props["aria-label"] = _said(now)
        drawn.show(painted(now, view.system, view.dark))

    return mend


def _numbers(view: View, table: str, frame: pd.DataFrame | None) -> None:
    if frame is not None:
        data_table(outcomes()[table], frame, view.system)


def _csv(view: View, table: str, rows: Callable[[], pd.DataFrame], name: Callable[[], str]) -> None:
    """The numbers of a picture as a file, in the units shown."""
    schema = outcomes()[table]
    heads = [
        f"{c['meaning']} [{c['unit']}]" if c["unit"] not in ("", "1") else c["meaning"]
        for c in plain_columns(schema, view.system)
    ]
    body = pd.DataFrame(plain_rows(schema, rows(), view.system), columns=heads).to_csv(index=False)
    ui.download(body.encode("utf-8"), f"{name()}.csv", "text/csv")


def _name(figure: Figure) -> str:
    """A file's name from a title."""
    return re.sub(r"[^a-z0-9]+", "-", figure.title.lower()).strip("-")[:80] or "picture"


def _tall(figure: Figure) -> str:
    """Room for the names of bars, which would lie on each other in the usual height."""
    line = 2.6 if figure.y.under else 1.7
    return f"height: {max(20.0, line * len(figure.y.places) + 6)}rem" if figure.y.kind == "words" else ""


def _said(figure: Figure) -> str:
    return f"{figure.description} The numbers are behind the press beside the title."
