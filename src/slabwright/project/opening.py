"""How a project is made, opened, and brought from an older format to the present one."""

from __future__ import annotations

import itertools
import os
import shutil
import sqlite3
import struct
import tempfile
import time
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING

import sqlalchemy as sa

from slabwright import __version__
from slabwright.errors import StoreError
from slabwright.project.beside import journal_of, log_of, stranger, with_log
from slabwright.project.drafts import draft_of
from slabwright.project.schema import META, METADATA
from slabwright.project.store import APPLICATION_ID, BUSY_SECONDS, Store, connect, is_url, may_write, translated

if TYPE_CHECKING:
    from alembic.config import Config

__all__ = ["FORMAT", "MIGRATIONS", "copy_whole", "make", "opened", "settle"]

FORMAT = "0008"  # the newest migration
MIGRATIONS = Path(__file__).with_name("migrations")

HEADER = 100
MAGIC = b"SQLite format 3\0"
Fill = Callable[[sa.Connection], None]


def make(place: str | Path, fill: Fill) -> Store:
    """A new project at a path or URL, filled in the transaction that makes its tables.

    Raises StoreError where something exists already.
    """
    if is_url(place):
        store = connect(place)
        try:
            with store.writing() as connection:
                _refuse_filled(connection, store.name)
                _lay_out(connection)
                fill(connection)
        except BaseException:
            store.close()
            raise
        return store
    with translated(str(place)):
        _make_file(Path(place), fill)
    return connect(place)


def _refuse_filled(connection: sa.Connection, name: str) -> None:
    """Raise StoreError unless the schema is there and empty; tables of others would be taken for those of a project."""
    if connection.exec_driver_sql("SELECT current_schema()").scalar() is None:
        raise StoreError("the database has no such schema", where=name, remedy="Have it made with CREATE SCHEMA.")
    tables = sa.inspect(connection).get_table_names()
    if tables:
        held = "a project" if "alembic_version" in tables and "meta" in tables else f"{len(tables)} tables"
        raise StoreError(
            f"there is {held} in this database already",
            where=name,
            remedy="Name an empty database, or an empty schema with ?options=-csearch_path%3DNAME.",
        )


def _make_file(path: Path, fill: Fill) -> None:
    """Built under another name and linked when whole, so that a killed program leaves no half project."""
    _refuse_existing(path)
    with draft_of(path) as draft:
        store = connect(draft, name=str(path))
        try:
            with store.writing() as connection:
                _lay_out(connection)
                fill(connection)
                connection.exec_driver_sql(f"PRAGMA application_id = {APPLICATION_ID}")
        finally:
            store.close()
        _publish(draft, path)


def _publish(draft: Path, path: Path) -> None:
    try:
        os.link(draft, path)  # fails where a file has appeared meanwhile
    except FileExistsError:
        _refuse_existing(path)
    except OSError:  # a disk without links, such as a memory stick
        _refuse_existing(path)
        os.rename(draft, path)


def _refuse_existing(path: Path) -> None:
    if os.path.lexists(path):
        raise StoreError(
            "there is a file or folder of this name already", where=str(path), remedy="Choose another name or open it."
        )


def opened(place: str | Path) -> Store:
    """The project at a path or URL, in the present format.

    Raises StoreError for anything that is not a whole project file of this version or an older one.
    """
    store = connect(place)
    try:
        if store.path is not None:
            settle(store)
        found = _format(store)
        if found != FORMAT:
            _upgrade(store, found)
    except BaseException:
        store.close()
        raise
    return store


def settle(store: Store) -> None:
    """Refuse what is no sound project file, and end the log that an older version kept beside it."""
    path = store.path
    assert path is not None
    with translated(store.name):
        header = _check_file(path, store)
        if with_log(header):
            _end_log(path, store.name)
        with store.reading() as connection:
            said = connection.exec_driver_sql("PRAGMA quick_check(1)").scalar_one()
    if said != "ok":
        raise StoreError(
            f"the project file is damaged ({said})", where=store.name, remedy="Restore it from a copy of the file."
        )


def _end_log(path: Path, name: str) -> None:
    """Fold the log of an older version into the file, where it is the file's own."""
    log = log_of(path)
    held = log.exists() and log.stat().st_size
    if held:
        _check_log(path, log, name)
    if not may_write(path):
        if held:
            raise StoreError(
                f"the last changes of the project stand in {log.name} beside it, where nothing can be written",
                where=name,
                remedy="Copy both files to a folder of yours and open the project there.",
            )
        return
    with closing(sqlite3.connect(f"{path.absolute().as_uri()}?mode=rw", uri=True)) as plain:
        plain.execute("PRAGMA journal_mode = DELETE")


def _check_log(path: Path, log: Path, name: str) -> None:
    """A log belongs to a file if together they are sound, unless the file was put there later in another state."""
    with tempfile.TemporaryDirectory(prefix="slabwright-") as folder:
        alone, both = Path(folder) / "alone", Path(folder) / "both"
        for made in (alone, both):
            shutil.copyfile(path, made)
        shutil.copyfile(log, log_of(both))
        together = _newest(both)
        later = path.stat().st_mtime_ns > log.stat().st_mtime_ns
        if together is None or (later and together != _newest(alone)):
            raise stranger(log, name)


def _newest(path: Path) -> tuple[object, ...] | None:
    """Where the history of a file stands, None when it is damaged."""
    try:
        with closing(sqlite3.connect(path)) as plain:
            if plain.execute("PRAGMA integrity_check(1)").fetchone() != ("ok",):
                return None
            return tuple(plain.execute("SELECT change, last FROM head").fetchall())
    except sqlite3.Error:
        return None


