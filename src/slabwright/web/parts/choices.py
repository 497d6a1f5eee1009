"""Forms of decisions, made from their annotations."""

from __future__ import annotations

from slabwright import units
from slabwright.calculation import Choice
from slabwright.records.decisions import Entry, entries
from slabwright.web.parts.html import element, entry, pick, text
from slabwright.web.view import View

__all__ = ["decision_form"]


def decision_form(view: View, *groups: str, first: tuple[str, ...] = ()) -> None:
    """The decisions of some groups; those named ``first`` stand open, the rest behind a fold."""
    listed = [
        e
        for e in entries(view.decisions)
        if e.name.partition(".")[0] in groups and getattr(e.about, "kind", "") != "money"  # prices have a table
    ]
    ahead = [e for name in first for e in listed if e.name == name]
    for chosen in ahead:
        _field(view, chosen)
    with element("details", cls="group"):
        text("summary", f"{'More' if ahead else 'All'} decisions")
        for other in listed:
            if other not in ahead:
                _field(view, other)


def _field(view: View, chosen: Entry) -> None:
    label = chosen.about.meaning[:1].upper() + chosen.about.meaning[1:]
    if isinstance(chosen.about, Choice) and chosen.about.options:
        pick(label, list(chosen.about.options), str(chosen.value), lambda t: view.decide(chosen.name, t))
        return
    hint = ""
    if not isinstance(chosen.about, Choice):
        low, high = (
            units.format_quantity(float(b or 0), chosen.about.kind, view.system)
            for b in (chosen.about.low, chosen.about.high)
        )
        hint = f"{low} to {high}"
    entry(label, chosen.text(view.system), lambda t: view.decide(chosen.name, t), hint=hint)
