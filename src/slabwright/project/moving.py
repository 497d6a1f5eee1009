"""A project taken over from a file into a database or back, row by row, and held against what it was."""

from __future__ import annotations

import hashlib
import itertools
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import sqlalchemy as sa

from slabwright.errors import InputError, StoreError
from slabwright.project.names import checked_file
from slabwright.project.opening import make, opened
from slabwright.project.schema import METADATA
from slabwright.project.server import is_url
from slabwright.project.store import Store

__all__ = ["Moved", "move_project"]

AT_ONCE = 2000  # rows in memory


@dataclass(frozen=True)
class Moved:
    """A table with its rows as counted in the source and, after the move, in the target."""

    table: str
    rows: int
    arrived: int


def move_project(source: str | Path, target: str | Path) -> tuple[Moved, ...]:
    """Put a project with its whole history into an empty database, or into a new file; the source stays as it is.

    All in one transaction: rows are counted on both sides and their contents compared by a digest before it is kept. A
    source of an older format is migrated first. Raises StoreError where the target is not empty or a table differs,
    InputError unless one of the two is a URL, or for a name that some computer cannot keep.
    """
    if not (is_url(source) or is_url(target)):
        raise InputError(
            "neither the source nor the target is the URL of a database",
            given=f"{source}, {target}",
            remedy="Copy a file with `slabwright copy`.",
        )
    if not is_url(target):
        checked_file(Path(target))
    moved: list[Moved] = []
    store = opened(source)
    try:
        with store.reading() as given:
            make(target, lambda taking: moved.extend(_take_over(given, taking, store))).close()
    finally:
        store.close()
    return tuple(moved)


def _take_over(given: sa.Connection, taking: sa.Connection, source: Store) -> Iterator[Moved]:
    for table in METADATA.sorted_tables:
        rows = _rows(given, table)
        while batch := list(itertools.islice(rows, AT_ONCE)):
            taking.execute(sa.insert(table), [dict(row._mapping) for row in batch])
        _next_key(taking, table)
        before, after = (_digest(connection, table) for connection in (given, taking))
        if before != after:
            raise StoreError(
                f"the table {table.name} did not arrive as it was: {before[0]} rows went, {after[0]} came",
                where=source.name,
                remedy="Nothing was kept in the target. Please report this.",
            )
        yield Moved(table.name, before[0], after[0])


def _rows(connection: sa.Connection, table: sa.Table) -> sa.CursorResult[tuple[object, ...]]:
    return connection.execute(sa.select(table).order_by(table.c.id).execution_options(yield_per=AT_ONCE))


def _digest(connection: sa.Connection, table: sa.Table) -> tuple[int, str]:
    """How many rows a table has, and a digest of all that is in them."""
    digest, count = hashlib.sha256(), 0
    for row in _rows(connection, table):
        digest.update(repr(tuple(row)).encode("utf-8", "surrogatepass"))
        count += 1
    return count, digest.hexdigest()


def _next_key(connection: sa.Connection, table: sa.Table) -> None:
    """Let the server number new rows after those that came with their numbers; a file does so by itself."""
    if connection.dialect.name != "postgresql":
        return
    name = connection.dialect.identifier_preparer.quote(table.name)
    newest = connection.execute(sa.select(sa.func.max(table.c.id))).scalar()
    if newest is not None:
        connection.execute(sa.select(sa.func.setval(sa.func.pg_get_serial_sequence(name, "id"), newest)))
