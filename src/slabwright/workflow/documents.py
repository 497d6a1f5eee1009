"""Documents of a project: what the report is made from is gathered here, and nowhere computed."""

from __future__ import annotations

from collections import Counter
from datetime import datetime
from pathlib import Path

from slabwright import units
from slabwright.project import Project
from slabwright.records.results import StageResult
from slabwright.report import build
from slabwright.stages import stages
from slabwright.workflow.computation import Computation, summary_rows

__all__ = ["results_at_hand", "write_report"]


def write_report(
    project: Project, path: Path, *, alternative: str, system: units.System, made_at: datetime, made_by: str
) -> None:
    """Compute what is stale and write the design report of one alternative, whole or not at all."""
    computation = Computation(project, alternative)
    others = [name for name in project.alternatives() if name != alternative]
    comparison = (
        [
            {**row, "alternative": name}
            for name in (alternative, *others)
            for row in summary_rows(Computation(project, name).run())
        ]
        if others
        else []
    )
    build(
        path,
        road=computation.facts,
        decisions=computation.decisions,
        alternative=alternative,
        results=results_at_hand(computation),
        findings=_findings(project),
        sources=[(s.name, s.sha256, s.rows, s.time) for s in project.sources()],
        made_at=made_at,
        made_by=made_by,
        system=system,
        comparison=comparison,
    )


def results_at_hand(computation: Computation) -> dict[str, StageResult]:
    """Results of the stages that follow decisions at once, and of the long ones where they are current."""
    found = computation.run()
    saved = {stage.name: computation.saved(stage.name) for stage in stages() if stage.long}
    return found | {name: result for name, result in saved.items() if result is not None}


def _findings(project: Project) -> list[tuple[str, str, str, int, str]]:
    """One line for each rule, answer and file: how many findings, and the first of them."""
    traced = project.findings()
    keys = [(t.finding.rule, t.answer, t.finding.file) for t in traced]
    first = {key: t.finding.message for key, t in reversed(list(zip(keys, traced, strict=True)))}
    return [
        (rule, answer, file, number, first[rule, answer, file])
        for (rule, answer, file), number in Counter(keys).items()
    ]
