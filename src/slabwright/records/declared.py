"""Facts, decisions and results narrowed to what a stage declared; anything else raises Undeclared when looked at."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import fields
from typing import Any, TypeVar

from slabwright.errors import Undeclared
from slabwright.records.decisions import Decisions
from slabwright.records.facts import Facts
from slabwright.records.results import StageResult

__all__ = ["only", "only_results"]

T = TypeVar("T", Facts, Decisions)


def only(whole: T, names: tuple[str, ...], stage: str) -> T:
    """Facts or decisions with nothing but the named tables or groups."""
    kind, what = (_SomeFacts, "the table") if isinstance(whole, Facts) else (_SomeDecisions, "the decisions")
    made: Any = object.__new__(kind)
    hidden = frozenset(f.name for f in fields(type(whole))) - set(names)
    made.__dict__.update({name: getattr(whole, name) for name in names}, _hidden=(hidden, stage, what))
    return made


def only_results(results: Mapping[str, StageResult], names: tuple[str, ...], stage: str) -> Mapping[str, StageResult]:
    """The results of the named stages."""
    return _Results({name: result for name, result in results.items() if name in names}, stage)


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
