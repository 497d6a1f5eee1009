"""The one conductor: loads facts, runs the stages in order, keeps results, and knows what is stale."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Mapping
from concurrent.futures import Executor
from dataclasses import dataclass
from functools import cached_property
from importlib import import_module
from typing import TYPE_CHECKING, Any

from slabwright import __version__
from slabwright.errors import InputError, MissingFact
from slabwright.project import Project, fingerprint
from slabwright.records.decisions import Decisions
from slabwright.records.facts import Facts
from slabwright.records.results import Desk, StageResult

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["STAGES", "Computation", "Shelf", "Stage", "StageState", "stage_named", "wanted"]

Progress = Callable[[str, float], None]


@dataclass(frozen=True)
class Stage:
    """What a stage depends on: tables of facts, groups of decisions, earlier stages.

    A long stage (``room`` given) runs only when asked for by name; it works at a desk. Its ``method`` is the version
    of what it computes, told here so that nobody must load it to know whether a result is current.
    """

    name: str
    facts: tuple[str, ...]
    decisions: tuple[str, ...]
    upstream: tuple[str, ...]
    room: str = ""
    method: int = 0

    @property
    def long(self) -> bool:
        return bool(self.room)

    def run(self, facts: Facts, decisions: Decisions, results: Mapping[str, StageResult], desk: Desk) -> StageResult:
        given = decisions.survey if self.name == "survey" else decisions
        more = (desk,) if self.long else ()
        result: StageResult = self._module.run(facts, *(results[name] for name in self.upstream), given, *more)
        return result

    @property
    def version(self) -> int:
        return self.method if self.long else int(self._module.METHOD_VERSION)

    @property
    def _module(self) -> Any:
        return import_module(f"slabwright.{self.room}.{self.name}_run" if self.long else f"slabwright.{self.name}.run")


STAGES = (
    Stage("survey", ("road", "lanes", "layers", "deflections", "cores", "distresses"), ("survey",), ()),
    Stage(
        "evaluation",
        ("road", "lanes", "layers", "bridges", "deflections", "cores", "distresses", "counts", "axles"),
        ("survey", "traffic", "evaluation"),
        ("survey",),
    ),
    Stage("repair", ("lanes", "layers", "cores"), ("evaluation", "repair"), ("survey", "evaluation")),
    Stage(
        "overlay",
        ("lanes", "layers", "bridges"),
        ("survey", "traffic", "evaluation", "overlay"),
        ("evaluation", "repair"),
    ),
    Stage(
        "bond",
        ("lanes", "layers", "weather"),
        ("survey", "evaluation", "repair", "overlay", "bond", "plate"),
        ("evaluation", "overlay"),
        room="overlay",
        method=1,
    ),
    Stage(
        "life",
        ("lanes", "layers", "weather", "axles"),
        ("traffic", "evaluation", "repair", "overlay", "life", "plate"),
        ("evaluation", "overlay"),
        room="overlay",
        method=1,
    ),
)


def stage_named(name: str) -> Stage:
    """The stage of that name, or InputError with the names there are."""
    for stage in STAGES:
        if stage.name == name:
            return stage
    raise InputError("there is no stage of this name", given=name, allowed=", ".join(s.name for s in STAGES))


def wanted(until: str | None = None) -> list[str]:
    """Names of the stages behind a result in their order; without a name, all but the long ones."""
    names = [s.name for s in STAGES if not s.long]
    if until is None:
        return names
    stage = stage_named(until)
    return [*names, until] if stage.long else names[: names.index(until) + 1]


@dataclass(frozen=True)
class StageState:
    """Whether a stage's result is current, stale, or cannot be computed, and what it still needs."""

    stage: str
    state: str
    needs: str = ""


RESULTS_AT_HAND = 16  # the stages of a few alternatives


class Shelf:
    """The facts of one project as last read, with the fingerprint of each table; read anew only when they changed.

    A workspace keeps one for each open project, so that a decision does not read a hundred thousand rows again. The
    results last used lie here too, by the fingerprint of all they depend on.
    """

    def __init__(self) -> None:
        self._results: OrderedDict[str, StageResult] = OrderedDict()
        self._mark: int | None = None
        self._facts = Facts()
        self._prints: dict[str, str] = {}
        self._lock = threading.Lock()

    def take(self, project: Project) -> tuple[Facts, dict[str, str]]:
        """Facts and fingerprints of the project's present state."""
        with self._lock:
            mark = project.facts_mark()
            if mark != self._mark:
                self._facts = project.facts()
                names = sorted({name for stage in STAGES for name in stage.facts})
                self._prints = {name: fingerprint(getattr(self._facts, name)) for name in names}
                self._mark = mark
            return self._facts, self._prints

    def result(self, key: str) -> StageResult | None:
        """The result of that fingerprint, when it was used lately."""
        with self._lock:
            return self._results.get(key)

    def put(self, key: str, result: StageResult) -> None:
        with self._lock:
            self._results[key] = result
            self._results.move_to_end(key)
            while len(self._results) > RESULTS_AT_HAND:
                self._results.popitem(last=False)


