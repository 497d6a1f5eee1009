"""Files into the project: read with the remembered headings, settle the warnings, load each whole or not at all."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import Any, TypedDict, Unpack

from slabwright import units
from slabwright.errors import Conflict, InputError, SlabwrightError
from slabwright.intake import (
    Known,
    Reading,
    Word,
    check_words,
    known_from,
    plain,
    possible_headings,
    read,
    resolve,
)
from slabwright.project import AnsweredFinding, Batch, LoadedFile, Project
from slabwright.records.facts import FACTS
from slabwright.workflow.held import Held, compared, refuse_contradictions, replaced_file

__all__ = [
    "Loaded",
    "already_loaded",
    "beside_each_other",
    "load_files",
    "load_whole",
    "read_alone",
    "read_each",
    "read_files",
]

Readings = tuple[Reading, ...]
Written = Callable[[str, int, int], None]  # a file, how many of its rows are written, and of how many
ASKED_OF_WORDS = ("word guessed", "unknown kind")
ANEW = 3  # times that files are compared anew because the project was changed meanwhile
ONCE = ("weather",)  # tables that one file fills whole


@dataclass(frozen=True)
class Loaded:
    """One file that is now in the project: its tables with their numbers of rows, and what was questioned."""

    file: str
    rows: Mapping[str, int]
    change: int
    accepted: int
    rejected: int
    replaces: str = ""


class Told(TypedDict, total=False):
    """What a person says of files before they are read; what is left out, the files and the project's memory say."""

    table: str | None
    mapping: Mapping[str, str | None] | None
    column_units: Mapping[str, str] | None
    system: units.System
    today: date | None
    words: Mapping[str, str] | None
    posts: Mapping[str, str] | None
    place: str
    lane: str
    position: str


def read_each(
    project: Project | None,
    paths: Sequence[Path],
    *,
    replaced: Collection[str] = (),
    begin: Callable[[Path], None] | None = None,
    **told: Unpack[Told],
) -> tuple[dict[Path, Readings], dict[Path, SlabwrightError]]:
    """The readings of every file that can be read, and why the others cannot, or what they ask (AnswerNeeded).

    What is told goes to the files that it speaks of; what the project remembers is taken unless told anew. Findings tell
    too what contradicts the other files, in whatever order they are given, and what the project holds but for the files
    ``replaced``. ``begin`` hears of each file before it is read. Raises InputError for a heading, before anything is read, and a word that none of the files holds, and for a lane or position that none of them needs, once
    all can be read.
    """
    found: dict[Path, Readings] = {}
    refused: dict[Path, SlabwrightError] = {}
    known, mapping, units_told = _known(project), told.get("mapping") or {}, told.get("column_units") or {}
    for path, own in _by_file(mapping, list(dict.fromkeys(paths))).items():
        column_units = {h: u for h, u in units_told.items() if h not in mapping or h in own}
        if begin:
            begin(path)
        try:
            own_told: Told = {**told, "mapping": own, "column_units": column_units}
            found[path] = read_alone(project, path, known=known, **own_told)
        except SlabwrightError as refusal:
            refused[path] = refusal
    if not refused:
        check_words(told.get("words") or {}, [reading for readings in found.values() for reading in readings])
        _check_whole(told, found)
    return beside_each_other(project, found, told.get("system", "us"), replaced), refused


def _check_whole(told: Told, found: Mapping[Path, Readings]) -> None:
    """Raise InputError for a lane or position told for whole files where no file is without it."""
    all_read = [reading for readings in found.values() for reading in readings]
    for name, given, used in (
        ("lane", told.get("lane", ""), [reading.lane for reading in all_read]),
        ("position", told.get("position", ""), [reading.position for reading in all_read]),
    ):
        if given and not any(used):
            raise InputError(
                f"a {name} is told for a whole file, and none of the files is without one",
                given=given,
                remedy=f"Leave the {name} out; the files say it row by row, or their tables need none.",
            )


