"""What one alternative of a project comes to: its results, kept, and what is stale."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Iterable, Mapping
from concurrent.futures import Executor
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

from slabwright import __version__
from slabwright.calculation import Words
from slabwright.errors import MissingFact, SlabwrightError
from slabwright.project import Project, fingerprint
from slabwright.records.decisions import entries, from_plain, to_plain
from slabwright.records.decisions.economics import EconomicsDecisions
from slabwright.records.facts import Facts
from slabwright.records.results import StageResult
from slabwright.records.stage import RunContext, Stage
from slabwright.stages import plan, stage_named, stages

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["Computation", "FactsCache", "StageState", "bid_total", "held_up", "summary_rows"]

Progress = Callable[[str, float], None]


@dataclass(frozen=True)
class StageState:
    """Whether a stage's result is current, stale, or cannot be computed, and what it and those before it still need."""

    stage: str
    state: str
    needed: tuple[str, ...] = ()

    @property
    def needs(self) -> str:
        """All that is needed, in one line."""
        return " ".join(self.needed)


RESULTS_AT_HAND = 16  # the stages of a few alternatives


class FactsCache:
    """The facts of one project as last read, with the fingerprint of each table; read anew only when they changed.

    A workspace keeps one for each open project, so that a decision does not read a hundred thousand rows again. The
    results last used are kept too, by the fingerprint of all they depend on.
    """

    def __init__(self) -> None:
        self._results: OrderedDict[str, StageResult] = OrderedDict()
        self._mark: tuple[int, str] | None = None
        self._facts = Facts()
        self._prints: dict[str, str] = {}
        self._lock = threading.Lock()

    def take(self, project: Project) -> tuple[Facts, dict[str, str]]:
        """Facts and fingerprints of the project's present state."""
        with self._lock:
            mark = project.facts_mark()
            if mark != self._mark:
                self._facts = project.facts()
                names = sorted({name for stage in stages() for name in stage.facts})
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

    def __init__(self, project: Project, alternative: str = "base", cache: FactsCache | None = None) -> None:
        self.project = project
        self.alternative = alternative
        self.decisions = project.decisions(alternative)
        self._cache = cache or FactsCache()
        self._keys: dict[str, str] = {}
        self._results: dict[str, StageResult] = {}
        self._optional: dict[str, list[str]] = {}
        self._unmet: dict[str, tuple[SlabwrightError, ...]] = {}
        self._unsaved: list[tuple[str, str, StageResult]] = []

    @cached_property
    def _held(self) -> tuple[Facts, dict[str, str]]:
        return self._cache.take(self.project)

    @property
    def facts(self) -> Facts:
        return self._held[0]

    def key(self, name: str) -> str:
        """Fingerprint of everything that the result of a stage depends on."""
        if name not in self._keys:
            stage = stage_named(name)
            groups = [getattr(self.decisions, group) for group in stage.decisions]
            self._keys[name] = fingerprint(
                __version__,
                name,
                stage.version,
                [self._held[1][t] for t in stage.facts],
                groups,
                [self.key(up) for up in stage.after],
                [self.key(up) for up in self._existing(stage)],
            )
        return self._keys[name]

    def _existing(self, stage: Stage) -> list[str]:
        """The optional results that exist: a stage that may use them becomes stale when one appears or changes."""
        if stage.name not in self._optional:  # decided once, so that the key and what is taken are the same
            self._optional[stage.name] = [up for up in stage.may_use if self.saved(up) is not None]
        return self._optional[stage.name]

    def saved(self, name: str) -> StageResult | None:
        """The current result of a stage if it has been computed."""
        if name not in self._results:
            key = self.key(name)
            found = self._cache.result(key) or self.project.result(name, key)
            if found is None:
                return None
            self._cache.put(key, found)
            self._results[name] = found
        return self._results[name]

    def result(self, name: str, progress: Progress | None = None, executor: Executor | None = None) -> StageResult:
        """The result of a stage, computing it and what it depends on where stale."""
        try:
            return self._result(name, progress, executor)
        finally:
            self._save()

    def run(
        self, until: str | None = None, progress: Progress | None = None, executor: Executor | None = None
    ) -> dict[str, StageResult]:
        """Results of what a request asks for (``stages.plan``): all stages but the long ones, or one and those before it."""
        try:
            return {stage.name: self._result(stage.name, progress, executor) for stage in plan(until)}
        finally:
            self._save()

    def _result(self, name: str, progress: Progress | None, executor: Executor | None) -> StageResult:
        stage = stage_named(name)
        current = self.saved(name)
        if current is not None:
            return current
        earlier = {up: self._result(up, progress, executor) for up in stage.after}
        earlier |= {up: self._results[up] for up in self._existing(stage)}
        if stage.long:
            self._save()
        if progress:
            progress(name, 0.0)
        context = self._context(progress, executor)
        made = stage.compute(stage.given(self.facts, self.decisions, earlier, context))
        self._unsaved.append((name, self.key(name), made))
        self._cache.put(self.key(name), made)
        self._results[name] = made
        if progress:
            progress(name, 1.0)
        return made

    def _save(self) -> None:
        """Keep what was computed, in one change of the file: each takes the disk a while."""
        unsaved, self._unsaved = self._unsaved, []
        if unsaved:
            self.project.save_results(unsaved)

    def _context(self, progress: Progress | None, executor: Executor | None) -> RunContext:
        def remember(kind: str, parts: tuple[object, ...], make: Callable[[], pd.DataFrame]) -> pd.DataFrame:
            key = fingerprint(__version__, kind, *parts)
            found = self.project.result(kind, key)
            if found is None:
                found = StageResult(kind, {kind: make()})
                self.project.save_results([(kind, key, found)])
            return found.tables[kind]

        return RunContext(executor, progress or (lambda _name, _share: None), remember)

    def states(self) -> tuple[StageState, ...]:
        """What each stage is: current, stale, or waiting for facts."""
        return tuple(self._state(stage) for stage in stages())

    def _state(self, stage: Stage) -> StageState:
        problems = [problem for behind in plan(stage.name) for problem in self.unmet(behind.name)]
        if problems:
            once = (p.once if isinstance(p, MissingFact) else str(p) for p in problems)
            return StageState(stage.name, "waiting", tuple(dict.fromkeys(once)))
        return StageState(stage.name, "current" if self.saved(stage.name) else "stale")

    def unmet(self, name: str) -> tuple[SlabwrightError, ...]:
        """What ``run`` would refuse of a stage itself, as far as the results it takes are computed; nothing if it is current."""
        if name not in self._unmet:
            stage = stage_named(name)
            self._unmet[name] = ()
            if any(self.unmet(up) for up in stage.after):
                self._unmet[name] = stage.unmet(stage.given(self.facts, self.decisions, {}, RunContext()))
            elif self.saved(name) is None:
                earlier = {up: found for up in stage.after if (found := self.saved(up)) is not None}
                self._unmet[name] = stage.unmet(stage.given(self.facts, self.decisions, earlier, RunContext()))
        return self._unmet[name]

    def check_decided(self, values: Mapping[str, float | str]) -> None:
        """Raise what ``run`` would refuse of words decided (by name), as far as the results that tell it are computed."""
        words = {e.name for e in entries(self.decisions) if isinstance(e.about, Words)} & set(values)
        if not words:
            return
        then = Computation(self.project, self.alternative, self._cache)
        then.decisions = from_plain({**to_plain(self.decisions), **values})
        groups = {name.partition(".")[0] for name in words}
        for stage in stages():
            for problem in then.unmet(stage.name) if groups & set(stage.decisions) else ():
                if problem.where in words:
                    raise problem


