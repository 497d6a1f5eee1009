"""The connection to one project: opening, creating, migrating, and transactions that hold or leave no trace."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import sqlalchemy as sa
from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import ArgumentError, DBAPIError, NoResultFound, NoSuchModuleError
from sqlalchemy.pool import QueuePool

from slabwright.errors import StoreError

__all__ = ["APPLICATION_ID", "BUSY_SECONDS", "Store", "connect", "is_url", "translated"]

APPLICATION_ID = 0x534C4142  # "SLAB", in the header of every project file
BUSY_SECONDS = 5.0  # how long a writer waits for another one


@dataclass(frozen=True)
class Store:
    """One open project: its name as the user knows it and the engine behind it."""

    name: str
    engine: sa.Engine

    @contextmanager
    def reading(self) -> Iterator[sa.Connection]:
        """A transaction that sees one state of the project from its first to its last read."""
        with translated(self.name), self.engine.connect() as connection:
            if self.engine.dialect.name != "sqlite":
                connection = connection.execution_options(isolation_level="REPEATABLE READ")
            with connection.begin(), _sensible(self.name):
                yield connection

    @contextmanager
    def writing(self) -> Iterator[sa.Connection]:
        """A transaction that holds the write lock from the start; it is kept whole, or on any error undone whole."""
        with translated(self.name), self.engine.connect() as connection:
            connection = connection.execution_options(slabwright_write=True)
            with connection.begin():
                yield connection

    def close(self) -> None:
        """Let go of the project; the last one to do so folds the write-ahead log into the file."""
        self.engine.dispose()


def connect(place: str | Path, name: str = "") -> Store:
    """A store at a path or URL, called ``name`` in messages; nothing is created or opened until it is used."""
    if is_url(place):
        return _server(str(place))
    path = Path(place).absolute()
    engine = sa.create_engine(
        "sqlite://",
        poolclass=QueuePool,
        creator=lambda: sqlite3.connect(
            f"{path.as_uri()}?mode=rw", uri=True, timeout=BUSY_SECONDS, isolation_level=None, check_same_thread=False
        ),
    )
    sa.event.listen(engine, "connect", _prepare)
    sa.event.listen(engine, "begin", _begin)
    return Store(name or str(place), engine)


def is_url(place: str | Path) -> bool:
    return isinstance(place, str) and "://" in place


def _server(place: str) -> Store:
    try:
        url: URL = make_url(place)
        shown = url.render_as_string(hide_password=True)
        if url.get_backend_name() == "sqlite":
            raise StoreError("a project in one file is named by its path, not by a URL", where=shown)
        return Store(shown, sa.create_engine(url, pool_pre_ping=True))
    except (ArgumentError, NoSuchModuleError, ModuleNotFoundError) as problem:
        raise StoreError(
            f"no project can be reached by this address ({problem})",
            given=place.split("://")[0],
            remedy="Give a path, or the URL of a PostgreSQL database whose driver is installed.",
        ) from problem


def _prepare(connection: sqlite3.Connection, _record: object) -> None:
    connection.execute("PRAGMA foreign_keys = ON")
    connection.execute("PRAGMA trusted_schema = OFF")


def _begin(connection: sa.Connection) -> None:
    # A reader that turned writer midway could find the state it read gone, so writers lock at once.
    write = connection.get_execution_options().get("slabwright_write")
    connection.exec_driver_sql("BEGIN IMMEDIATE" if write else "BEGIN")


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


def _refusal(name: str, said: str) -> StoreError:
    for words, what, remedy in REFUSALS:
        if any(word in said.lower() for word in words):
            return StoreError(f"{what} ({said})", where=name, remedy=remedy)
    return StoreError(
        f"the project could not be read or written ({said})",
        where=name,
        remedy="Check the disk or the server and try again; nothing was changed.",
    )
