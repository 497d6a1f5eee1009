"""The connection to one project: transactions that hold or leave no trace.

A file keeps a rollback journal (``beside``), so that it is whole by itself after every change. A change then waits until
those who are reading are done; nobody computes in a transaction. A database of PostgreSQL is spoken to by ``server``.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import cached_property, partial
from pathlib import Path
from typing import Any

import sqlalchemy as sa
from sqlalchemy.exc import DBAPIError, DisconnectionError, NoResultFound
from sqlalchemy.pool import QueuePool

from slabwright.errors import StoreError
from slabwright.project import server
from slabwright.project.beside import Held, journal_number, journal_of, refuse_strangers, stamp, with_log
from slabwright.project.server import is_url

__all__ = ["APPLICATION_ID", "BUSY_SECONDS", "Store", "connect", "is_url", "may_write", "translated"]

APPLICATION_ID = 0x534C4142  # "SLAB", in the header of every project file
BUSY_SECONDS = 5.0  # how long a writer waits for another one


@dataclass(frozen=True)
class Store:
    """One open project: its name as the user knows it and the engine behind it."""

    name: str
    engine: sa.Engine
    path: Path | None = None
    held: Held = field(default_factory=Held)

    @property
    def read_only(self) -> bool:
        """Whether the project stands where nothing can be written, on a medium for reading say."""
        if self.path is None:
            return self._only_read
        return self.path.exists() and not may_write(self.path)

    @cached_property
    def _only_read(self) -> bool:
        with self.reading() as connection:
            return not server.may_change(connection)

    @contextmanager
    def reading(self) -> Iterator[sa.Connection]:
        """A transaction that sees one state of the project from its first to its last read."""
        with translated(self.name), self.engine.connect() as connection:
            if self.engine.dialect.name != "sqlite":
                connection = connection.execution_options(isolation_level="REPEATABLE READ", postgresql_readonly=True)
            with connection.begin(), _sensible(self.name):
                yield connection

    @contextmanager
    def writing(self) -> Iterator[sa.Connection]:
        """A transaction that holds the write lock from the start; it is kept whole, or on any error undone whole."""
        if self.read_only:
            raise StoreError(
                "the project stands where nothing can be written",
                where=self.name,
                remedy="Copy it to a folder of yours with `slabwright copy` and work on the copy."
                if self.path
                else "Ask for the right to write to its schema, or copy it to a file with `slabwright move`.",
            )
        with translated(self.name), self.engine.connect() as connection:
            connection = connection.execution_options(slabwright_write=True)
            with connection.begin():
                if self.path is None:
                    server.take_turn(connection, BUSY_SECONDS)
                yield connection

    def close(self) -> None:
        """Let go of the project."""
        self.engine.dispose()
        self.held.close()


def connect(place: str | Path, name: str = "") -> Store:
    """A store at a path or URL, called ``name`` in messages; nothing is created or opened until it is used."""
    if is_url(place):
        return Store(server.shown(str(place)), server.engine_at(str(place)))
    path, held = Path(place).absolute(), Held()
    called = name or str(place)

    def connection() -> sqlite3.Connection:
        refuse_strangers(path, held, called)
        # A log of an older version needs files beside it, which a medium for reading cannot have.
        mode = "mode=ro&immutable=1" if not may_write(path) and with_log(held.start(path, 100)) else "mode=rw"
        return sqlite3.connect(
            f"{path.as_uri()}?{mode}", uri=True, timeout=BUSY_SECONDS, isolation_level=None, check_same_thread=False
        )

    engine = sa.create_engine("sqlite://", poolclass=QueuePool, creator=connection)
    sa.event.listen(engine, "connect", _prepare)
    sa.event.listen(engine, "begin", _begin)
    sa.event.listen(engine, "checkout", partial(_same_file, path))
    sa.event.listen(engine, "checkin", partial(_mark, path))
    return Store(called, engine.execution_options(slabwright_path=path), path, held)


def may_write(path: Path) -> bool:
    """Whether a file may be changed where it stands; a change needs room for a journal beside it."""
    return os.access(path, os.W_OK) and os.access(path.parent, os.W_OK)


def _mark(path: Path, _connection: object, record: Any) -> None:
    record.info["file"] = stamp(path)


def _same_file(path: Path, _connection: object, record: Any, _proxy: object) -> None:
    """A connection remembers pages; where somebody else has changed the file or put another there, a new one is made."""
    same = record.info.pop("file", None) == stamp(path) and not journal_of(path).exists()
    if record.info.pop("used", False) and not same:
        raise DisconnectionError
    record.info["used"] = True


def _prepare(connection: sqlite3.Connection, _record: object) -> None:
    connection.execute("PRAGMA foreign_keys = ON")
    connection.execute("PRAGMA trusted_schema = OFF")
    connection.execute("PRAGMA synchronous = EXTRA")  # the end of the journal outlasts a power cut


def _begin(connection: sa.Connection) -> None:
    # A reader that turned writer midway could find the state it read gone, so writers lock at once.
    options = connection.get_execution_options()
    if not options.get("slabwright_write"):
        connection.exec_driver_sql("BEGIN")
        return
    connection.exec_driver_sql("BEGIN IMMEDIATE")
    connection.exec_driver_sql("PRAGMA user_version = 0")  # begins the journal with the first page
    connection.exec_driver_sql(f"PRAGMA user_version = {journal_number(options['slabwright_path'])}")


@contextmanager
def translated(name: str) -> Iterator[None]:
    """What the database refuses, as a StoreError with a remedy."""
    try:
        yield
    except DBAPIError as problem:
        raise _refusal(name, str(problem.orig)) from problem
    except (sqlite3.Error, OSError) as problem:
        raise _refusal(name, str(problem)) from problem
    except UnicodeDecodeError as problem:  # the driver fails on its own message when that quotes a damaged name
        raise _refusal(name, f"corrupt content: {problem}") from problem


@contextmanager
def _sensible(name: str) -> Iterator[None]:
    """A reader that stumbles over what is stored, text in place of a number say, has met a damaged file."""
    try:
        yield
    except (ValueError, TypeError, KeyError, NoResultFound) as problem:
        raise _refusal(name, f"corrupt content: {problem}") from problem


# What SQLite says, what it means, and what to do.
REFUSALS = (
    (("locked", "busy"), "another program is writing to the project",
     "Wait until it is done or close it, then try again; nothing was changed."),
    (("malformed", "not a database", "no such table", "no such column", "corrupt", "could not decode"), "the project file is damaged",
     "Restore it from a copy of the file."),
    (("disk is full", "no space"), "there is no room left on the disk", "Make room and try again; nothing was changed."),
    (("readonly", "read-only", "unable to open", "permission", "not a directory", "no such file"),
     "the project file cannot be opened for writing",
     "Check that the folder exists and that you may write to the file and its folder."),
)  # fmt: skip


def _refusal(name: str, told: str) -> StoreError:
    said = " ".join(told.split())  # a server says more than one line
    for words, what, remedy in server.REFUSALS if is_url(name) else REFUSALS:
        if any(word in said.lower() for word in words):
            return StoreError(f"{what} ({said})", where=name, remedy=remedy)
    return StoreError(
        f"the project could not be read or written ({said})",
        where=name,
        remedy="Check the disk or the server and try again; nothing was changed.",
    )
