"""The engineer's decisions, one frozen group for each stage; a named set of them is an alternative.

A field's annotation is the same ``Quantity`` or ``Choice`` as in a calculation, so bounds, units and
meaning are written once and every form, command and report reads them from here. Values are SI.
"""

from __future__ import annotations

import math
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass, field, fields, replace
from functools import cache
from typing import Any, get_args, get_type_hints

from slabwright import units
from slabwright.calculation import Choice, Quantity, Stations, Words
from slabwright.errors import InputError, OutOfRange
from slabwright.records.decisions.basis import BasisDecisions
from slabwright.records.decisions.bond import BondDecisions
from slabwright.records.decisions.design import DesignDecisions
from slabwright.records.decisions.economics import EconomicsDecisions
from slabwright.records.decisions.evaluation import EvaluationDecisions
from slabwright.records.decisions.life import LifeDecisions
from slabwright.records.decisions.past import present, present_name
from slabwright.records.decisions.plate import PlateDecisions
from slabwright.records.decisions.repair import RepairDecisions
from slabwright.records.decisions.survey import SurveyDecisions
from slabwright.records.decisions.traffic import TrafficDecisions

__all__ = ["Decisions", "Entry", "change", "checked", "entries", "from_plain", "stations", "to_plain"]

LONGEST_WORDS = 300  # characters of a reason or a list


@dataclass(frozen=True)
class Decisions:
    """All groups of one alternative."""

    survey: SurveyDecisions = field(default_factory=SurveyDecisions)
    traffic: TrafficDecisions = field(default_factory=TrafficDecisions)
    evaluation: EvaluationDecisions = field(default_factory=EvaluationDecisions)
    repair: RepairDecisions = field(default_factory=RepairDecisions)
    design: DesignDecisions = field(default_factory=DesignDecisions)
    life: LifeDecisions = field(default_factory=LifeDecisions)
    bond: BondDecisions = field(default_factory=BondDecisions)
    plate: PlateDecisions = field(default_factory=PlateDecisions)
    basis: BasisDecisions = field(default_factory=BasisDecisions)
    economics: EconomicsDecisions = field(default_factory=EconomicsDecisions)


@dataclass(frozen=True)
class Entry:
    """One decision as it is listed: ``design.thickness``, its value in SI, and what it is."""

    name: str
    value: float | str
    about: Quantity | Choice

    @property
    def is_price(self) -> bool:
        """Whether it is money: each, or for a length, an area or a volume."""
        return isinstance(self.about, Quantity) and self.about.kind.startswith("money")

    def text(self, system: units.System = "us") -> str:
        if isinstance(self.about, Stations):
            return "; ".join(units.format_station(metres, system) for metres in stations(str(self.value)))
        if isinstance(self.about, Choice):
            return str(self.value)
        return units.format_quantity(float(self.value), self.about.kind, system)


def entries(decisions: Decisions) -> Iterator[Entry]:
    """Every decision in order."""
    for group in fields(decisions):
        value = getattr(decisions, group.name)
        for name, about in _annotated(type(value)).items():  # type: ignore[arg-type]
            yield Entry(f"{group.name}.{name}", getattr(value, name), about)


@cache
def _annotated(group: type) -> dict[str, Any]:
    """What is said of each decision of a group; read from the annotations once."""
    return {name: get_args(hint)[1] for name, hint in get_type_hints(group, include_extras=True).items()}


def change(decisions: Decisions, name: str, text: str | float, system: units.System = "us") -> Decisions:
    """The decisions with one of them read from text, e.g. ``change(d, "design.thickness", "4 in")``.

    Raises InputError for an unknown name or an unreadable value, OutOfRange for one outside its bounds.
    """
    name = present_name(name)
    about = {e.name: e.about for e in entries(decisions)}.get(name)
    if about is None:
        close = ", ".join(e.name for e in entries(decisions))
        raise InputError("there is no decision of this name", given=name, allowed=close)
    if isinstance(about, Stations):
        given: float | str = _in_metres(name, str(text), about, system)
    else:
        given = str(text) if isinstance(about, Choice) else _number(name, text, about, system)
    value = checked(name, given, about, system)
    group, attribute = name.split(".")
    return replace(decisions, **{group: replace(getattr(decisions, group), **{attribute: value})})


