"""Plain HTML elements with NiceGUI behind them: they read well to a screen reader and look like ours."""

from __future__ import annotations

from collections.abc import Callable
from html import escape
from typing import Any

from nicegui import ui

__all__ = ["act", "element", "paragraph", "text"]


def element(tag: str, content: str = "", **props: str) -> ui.element:
    """An element with literal text and attributes; underscores in names become hyphens, ``cls`` is the class."""
    made = ui.element(tag)
    if "cls" in props:
        made.classes(props.pop("cls"))
    for name, value in props.items():
        made.props[name.replace("_", "-")] = value
    if content:
        with made:
            ui.html(escape(content), sanitize=False, tag="span")
    return made


def text(tag: str, content: str, cls: str = "") -> ui.html:
    """A heading, paragraph or other element of words."""
    return ui.html(escape(content), sanitize=False, tag=tag).classes(cls)


def paragraph(words: str) -> None:
    """A paragraph of escaped words."""
    text("p", words)


def act(label: str, action: Callable[[], Any], *, main: bool = False, cls: str = "", **props: str) -> ui.html:
    """A button."""
    made = text("button", label, f"act {'main' if main else cls}".strip())
    made.props["type"] = "button"
    for name, value in props.items():
        made.props[name.replace("_", "-")] = value
    made.on("click", lambda _: action(), args=[])
    return made
