"""The stages in the order of the job, and what follows from their declarations.

A stage that is added is one more line of ``ORDER``; everything else is in the stage's own room.
"""

from __future__ import annotations

from functools import cache
from importlib import import_module

from slabwright.errors import InputError
from slabwright.records.stage import Stage
from slabwright.records.table import Schema

__all__ = ["ORDER", "outcomes", "plan", "stage_named", "stages", "used_by"]

# Modules that hold a ``STAGE``.
ORDER = (
    "slabwright.survey.stage",
    "slabwright.evaluation.stage",
    "slabwright.repair.stage",
    "slabwright.design.stage",
    "slabwright.bond.stage",
    "slabwright.life.stage",
)


def stages() -> tuple[Stage, ...]:
    """All stages in the order of the job."""
    return _declared(ORDER)


@cache
def _declared(order: tuple[str, ...]) -> tuple[Stage, ...]:
    return tuple(import_module(module).STAGE for module in order)


def stage_named(name: str) -> Stage:
    """The stage of that name, or InputError with the names there are."""
    for stage in stages():
        if stage.name == name:
            return stage
    raise InputError("there is no stage of this name", given=name, allowed=", ".join(s.name for s in stages()))


def plan(until: str | None = None) -> tuple[Stage, ...]:
    """What to compute for a request, in order: a stage and all that it takes results of; without a name, all but long ones.

    Raises InputError for an unknown name.
    """
    wanted = {s.name for s in stages() if not s.long} if until is None else {stage_named(until).name}
    for stage in reversed(stages()):
        if stage.name in wanted:
            wanted.update(stage.after)
    return tuple(stage for stage in stages() if stage.name in wanted)


def used_by(name: str) -> tuple[Stage, ...]:
    """The stages that take a stage's result, directly or not."""
    found: list[Stage] = []
    for later in stages():
        taken = (*later.after, *later.may_use)
        if name in taken or any(stage.name in taken for stage in found):
            found.append(later)
    return tuple(found)


def outcomes() -> dict[str, Schema]:
    """Every result table by name, in the order of the stages."""
    return {schema.name: schema for stage in stages() for schema in stage.outcomes}
