"""Published and independent check values, one TOML file for each publication.

Tests, the catalogue and the validation page are all made from these files, so that a number is written once.
A check names the calculation, its inputs with units, the expected outputs, a tolerance with its reason, the
source and its tag, and its kind: ``published`` (a printed number), ``independent`` (another method or theory),
or ``constructed`` (an example of our own for regression, no published answer).
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

__all__ = ["Check", "Comparison", "checks", "checks_by_calculation", "compare"]


@dataclass(frozen=True)
class Check:
    """One check of one calculation."""

    id: str
    title: str
    calculation: str
    kind: str
    source: str
    tag: str
    inputs: dict[str, str]
    expected: dict[str, str]
    tolerance: str
    reason: str
    file: str
    note: str = ""


@dataclass(frozen=True)
class Comparison:
    """One output of a check beside ours, in the unit of the expected value; lists for vectors."""

    check: Check
    output: str
    unit: str
    expected: float
    ours: float
    allowed: float

    @property
    def difference(self) -> float:
        return self.ours - self.expected

    @property
    def passes(self) -> bool:
        return abs(self.difference) <= self.allowed


@cache
def checks() -> tuple[Check, ...]:
    """All checks, in the order of their files."""
    return tuple(_read())


def _read() -> Iterator[Check]:
    for file in sorted(files(__package__).iterdir(), key=lambda f: f.name):
        if file.name.endswith(".toml"):
            document = tomllib.loads(file.read_text("utf-8"))
            for entry in document["check"]:
                yield Check(**{"source": document["source"], "tag": document["tag"], "file": file.name, **entry})


@cache
def checks_by_calculation() -> dict[str, tuple[Check, ...]]:
    """The checks that cover each calculation."""
    found: dict[str, list[Check]] = {}
    for check in checks():
        found.setdefault(check.calculation, []).append(check)
    return {name: tuple(entries) for name, entries in found.items()}


def compare(check: Check, calculation: Any) -> tuple[Comparison, ...]:
    """Evaluate a check with its calculation and set every expected value beside ours."""
    import numpy as np

    from slabwright import units

    values = calculation.values(calculation(**calculation.read(check.inputs)))
    found = []
    for name, text in check.expected.items():
        kind = calculation.outputs[name].kind
        unit = text.split(",")[-1].strip().partition(" ")[2].strip() or units.unit_of(kind)
        expected = [units.from_si(v, unit, kind) for v in units.parse_many(text, kind)]
        ours = np.atleast_1d(units.from_si(np.asarray(values[name], dtype=float), unit, kind))
        if len(expected) != len(ours):
            raise ValueError(f"{check.id}: {len(expected)} values expected of {name}, {len(ours)} found")
        for e, o in zip(expected, ours, strict=True):
            found.append(Comparison(check, name, unit, e, float(o), _allowed(check.tolerance, e, unit, kind)))
    return tuple(found)


def _allowed(tolerance: str, expected: float, unit: str, kind: str) -> float:
    """A relative tolerance ends in ``% of value``; anything else is absolute, in its own unit."""
    from slabwright import units

    if tolerance.endswith("% of value"):
        return abs(expected) * float(tolerance.removesuffix("% of value")) / 100
    number, _, own = tolerance.partition(" ")
    factor = units.to_si(1.0, own or unit, kind) - units.to_si(0.0, own or unit, kind)
    back = units.to_si(1.0, unit, kind) - units.to_si(0.0, unit, kind)
    return float(number) * factor / back
