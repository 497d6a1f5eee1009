"""The stages in the order of the job, and what follows from their declarations.

A stage that is added is one more line of ``ORDER``; everything else is in the stage's own room.
"""

from __future__ import annotations

import re
from functools import cache
from importlib import import_module

from slabwright.errors import BadResult, InputError
from slabwright.records.stage import Stage
from slabwright.records.table import Schema

__all__ = ["ORDER", "check", "outcomes", "plan", "stage_named", "stages", "used_by"]

# Modules that hold a ``STAGE``.
ORDER = (
    "slabwright.survey.stage",
    "slabwright.evaluation.stage",
    "slabwright.repair.stage",
    "slabwright.design.stage",
    "slabwright.bond.stage",
    "slabwright.life.stage",
    "slabwright.economics.stage",
)


def stages() -> tuple[Stage, ...]:
    """All stages in the order of the job."""
    return _declared(ORDER)


@cache
def _declared(order: tuple[str, ...]) -> tuple[Stage, ...]:
    found = tuple(import_module(module).STAGE for module in order)
    check(found)
    return found


def check(found: tuple[Stage, ...]) -> None:
    """Raise BadResult where two stages or tables have one name, or a stage takes what does not come before it."""
    earlier: set[str] = set()
    tables: set[str] = set()
    for stage in found:
        if not re.fullmatch(r"[a-z][a-z_]*", stage.name):
            raise BadResult(stage.name, "has a name that is no address: lower-case letters and underscores", stage.name)
        if stage.name in earlier:
            raise BadResult(stage.name, "has the name of another stage", stage.name)
        if late := set(stage.after) - earlier:
            raise BadResult(stage.name, "takes results of what does not come before it", ", ".join(sorted(late)))
        if stage.name in stage.may_use:
            raise BadResult(stage.name, "may use its own result", stage.name)
        for schema in stage.outcomes:
            if schema.name in tables:
                raise BadResult(stage.name, "declares a table of another stage", schema.name)
            tables.add(schema.name)
        earlier.add(stage.name)


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
