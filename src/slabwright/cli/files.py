"""Commands on the project file and the files that go into it."""

from __future__ import annotations

import getpass
import shlex
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from slabwright.cli.output import JSON_VERSION, print_json, print_rows, say, system
from slabwright.errors import InputError

if TYPE_CHECKING:
    from slabwright.intake import Reading
    from slabwright.project import Project
    from slabwright.records.results import StageResult
    from slabwright.workflow import Loaded

__all__ = ["Said", "check", "load", "new", "opened"]

SHOWN_FINDINGS = 12
MOST_UNUSED = 6


def now() -> datetime:
    """The only clock of the commands."""
    return datetime.now(UTC)


def who() -> str:
    """The name that history shows: the login name."""
    try:
        return getpass.getuser()
    except (KeyError, OSError):
        return "unknown"


@contextmanager
def opened(road: Path) -> Iterator[Project]:
    """The project, closed again whatever happens."""
    from slabwright.project import open_project

    with open_project(road, user=who(), clock=now) as project:
        yield project


def new(road: Path, example: bool) -> None:
    from slabwright.project import create
    from slabwright.workflow import fill_with_example

    with create(road, user=who(), clock=now) as project:
        if example:
            folder = road.with_name(f"{road.stem}-files")
            fill_with_example(project, folder, today=now().date(), tell=_tell)
            say(f"The field files of the demo road are in {folder}.")
    say(f"Made {road}.")


@dataclass(frozen=True)
class Said:
    """What the command says of the files: columns, words, posts, the weather station, the table."""

    columns: list[str]
    words: list[str]
    posts: list[str]
    place: str
    table: str | None


def load(
    road: Path,
    paths: list[Path],
    told: Said,
    preview: bool,
    accept: bool,
    reject: list[str],
    units: str,
) -> None:
    from slabwright.workflow import load_files, read_files

    columns, column_units = _mapping(told.columns)
    with opened(road) as project:
        readings = read_files(
            project,
            paths,
            table=told.table,
            mapping=columns or None,
            column_units=column_units or None,
            system=system(units),
            today=now().date(),
            words=_pairs(told.words, "a word is given as WORD=MEANING"),
            posts=_pairs(told.posts, "a post is given as POST=STATION, for example 'MP 2=105+60'"),
            place=told.place,
        )
        for found in readings.values():
            for reading in found:
                _show_reading(reading, units, whole=preview)
        if preview:
            say("Preview only: nothing was changed.")
            return
        load_files(project, readings, accept=accept, reject=reject, tell=_tell)


def _mapping(words: list[str]) -> tuple[dict[str, str | None], dict[str, str]]:
    """``HEADER=COLUMN``, ``HEADER=COLUMN:UNIT``, or ``HEADER=`` to leave a heading out."""
    columns: dict[str, str | None] = {}
    found: dict[str, str] = {}
    for word in words:
        header, equals, rest = word.rpartition("=")
        if not equals:
            raise InputError("a mapping is given as HEADER=COLUMN or HEADER=COLUMN:UNIT", given=word)
        column, _, unit = rest.partition(":")
        columns[header] = column.strip() or None
        if unit:
            found[header] = unit.strip()
    return columns, found


def _pairs(words: list[str], wanted: str) -> dict[str, str]:
    found: dict[str, str] = {}
    for word in words:
        name, equals, meaning = (part.strip() for part in word.rpartition("="))
        if not equals or not name or not meaning:
            raise InputError(wanted, given=word)
        found[name] = meaning
    return found


def _tell(loaded: Loaded) -> None:
    rows = ", ".join(f"{n} rows of {table}" for table, n in loaded.rows.items())
    warnings = (
        f" ({loaded.accepted} findings accepted, {loaded.rejected} rejected)"
        if loaded.accepted or loaded.rejected
        else ""
    )
    say(f"Loaded {loaded.file}: {rows}{warnings}.")


def _show_reading(reading: Reading, units: str, *, whole: bool) -> None:
    from slabwright.intake import preview as prepare

    if whole:
        view = prepare(reading, system(units))
        say(f"{view.title}: {view.rows} rows")
        rows = [[m.header, m.column or "not used", m.unit or "", m.how, f"{m.confidence:.0%}"] for m in view.mapping]
        print_rows("Headings", ["In the file", "Column", "Unit", "Matched by", "Sure"], rows)
        first = view.first.astype(object).where(view.first.notna(), "").astype(str)
        print_rows("First rows", list(map(str, first.columns)), first.values.tolist())
    elif reading.unmapped:
        _show_unused(reading)
    _show_words(reading)
    shown = [finding for finding in reading.findings if whole or finding.weight != "note"]
    for finding in shown[:SHOWN_FINDINGS]:
        say(f"  {finding.weight} [{finding.rule}] {finding}")
    rest = len(shown) - SHOWN_FINDINGS
    if rest > 0:
        say(f"  … and {rest} more findings")


