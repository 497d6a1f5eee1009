"""The catalogue: every calculation of every room, with the published checks that cover it."""

from __future__ import annotations

from importlib import import_module
from typing import Any

import numpy as np

from slabwright import units
from slabwright.calculation import REGISTRY, Calculation, Choice, Parameter, Quantity
from slabwright.errors import InputError
from slabwright.published import checks_by_calculation

__all__ = ["SCHEMA_VERSION", "calculations", "describe", "evaluate", "find"]

SCHEMA_VERSION = 1
MODULES = (
    "climate.heat", "design.joints", "design.steel", "design.thickness", "evaluation.backcalculation", "evaluation.condition", "evaluation.joints", "interface.bond_growth", "interface.composite", "interface.joined_plates", "interface.mixed_mode", "interface.partial_interaction", "interface.strips", "materials.ageing_stress", "materials.creep", "materials.fatigue", "materials.growth", "materials.relaxation", "materials.shrinkage", "slab.closed_forms", "slab.infinite_plate", "slab.load_transfer", "slab.serviceability", "statistics.lots", "statistics.samples", "survey.basins", "survey.condition_index", "survey.cores", "survey.sections", "traffic.axles",
)  # fmt: skip


def calculations() -> dict[str, Calculation[Any]]:
    """All calculations by name, sorted by room and name."""
    for module in MODULES:
        import_module(f"slabwright.{module}")
    return dict(sorted(REGISTRY.items(), key=lambda item: (item[1].room, item[0])))


def find(name: str) -> Calculation[Any]:
    """The calculation of that name; InputError with close names when there is none."""
    import difflib

    known = calculations()
    if name not in known:
        close = difflib.get_close_matches(name, known, n=4, cutoff=0.4)
        raise InputError(
            "there is no calculation of this name",
            given=name,
            allowed=", ".join(close) or "see the list of calculations",
        )
    return known[name]


def describe(calculation: Calculation[Any], system: units.System = "us") -> dict[str, Any]:
    """One catalogue entry as plain data; the documented, versioned form of ``calc list --json``."""
    return {
        "name": calculation.name,
        "title": calculation.title,
        "room": calculation.room,
        "equation": calculation.equation,
        "source": calculation.citation,
        "errata": calculation.source.errata,
        "tag": calculation.tag,
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
        return {"name": parameter.name, "unit": "", "default": default, "low": None, "high": None,
                "meaning": about.meaning, "choices": list(about.options)}  # fmt: skip
    unit = units.unit_of(about.kind, system)
    shown = [None if v is None else _round(units.from_si(v, unit, about.kind)) for v in (about.low, about.high)]
    default = None if parameter.required else _round(units.from_si(float(parameter.default), unit, about.kind))
    return {"name": parameter.name, "unit": unit, "default": default, "low": shown[0], "high": shown[1],
            "meaning": about.meaning, "many": about.vector}  # fmt: skip


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
        "tag": calculation.tag,
        "working": calculation.working(system=system, **values).text(),
    }


def _shown(value: Any, about: Quantity, system: units.System) -> dict[str, Any]:
    unit = units.unit_of(about.kind, system)
    shown = np.vectorize(_round)(units.from_si(np.asarray(value, dtype=float), unit, about.kind))
    return {"value": shown.tolist(), "unit": unit}
