"""One declaration a stage: all that the rest of the house needs to know of it, and what it is given to work with."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from concurrent.futures import Executor
from dataclasses import dataclass, field
from importlib import import_module
from typing import TYPE_CHECKING

from slabwright.errors import SlabwrightError, Undeclared
from slabwright.records.table import Schema

if TYPE_CHECKING:  # a declaration is read at every start and loads nothing heavy
    import pandas as pd

    from slabwright.records.decisions import Decisions
    from slabwright.records.facts import Facts
    from slabwright.records.results import StageResult

__all__ = ["Given", "RunContext", "Stage"]


def _no_progress(_stage: str, _share: float) -> None:
    """Nobody wants to know."""


def _no_memory(_kind: str, _parts: tuple[object, ...], make: Callable[[], pd.DataFrame]) -> pd.DataFrame:
    return make()


@dataclass(frozen=True)
class RunContext:
    """What a stage works with: processes that help, somebody to tell the share done, a memory for what sections share.

    ``remember(kind, parts, make)`` gives the table that ``make`` would compute, or the one kept from equal ``parts``.
    ``tell`` may raise to stop the work; nothing half done is kept then.
    """

    executor: Executor | None = None
    tell: Callable[[str, float], None] = _no_progress
    remember: Callable[[str, tuple[object, ...], Callable[[], pd.DataFrame]], pd.DataFrame] = _no_memory


@dataclass(frozen=True)
class Given:
    """What ``run`` of a stage receives: facts, decisions, results of earlier stages by name, and its context."""

    facts: Facts
    decisions: Decisions
    results: Mapping[str, StageResult] = field(default_factory=dict)
    context: RunContext = field(default_factory=RunContext)

    def tables(self, stage: str) -> Mapping[str, pd.DataFrame]:
        """The result tables of an earlier stage."""
        return self.results[stage].tables


@dataclass(frozen=True)
class Stage:
    """A stage of the job.

    ``facts``: tables that it reads; ``needed``: those of them that must have rows; ``decisions``: groups that it reads;
    ``after``: stages whose results it takes; ``may_use``: stages whose results it takes where they exist; ``long``: takes
    minutes, so it runs only when asked for or needed; ``version``: of its method; ``outcomes``: its result tables in
    the order in which they are shown; ``run``: the module whose ``run(given)`` computes it; ``provenance``: the module that
    says where its numbers come from (``records.provenance``); ``preconditions``: the module whose ``PRECONDITIONS`` are
    functions of ``Given`` that raise InputError for what the stage cannot work without, beyond ``needed`` tables and
    required cells. One that looks at an earlier result is passed over while that is not computed.
    """

    name: str
    title: str
    question: str
    facts: tuple[str, ...]
    needed: tuple[str, ...]
    decisions: tuple[str, ...]
    after: tuple[str, ...]
    outcomes: tuple[Schema, ...]
    run: str
    may_use: tuple[str, ...] = ()
    provenance: str = ""
    preconditions: str = ""
    long: bool = False
    version: int = 1

    def __post_init__(self) -> None:
        if missing := set(self.needed) - set(self.facts):
            raise ValueError(f"stage {self.name} needs {', '.join(sorted(missing))} without reading it")

    def given(
        self, facts: Facts, decisions: Decisions, results: Mapping[str, StageResult], context: RunContext
    ) -> Given:
        """Only what the stage declared: any other table, group or stage raises Undeclared when it is looked at."""
        from slabwright.records.declared import only, only_results

        earlier = only_results(results, (*self.after, *self.may_use), self.name)
        return Given(only(facts, self.facts, self.name), only(decisions, self.decisions, self.name), earlier, context)

    def unmet(self, given: Given) -> tuple[SlabwrightError, ...]:
        """Why the stage cannot be computed from what is given; what ``compute`` would refuse, in its order."""
        from slabwright.records.required import lacking

        found: list[SlabwrightError] = list(lacking(given.facts, self.name, self.facts, self.needed))
        if found or not self.preconditions:
            return tuple(found)
        for condition in import_module(self.preconditions).PRECONDITIONS:
            try:
                condition(given)
            except Undeclared as problem:
                if all(name in given.results for name in self.after):
                    raise problem
            except SlabwrightError as problem:
                found.append(problem)
        return tuple(found)

    def compute(self, given: Given) -> StageResult:
        """The result from exactly what is given; raises the first of what is ``unmet``."""
        for problem in self.unmet(given):
            raise problem
        made: StageResult = import_module(self.run).run(given)
        self._check(made)
        return made

    def _check(self, made: StageResult) -> None:
        """Raise BadResult for a result that is not what was declared."""
        from slabwright.errors import BadResult

        declared = {schema.name: schema.names for schema in self.outcomes}
        given = {name: tuple(frame.columns) for name, frame in made.tables.items()}
        if made.stage != self.name:
            raise BadResult(self.name, "gives a result under another name", made.stage)
        for name in {**declared, **given}:
            if name not in given:
                raise BadResult(self.name, "does not give the table that it declares", name)
            if name not in declared:
                raise BadResult(self.name, "gives a table that it does not declare", name)
            if given[name] != declared[name]:
                raise BadResult(self.name, "gives other columns than it declares in the table", name)

    def outcome(self, name: str) -> Schema:
        """The schema of one of its tables; KeyError for a table that it does not declare."""
        return {schema.name: schema for schema in self.outcomes}[name]