def read_alone(project: Project | None, path: Path, *, known: Known | None = None, **told: Unpack[Told]) -> Readings:
    """The readings of one file by itself; what contradicts other files and the project is not told.

    ``known`` is what the project remembers, looked up when it is not given.
    """
    return read(
        path,
        mapping=told.get("mapping") or None,
        table=told.get("table"),
        system=told.get("system", "us"),
        units=told.get("column_units"),
        today=told.get("today"),
        words=told.get("words"),
        posts=told.get("posts"),
        place=told.get("place", ""),
        lane=told.get("lane", ""),
        position=told.get("position", ""),
        known=known if known is not None else _known(project),
    )


def _known(project: Project | None) -> Known | None:
    """The headings, words, posts and weather station that the project remembers, and its lanes."""
    if project is None:
        return None
    return replace(known_from(project.mappings()), lanes=tuple(project.facts().lanes["lane"]))


def beside_each_other(
    project: Project | None, found: Mapping[Path, Readings], system: units.System, replaced: Collection[str] = ()
) -> dict[Path, Readings]:
    """Readings made one by one, with what contradicts the others and the project."""
    made = compared(Held(project, replaced), list(found.values()), system)
    return dict(zip(found, made, strict=True))


def read_files(
    project: Project | None, paths: Sequence[Path], *, replaced: Collection[str] = (), **told: Unpack[Told]
) -> dict[Path, Readings]:
    """As ``read_each``; raises the first refusal, so that there are readings of every file or none."""
    found, refused = read_each(project, paths, replaced=replaced, **told)
    for refusal in refused.values():
        raise refusal
    return found


def _by_file(mapping: Mapping[str, str | None], paths: Sequence[Path]) -> dict[Path, dict[str, str | None]]:
    """The part of a mapping that each file's headings bear. Raises InputError for what none of several files bears.

    One that cannot be opened may bear it, and is refused for itself.
    """
    if len(paths) == 1 or not mapping:
        return {path: dict(mapping) for path in paths}
    held = {path: _cells_of_heads(path) for path in paths}
    absent = [heading for heading in mapping if not any(heading in cells for cells in held.values())]
    if absent and all(held.values()):
        raise InputError(
            "none of the files has a heading of this name",
            given=", ".join(absent),
            remedy="Write the heading as it stands in the file.",
        )
    return {path: {h: c for h, c in mapping.items() if h in held[path]} for path in paths}


def _cells_of_heads(path: Path) -> set[str]:
    """All that may be a heading of a file; nothing for one that cannot be opened, which is refused when it is read."""
    try:
        return {cell for row in possible_headings(path) for cell in row}
    except SlabwrightError:
        return set()


def load_files(
    project: Project,
    readings: Mapping[Path, Readings],
    *,
    accept: bool = False,
    reject: Sequence[str] = (),
    reject_findings: Mapping[Path, Sequence[Collection[int]]] | None = None,
    replacing: Mapping[Path, str] | None = None,
    expected: int | None = None,
    tell: Callable[[Loaded], None] | None = None,
) -> tuple[Loaded, ...]:
    """Load the readings, one change for each file, all of them at once or none; ``tell`` hears of each when all are in.

    ``reject_findings`` holds, for a file, the findings to reject one by one: a collection of their places for each
    of its readings. ``replacing`` names, for a file, the held file that is taken out in the same change. Raises
    InputError for errors and for warnings that were neither accepted nor rejected, Conflict for a file that the project
    holds already or that is given twice.
    """
    answers = _Answers(accept, reject, reject_findings or {}, replacing or {})
    for last in [*[False] * ANEW, True]:
        head = project.head if expected is None else expected
        ready, refused = _prepared(project, readings, answers)
        for refusal in refused.values():
            raise refusal
        try:
            with project.loading(head) as load:
                made = tuple(_load_one(load, file, None) for file in ready.values())
            break
        except Conflict:
            if last or expected is not None:
                raise
    if tell:
        for each in made:
            tell(each)
    return made


