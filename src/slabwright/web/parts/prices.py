"""Unit prices as a table that can be pasted from a spreadsheet; they are decisions like any other."""

from __future__ import annotations

import re
from collections.abc import Callable

from nicegui import ui

from slabwright import units
from slabwright.errors import InputError
from slabwright.records.decisions import Decisions, Entry, change, entries, to_plain
from slabwright.records.decisions.past import present_name
from slabwright.web.parts.field import Field, entry
from slabwright.web.parts.html import act, element, text
from slabwright.web.parts.live import piece
from slabwright.web.view import View

__all__ = ["pasted_prices", "price_table", "prices"]

NUMBER = re.compile(r"[-+(]?\s*[.,]?\d")  # how a cell that holds a number begins, its sign of currency taken off


def prices(decisions: Decisions) -> list[Entry]:
    """The decisions that are unit prices."""
    return [e for e in entries(decisions) if e.is_price]


def pasted_prices(pasted: str, decisions: Decisions, system: units.System) -> dict[str, float | str]:
    """The prices that a pasted text changes, in SI by name: each line is a price's name, present or past, or its
    meaning, and its value.

    A bare number is for the length, area or volume of the system: per yd² or per m².

    Raises InputError with the line for a name that is no price, a value that is no number or out of bounds, a line
    with two numbers, a price named twice, and for a text that changes nothing.
    """
    known = {
        key.lower(): e.name for e in prices(decisions) for key in (e.name, e.name.partition(".")[2], e.about.meaning)
    }
    changed = decisions
    lines: dict[str, int] = {}
    for number, line in enumerate(pasted.splitlines(), start=1):
        if not line.strip():
            continue
        item, value = _cells(line, number)
        name = known.get(present_name(item.lower()))
        if name is None:
            raise InputError(
                "this is not the name of a unit price",
                where=f"line {number}",
                given=item,
                allowed=", ".join(e.about.meaning for e in prices(decisions)),
            )
        if lines.setdefault(name, number) != number:
            raise InputError(
                "this unit price is named twice", where=f"line {number}", given=item, remedy=f"See line {lines[name]}."
            )
        try:
            changed = change(changed, name, value, system)
        except InputError as refusal:
            refusal.where = f"line {number}"
            raise
    old, new = to_plain(decisions), to_plain(changed)
    found = {name: value for name, value in new.items() if value != old[name]}
    if not found:
        raise InputError("the pasted text changes no unit price", remedy="Paste two columns: the price and its value.")
    return found


def _cells(line: str, number: int) -> tuple[str, str]:
    parts = [p.strip() for p in (line.split("\t") if "\t" in line else re.split(r"\s*[;|]\s*|\s{2,}", line.strip()))]
    parts = [p for p in parts if p]
    if len(parts) < 2:
        raise InputError("two columns are needed: the price and its value", where=f"line {number}", given=line.strip())
    values = [p.lstrip("$€£ ") for p in parts[1:]]
    if len([v for v in values if NUMBER.match(v)]) > 1:
        raise InputError(
            "there is more than one number, and only one can be the price",
            where=f"line {number}",
            given=line.strip(),
            remedy="Paste two columns: the price and its value.",
        )
    return parts[0], values[-1]


def price_table(view: View) -> None:
    """Each price as a field, and a place to paste several at once."""
    text("h2", "Unit prices")
    piece(view, lambda: tuple(_text(p, view.system) for p in prices(view.decisions)), lambda _: _fields(view))
    with element("details", cls="group"):
        text("summary", "Paste from a spreadsheet")
        with element("div", cls="field"):
            text("label", "Two columns: the price and its value").props["for"] = "pasted-prices"
            area = ui.element("textarea").classes("plain")
            area.props.update({"id": "pasted-prices", "rows": "6"})
        held = {"text": ""}
        area.on("input", lambda e: held.update(text=str(e.args)), js_handler="(e) => emit(e.target.value)")
        act("Take these prices", lambda: view.attempt(lambda: _take(view, held["text"])))


def _fields(view: View) -> Callable[[tuple[str, ...]], None]:
    fields = [_field(view, price) for price in prices(view.decisions)]

    def show(texts: tuple[str, ...]) -> None:
        for field, words in zip(fields, texts, strict=True):
            field.show(words)

    return show


def _field(view: View, price: Entry) -> Field:
    label = price.about.meaning[:1].upper() + price.about.meaning[1:]
    return entry(label, _text(price, view.system), lambda t: view.decide(price.name, t))


def _text(price: Entry, system: units.System) -> str:
    kind = getattr(price.about, "kind", "money")
    value = f"{units.convert(float(price.value), kind, system):,.2f}".removesuffix(".00")
    return f"{value} {units.label(units.unit_of(kind, system))}".rstrip()


def _take(view: View, pasted: str) -> None:
    found = pasted_prices(pasted, view.decisions, view.system)
    view.project.decide(
        view.alternative, found, f"paste {len(found)} unit prices ({view.alternative})", expected=view.head
    )
