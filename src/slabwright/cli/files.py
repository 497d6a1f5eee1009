"""Commands on the project file and the files that go into it."""

from __future__ import annotations

import getpass
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from slabwright.cli.output import JSON_VERSION, print_json, print_rows, say, system

if TYPE_CHECKING:
    from slabwright.project import Project
    from slabwright.records.findings import Finding
    from slabwright.records.results import StageResult
    from slabwright.units import System

__all__ = ["Place", "check", "named", "new", "now", "opened"]

Place = Path | str  # a project file, or the URL of a database


def now() -> datetime:
    """The only clock of the commands."""
    return datetime.now(UTC)


def who() -> str:
    """The name that history shows: the login name."""
    try:
        return getpass.getuser()
    except (KeyError, OSError):
        return "unknown"


def named(road: Place) -> str:
    """The project as messages name it: a URL without its password."""
    from slabwright.project.server import shown

    return shown(road) if isinstance(road, str) else str(road)


@contextmanager
def opened(road: Place) -> Iterator[Project]:
    """The project, closed again whatever happens."""
    from slabwright.project import open_project

    with open_project(road, user=who(), clock=now) as project:
        yield project


def new(road: Place, example: bool) -> None:
    from slabwright.cli.loading import tell
    from slabwright.project import create
    from slabwright.project.names import checked_file
    from slabwright.workflow import fill_with_example

    place = checked_file(road) if isinstance(road, Path) else road
    with create(place, user=who(), clock=now) as project:
        if example:
            folder = road.with_name(f"{road.stem}-files") if isinstance(road, Path) else Path("example-files")
            fill_with_example(project, folder, today=now().date(), tell=tell)
            say(f"The field files of the demo road are in {folder}.")
    say(f"Made {named(road)}.")


def check(road: Place, alternative: str, every: bool, json: bool, units: str) -> None:
    from slabwright.records.facts import FACTS
    from slabwright.workflow import Computation, contradictions_held, held_up, without_position

    shown = system(units)
    with opened(road) as project:
        computation = Computation(project, alternative)
        states = computation.states()
        tables = {name: len(getattr(computation.facts, name)) for name in FACTS}
        judged = computation.saved("evaluation")
        unplaced = without_position(computation.facts)
        contradicting = contradictions_held(project, shown)
        findings = [{"rule": f.finding.rule, "answer": f.answer, "message": str(f.finding)} for f in project.findings()]
    if json:
        print_json({
            "version": JSON_VERSION,
            "tables": tables,
            "findings": findings,
            "tests_without_position": unplaced,
            "contradictions": [{"rule": f.rule, "weight": f.weight, "message": str(f)} for f in contradicting],
            "stages": [{"stage": s.stage, "state": s.state, "needs": s.needs} for s in states],
            "needs": [{"need": need, "stages": names} for need, names in held_up(states).items()],
            "verdicts": _verdicts(judged),
            "open_points": _open_points(judged, shown),
            "assumptions": _assumptions(judged),
        })
        return
    if unplaced:
        say(
            f"{unplaced} of {tables['deflections']} deflection tests have no position on the slab, so no mean or joint is judged by them."
        )
        say("  Load their file again with --replace and --position, or with a column of positions.")
    if not tables["lanes"]:
        say(
            "No table of lanes is loaded: their width and direction are assumed for areas, sections, traffic and the bid."
        )
        say("  Load it, with the direction and width of each lane; the stages that cannot assume it are named below.")
    _print_check(tables, findings, contradicting, states, every)
    _print_judged(judged, shown)


def _verdicts(judged: StageResult | None) -> list[list[str]] | None:
    """Section, verdict and what was not examined; None where the evaluation is not computed as things stand."""
    if judged is None:
        return None
    found = judged.tables["verdicts"][["section", "verdict", "not_examined"]]
    return [[str(v) for v in row] for row in found.itertuples(index=False)]


def _open_points(judged: StageResult | None, shown: System) -> list[list[str]] | None:
    from slabwright.records.remarks import reads

    if judged is None:
        return None
    points = judged.tables["open_points"].itertuples(index=False)
    return [[str(p.about), reads(p.point, shown), str(p.settle)] for p in points]


def _assumptions(judged: StageResult | None) -> list[list[str]] | None:
    """What is assumed by name: section, quantity, decision, verdict without it."""
    if judged is None:
        return None
    found = judged.tables["assumptions"]
    named = found[found["without"] != ""][["section", "quantity", "decision", "without"]]
    return [[str(v) for v in row] for row in named.itertuples(index=False)]


def _print_judged(judged: StageResult | None, shown: System) -> None:
    if judged is None:
        say("Open points are found with the evaluation, which is not computed as things stand: slabwright run.")
        return
    print_rows("Verdicts", ["Section", "Verdict", "Not examined"], _verdicts(judged) or [])
    print_rows("Open points", ["About", "Open point", "How it is settled"], _open_points(judged, shown) or [])
    if assumed := _assumptions(judged):
        print_rows("Assumed by name", ["Section", "Quantity", "Decision", "Verdict without it"], assumed)


def _print_check(
    tables: dict[str, int], findings: list[dict[str, str]], contradicting: tuple[Finding, ...], states: Any, every: bool
) -> None:
    from slabwright.intake import grouped
    from slabwright.records.facts import FACTS
    from slabwright.workflow import held_up

    print_rows("Facts", ["Table", "Rows", "What it holds"], [[n, str(r), FACTS[n].title] for n, r in tables.items()])
    if findings:
        kinds: dict[tuple[str, str], list[str]] = {}
        for found in findings:
            kinds.setdefault((found["rule"], found["answer"]), []).append(found["message"])
        rows = [[*kind, str(len(said)), said[0]] for kind, said in kinds.items()]
        if every:
            rows = [[*kind, "1", message] for kind, said in kinds.items() for message in said]
        print_rows("Findings answered", ["Rule", "Answer", "Findings", "First" if not every else "Finding"], rows)
    if contradicting:
        say("Rows of the project contradict each other:")
        for group in grouped(contradicting):
            say(f"  {group}")
    print_rows("Stages", ["Stage", "State"], [[s.stage, s.state] for s in states])
    if needs := held_up(states):
        print_rows("Needed before they can run", ["Need", "Holds up"], [[n, ", ".join(w)] for n, w in needs.items()])
