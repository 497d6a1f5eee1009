"""Documents of a project: what the report is made from is gathered here, and nowhere computed."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from slabwright import units
from slabwright.errors import Conflict
from slabwright.project import Change, Project, SourceFile, TracedFinding
from slabwright.records.decisions import Decisions, entries
from slabwright.records.results import StageResult
from slabwright.report import FindingLine, Issue, Part, build, open_points
from slabwright.stages import stages
from slabwright.workflow.computation import Computation, FactsCache, summary_rows

__all__ = ["appendix_beside", "points_told", "results_at_hand", "write_report"]

ANEW = 5  # times that the project is read because it was changed meanwhile


def appendix_beside(path: Path) -> Path:
    """Where the appendix of the report at ``path`` is written."""
    return path.with_name(f"{path.stem}-appendix{path.suffix}")


def write_report(
    project: Project,
    path: Path,
    *,
    alternative: str,
    system: units.System,
    made_at: datetime,
    engineer: str = "",
    part: Part = "report",
) -> int:
    """Compute what is stale and write the design report of one alternative, or its appendix, whole or not at all.

    Returns the head of the one state that all of it was read from, whatever others change meanwhile: what a mark of the
    report names. ``engineer`` is the name of the person who signs, "" where none is given; nobody's account stands in
    its place. Raises Conflict where the project is changed so often that no state of it can be read.
    """
    state = _state(project, alternative, system)
    computation = state.computations[alternative]
    comparison = (
        [{**row, "alternative": name} for name, each in state.computations.items() for row in summary_rows(each.run())]
        if len(state.computations) > 1
        else []
    )
    build(
        path,
        road=computation.facts,
        decisions=computation.decisions,
        alternative=alternative,
        results=results_at_hand(computation),
        findings=_findings(state.findings),
        sources=[(s.name, s.sha256, s.rows, s.time) for s in state.sources],
        made_at=made_at,
        system=system,
        engineer=engineer,
        comparison=comparison,
        part=part,
        last_issue=state.last_issue,
    )
    return state.head


@dataclass(frozen=True)
class _State:
    """All that a report takes from the project, at one head; the alternative asked for comes first."""

    head: int
    computations: Mapping[str, Computation]
    findings: tuple[TracedFinding, ...]
    sources: tuple[SourceFile, ...]
    last_issue: Issue | None


def _state(project: Project, alternative: str, system: units.System) -> _State:
    """One state of the project: read anew where somebody changed it meanwhile."""
    for _ in range(ANEW):
        mark, cache = project.mark(), FactsCache()
        others = [name for name in project.alternatives() if name != alternative]
        made = {name: Computation(project, name, cache) for name in (alternative, *others)}
        for each in made.values():
            _ = each.facts  # read at once: facts read later could be those of another state
        found = _State(mark[0], made, project.findings(), project.sources(), _last_issue(project, system))
        if project.mark() == mark:
            return found
    raise Conflict(
        "the project is being changed all the time, so no state of it could be read whole",
        remedy="Ask for the report again when the others have paused.",
    )


def results_at_hand(computation: Computation) -> dict[str, StageResult]:
    """Results of the stages that follow decisions at once, and of the long ones where they are current."""
    found = computation.run()
    saved = {stage.name: computation.saved(stage.name) for stage in stages() if stage.long}
    return found | {name: result for name, result in saved.items() if result is not None}


def points_told(
    project: Project, computation: Computation, results: Mapping[str, StageResult], system: units.System
) -> list[tuple[str, str]]:
    """Every open point of the alternative, as its report lists them: what each is about, and the point."""
    found = tuple(FindingLine(*line) for line in _findings(project.findings()))
    return open_points(computation.facts, computation.decisions, computation.alternative, results, found, system)


def _last_issue(project: Project, system: units.System) -> Issue | None:
    """The report handed over last and what was changed since, without the names of accounts."""
    since = project.changes_since_report()
    if since is None:
        return None
    made = [_told(change, system) for change in since.made]
    undone = [f"undone: {_told(change, system)}" for change in since.undone]
    replaced = [f"undone and replaced: {_no_account(words)}" for words in since.taken_back]
    return Issue(since.time, since.alternative, (*made, *undone, *replaced))


def _told(change: Change, system: units.System) -> str:
    """A change in words: of decisions their meaning with the value before and after, else as the history has it."""
    known = {entry.name: entry for entry in entries(Decisions())}
    decided = [name for name in change.after if name in known and name in change.before]
    if not decided:
        return change.what
    said = [
        f"{known[n].about.meaning}: {' to '.join(replace(known[n], value=side[n]).text(system) or 'none' for side in (change.before, change.after))}"
        for n in decided
    ]
    return f"{'; '.join(said)} (alternative {change.after.get('alternative', '')})"


def _no_account(words: str) -> str:
    """The words of a change that vanished, "no. 3 'what' by account on ...", without who made it."""
    return re.sub(r"' by .*? on (\d{4}-\d\d-\d\d \d\d:\d\d UTC)$", r"' on \1", words)


def _findings(traced: Sequence[TracedFinding]) -> list[tuple[str, str, str, int, str]]:
    """One line for each rule, answer and file: how many findings, and the first of them."""
    keys = [(t.finding.rule, t.answer, t.finding.file) for t in traced]
    first = {key: t.finding.message for key, t in reversed(list(zip(keys, traced, strict=True)))}
    return [
        (rule, answer, file, number, first[rule, answer, file])
        for (rule, answer, file), number in Counter(keys).items()
    ]