def load_whole(
    project: Project,
    readings: Mapping[Path, Readings],
    *,
    accept: bool = False,
    reject: Sequence[str] = (),
    reject_findings: Mapping[Path, Sequence[Collection[int]]] | None = None,
    replacing: Mapping[Path, str] | None = None,
    expected: int | None = None,
    tell: Callable[[Loaded], None] | None = None,
    written: Written | None = None,
) -> tuple[tuple[Loaded, ...], dict[Path, SlabwrightError]]:
    """Load every file that can be, whole and each as one change; and say of each other file why it was left out.

    Every file is checked before the first is loaded, on the very state on which it is loaded; where that was changed
    meanwhile, it is compared anew. What is loaded is returned whatever becomes of the others: a Conflict with somebody
    else's change, or a disk without room, is the refusal of the files that it left out. The arguments are those of
    ``load_files``; ``written`` hears of a file how many of its rows are written.
    """
    answers = _Answers(accept, reject, reject_findings or {}, replacing or {})
    made: list[Loaded] = []
    refused: dict[Path, SlabwrightError] = {}
    left, head = dict(readings), expected
    for last in [*[False] * ANEW, True]:
        if head is None:
            head = project.head
        ready, found = _prepared(project, left, answers)
        refused |= found
        left = {path: left[path] for path in ready}
        for path, file in ready.items():
            try:
                with project.loading(head) as load:
                    done = _load_one(load, file, written)
            except Conflict as conflict:
                refused |= dict.fromkeys(left, conflict) if last or expected is not None else {}
                break
            except SlabwrightError as problem:
                refused[path] = problem
                del left[path]
                continue
            made.append(done)
            head = done.change
            del left[path]
            if tell:
                tell(done)
        if not left or expected is not None:
            break
        head = None
    return tuple(made), refused


@dataclass(frozen=True)
class _Answers:
    """What was said to the findings of the files, and which files they take the place of."""

    accept: bool
    reject: Sequence[str]
    singly: Mapping[Path, Sequence[Collection[int]]]
    replacing: Mapping[Path, str]


@dataclass(frozen=True)
class _Ready:
    """One file that can be loaded."""

    readings: Readings
    batches: tuple[Batch, ...]
    answers: tuple[AnsweredFinding, ...]
    memory: Mapping[tuple[str, ...], Any]
    replaces: str


def _prepared(
    project: Project,
    readings: Mapping[Path, Readings],
    answers: _Answers,
) -> tuple[dict[Path, _Ready], dict[Path, SlabwrightError]]:
    """The files that can be loaded one after another, and the refusal of each other; nothing is changed."""
    ready: dict[Path, _Ready] = {}
    refused: dict[Path, SlabwrightError] = {}
    accept, reject = answers.accept, answers.reject
    names = {path: replaced_file(project, name) for path, name in answers.replacing.items() if path in readings}
    held, digests = Held(project, tuple(names.values())), _digests(project, tuple(names.values()))
    for path, found in readings.items():
        chosen = tuple(answers.singly.get(path, [()] * len(found)))
        try:
            _refuse_held(digests, found[0])
            _refuse_second(held, found)
            settled = [resolve(r, accept, reject, reject_findings=s) for r, s in zip(found, chosen, strict=True)]
            tables = [(s.table, r.place, s.frame, s.source_rows) for s, r in zip(settled, found, strict=True)]
            refuse_contradictions(held, tables, "us")
        except SlabwrightError as refusal:
            refused[path] = refusal
            continue
        digests[found[0].sha256] = f"given twice, the first time under the name {found[0].file}"
        batches = tuple(Batch(s.table, s.frame, s.source_rows) for s in settled)
        ready[path] = _Ready(
            found,
            batches,
            tuple(_answers(found, reject, chosen)),
            _memory(found, reject, chosen),
            names.get(path, ""),
        )
    return ready, refused


def _load_one(load: Callable[..., int], file: _Ready, written: Written | None) -> Loaded:
    """Load one file as one change."""
    first = file.readings[0]
    change = load(
        file.batches,
        LoadedFile(first.file, first.sha256, first.size),
        findings=file.answers,
        mapping=file.memory,
        in_place_of=file.replaces,
        tell=_counting(written, first.file, file.batches) if written else None,
    )
    rejected = sum(a.answer == "rejected" for a in file.answers)
    rows = _counted(file.batches)
    return Loaded(first.file, rows, change, len(file.answers) - rejected, rejected, file.replaces)


