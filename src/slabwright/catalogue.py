"""The catalogue: every calculation of every room, with the published checks that cover it."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from importlib import import_module
from pathlib import Path
from typing import Any

from slabwright import units
from slabwright.calculation import REGISTRY, Calculation, Choice, Parameter, Quantity, title_of
from slabwright.errors import InputError
from slabwright.published import checks_by_calculation
from slabwright.sources import SOURCES

__all__ = ["Listed", "calculations", "describe", "evaluate", "find", "listed"]

ROOT = Path(__file__).parent


@dataclass(frozen=True)
class Listed:
    """What is known of a calculation without loading it: where it stands, its title, and how well it is known."""

    name: str
    module: str
    title: str
    tag: str

    @property
    def room(self) -> str:
        return self.module.split(".")[1]


@cache
def listed() -> dict[str, Listed]:
    """Every function of the package that is decorated with ``@calculation``, by name, sorted by room and name.

    Read from the source text, so that a list of a hundred calculations loads none of them. Raises ValueError where
    two have one name.
    """
    found = [entry for path in sorted(ROOT.rglob("*.py")) for entry in _in_file(path)]
    names = [entry.name for entry in found]
    if len(set(names)) < len(names):
        raise ValueError(f"two calculations are called {next(n for n in names if names.count(n) > 1)}")
    return {entry.name: entry for entry in sorted(found, key=lambda e: (e.room, e.name))}


def _in_file(path: Path) -> Iterator[Listed]:
    text = path.read_text("utf-8")
    if "\n@calculation(" not in text:
        return
    module = ".".join(["slabwright", *path.relative_to(ROOT).with_suffix("").parts])
    for node in ast.parse(text).body:
        if isinstance(node, ast.FunctionDef):
            for call in node.decorator_list:
                if isinstance(call, ast.Call) and getattr(call.func, "id", "") == "calculation":
                    words = {k.arg: k.value.value for k in call.keywords if isinstance(k.value, ast.Constant)}
                    doc = ast.get_docstring(node) or ""
                    yield Listed(
                        node.name, module, title_of(doc), str(words.get("tag") or SOURCES[str(words["source"])].tag)
                    )


def calculations() -> dict[str, Calculation[Any]]:
    """All calculations by name, sorted by room and name; loads them all."""
    return {name: _loaded(entry) for name, entry in listed().items()}


def _loaded(entry: Listed) -> Calculation[Any]:
    import_module(entry.module)
    return REGISTRY[entry.name]


def find(name: str) -> Calculation[Any]:
    """The calculation of that name; InputError with close names when there is none."""
    import difflib

    known = listed()
    if name not in known:
        close = difflib.get_close_matches(name, known, n=4, cutoff=0.4)
        raise InputError(
            "there is no calculation of this name",
            given=name,
            allowed=", ".join(close) or "see the list of calculations",
        )
    return _loaded(known[name])


def describe(calculation: Calculation[Any], system: units.System = "us") -> dict[str, Any]:
    """One catalogue entry as plain data; the documented form of ``calc list --json``."""
    return {
        "name": calculation.name,
        "title": calculation.title,
        "room": calculation.room,
        "equation": calculation.equation,
        "source": calculation.citation,
        "errata": calculation.source.errata,
        "tag": calculation.known,
        "inputs": [_input(p, system) for p in calculation.parameters],
        "outputs": [
            {"name": name, "unit": units.unit_of(q.kind, system), "meaning": q.meaning}
            for name, q in calculation.outputs.items()
        ],
        "checks": [
            {"id": c.id, "title": c.title, "source": c.source, "tag": c.tag, "kind": c.kind}
            for c in checks_by_calculation().get(calculation.name, ())
        ],
    }


def _input(parameter: Parameter, system: units.System) -> dict[str, Any]:
    about = parameter.about
    if isinstance(about, Choice):
        default = None if parameter.required else parameter.default
        return {
            "name": parameter.name,
            "unit": "",
            "default": default,
            "low": None,
            "high": None,
            "meaning": about.meaning,
            "choices": list(about.options),
        }
    unit = units.unit_of(about.kind, system)
    shown = [None if v is None else _round(units.from_si(v, unit, about.kind)) for v in (about.low, about.high)]
    default = None if parameter.required else _round(units.from_si(float(parameter.default), unit, about.kind))
    return {
        "name": parameter.name,
        "unit": unit,
        "default": default,
        "low": shown[0],
        "high": shown[1],
        "meaning": about.meaning,
        "many": about.vector,
    }


def _round(value: float) -> float:
    """Without the last bits that a conversion leaves behind."""
    return float(f"{value:.12g}")


def evaluate(name: str, texts: dict[str, str | float], system: units.System = "us") -> dict[str, Any]:
    """A calculation with inputs as text; the documented form of ``calc NAME --json``."""
    calculation = find(name)
    values = calculation.read(texts, system)
    found = calculation.values(calculation(**values))
    inputs = {
        p.name: {"value": values[p.name], "unit": ""}
        if isinstance(p.about, Choice)
        else _shown(values[p.name], p.about, system)
        for p in calculation.parameters
    }
    return {
        "name": calculation.name,
        "inputs": inputs,
        "outputs": {key: _shown(found[key], q, system) for key, q in calculation.outputs.items()},
        "source": calculation.citation,
        "tag": calculation.known,
        "working": calculation.working(system=system, **values).text(),
    }


def _shown(value: Any, about: Quantity, system: units.System) -> dict[str, Any]:
    unit = units.unit_of(about.kind, system)
    import numpy as np

    shown = np.vectorize(_round)(units.from_si(np.asarray(value, dtype=float), unit, about.kind))
    return {"value": shown.tolist(), "unit": unit}