def checked(name: str, value: float | str, about: Quantity | Choice, system: units.System = "us") -> float | str:
    """The value in SI, or the word, if the decision may have it; InputError or OutOfRange, in ``system``, if not."""
    if isinstance(about, Quantity):
        return _within_bounds(name, value, about, system)
    if isinstance(about, Stations):
        return _in_metres(name, str(value), about, "us")
    word = str(value).strip()
    if about.options and word not in about.options:
        raise InputError(
            f"{name} ({about.meaning}) takes one of its choices", given=word, allowed=", ".join(about.options)
        )
    if isinstance(about, Words) and (len(word) > LONGEST_WORDS or not word.isprintable()):
        raise InputError(
            f"{name} ({about.meaning}) is one line of plain words",
            given=word[:60],
            allowed=f"up to {LONGEST_WORDS} printable characters",
        )
    if isinstance(about, Words) and about.currency and not all(map(_of_currency, word)):
        raise InputError(
            f"{name} ({about.meaning}) is the name or the sign of a currency",
            given=word[:60],
            allowed="letters, currency signs and spaces, for example EUR, US$ or Swiss francs",
        )
    return word


def _of_currency(character: str) -> bool:
    kind = unicodedata.category(character)
    return character == " " or kind[0] in "LM" or kind == "Sc"


def _number(name: str, text: str | float, about: Quantity, system: units.System) -> float:
    """A quantity in SI; a refusal names the decision."""
    try:
        return units.parse(text, about.kind, system)
    except InputError as problem:
        problem.where = problem.where or name
        raise


def stations(text: str, system: units.System = "us") -> list[float]:
    """Stations separated by semicolons, in metres; InputError for one that cannot be read."""
    return [units.parse_station(each.strip(), system) for each in text.split(";") if each.strip()]


def _in_metres(name: str, text: str, about: Stations, system: units.System) -> str:
    """Stations as they are kept: in metres, in order, each once."""
    try:
        found = stations(text, system)
    except InputError as problem:
        example = "; ".join(units.format_station(metres, system) for metres in (4000.0, 5000.0))
        raise InputError(
            f"{name} ({about.meaning}) is not a list of stations", given=problem.given, allowed=f"for example {example}"
        ) from None
    return "; ".join(f"{metres:.10g} m" for metres in sorted(set(found)))


def _within_bounds(name: str, value: float | str, about: Quantity, system: units.System) -> float:
    if isinstance(value, str) or not math.isfinite(value):
        raise InputError(f"{name} ({about.meaning}) is a number", given=value)
    low, high = about.low, about.high
    slack = 1e-9
    if (low is not None and value < low - slack * abs(low)) or (high is not None and value > high + slack * abs(high)):
        bounds = [("any" if b is None else units.format_quantity(b, about.kind, system)) for b in (low, high)]
        raise OutOfRange(
            f"{name} ({about.meaning}) is outside its bounds",
            given=units.format_quantity(value, about.kind, system),
            allowed=" to ".join(bounds),
        )
    if about.least is not None and low is not None and low < value < about.least * (1 - slack):
        known = [units.format_quantity(b, about.kind, system) for b in (low, about.least, high or math.inf)]
        raise OutOfRange(
            f"{name} ({about.meaning}) is outside its bounds",
            given=units.format_quantity(value, about.kind, system),
            allowed=f"{known[0]}, or {known[1]} to {known[2]}",
        )
    return value


def to_plain(decisions: Decisions) -> dict[str, float | str]:
    """As a flat mapping in SI, for the project file."""
    return {e.name: e.value for e in entries(decisions)}


def from_plain(plain: dict[str, Any]) -> Decisions:
    """From the mapping of ``to_plain`` of this or any earlier version.

    Names it does not hold keep their default; names that no version had raise InputError.
    """
    decisions = Decisions()
    known = {e.name for e in entries(decisions)}
    groups: dict[str, dict[str, Any]] = {}
    for name, value in present(plain).items():
        if name not in known:
            raise InputError("the project holds a decision that this version does not know", given=name)
        group, attribute = name.split(".")
        groups.setdefault(group, {})[attribute] = value
    changed = {group: replace(getattr(decisions, group), **values) for group, values in groups.items()}
    return replace(decisions, **changed)
