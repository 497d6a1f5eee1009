"""The short stages on changed facts and decisions of the demo road."""

from __future__ import annotations

from dataclasses import replace

import pandas as pd

from slabwright.records.decisions import Decisions, change
from slabwright.records.facts import Facts
from slabwright.records.results import StageResult
from slabwright.records.stage import RunContext
from slabwright.stages import plan

__all__ = ["computed", "decided", "tables", "without"]


def decided(**values: object) -> Decisions:
    """The defaults with some decisions of the evaluation changed."""
    decisions = Decisions()
    for name, value in values.items():
        decisions = change(decisions, f"evaluation.{name}", str(value))
    return decisions


def computed(facts: Facts, decisions: Decisions | None = None, until: str = "design") -> dict[str, StageResult]:
    """Results of the stages up to one."""
    results: dict[str, StageResult] = {}
    for stage in plan(until):
        given = stage.given(facts, decisions or Decisions(), results, RunContext())
        results[stage.name] = stage.compute(given)
    return results


def tables(facts: Facts, decisions: Decisions | None = None, until: str = "design") -> dict[str, pd.DataFrame]:
    """All result tables by name."""
    return {name: frame for r in computed(facts, decisions, until).values() for name, frame in r.tables.items()}


def without(facts: Facts, *kinds: str) -> Facts:
    """The facts without cores, survey, joint tests or corner tests."""
    drops = {"joints": ["joint approach", "joint leave"], "corners": ["corner"]}
    for kind in kinds:
        if kind in drops:
            facts = replace(facts, deflections=facts.deflections[~facts.deflections["position"].isin(drops[kind])])
        else:
            name = {"cores": "cores", "survey": "distresses"}[kind]
            facts = replace(facts, **{name: getattr(facts, name).iloc[:0]})
    return facts
