"""Calculations: the catalogue, and one evaluation at a time. No road is needed."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Body, Path

from slabwright import catalogue
from slabwright.errors import InputError
from slabwright.units import System
from slabwright.web.api.errors import NotHere, errors
from slabwright.web.api.models import CalculationEntry, CalculationInputs, CalculationResult, plain

__all__ = ["add_calculations"]

Name = Annotated[str, Path(description="A name from the list of calculations.")]


def add_calculations(router: APIRouter) -> None:
    @router.get("/calculations", tags=["calculations"], summary="Every calculation with its inputs, outputs and checks")
    def calculations(units: System = "us") -> list[CalculationEntry]:
        found = catalogue.calculations().values()
        return [CalculationEntry(**catalogue.describe(calculation, units)) for calculation in found]

    @router.get("/calculations/{name}", tags=["calculations"], summary="One calculation", responses=errors(404))
    def calculation(name: Name, units: System = "us") -> CalculationEntry:
        _known(name)
        return CalculationEntry(**catalogue.describe(catalogue.find(name), units))

    @router.post(
        "/calculations/{name}",
        tags=["calculations"],
        summary="Evaluate a calculation, with its working",
        responses=errors(404),
    )
    def evaluate(name: Name, given: Annotated[CalculationInputs, Body()], units: System = "us") -> CalculationResult:
        _known(name)
        found = catalogue.evaluate(name, dict(given.inputs), units)
        for part in ("inputs", "outputs"):
            found[part] = {key: {**shown, "value": plain(shown["value"])} for key, shown in found[part].items()}
        return CalculationResult(**found)


def _known(name: str) -> None:
    try:
        catalogue.find(name)
    except InputError as problem:
        raise NotHere(problem.what, given=name, allowed=problem.allowed) from None
