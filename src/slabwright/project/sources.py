"""What was loaded from where: files, the header mappings confirmed for them, and the answers to findings."""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Literal, NamedTuple

import numpy as np
import numpy.typing as npt
import pandas as pd
import sqlalchemy as sa

from slabwright.errors import Conflict, InputError
from slabwright.project.facts_io import append
from slabwright.project.schema import CHANGE, FACT, FINDING, MAPPING, SOURCE, current
from slabwright.project.texts import check_storable
from slabwright.records.findings import Finding

__all__ = [
    "Answer",
    "AnsweredFinding",
    "Batch",
    "HeaderMapping",
    "LoadedFile",
    "SourceFile",
    "TracedFinding",
    "add_file",
    "file_named",
    "read_findings",
    "read_mappings",
    "read_sources",
    "refuse_twice",
    "take_out",
]

Answer = Literal["accepted", "rejected"]
HeaderMapping = Mapping[tuple[str, ...], Any]  # for each tuple of headers, what they were confirmed to mean, as JSON


class Batch(NamedTuple):
    """Rows of a file for one table of facts: SI values in the schema's columns, and the file's row numbers."""

    table: str
    frame: pd.DataFrame
    rows: Sequence[int] | npt.NDArray[np.int64]


@dataclass(frozen=True)
class LoadedFile:
    """A file about to be loaded: its name, the SHA-256 of its bytes, and its size in bytes."""

    name: str
    sha256: str
    size: int


@dataclass(frozen=True)
class SourceFile:
    """A file that the project holds rows of, who loaded it and when, and its confirmed mappings."""

    id: int
    name: str
    sha256: str
    size: int
    rows: int
    time: datetime
    user: str
    mapping: Mapping[tuple[str, ...], Any]


@dataclass(frozen=True)
class AnsweredFinding:
    """A warning of intake and what the engineer said to it."""

    finding: Finding
    answer: Answer


@dataclass(frozen=True)
class TracedFinding:
    """An answered finding with the number of the change that holds the answer, who gave it and when."""

    finding: Finding
    answer: Answer
    change: int
    time: datetime
    user: str


def refuse_twice(connection: sa.Connection, head: int, file: LoadedFile, old: int | None = None) -> None:
    """Raise Conflict when a file of the same bytes is loaded and not taken out, other than ``old``, whose place it takes."""
    query = (
        sa
        .select(SOURCE.c.name, CHANGE.c.id, CHANGE.c.time, CHANGE.c.user)
        .join(CHANGE, CHANGE.c.id == SOURCE.c.inserted)
        .where(current(SOURCE, head), SOURCE.c.sha256 == file.sha256, SOURCE.c.id != (-1 if old is None else old))
    )
    for row in connection.execute(query).all():
        name = "" if row.name == file.name else f" under the name {row.name}"
        raise Conflict(
            f"this file was already loaded{name} by {row.user} on {row.time[:16].replace('T', ' ')} UTC (change {row.id})",
            where=file.name,
            remedy="Undo that change or take the file out of the project to load it again.",
        )


def add_file(
    connection: sa.Connection,
    change: int,
    file: LoadedFile,
    batches: Sequence[Batch],
    findings: Sequence[AnsweredFinding],
    mapping: HeaderMapping,
    tell: Callable[[int], None] | None = None,
) -> None:
    """Insert a file with its prepared batches, answers and mappings in the change ``change``; ``tell`` as ``append``."""
    total = sum(len(batch.frame) for batch in batches)
    insert = sa.insert(SOURCE).values(inserted=change, rows=total, **dataclasses.asdict(file))
    source = connection.execute(insert.returning(SOURCE.c.id)).scalar_one()
    for batch in batches:
        rows = np.asarray(batch.rows, dtype=np.int64)
        append(connection, batch.table, batch.frame, change, np.full(len(rows), source), rows, tell)
    answers = [{**dataclasses.asdict(f.finding), "answer": f.answer} for f in findings]
    for answer in answers:
        check_storable([str(value) for value in answer.values()], f"finding on {file.name}")
    mappings = [
        {"headers": _json(headers), "headers_key": _key(headers), "mapping": _json(meaning)}
        for headers, meaning in mapping.items()
    ]
    for into, entries in ((FINDING, answers), (MAPPING, mappings)):
        if entries:
            connection.execute(sa.insert(into), [{"inserted": change, "source_file": source, **e} for e in entries])