def held_up(states: Iterable[StageState]) -> dict[str, list[str]]:
    """The stages that wait for each need, which is named once."""
    found: dict[str, list[str]] = {}
    for state in states:
        for need in state.needed:
            found.setdefault(need, []).append(state.stage)
    return found


def summary_rows(results: Mapping[str, StageResult]) -> list[dict[str, Any]]:
    """One row for each section with what a chief engineer asks first; for summaries and comparisons.

    The cost is missing where the economics stage was not asked for, and while the prices are not confirmed.
    """
    thicknesses = results["design"].tables["thicknesses"]
    cost: dict[str, float] = {}
    if "economics" in results:
        costs = results["economics"].tables["section_costs"]
        cost = dict(zip(costs["section"], costs["cost"], strict=True))
    kept = ("section", "begin", "end", "verdict", "bonded", "overlay", "years", "years_gained", "reduction")
    return [
        {**{k: getattr(s, k) for k in kept}, "cost": cost.get(s.section, float("nan"))}
        for s in thicknesses.itertuples(index=False)
    ]


def bid_total(results: Mapping[str, StageResult], prices: EconomicsDecisions) -> str:
    """What the items of the bid come to, to three figures, with currency and year; words while the prices are not confirmed."""
    if not prices.confirmed:
        return "prices not confirmed"
    whole = float(results["economics"].tables["bid_items"]["amount"].sum())
    return f"{float(f'{whole:.3g}'):,.0f} {prices.currency}, prices of {prices.price_year:.0f}"
