"""A project in a PostgreSQL database: how it is reached, how a writer takes its turn, and what refusals mean.

A project has a schema to itself, the first of the search path, so that one database can hold several. Readers see one
state and wait for nobody. Writers take turns by an advisory lock of the schema, held to the end of their transaction.
"""

from __future__ import annotations

import sqlalchemy as sa
from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import ArgumentError

from slabwright.errors import StoreError

__all__ = ["REFUSALS", "engine_at", "is_url", "may_change", "shown", "take_turn"]

DRIVER = "postgresql+psycopg"
BACKENDS = ("postgresql", "postgres")
CONNECT_SECONDS = 10
LOCK = 0x534C4142  # "SLAB", the first half of the advisory lock

# What the server says, what it means, and what to do.
REFUSALS = (
    (("lock timeout",), "another program is writing to the project",
     "Wait until it is done, then try again; nothing was changed."),
    (("read-only transaction", "permission denied"), "the database does not let this user change the project",
     "Ask for the right to write to its schema; reading goes on."),
    (("password authentication", "no password supplied", "no pg_hba.conf entry", 'role "'), "the database does not let this user in",
     "Give the user in the URL and the password in ~/.pgpass or PGPASSWORD."),
    (('database "',), "there is no such database on the server", "Have it made with createdb."),
    (("connection", "could not translate host name", "resolve host", "timeout expired", "terminating", "shut down"), "the server cannot be reached",
     "See whether PostgreSQL runs at this address, then try again; a change that was not acknowledged was not made."),
    (("disk full", "no space", "could not extend"), "there is no room left on the server's disk",
     "Make room and try again; nothing was changed."),
    (('relation "', 'column "', "corrupt", "could not decode", "invalid page"), "the project in the database is damaged",
     "Restore it from a backup."),
)  # fmt: skip


def is_url(place: object) -> bool:
    return isinstance(place, str) and "://" in place


def shown(place: str) -> str:
    """A URL without its password; "" for one that cannot be read."""
    try:
        return make_url(place).render_as_string(hide_password=True)
    except ArgumentError:
        return ""


def engine_at(place: str) -> sa.Engine:
    """The engine for a URL; nothing is connected yet. Raises StoreError for what is no URL of PostgreSQL."""
    try:
        url: URL = make_url(place)
    except ArgumentError as problem:
        raise _unreachable(place, "this is no URL") from problem
    backend = url.drivername.partition("+")[0]
    if backend == "sqlite":
        raise StoreError("a project in one file is named by its path, not by a URL", where=shown(place))
    if backend not in BACKENDS:
        raise _unreachable(place, "only PostgreSQL is spoken to")
    try:
        return sa.create_engine(
            url.set(drivername=DRIVER), pool_pre_ping=True, connect_args={"connect_timeout": CONNECT_SECONDS}
        )
    except ModuleNotFoundError as problem:
        raise StoreError(
            "the driver of PostgreSQL is not installed",
            where=shown(place),
            remedy='Install it with `pip install "slabwright[postgresql]"`.',
        ) from problem


def _unreachable(place: str, why: str) -> StoreError:
    return StoreError(
        f"no project can be reached by this address ({why})",
        given=place.split("://")[0],
        remedy="Give a path, or a URL as postgresql://user@host/database.",
    )


def take_turn(connection: sa.Connection, seconds: float) -> None:
    """Wait for the other writers of the project's schema; the driver raises after so many seconds."""
    connection.exec_driver_sql(f"SET LOCAL lock_timeout = {max(1, round(seconds * 1000))}")
    connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({LOCK}, hashtext(current_schema()))")


def may_change(connection: sa.Connection) -> bool:
    """Whether the user may change the project, and the server takes changes at all."""
    query = """
        SELECT NOT pg_is_in_recovery() AND NOT current_setting('default_transaction_read_only')::boolean
            AND coalesce(has_table_privilege(to_regclass('head'), 'UPDATE'), true)
    """
    return bool(connection.exec_driver_sql(query).scalar_one())
