"""Pieces of a page: each knows what it shows, and is drawn anew only when that has changed.

A piece reads its content, draws it once, and after every change reads again. Where the content differs it is mended in
place when ``draw`` has said how, else cleared and drawn again with all that lies in it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields, is_dataclass
from typing import Any, TypeVar

import numpy as np
import pandas as pd
from nicegui import ui

from slabwright.web.parts.html import element, text
from slabwright.web.view import View

__all__ = ["Piece", "folded", "piece", "same"]

T = TypeVar("T")


class Piece:
    """A part of a page in a box of its own that takes no room."""

    def __init__(self, view: View, read: Callable[[], Any], draw: Callable[[Any], Any]) -> None:
        self.view, self.read, self.draw = view, read, draw
        self.inner: list[Piece] = []
        self.mend: Callable[[Any], Any] | None = None
        self.shown = read()
        view.pieces.append(self)
        self.box = ui.element("div").style("display: contents")
        self._fill()

    def refresh(self) -> None:
        """Show what there is to show now."""
        wanted = self.read()
        changed = not same(wanted, self.shown)
        self.shown = wanted
        if changed and self.mend is None:
            self._fill()
            return
        if changed and self.mend is not None:
            self.mend(wanted)
        for inner in list(self.inner):
            inner.refresh()

    def redraw(self) -> None:
        """Draw it again though nothing has changed in it."""
        self._fill()

    def _fill(self) -> None:
        self.box.clear()
        self.inner.clear()
        outer, self.view.pieces = self.view.pieces, self.inner
        try:
            with self.box:
                self.mend = self.draw(self.shown)
        finally:
            self.view.pieces = outer


def piece(view: View, read: Callable[[], T], draw: Callable[[T], Callable[[T], Any] | None]) -> Piece:
    """Draw ``read()`` where the page stands; ``draw`` may return what mends the drawing for another content."""
    return Piece(view, read, draw)


def same(one: Any, other: Any) -> bool:
    """Whether two contents show alike. Tables and arrays are compared by their cells, records by their fields.

    What is unknown here is compared by being the same one.
    """
    if one is other:
        return True
    if isinstance(one, tuple) and isinstance(other, tuple):
        return len(one) == len(other) and all(map(same, one, other))
    if isinstance(one, pd.DataFrame) and isinstance(other, pd.DataFrame):
        return bool(one.equals(other))
    if isinstance(one, np.ndarray) and isinstance(other, np.ndarray):
        return np.array_equal(one, other, equal_nan=one.dtype.kind == other.dtype.kind == "f")
    if is_dataclass(one) and type(one) is type(other):
        return all(same(getattr(one, f.name), getattr(other, f.name)) for f in fields(one))
    return isinstance(one, str | int | float) and type(one) is type(other) and one == other


def folded(view: View, summary: str, draw: Callable[[], Any]) -> None:
    """Something behind a fold, drawn while the fold is open."""
    state = {"open": False}

    def read() -> bool:
        return state["open"]

    def fill(is_open: bool) -> None:
        if is_open:
            draw()

    def turn(is_open: bool) -> None:
        state["open"] = is_open
        inside.refresh()

    with element("details", cls="group") as fold:
        text("summary", summary)
        inside = piece(view, read, fill)
    fold.on("toggle", lambda e: turn(bool(e.args)), js_handler="(e) => emit(e.target.open)")