def _show_unused(reading: Reading) -> None:
    """The headings that were not used, each with its option to copy, and the columns that are still free."""
    names = ", ".join(reading.unmapped)
    say(f"  {reading.place}: not used: {names}. Name a column by --map HEADER=COLUMN to have it read.")
    from slabwright.records.facts import FACTS

    held = {m.column for m in reading.mapping}
    free = [c.name for c in FACTS[reading.table].columns if c.name not in held]
    options = " ".join(f"--map {shlex.quote(f'{heading}=COLUMN')}" for heading in reading.unmapped[:MOST_UNUSED])
    say(f"    {options}")
    say(f"    (COLUMN is one of: {', '.join(free)})")


def _show_words(reading: Reading) -> None:
    """The words that wait for the engineer, each with the option that confirms or corrects its meaning."""
    from slabwright.records.facts import FACTS

    asked = [w for w in reading.words if w.how in ("guessed", "other", "unknown")]
    if asked:
        say(f"  {reading.place}: words to confirm, or to give another meaning:")
    for word in asked:
        meant = word.meant or "MEANING"
        say(f"    --word {shlex.quote(f'{word.written}={meant}')}")
    for column in dict.fromkeys(w.column for w in asked):
        choices = FACTS[reading.table][column].choices
        say(f"    ({column} is one of: {', '.join(choices)})")


def check(road: Path, alternative: str, json: bool) -> None:
    from slabwright.records.facts import FACTS
    from slabwright.workflow import Computation

    with opened(road) as project:
        computation = Computation(project, alternative)
        states = computation.states()
        tables = {name: len(getattr(computation.facts, name)) for name in FACTS}
        judged = computation.saved("evaluation")
        findings = [{"rule": f.finding.rule, "answer": f.answer, "message": str(f.finding)} for f in project.findings()]
    if json:
        print_json({
            "version": JSON_VERSION,
            "tables": tables,
            "findings": findings,
            "stages": [{"stage": s.stage, "state": s.state, "needs": s.needs} for s in states],
            "verdicts": _verdicts(judged),
            "open_points": _open_points(judged),
            "assumptions": _assumptions(judged),
        })
        return
    _print_check(tables, findings, states)
    _print_judged(judged)


def _verdicts(judged: StageResult | None) -> list[list[str]] | None:
    """Section, verdict and what was not examined; None where the evaluation is not computed as things stand."""
    if judged is None:
        return None
    found = judged.tables["verdicts"][["section", "verdict", "not_examined"]]
    return [[str(v) for v in row] for row in found.itertuples(index=False)]


def _open_points(judged: StageResult | None) -> list[list[str]] | None:
    from slabwright.records.remarks import reads

    if judged is None:
        return None
    points = judged.tables["open_points"].itertuples(index=False)
    return [[str(p.about), reads(p.point, "us"), str(p.settle)] for p in points]


def _assumptions(judged: StageResult | None) -> list[list[str]] | None:
    """What is assumed by name: section, quantity, decision, verdict without it."""
    if judged is None:
        return None
    found = judged.tables["assumptions"]
    named = found[found["without"] != ""][["section", "quantity", "decision", "without"]]
    return [[str(v) for v in row] for row in named.itertuples(index=False)]


def _print_judged(judged: StageResult | None) -> None:
    if judged is None:
        say("Open points are found with the evaluation, which is not computed as things stand: slabwright run.")
        return
    print_rows("Verdicts", ["Section", "Verdict", "Not examined"], _verdicts(judged) or [])
    print_rows("Open points", ["About", "Open point", "How it is settled"], _open_points(judged) or [])
    if assumed := _assumptions(judged):
        print_rows("Assumed by name", ["Section", "Quantity", "Decision", "Verdict without it"], assumed)


def _print_check(tables: dict[str, int], findings: list[dict[str, str]], states: Any) -> None:
    from slabwright.records.facts import FACTS

    print_rows("Facts", ["Table", "Rows", "What it holds"], [[n, str(r), FACTS[n].title] for n, r in tables.items()])
    if findings:
        print_rows("Findings answered", ["Rule", "Answer", "Finding"], [list(f.values()) for f in findings])
    print_rows("Stages", ["Stage", "State", "Needs"], [[s.stage, s.state, s.needs] for s in states])
