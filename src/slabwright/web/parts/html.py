"""Plain HTML elements with NiceGUI behind them: they read well to a screen reader and look like ours."""

from __future__ import annotations

from collections.abc import Callable
from html import escape
from itertools import count
from typing import Any

from nicegui import ui

_NUMBERS = count(1)

__all__ = ["act", "element", "entry", "pick", "text"]


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


def act(label: str, action: Callable[[], Any], *, main: bool = False, **props: str) -> ui.element:
    """A button."""
    made = text("button", label, "act main" if main else "act")
    made.props["type"] = "button"
    for name, value in props.items():
        made.props[name.replace("_", "-")] = value
    return made.on("click", lambda _: action(), args=[])


def entry(label: str, value: str, change: Callable[[str], Any], *, hint: str = "") -> ui.element:
    """A labelled text field; ``change`` is called with the text when it is confirmed and differs."""
    key = f"field-{next(_NUMBERS)}"
    with element("div", cls="field"):
        text("label", label).props["for"] = key
        about = f'aria-describedby="{key}-hint"' if hint else ""
        # As literal HTML: a drawn input is set back to its first value whenever anything else on the page changes.
        field = ui.html(
            f'<input class="plain-input" id="{key}" type="text" autocomplete="off" {about} value="{escape(value, quote=True)}">',
            sanitize=False,
        )
        if hint:
            text("span", hint, "hint").props["id"] = f"{key}-hint"
        field.on("change", lambda e: change(str(e.args)), js_handler="(e) => emit(e.target.value)")
    return field


def pick(label: str, options: list[str], value: str, change: Callable[[str], Any], *, hint: str = "") -> ui.element:
    """A labelled choice."""
    key = f"field-{next(_NUMBERS)}"
    with element("div", cls="field"):
        text("label", label).props["for"] = key
        choices = "".join(f"<option{' selected' if o == value else ''}>{escape(o)}</option>" for o in options)
        field = ui.html(choices, sanitize=False, tag="select").classes("plain-select")
        field.props["id"] = key
        if hint:
            text("span", hint, "hint").props["id"] = f"{key}-hint"
            field.props["aria-describedby"] = f"{key}-hint"
        field.on("change", lambda e: change(str(e.args)), js_handler="(e) => emit(e.target.value)")
    return field