def file_named(connection: sa.Connection, head: int, name: str, sha256: str = "") -> int:
    """The number of the newest loaded file of that name (and digest), or InputError with the names there are."""
    rows = connection.execute(
        sa.select(SOURCE.c.id, SOURCE.c.name, SOURCE.c.sha256).where(current(SOURCE, head)).order_by(SOURCE.c.id)
    ).all()
    found = [row.id for row in rows if row.name == name and sha256 in ("", row.sha256)]
    if not found:
        held = ", ".join(dict.fromkeys(row.name for row in rows)) or "none"
        raise InputError("the project holds no file of this name", given=name, allowed=held)
    return int(found[-1])


def take_out(connection: sa.Connection, source: int, head: int, change: int) -> None:
    """Let the rows and answers of a file die with it; the mapping stays, for the corrected file."""
    for table in (*FACT.values(), FINDING):
        connection.execute(
            sa.update(table).where(current(table, head), table.c.source_file == source).values(closed=change)
        )
    connection.execute(sa.update(SOURCE).where(SOURCE.c.id == source).values(closed=change))


def read_sources(connection: sa.Connection, head: int) -> tuple[SourceFile, ...]:
    """The loaded files, oldest first."""
    mappings: dict[int, dict[tuple[str, ...], Any]] = {}
    for row in connection.execute(sa.select(MAPPING).where(current(MAPPING, head)).order_by(MAPPING.c.id)):
        mappings.setdefault(row.source_file, {})[tuple(json.loads(row.headers))] = json.loads(row.mapping)
    query = (
        sa
        .select(SOURCE, CHANGE.c.time, CHANGE.c.user)
        .join(CHANGE, CHANGE.c.id == SOURCE.c.inserted)
        .where(current(SOURCE, head))
        .order_by(SOURCE.c.id)
    )
    return tuple(
        SourceFile(
            row.id,
            row.name,
            row.sha256,
            row.size,
            row.rows,
            datetime.fromisoformat(row.time),
            row.user,
            mappings.get(row.id, {}),
        )
        for row in connection.execute(query)
    )


def read_mappings(connection: sa.Connection, head: int) -> tuple[tuple[tuple[str, ...], Any], ...]:
    """The headers of every file ever loaded and not undone, with what they were confirmed to mean, oldest first."""
    query = sa.select(MAPPING.c.headers, MAPPING.c.mapping).where(current(MAPPING, head)).order_by(MAPPING.c.id)
    return tuple((tuple(json.loads(row.headers)), json.loads(row.mapping)) for row in connection.execute(query))


def read_findings(connection: sa.Connection, head: int) -> tuple[TracedFinding, ...]:
    """Every answered finding, oldest first."""
    query = (
        sa
        .select(FINDING, CHANGE.c.time, CHANGE.c.user)
        .join(CHANGE, CHANGE.c.id == FINDING.c.inserted)
        .where(current(FINDING, head))
        .order_by(FINDING.c.id)
    )
    names = [f.name for f in dataclasses.fields(Finding)]
    return tuple(
        TracedFinding(
            Finding(**{name: getattr(row, name) for name in names}),
            row.answer,
            row.inserted,
            datetime.fromisoformat(row.time),
            row.user,
        )
        for row in connection.execute(query)
    )


def _json(value: object) -> str:
    return json.dumps(value, ensure_ascii=True)


def _key(headers: Sequence[str]) -> str:
    return _json(sorted(headers))
