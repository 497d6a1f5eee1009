"""One declaration a stage: all that the rest of the house needs to know of it, and what it is given to work with."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import Executor
from dataclasses import dataclass, field, fields
from importlib import import_module
from typing import TYPE_CHECKING, Any, TypeVar

from slabwright.errors import Undeclared
from slabwright.records.decisions import Decisions
from slabwright.records.facts import Facts
from slabwright.records.results import StageResult
from slabwright.records.table import Schema

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["Given", "RunContext", "Stage"]

T = TypeVar("T", Facts, Decisions)


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
    says where its numbers come from (``records.provenance``).
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
    long: bool = False
    version: int = 1

    def __post_init__(self) -> None:
        if missing := set(self.needed) - set(self.facts):
            raise ValueError(f"stage {self.name} needs {', '.join(sorted(missing))} without reading it")

    def given(
        self, facts: Facts, decisions: Decisions, results: Mapping[str, StageResult], context: RunContext
    ) -> Given:
        """Only what the stage declared: any other table, group or stage raises Undeclared when it is looked at."""
        known = {name: result for name, result in results.items() if name in (*self.after, *self.may_use)}
        return Given(
            _only(facts, self.facts, self.name), _only(decisions, self.decisions, self.name),
            _Results(known, self.name), context,
        )  # fmt: skip

    def compute(self, given: Given) -> StageResult:
        """The result from exactly what is given."""
        made: StageResult = import_module(self.run).run(given)
        return made

    def outcome(self, name: str) -> Schema:
        """The schema of one of its tables; KeyError for a table that it does not declare."""
        return {schema.name: schema for schema in self.outcomes}[name]


class _Results(Mapping[str, StageResult]):
    """Results of earlier stages; one that was not declared, or that is optional and absent, raises Undeclared."""

    def __init__(self, known: Mapping[str, StageResult], stage: str) -> None:
        self._known, self._stage = dict(known), stage

    def __getitem__(self, name: str) -> StageResult:
        if name not in self._known:
            raise Undeclared(self._stage, "the result of the stage", name)
        return self._known[name]

    def __contains__(self, name: object) -> bool:
        return name in self._known

    def __iter__(self) -> Iterator[str]:
        return iter(self._known)

    def __len__(self) -> int:
        return len(self._known)


def _only(whole: T, names: tuple[str, ...], stage: str) -> T:
    """Facts or decisions with nothing but the named tables or groups."""
    kind, what = (_SomeFacts, "the table") if isinstance(whole, Facts) else (_SomeDecisions, "the decisions")
    made: Any = object.__new__(kind)
    hidden = frozenset(f.name for f in fields(type(whole))) - set(names)
    made.__dict__.update({name: getattr(whole, name) for name in names}, _hidden=(hidden, stage, what))
    return made


def _look(self: object, name: str) -> Any:
    held = object.__getattribute__(self, "__dict__")
    hidden, stage, what = held.get("_hidden", ((), "", ""))
    if name in hidden:
        raise Undeclared(stage, what, name)
    return object.__getattribute__(self, name)


class _SomeFacts(Facts):
    __getattribute__ = _look


class _SomeDecisions(Decisions):
    __getattribute__ = _look
