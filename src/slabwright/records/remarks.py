"""Remarks: plain words with SI values in them, put into units only where somebody reads them.

A remark has a template with named places, ``"the overlay is {overlay}"``, and for each place a kind and a value. In a
table (a column of the kind ``remark``) and in the project file it is one text whose places hold their kind and value:
``"the overlay is {overlay:thickness:0.0762}"``. Plain words are a remark without places.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from slabwright import units
from slabwright.records.words import sections_named

__all__ = ["CONCRETE", "Remark", "by_number", "decoded", "encoded", "reads", "remark", "together", "worded"]

Value = tuple[str, float | str]  # kind ("text", "station", or one of units.KINDS) and value in SI

PLACE = re.compile(r"\{\{|\}\}|\{(\w+)\}")
FILLED = re.compile(r"\{\{|\}\}|\{(\w+):(\w+):([^{}]*)\}|[{}]")
CONCRETE = 1e9  # Pa: a modulus from here on is one of concrete, and is written in millions of psi or in GPa
ESCAPES = {"%": "%25", "{": "%7B", "}": "%7D"}


@dataclass(frozen=True)
class Remark:
    """``values``: name, kind and SI value of every place of the template; ``section``: the one it is about, or "".

    Raises ValueError for a place without a value, a value without a place, or an unknown kind.
    """

    template: str
    values: tuple[tuple[str, str, float | str], ...] = ()
    section: str = ""

    def __post_init__(self) -> None:
        places = {m[1] for m in PLACE.finditer(self.template) if m[1]}
        if places != {name for name, _, _ in self.values}:
            raise ValueError(f"places and values of a remark differ: {self.template!r}, {self.values!r}")
        if unknown := {kind for _, kind, _ in self.values} - {"text", "station", *units.KINDS}:
            raise ValueError(f"unknown kinds in a remark: {unknown}")


def remark(template: str, /, section: str = "", **values: Value) -> Remark:
    """``remark("the overlay is {overlay}", overlay=("thickness", 0.0762))``."""
    return Remark(template, tuple((name, kind, _plain(value)) for name, (kind, value) in values.items()), section)


def by_number(number: float, one: str, many: str) -> str:
    """The words for one, or those for any other number. Raises nothing."""
    return one if number == 1 else many


def _plain(value: float | str) -> float | str:
    return value if isinstance(value, str) else float(value)


def worded(said: Remark, system: units.System) -> str:
    """The remark as a sentence in the units of a system, its section or how many they are before it."""
    words = {name: _words(kind, value, system) for name, kind, value in said.values}
    sentence = _replaced(said.template, words.__getitem__)
    if not said.section:
        return sentence
    names = said.section.split(", ")
    told = sections_named(names)
    return (
        f"{told}: {sentence}" if told != said.section else f"Section{'s' if len(names) > 1 else ''} {told}: {sentence}"
    )


def together(remarks: Iterable[Remark]) -> tuple[Remark, ...]:
    """Remarks of several sections in the same words as one, in the place of the first, each differing number as a range.

    Those whose words differ too stay apart. Raises nothing.
    """
    groups: dict[tuple[object, ...], list[Remark]] = {}
    for number, said in enumerate(remarks):
        words = tuple((name, kind, value if isinstance(value, str) else "") for name, kind, value in said.values)
        groups.setdefault((said.template, words) if said.section else (number,), []).append(said)
    return tuple(_as_one(alike) for alike in groups.values())


def _as_one(alike: list[Remark]) -> Remark:
    first = alike[0]
    if len(alike) == 1:
        return first
    template, values = first.template, []
    for place, (name, kind, value) in enumerate(first.values):
        every = [said.values[place][2] for said in alike]
        if isinstance(value, str) or all(other == value for other in every):
            values.append((name, kind, value))
            continue
        numbers = [float(other) for other in every]
        template = template.replace(f"{{{name}}}", f"{{{name}_least}} to {{{name}_most}}")
        values += [(f"{name}_least", kind, min(numbers)), (f"{name}_most", kind, max(numbers))]
    return Remark(template, tuple(values), ", ".join(said.section for said in alike))


def _words(kind: str, value: float | str, system: units.System) -> str:
    if isinstance(value, str):
        return value
    if kind == "station":
        return units.format_station(value, system)
    kind = "slab_modulus" if kind == "modulus" and value >= CONCRETE else kind
    return units.format_quantity(value, kind, system)


def _replaced(template: str, fill: Callable[[str], str]) -> str:
    return PLACE.sub(lambda m: fill(m[1]) if m[1] else m[0][0], template)


def encoded(said: Remark) -> str:
    """The remark as one text, without its section; the inverse of ``decoded``."""
    filled = {name: f"{{{name}:{kind}:{_escaped(value)}}}" for name, kind, value in said.values}
    return PLACE.sub(lambda m: filled[m[1]] if m[1] else m[0], said.template)


def _escaped(value: float | str) -> str:
    return re.sub(r"[%{}]", lambda m: ESCAPES[m[0]], value) if isinstance(value, str) else repr(value)


def decoded(text: str, section: str = "") -> Remark:
    """The remark that a text of ``encoded`` holds, or several such texts joined; braces without a value are words."""
    values: dict[str, Value] = {}

    def place(found: re.Match[str]) -> str:
        name, kind, value = found.groups()
        if name is None:
            return found[0] if len(found[0]) == 2 else 2 * found[0]
        try:
            held = (kind, _read(kind, value))
        except ValueError:
            return f"{{{found[0]}}}"
        if values.get(name, held) != held:  # of another one of the joined texts
            name = f"{name}_{len(values)}"
        values[name] = held
        return f"{{{name}}}"

    template = FILLED.sub(place, text)
    return Remark(template, tuple((name, *value) for name, value in values.items()), section)


def _read(kind: str, value: str) -> float | str:
    if kind == "text":
        return re.sub(r"%(25|7B|7D)", lambda m: chr(int(m[1], 16)), value)
    if kind != "station" and kind not in units.KINDS:
        raise ValueError(kind)
    return float(value)


def reads(text: object, system: units.System) -> str:
    """A cell of a ``remark`` column as words."""
    return worded(decoded(str(text)), system)
