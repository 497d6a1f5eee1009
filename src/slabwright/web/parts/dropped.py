"""A file dropped on the page, apart from any page: how it is to be read, what came of it, what was said to its warnings.

A ``Dropped`` never changes in place, and nothing here changes the project.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path
from typing import Literal

from slabwright import units
from slabwright.errors import SlabwrightError
from slabwright.intake import AnswerNeeded, Question, Reading, Resolved, possible_headings, resolve
from slabwright.intake.headings import known_headings
from slabwright.project import Project
from slabwright.records.findings import Finding
from slabwright.web.parts.remedies import remedy_here
from slabwright.workflow import beside_each_other, read_alone

__all__ = [
    "Answer",
    "Dropped",
    "answer_to",
    "answered",
    "at_post",
    "beside",
    "in_place",
    "meaning",
    "said",
    "warnings",
    "in_system",
    "in_unit",
    "matched",
    "of_table",
    "read_again",
    "renewed",
    "settled",
    "rejected",
    "why_not",
]

Answer = Literal["accepted", "rejected"]


@dataclass(frozen=True, eq=False)
class Dropped:
    """One file: what was told about it, its readings or the refusal, and the answers by (reading, finding).

    ``words`` are meanings told, ``posts`` stations of posts, ``place`` the weather station, ``lane`` and
    ``position`` those of the whole file; ``questions`` are what must be answered before the file can
    be read. ``headings`` are offered for correction where the file could not be read; ``pending`` says that a correction
    waits for the next reading. ``alone`` are the readings without what contradicts other files; ``held`` names the files
    of the project, one of which this one may take the place of.
    """

    path: Path
    system: units.System = "us"
    table: str | None = None
    mapping: Mapping[str, str | None] = field(default_factory=dict)
    units: Mapping[str, str] = field(default_factory=dict)
    words: Mapping[str, str] = field(default_factory=dict)
    posts: Mapping[str, str] = field(default_factory=dict)
    place: str = ""
    lane: str = ""
    position: str = ""
    readings: tuple[Reading, ...] = ()
    alone: tuple[Reading, ...] = ()
    held: tuple[str, ...] = ()
    in_place_of: str = ""
    refusal: str = ""
    questions: tuple[Question, ...] = ()
    headings: tuple[str, ...] = ()
    answers: Mapping[tuple[int, int], Answer] = field(default_factory=dict)
    pending: bool = False

    @property
    def name(self) -> str:
        return self.path.name


def read_again(dropped: Dropped, project: Project | None, today: date) -> Dropped:
    """The file read as it was told; earlier answers are asked again, because the warnings may be others now."""
    held = tuple(dict.fromkeys(s.name for s in project.sources())) if project is not None else ()
    fresh = replace(
        dropped,
        readings=(),
        alone=(),
        refusal="",
        questions=(),
        headings=(),
        answers={},
        pending=False,
        held=held,
        in_place_of=dropped.in_place_of if dropped.in_place_of in held else "",
    )
    try:
        found = read_alone(
            project,
            dropped.path,
            table=dropped.table,
            mapping=dropped.mapping,
            column_units=dropped.units,
            system=dropped.system,
            today=today,
            words=dropped.words,
            posts=dropped.posts,
            place=dropped.place,
            lane=dropped.lane,
            position=dropped.position,
        )
    except AnswerNeeded as asked:
        asked.remedy = "Answer here, and read it again."
        return replace(
            fresh, refusal=asked.sentence, questions=asked.questions, headings=_likely_headings(dropped.path)
        )
    except SlabwrightError as refusal:
        refusal.remedy = remedy_here(refusal.remedy)
        return replace(fresh, refusal=str(refusal), headings=_likely_headings(dropped.path))
    fresh = replace(fresh, alone=found)
    return replace(fresh, readings=beside({0: fresh}, project)[0])


def beside(lying: Mapping[int, Dropped], project: Project | None) -> dict[int, tuple[Reading, ...]]:
    """The readings of each file that was read, with what contradicts one another and the project."""
    whole = {number: d for number, d in lying.items() if d.alone}
    replaced = tuple(d.in_place_of for d in whole.values() if d.in_place_of)
    system: units.System = next((d.system for d in whole.values()), "us")
    found = beside_each_other(project, {d.path: d.alone for d in whole.values()}, system, replaced)
    return {number: found[d.path] for number, d in whole.items()}


def renewed(dropped: Dropped, readings: tuple[Reading, ...]) -> Dropped:
    """The file with other readings of it; the answers to findings that are as before stay."""
    kept = {
        (of, place): answer
        for (of, place), answer in dropped.answers.items()
        if _finding(readings, of, place) == _finding(dropped.readings, of, place)
    }
    return replace(dropped, readings=readings, answers=kept)


def _finding(readings: tuple[Reading, ...], of: int, place: int) -> Finding | None:
    return readings[of].findings[place] if of < len(readings) and place < len(readings[of].findings) else None


def _likely_headings(path: Path) -> tuple[str, ...]:
    """The row of a refused file that looks most like headings; none when the file cannot be opened at all."""
    try:
        rows = possible_headings(path)
    except SlabwrightError:
        return ()
    best = max(rows, key=lambda row: (known_headings(row), sum(bool(c) for c in row)), default=())
    return tuple(c for c in best if c)


def matched(dropped: Dropped, header: str, column: str | None, reading: int = 0) -> Dropped:
    """The file with another column for a heading; whatever heading held that column is then not used."""
    mapping, told = dict(dropped.mapping), dict(dropped.units)
    here = dropped.readings[reading].mapping if dropped.readings else ()
    mapping |= {m.header: None for m in here if column and m.column == column and m.header != header and not m.is_unit}
    mapping |= {h: None for h, c in mapping.items() if column and c == column}
    mapping[header] = column
    told = {h: u for h, u in told.items() if mapping.get(h, "") is not None and h != header}
    return replace(dropped, mapping=mapping, units=told, pending=True)


def said(dropped: Dropped, question: Question, answer: str) -> Dropped:
    """The file with a question answered by one of its offers; anything else changes nothing."""
    if question.kind == "lane":
        return replace(dropped, lane=answer.strip(), pending=True)
    if answer not in {offer.answer for offer in question.offers}:
        return dropped
    if question.kind == "position":
        return replace(dropped, position=answer, pending=True)
    if question.kind == "column":
        return matched(dropped, answer, question.about)
    if question.kind == "table":
        return of_table(dropped, answer)
    if question.kind == "unit":
        return in_unit(dropped, question.about, answer)
    return replace(dropped, place=answer, pending=True)


def answer_to(dropped: Dropped, question: Question) -> str:
    """What was answered to a question so far, "" when nothing was."""
    if question.kind == "column":
        return next((h for h, column in dropped.mapping.items() if column == question.about), "")
    if question.kind == "unit":
        return dropped.units.get(question.about, "")
    if question.kind == "lane":
        return dropped.lane
    if question.kind == "position":
        return dropped.position
    return (dropped.table or "") if question.kind == "table" else dropped.place


def meaning(dropped: Dropped, written: str, meant: str) -> Dropped:
    """The file with a meaning told for a word; the memory of the project keeps it once the file is loaded."""
    return replace(dropped, words={**dropped.words, written: meant}, pending=True)


def at_post(dropped: Dropped, words: str) -> Dropped:
    """The file with the station of a post, as ``MP 2=105+60``; what has no equals sign takes all posts back."""
    post, equals, station = (part.strip() for part in words.partition("="))
    posts = {**dropped.posts, post: station} if equals and post and station else {}
    return replace(dropped, posts=posts, pending=True)


def in_unit(dropped: Dropped, header: str, unit: str) -> Dropped:
    """The file with a unit stated for a heading; an empty one takes the statement back."""
    told = {h: u for h, u in dropped.units.items() if h != header} | ({header: unit.strip()} if unit.strip() else {})
    return replace(dropped, units=told, pending=True)


def of_table(dropped: Dropped, table: str | None) -> Dropped:
    """The file taken for another table, or for whichever its headings fit; corrections of headings are forgotten."""
    return replace(dropped, table=table, mapping={}, units={}, pending=True)


def in_place(dropped: Dropped, name: str) -> Dropped:
    """The file in the place of one that the project holds; an empty name takes that back."""
    return replace(dropped, in_place_of=name if name in dropped.held else "", pending=True)


def in_system(dropped: Dropped, system: units.System) -> Dropped:
    """The file with its bare numbers in another system of units."""
    return replace(dropped, system=system, pending=True)


def warnings(dropped: Dropped) -> dict[tuple[int, int], str]:
    """The rule of every warning, by (reading, finding)."""
    return {
        (number, place): finding.rule
        for number, reading in enumerate(dropped.readings)
        for place, finding in enumerate(reading.findings)
        if finding.weight == "warning"
    }


def _open_warnings(dropped: Dropped) -> tuple[tuple[int, int], ...]:
    """The warnings that wait for a word."""
    return tuple(place for place in warnings(dropped) if place not in dropped.answers)


def answered(dropped: Dropped, places: Collection[tuple[int, int]], answer: Answer) -> Dropped:
    """The file with the same word said to some of its warnings; places that hold no warning are passed over."""
    known = warnings(dropped)
    return replace(dropped, answers={**dropped.answers, **{p: answer for p in places if p in known}})


def rejected(dropped: Dropped) -> list[set[int]]:
    """For each reading the findings to reject, as ``load_files`` takes them."""
    return [
        {place for (of, place), answer in dropped.answers.items() if of == number and answer == "rejected"}
        for number in range(len(dropped.readings))
    ]


def settled(dropped: Dropped) -> tuple[Resolved, ...]:
    """The tables as they would enter the project. Raises InputError for errors and for open warnings."""
    waiting = {of for of, _ in _open_warnings(dropped)}
    return tuple(
        resolve(reading, accept=number not in waiting, reject_findings=chosen)
        for number, (reading, chosen) in enumerate(zip(dropped.readings, rejected(dropped), strict=True))
    )


def why_not(dropped: Dropped) -> str:
    """Why the file cannot be loaded yet, in a sentence; empty when it can."""
    if dropped.pending:
        return f"{dropped.name} was told to be read another way: read it again first."
    if dropped.questions:
        count = len({q.about for q in dropped.questions})  # a lane is asked in two ways, one of which answers
        return f"{dropped.name} waits for {count} answer{'s' if count > 1 else ''}."
    if dropped.refusal or not dropped.readings:
        return f"{dropped.name} could not be read."
    errors = sum(f.weight == "error" for r in dropped.readings for f in r.findings)
    if errors:
        return (
            f"{dropped.name} has {errors} error{'s' if errors > 1 else ''}: correct the file, its mapping or its units."
        )
    waiting = len(_open_warnings(dropped))
    if waiting:
        return f"{dropped.name} has {waiting} warning{'s' if waiting > 1 else ''} that wait for your word."
    try:
        settled(dropped)
    except SlabwrightError as refusal:
        return f"{dropped.name}: {refusal}"
    return ""
