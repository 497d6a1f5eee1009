"""A labelled text field or choice as one element of the page."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict, dataclass
from itertools import count
from typing import Any

from nicegui.element import Element

__all__ = ["Field", "Range", "entry", "pick"]

_NUMBERS = count(1)


@dataclass(frozen=True)
class Range:
    """What a slider goes over, in the unit shown: its ends, a step of the arrow keys and its decimals, where it stands, the unit,
    and the smallest value above a lower end that means something of its own."""

    low: float
    high: float
    step: float
    value: float
    unit: str = ""
    digits: int = 0
    least: float | None = None


class Field(Element, component="field.js"):
    """A field that keeps the keyboard and what is being typed while everything around it is drawn anew."""

    def __init__(
        self,
        label: str,
        value: str,
        change: Callable[[str], Any],
        *,
        hint: str = "",
        options: list[str] | None = None,
        span: Range | None = None,
    ) -> None:
        super().__init__()
        self._props.update({"label": label, "text": value, "hint": hint, "name": f"field-{next(_NUMBERS)}"})
        if options is not None:
            self._props["options"] = options
        if span is not None:
            self._props["range"] = asdict(span)
        self.on("told", lambda e: self._told(change(str(e.args))))

    def _told(self, done: Any) -> None:
        """What was refused (False) does not stay in the field as if it held."""
        if done is False:
            self.run_method("back")

    def show(self, value: str, span: Range | None = None) -> None:
        """Set what the field holds, if that is another value than it was given before."""
        if value != self._props["text"]:
            self._props["text"] = value
            if span is not None:
                self._props["range"] = asdict(span)
            self.update()


def entry(label: str, value: str, change: Callable[[str], Any], *, hint: str = "", span: Range | None = None) -> Field:
    """A labelled text field; ``change`` is called with the text when it is confirmed and differs."""
    return Field(label, value, change, hint=hint, span=span)


def pick(label: str, options: list[str], value: str, change: Callable[[str], Any], *, hint: str = "") -> Field:
    """A labelled choice."""
    return Field(label, value, change, hint=hint, options=options)
