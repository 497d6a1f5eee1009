"""Forms of decisions, made from their annotations."""

from __future__ import annotations

from collections.abc import Callable

from slabwright import units
from slabwright.calculation import Choice
from slabwright.records.decisions import Entry, entries
from slabwright.web.parts.field import Field, entry, pick
from slabwright.web.parts.html import element, text
from slabwright.web.parts.live import piece
from slabwright.web.view import View

__all__ = ["decision_form"]

Texts = tuple[tuple[str, str], ...]


def decision_form(view: View, *groups: str, first: tuple[str, ...] = ()) -> None:
    """The decisions of some groups; those named ``first`` stand open, the rest behind a fold.

    The fields follow what any tab decides, one by one.
    """
    fields: dict[str, Field] = {}

    def show(texts: Texts) -> None:
        for name, words in texts:
            fields[name].show(words)

    def draw(_: Texts) -> Callable[[Texts], None]:
        listed = _listed(view, groups)
        ahead = [e for name in first for e in listed if e.name == name]
        fields.update({e.name: _field(view, e) for e in ahead})
        with element("details", cls="group"):
            text("summary", f"{'More' if ahead else 'All'} decisions")
            fields.update({e.name: _field(view, e) for e in listed if e not in ahead})
        return show

    piece(view, lambda: tuple((e.name, _text(e, view.system)) for e in _listed(view, groups)), draw)


def _listed(view: View, groups: tuple[str, ...]) -> list[Entry]:
    """The decisions of the groups; prices have a table of their own."""
    return [e for e in entries(view.decisions) if e.name.partition(".")[0] in groups and not e.is_price]


def _text(chosen: Entry, system: units.System) -> str:
    return chosen.text(system)


def _field(view: View, chosen: Entry) -> Field:
    label = chosen.about.meaning[:1].upper() + chosen.about.meaning[1:]
    value = _text(chosen, view.system)

    def decide(words: str) -> None:
        view.decide(chosen.name, words)

    if isinstance(chosen.about, Choice):
        options = list(chosen.about.options)
        return pick(label, options, value, decide) if options else entry(label, value, decide)
    low, high = (
        units.format_quantity(float(b or 0), chosen.about.kind, view.system)
        for b in (chosen.about.low, chosen.about.high)
    )
    return entry(label, value, decide, hint=f"{low} to {high}")
