"""Public docstrings say what a caller needs: units, shapes of arrays, what is raised, and the source of an equation."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import re
from collections.abc import Callable
from typing import Any

import pytest

from slabwright import catalogue, units
from slabwright.calculation import Quantity
from slabwright.stages import ORDER, stages

ROOMS = ("roadway", "materials", "slab", "interface", "plate", "climate", "statistics", "traffic")
UNIT = re.compile(r"\[[^\]]+\]|no unit|counts")
SHAPE = re.compile(r"\((?:\w+, ?)+\w*\)|\(\.\.\.|scalar|table", re.IGNORECASE)
RAISES = re.compile(r"Raises (?:nothing\b|[A-Z]\w+)")


def offered() -> dict[str, Callable[..., Any]]:
    """Each plain function that a module of a subject room offers, and ``run`` of each stage, by its full name."""
    found: list[Callable[..., Any]] = [importlib.import_module(stage.run).run for stage in stages()]
    for room in ROOMS:
        package = importlib.import_module(f"slabwright.{room}")
        for entry in pkgutil.iter_modules(package.__path__, f"{package.__name__}."):
            module = importlib.import_module(entry.name)
            found += [o for o in (getattr(module, name) for name in module.__all__) if inspect.isfunction(o)]
    return {f"{function.__module__}.{function.__qualname__}": function for function in found}


FUNCTIONS = offered()


def test_rooms_and_stages_are_looked_through() -> None:
    rooms = {*ROOMS, *(module.split(".")[1] for module in ORDER)}
    assert {name.split(".")[1] for name in FUNCTIONS} == rooms - {"slab"}  # which offers calculations alone


@pytest.mark.parametrize("name", catalogue.listed())
def test_a_calculation_describes_itself(name: str) -> None:
    calculation = catalogue.find(name)
    said = calculation.__doc__ or ""
    given, made = said.split("Results, of the broadcast shape:")
    for parameter in calculation.parameters:
        about = parameter.about
        unit = f" [{units.kind(about.kind).si}]" if isinstance(about, Quantity) else ""
        assert re.search(rf"^ +{re.escape(parameter.name + unit)}.*: {re.escape(about.meaning)}", given, re.MULTILINE)
    for result, about in calculation.outputs.items():
        assert f"{result} [{units.kind(about.kind).si}]" in made
        assert about.meaning in made
    assert "Raises OutOfRange" in made
    assert f"Source: {calculation.citation}" in made


@pytest.mark.parametrize("name", FUNCTIONS)
def test_a_public_function_says_units_shapes_and_errors(name: str) -> None:
    said = " ".join((inspect.getdoc(FUNCTIONS[name]) or "").split())
    wanted = {"a unit in square brackets": UNIT, "the shape of its arrays": SHAPE, "what it raises": RAISES}
    missing = [what for what, pattern in wanted.items() if not pattern.search(said)]
    assert not missing, f"{name} does not say {', '.join(missing)}"