class Computation:
    """The stages of one alternative of one project at one moment; facts are read once, when first needed."""

    def __init__(self, project: Project, alternative: str = "base", shelf: Shelf | None = None) -> None:
        self.project = project
        self.alternative = alternative
        self.decisions = project.decisions(alternative)
        self._shelf = shelf or Shelf()
        self._keys: dict[str, str] = {}
        self._results: dict[str, StageResult] = {}

    @cached_property
    def _held(self) -> tuple[Facts, dict[str, str]]:
        return self._shelf.take(self.project)

    @property
    def facts(self) -> Facts:
        return self._held[0]

    def key(self, name: str) -> str:
        """Fingerprint of everything that the result of a stage depends on."""
        if name not in self._keys:
            stage = stage_named(name)
            groups = [getattr(self.decisions, group) for group in stage.decisions]
            self._keys[name] = fingerprint(
                __version__, name, stage.version, [self._held[1][t] for t in stage.facts], groups,
                [self.key(up) for up in stage.upstream],
            )  # fmt: skip
        return self._keys[name]

    def saved(self, name: str) -> StageResult | None:
        """The current result of a stage if it has been computed."""
        if name not in self._results:
            key = self.key(name)
            found = self._shelf.result(key) or self.project.result(name, key)
            if found is None:
                return None
            self._shelf.put(key, found)
            self._results[name] = found
        return self._results[name]

    def result(self, name: str, progress: Progress | None = None, executor: Executor | None = None) -> StageResult:
        """The result of a stage, computing it and what it depends on where stale."""
        stage = stage_named(name)
        current = self.saved(name)
        if current is not None:
            return current
        upstream = {up: self.result(up, progress) for up in stage.upstream}
        if progress:
            progress(name, 0.0)
        made = stage.run(self.facts, self.decisions, upstream, self._desk(progress, executor))
        self.project.save_result(name, self.key(name), made)
        self._shelf.put(self.key(name), made)
        self._results[name] = made
        if progress:
            progress(name, 1.0)
        return made

    def run(
        self, until: str | None = None, progress: Progress | None = None, executor: Executor | None = None
    ) -> dict[str, StageResult]:
        """Results of all stages that follow decisions at once, or of those up to and including one."""
        return {name: self.result(name, progress, executor) for name in wanted(until)}

    def _desk(self, progress: Progress | None, executor: Executor | None) -> Desk:
        def remember(kind: str, parts: tuple[object, ...], make: Callable[[], pd.DataFrame]) -> pd.DataFrame:
            key = fingerprint(__version__, kind, *parts)
            found = self.project.result(kind, key)
            if found is None:
                found = StageResult(kind, {kind: make()})
                self.project.save_result(kind, key, found)
            return found.tables[kind]

        return Desk(executor, progress or (lambda _name, _share: None), remember)

    def states(self) -> tuple[StageState, ...]:
        """What each stage is: current, stale, or waiting for facts."""
        return tuple(self._state(stage) for stage in STAGES)

    def _state(self, stage: Stage) -> StageState:
        try:
            for name in NEEDED.get(stage.name, ()):
                self.facts.need(name, stage.name)
        except MissingFact as missing:
            return StageState(stage.name, "waiting", str(missing))
        return StageState(stage.name, "current" if self.saved(stage.name) else "stale")


# Tables without which a stage cannot start; later stages inherit what the earlier ones need.
NEEDED: dict[str, tuple[str, ...]] = {
    "survey": ("layers", "deflections"),
    "evaluation": ("layers", "deflections", "counts"),
    "repair": ("layers", "deflections", "counts"),
    "overlay": ("layers", "deflections", "counts"),
    "bond": ("layers", "deflections", "counts"),
    "life": ("layers", "deflections", "counts", "weather"),
}


def summary_rows(results: Mapping[str, StageResult]) -> list[dict[str, Any]]:
    """One row for each section with what a chief engineer asks first; for summaries and comparisons."""
    thicknesses, costs = results["overlay"].tables["thicknesses"], results["overlay"].tables["overlay_quantities"]
    cost = dict(zip(costs["section"], costs["cost"], strict=True))
    kept = ("section", "begin", "end", "verdict", "bonded", "overlay", "years", "years_gained", "reduction")
    return [
        {**{k: getattr(s, k) for k in kept}, "cost": cost.get(s.section, float("nan"))}
        for s in thicknesses.itertuples(index=False)
    ]