def _check_file(path: Path, store: Store) -> bytes:
    """The header of the file; what is plainly no project is refused before SQLite touches it."""
    where = store.name
    if path.is_dir():
        raise StoreError("this is a folder, not a project file", where=where)
    if not path.exists():
        raise StoreError("there is no project file of this name", where=where, remedy="Make one with `slabwright new`.")
    if not path.is_file():
        raise StoreError("this is a pipe or a device, not a project file", where=where, remedy="Choose a .slab file.")
    header = store.held.start(path, HEADER)
    if not header:
        raise StoreError("the file is empty", where=where, remedy="Restore it from a copy of the file.")
    if header[: len(MAGIC)] != MAGIC[: len(header)]:
        raise StoreError("this is not a Slabwright project file", where=where, remedy="Choose a .slab file.")
    if len(header) < HEADER:
        raise _cut_short(where)
    if struct.unpack(">I", header[68:72])[0] != APPLICATION_ID:
        raise StoreError(
            "this is a database of another program, not a Slabwright project",
            where=where,
            remedy="Choose a .slab file.",
        )
    _check_length(path, header, where)
    return header


def _check_length(path: Path, header: bytes, where: str) -> None:
    """The file must hold the pages that its header counts, unless a journal or log beside it still holds some."""
    page = struct.unpack(">H", header[16:18])[0]
    pages = struct.unpack(">I", header[28:32])[0]
    beside = any(other.exists() and other.stat().st_size for other in (log_of(path), journal_of(path)))
    if not beside and path.stat().st_size < (65536 if page == 1 else page) * pages:
        raise _cut_short(where)


def _cut_short(where: str) -> StoreError:
    return StoreError("the project file is cut short", where=where, remedy="Restore it from a copy of the file.")


def _format(store: Store) -> str:
    """The format that the project has, refused when a newer program made it."""
    with store.reading() as connection:
        tables = sa.inspect(connection).get_table_names()  # of a server: those of the first schema of the path
        if "alembic_version" not in tables or "meta" not in tables:
            raise StoreError("there is no Slabwright project in this database", where=store.name)
        found = str(connection.execute(sa.text("SELECT version_num FROM alembic_version")).scalar_one())
        version = connection.execute(sa.select(META.c.version)).scalar_one()
    if found > FORMAT:
        raise StoreError(
            f"the project was written by a newer Slabwright, version {version} with file format {found}",
            where=store.name,
            allowed=f"formats up to {FORMAT}, which is what version {__version__} reads",
            remedy="Open it with that version or a newer one.",
        )
    return found


def _upgrade(store: Store, found: str) -> None:
    """Back up a file, then migrate it in one transaction."""
    if store.read_only:
        raise StoreError(
            f"the project is of the older format {found} and stands where nothing can be written",
            where=store.name,
            remedy="Copy it to a folder of yours with `slabwright copy` and open the copy.",
        )
    backup = _back_up(store, found) if store.path else None
    try:
        with store.writing() as connection:
            _migrate(connection)
            connection.execute(sa.update(META).values(version=__version__))
    except Exception as problem:
        kept = f" A backup is in {backup}." if backup else ""
        raise StoreError(
            f"the project could not be brought from format {found} to {FORMAT} ({problem})",
            where=store.name,
            remedy=f"It was left as it was.{kept} Please report this.",
        ) from problem


def _back_up(store: Store, found: str) -> Path:
    """A whole copy beside the file; never over an earlier copy."""
    assert store.path is not None
    for suffix in _suffixes():
        backup = store.path.with_name(f"{store.path.name}.backup-{found}{suffix}")
        if not os.path.lexists(backup):
            copy_whole(store, backup)
            return backup
    raise AssertionError("the suffixes have no end")


def copy_whole(store: Store, target: Path) -> None:
    """A sound copy of a file that may be in use, under its name only when it is whole.

    Raises StoreError where something of that name exists, or the copy is not sound.
    """
    _refuse_existing(target)
    with translated(str(target)), draft_of(target) as draft:
        with closing(sqlite3.connect(draft, isolation_level=None, timeout=0)) as copy, store.reading() as connection:
            connection.connection.driver_connection.backup(copy, progress=_patience())  # type: ignore[union-attr]
            copy.execute("PRAGMA journal_mode = DELETE")
            said = copy.execute("PRAGMA integrity_check(1)").fetchone()[0]
        if said != "ok":
            raise StoreError(f"the copy is not sound ({said}), so none was kept", where=store.name)
        _publish(draft, target)


def _patience() -> Callable[[int, int, int], None]:
    """What a backup calls after each step: it would wait for ever for a file that another program keeps locked."""
    until = time.monotonic() + BUSY_SECONDS

    def look(status: int, _left: int, _pages: int) -> None:
        if status in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED) and time.monotonic() > until:
            raise sqlite3.OperationalError("database is locked")

    return look


def _suffixes() -> itertools.chain[str]:
    return itertools.chain([""], (f"-{number}" for number in itertools.count(2)))


def _lay_out(connection: sa.Connection) -> None:
    """The tables of a new project in the present format, without the way there through the earlier ones."""
    from alembic import command

    METADATA.create_all(connection)
    command.stamp(_alembic(connection), FORMAT)


def _migrate(connection: sa.Connection) -> None:
    """Run the migrations up to the present format inside the open transaction."""
    from alembic import command

    command.upgrade(_alembic(connection), FORMAT)


def _alembic(connection: sa.Connection) -> Config:
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    config.attributes["connection"] = connection
    return config
