"""Forms of decisions, made from their annotations: value, range, default, who decided it, when and why."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal

from nicegui import ui

from slabwright import units
from slabwright.calculation import Choice, Quantity
from slabwright.project import Change
from slabwright.records.decisions import Decisions, Entry, entries
from slabwright.web.parts.field import Field, Range, entry, pick
from slabwright.web.parts.html import act, element, text
from slabwright.web.parts.live import piece
from slabwright.web.view import View

__all__ = ["decision_form"]

MOST_STEPS = 400  # of a slider; a wider range is typed


@dataclass(frozen=True)
class _Told:
    """A decision as a form tells it: its text, where its slider stands, and where its value comes from."""

    name: str
    text: str
    span: Range | None
    default: str
    origin: str


def decision_form(view: View, *groups: str, first: tuple[str, ...] = ()) -> None:
    """The decisions of some groups; those named ``first`` stand open, the rest behind a fold.

    The fields follow what any tab decides, one by one.
    """
    rows: dict[str, _Row] = {}

    def show(told: tuple[_Told, ...]) -> None:
        for one in told:
            rows[one.name].show(one)

    def draw(told: tuple[_Told, ...]) -> Callable[[tuple[_Told, ...]], None]:
        known = {one.name: one for one in told}
        listed = {e.name: e for e in _listed(view, groups)}
        ahead = [name for name in first if name in listed]
        rest = [name for name in listed if name not in ahead]
        rows.update({name: _Row(view, listed[name], known[name]) for name in ahead})
        if rest:
            with element("details", cls="group"):
                text("summary", f"{'More' if ahead else 'All'} decisions ({len(rest)})")
                rows.update({name: _Row(view, listed[name], known[name]) for name in rest})
        piece(view, lambda: view.reasons_used, lambda _: _reason(view))
        return show

    piece(view, lambda: _told(view, groups), draw)


def _reason(view: View) -> None:
    """The box of a reason; it is drawn anew, empty, when a change has taken what stood in it."""
    entry(
        "Reason of the next change",
        str(view.state.get("why", "")),
        lambda words: view.state.update(why=words),
        hint="optional; kept in the history with the change",
    )


class _Row:
    """One decision: its field, and beneath it where the value comes from and the way back to where it began."""

    def __init__(self, view: View, chosen: Entry, told: _Told) -> None:
        self.view, self.told = view, told
        self.field = _field(view, chosen, told)
        self.about = ui.element("div").classes("origin")
        self._about()

    def show(self, told: _Told) -> None:
        if told != self.told:
            self.told = told
            self.field.show(told.text, told.span)
            self.about.clear()
            self._about()

    def _about(self) -> None:
        told = self.told
        with self.about:
            text("span", told.origin)
            if told.text != told.default:
                text("span", f"default {told.default}" if told.default else "default: empty")
                title = f"Back to {told.default or 'empty'}"
                act("Reset", lambda: self.view.decide(told.name, told.default), title=title)


def _told(view: View, groups: tuple[str, ...]) -> tuple[_Told, ...]:
    defaults = {e.name: e.text(view.system) for e in entries(Decisions())}
    decided = _decided(view)
    return tuple(
        _Told(
            e.name,
            e.text(view.system),
            _range(e, view.system),
            defaults[e.name],
            _origin(decided.get(e.name), e.text(view.system) == defaults[e.name]),
        )
        for e in _listed(view, groups)
    )


def _decided(view: View) -> dict[str, Change]:
    """The last change of each decision of this alternative that holds."""
    found: dict[str, Change] = {}
    for change in view.project.history():
        if change.holds and change.after.get("alternative", "base") == view.alternative:
            found.update(dict.fromkeys(change.after, change))
    return found


def _origin(change: Change | None, is_default: bool) -> str:
    if change is None:
        return "the starting value of this program" if is_default else "as this alternative began"
    said = f"{change.user}, {change.time:%Y-%m-%d %H:%M} UTC"
    _, _, why = change.what.partition("): ")
    begun = f"the starting value of this program; last set by {said}" if is_default else f"decided by {said}"
    return begun + (f": {why}" if why else "")


def _listed(view: View, groups: tuple[str, ...]) -> list[Entry]:
    """The decisions of the groups; prices have a table of their own."""
    return [e for e in entries(view.decisions) if e.name.partition(".")[0] in groups and not e.is_price]


def _field(view: View, chosen: Entry, told: _Told) -> Field:
    label = chosen.about.meaning[:1].upper() + chosen.about.meaning[1:]

    def decide(words: str) -> bool:
        return view.decide(chosen.name, words)

    if isinstance(chosen.about, Choice):
        options = list(chosen.about.options)
        return pick(label, options, told.text, decide) if options else entry(label, told.text, decide)
    return entry(label, told.text, decide, hint=_bounds(chosen.about, view.system), span=told.span)


def _bounds(about: Quantity, system: units.System) -> str:
    """What is allowed, as round numbers inside the bounds, so that each of them is allowed as it is written."""
    low, high = (_inside(float(b or 0), about.kind, system, way) for b, way in ((about.low, 1), (about.high, -1)))
    begin, end = (units.format_quantity(b, about.kind, system) for b in (low, high))
    if about.least is None:
        return f"{begin} to {end}"
    least = units.format_quantity(_inside(about.least, about.kind, system, 1), about.kind, system)
    return f"{begin}, or {least} to {end}"


def _inside(bound: float, kind: str, system: units.System, way: int) -> float:
    """A bound [SI] moved up (1) or down (-1) to three figures of the unit shown, at most its digits; a year stays whole."""
    shown = float(units.convert(bound, kind, system))
    if not shown or not math.isfinite(shown) or kind == "calendar_year":
        return bound
    digits = units.kind(kind).digits(system)
    step = 10.0 ** (math.floor(math.log10(abs(shown))) - 2)
    rounded = _on_step(shown, step if digits >= 6 else max(step, 10.0**-digits), way)
    return float(units.to_si(rounded, units.unit_of(kind, system), kind))


def _on_step(value: float, step: float, way: int) -> float:
    """The next whole step up (1) or down (-1), or the value where it is one but for the last bits of a conversion."""
    count = value / step
    whole = (
        round(count)
        if math.isclose(count, round(count), abs_tol=1e-6)
        else (math.ceil if way > 0 else math.floor)(count)
    )
    return round(whole * step, _decimals(step))


def _range(chosen: Entry, system: units.System) -> Range | None:
    """What a slider of a decision goes over; None where no range is natural."""
    about = chosen.about
    if not isinstance(about, Quantity) or about.low is None or about.high is None or about.kind == "calendar_year":
        return None
    low, high, value = (
        float(units.convert(v, about.kind, system)) for v in (about.low, about.high, float(chosen.value))
    )
    digits = units.kind(about.kind).digits(system)
    step = 10.0**-digits if about.kind != "thickness" else {"us": 0.25, "metric": 1.0}[system]
    if not step < high - low <= MOST_STEPS * step * 2.5 or not math.isfinite(value):
        step = 10 ** math.floor(math.log10((high - low) / 100)) if high > low else 0.0
        if not step or digits < -math.floor(math.log10(step)):
            return None
    least = None if about.least is None else _on_step(float(units.convert(about.least, about.kind, system)), step, 1)
    low, high = _on_step(low, step, 1), _on_step(high, step, -1)
    return Range(low, high, step, value, units.label(units.unit_of(about.kind, system)), _decimals(step), least)


def _decimals(step: float) -> int:
    """Decimals that tell every step apart: 2 for 0.25. Steps are powers of ten, or quarters."""
    return max(0, -int(Decimal(repr(step)).normalize().as_tuple().exponent))
