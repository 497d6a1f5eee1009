"""Files into the project: read with the remembered headings, settle the warnings, load whole or not at all."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from slabwright import units
from slabwright.errors import Conflict
from slabwright.intake import Reading, Word, check_words, known_from, plain, possible_headings, read, resolve
from slabwright.project import AnsweredFinding, Batch, LoadedFile, Project
from slabwright.records.facts import FACTS

__all__ = ["Loaded", "load_files", "read_files"]

Readings = tuple[Reading, ...]
ASKED_OF_WORDS = ("word guessed", "unknown kind")
ONCE = ("weather",)  # tables that one file fills whole


@dataclass(frozen=True)
class Loaded:
    """One file that is now in the project: its tables with their numbers of rows, and what was questioned."""

    file: str
    rows: Mapping[str, int]
    change: int
    accepted: int
    rejected: int


def read_files(
    project: Project | None,
    paths: Sequence[Path],
    *,
    table: str | None = None,
    mapping: Mapping[str, str | None] | None = None,
    column_units: Mapping[str, str] | None = None,
    system: units.System = "us",
    today: date | None = None,
    words: Mapping[str, str] | None = None,
    posts: Mapping[str, str] | None = None,
    place: str = "",
) -> dict[Path, Readings]:
    """Read every file before any is loaded; what is told goes to the files that it speaks of.

    Headings, words and posts that the project remembers are taken as remembered unless told anew.
    """
    known = known_from(project.mappings()) if project is not None else None
    own = _by_file(mapping or {}, paths)
    found = {
        path: read(
            path,
            mapping=own[path] or None,
            table=table,
            system=system,
            units={h: u for h, u in (column_units or {}).items() if h not in (mapping or {}) or h in own[path]},
            road=_road_limits(project),
            today=today,
            words=words,
            posts=posts,
            place=place,
            known=known,
        )
        for path in paths
    }
    check_words(words or {}, [reading for readings in found.values() for reading in readings])
    return found


def _by_file(mapping: Mapping[str, str | None], paths: Sequence[Path]) -> dict[Path, dict[str, str | None]]:
    """The part of a mapping that each file's headings bear; a heading that none has goes to the first, which says so."""
    if len(paths) == 1 or not mapping:
        return {path: dict(mapping) for path in paths}
    held = {path: {cell for row in possible_headings(path) for cell in row} for path in paths}
    absent = set(mapping).difference(*held.values())
    return {
        path: {h: c for h, c in mapping.items() if h in held[path] or (h in absent and path == paths[0])}
        for path in paths
    }


def load_files(
    project: Project,
    readings: Mapping[Path, Readings],
    *,
    accept: bool = False,
    reject: Sequence[str] = (),
    reject_findings: Mapping[Path, Sequence[Collection[int]]] | None = None,
    expected: int | None = None,
    tell: Callable[[Loaded], None] | None = None,
) -> tuple[Loaded, ...]:
    """Load the readings, one change for each file; nothing is loaded unless every file can be.

    ``reject_findings`` holds, for a file, the findings to reject one by one: a collection of their places for each
    of its readings. Raises InputError for errors and for warnings that were neither accepted nor rejected, Conflict for
    a file that the project holds already or that is given twice.
    """
    singly = reject_findings or {}
    chosen = {path: tuple(singly.get(path, [()] * len(found))) for path, found in readings.items()}
    settled = {
        path: [resolve(r, accept, reject, reject_findings=s) for r, s in zip(found, chosen[path], strict=True)]
        for path, found in readings.items()
    }
    _refuse_held(project, readings)
    _refuse_second(project, readings)
    made = []
    for path, found in readings.items():
        batches = [Batch(s.table, s.frame, s.source_rows) for s in settled[path]]
        answers = _answers(found, reject, chosen[path])
        first = found[0]
        change = project.load(
            batches,
            file=LoadedFile(first.file, first.sha256, first.size),
            findings=answers,
            mapping={
                _headers(r): plain(r.table, r.mapping, _confirmed(r, reject, chosen[path][i]), r.shifts)
                for i, r in enumerate(found)
            },
            expected=expected,
        )
        expected = None if expected is None else change
        rejected = sum(a.answer == "rejected" for a in answers)
        made.append(Loaded(first.file, _counted(batches), change, len(answers) - rejected, rejected))
        if tell:
            tell(made[-1])
    return tuple(made)


def _answers(found: Readings, reject: Sequence[str], single: Sequence[Collection[int]]) -> list[AnsweredFinding]:
    """What was said to every warning of a file, by its rule or singly."""
    return [
        AnsweredFinding(finding, "rejected" if finding.rule in reject or number in chosen else "accepted")
        for reading, chosen in zip(found, single, strict=True)
        for number, finding in enumerate(reading.findings)
        if finding.weight == "warning"
    ]


def _refuse_held(project: Project, readings: Mapping[Path, Readings]) -> None:
    """Raise Conflict before anything is loaded when a file is in the project already, or twice among these."""
    held = {
        s.sha256: f"already loaded by {s.user} on {s.time:%Y-%m-%d %H:%M} UTC under the name {s.name}"
        for s in project.sources()
    }
    for found in readings.values():
        first = found[0]
        if first.sha256 in held:
            raise Conflict(
                f"this file was {held[first.sha256]}; nothing was loaded",
                where=first.file,
                remedy="Leave it out, or take the file out of the project to load it again.",
            )
        held[first.sha256] = f"given twice, the first time under the name {first.file}"


def _refuse_second(project: Project, readings: Mapping[Path, Readings]) -> None:
    """Raise Conflict when a table that one file fills is filled already, or by two of these."""
    for name in ONCE:
        files = [r.file for found in readings.values() for r in found if r.table == name]
        if files and not getattr(project.facts(), name).empty:
            raise Conflict(
                f"the project holds {FACTS[name].title.lower()} already, and one file fills that table; nothing was loaded",
                where=files[0],
                remedy="Take the other file out of the project first.",
            )
        if len(files) > 1:
            raise Conflict(
                f"one file fills the table {name}; nothing was loaded",
                where=files[1],
                given=", ".join(files),
                remedy="Load one of them.",
            )


def _counted(batches: Sequence[Batch]) -> dict[str, int]:
    """Rows of each table, which several sheets of a file may fill."""
    rows: dict[str, int] = {}
    for batch in batches:
        rows[batch.table] = rows.get(batch.table, 0) + len(batch.frame)
    return rows


def _headers(reading: Reading) -> tuple[str, ...]:
    return tuple(m.header for m in reading.mapping)


def _confirmed(reading: Reading, reject: Sequence[str], single: Collection[int]) -> list[Word]:
    """The words whose meaning was told or accepted."""
    refused = {
        (finding.column, finding.value)
        for number, finding in enumerate(reading.findings)
        if finding.rule in ASKED_OF_WORDS and (finding.rule in reject or number in single)
    }
    return [w for w in reading.words if w.how not in ("kept", "unknown") and (w.column, w.written[:200]) not in refused]


def _road_limits(project: Project | None) -> tuple[float, float] | None:
    road = project.facts().road if project is not None else None
    if road is None or road.empty:
        return None
    return float(road["begin"].min()), float(road["end"].max())