def _counting(written: Written, name: str, batches: Sequence[Batch]) -> Callable[[int], None]:
    """Adds up the rows of a file as its pieces are written."""
    sums, whole = [0], sum(len(batch.frame) for batch in batches)

    def tell(count: int) -> None:
        sums[0] += count
        written(name, sums[0], whole)

    return tell


def _answers(found: Readings, reject: Sequence[str], single: Sequence[Collection[int]]) -> list[AnsweredFinding]:
    """What was said to every warning of a file, by its rule or singly."""
    return [
        AnsweredFinding(finding, "rejected" if finding.rule in reject or number in chosen else "accepted")
        for reading, chosen in zip(found, single, strict=True)
        for number, finding in enumerate(reading.findings)
        if finding.weight == "warning"
    ]


def already_loaded(project: Project, paths: Sequence[Path]) -> dict[Path, str]:
    """Of the files whose very bytes the project holds, by whom, when and under what name each was loaded.

    One that cannot be opened is none of them, and is refused when it is read.
    """
    digests, found = _digests(project), {}
    for path in dict.fromkeys(paths):
        try:
            if not path.is_file():  # a pipe gives its bytes once, and a device without end
                continue
            with path.open("rb") as file:
                digest = hashlib.file_digest(file, "sha256").hexdigest()
        except OSError:
            continue
        if digest in digests:
            found[path] = digests[digest]
    return found


def _digests(project: Project, replaced: Collection[str] = ()) -> dict[str, str]:
    """What to say of a file by the digest of its bytes, for those that the project holds but for the ``replaced``."""
    return {
        s.sha256: f"already loaded by {s.user} on {s.time:%Y-%m-%d %H:%M} UTC under the name {s.name}"
        for s in project.sources()
        if s.name not in replaced
    }


def _refuse_held(digests: Mapping[str, str], first: Reading) -> None:
    """Raise Conflict when a file is in the project already, or twice among these."""
    if first.sha256 in digests:
        raise Conflict(
            f"this file was {digests[first.sha256]}",
            where=first.file,
            remedy="Leave it out, or load it in the place of that one.",
        )


def _refuse_second(held: Held, found: Readings) -> None:
    """Raise Conflict when a table that one file fills is filled already, or by another of these."""
    for name in ONCE:
        files = [r.file for r in found if r.table == name]
        if not files:
            continue
        before = held(name)
        if len(before.frame) or len(files) > 1:
            raise Conflict(
                f"one file fills the table {name}, and the project holds {FACTS[name].title.lower()} already",
                where=files[0],
                given=str(before.files[0]) if len(before.frame) else ", ".join(files),
                remedy="Take the other file out of the project first, or load this one in its place.",
            )


def _counted(batches: Sequence[Batch]) -> dict[str, int]:
    """Rows of each table, which several sheets of a file may fill."""
    rows: dict[str, int] = {}
    for batch in batches:
        rows[batch.table] = rows.get(batch.table, 0) + len(batch.frame)
    return rows


def _headers(reading: Reading) -> tuple[str, ...]:
    return tuple(m.header for m in reading.mapping)


def _memory(found: Readings, reject: Sequence[str], single: Sequence[Collection[int]]) -> dict[tuple[str, ...], Any]:
    """What the project is to remember of a file, by the headings of each of its tables."""
    return {
        _headers(r): plain(r.table, r.mapping, _confirmed(r, reject, chosen), r.shifts, r.weather_station)
        for r, chosen in zip(found, single, strict=True)
    }


def _confirmed(reading: Reading, reject: Sequence[str], single: Collection[int]) -> list[Word]:
    """The words whose meaning was told or accepted."""
    refused = {
        (finding.column, finding.value)
        for number, finding in enumerate(reading.findings)
        if finding.rule in ASKED_OF_WORDS and (finding.rule in reject or number in single)
    }
    return [w for w in reading.words if w.how not in ("kept", "unknown") and (w.column, w.written[:200]) not in refused]
