"""How a project is made, opened, and brought from an older format to the present one."""

from __future__ import annotations

import itertools
import os
import secrets
import sqlite3
import struct
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING

import sqlalchemy as sa

from slabwright import __version__
from slabwright.errors import StoreError
from slabwright.project.schema import META, METADATA
from slabwright.project.store import APPLICATION_ID, Store, connect, is_url, translated

if TYPE_CHECKING:
    from alembic.config import Config

__all__ = ["FORMAT", "MIGRATIONS", "make", "opened"]

FORMAT = "0006"  # the newest migration
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
        with store.writing() as connection:
            if sa.inspect(connection).has_table("alembic_version"):
                raise StoreError("there is a project in this database already", where=store.name)
            _lay_out(connection)
            fill(connection)
        return store
    with translated(str(place)):
        _make_file(Path(place), fill)
    return connect(place)


def _make_file(path: Path, fill: Fill) -> None:
    """Built under another name and linked when whole, so that a killed program leaves no half project."""
    _refuse_existing(path)
    draft = path.with_name(f".{path.name}.{secrets.token_hex(4)}.draft")
    store = connect(draft, name=str(path))
    try:
        sqlite3.connect(draft).close()
        with store.writing() as connection:
            _lay_out(connection)
            fill(connection)
            connection.exec_driver_sql(f"PRAGMA application_id = {APPLICATION_ID}")
        store.close()
        with closing(sqlite3.connect(draft)) as plain:  # last, so that nothing of the draft is in a log beside it
            plain.execute("PRAGMA journal_mode = WAL")
        _publish(draft, path)
    finally:
        store.engine.dispose()
        for leftover in ("", "-wal", "-shm"):
            draft.with_name(draft.name + leftover).unlink(missing_ok=True)


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
    if not is_url(place):
        with translated(str(place)):
            _check_file(Path(place))
    store = connect(place)
    try:
        found = _format(store)
        if found != FORMAT:
            _upgrade(store, found, None if is_url(place) else Path(place))
    except BaseException:
        store.engine.dispose()
        raise
    return store


def _check_file(path: Path) -> None:
    """Refuse what is plainly no project without letting SQLite touch it."""
    where = str(path)
    if path.is_dir():
        raise StoreError("this is a folder, not a project file", where=where)
    if not path.exists():
        raise StoreError("there is no project file of this name", where=where, remedy="Make one with `slabwright new`.")
    with path.open("rb") as file:
        header = file.read(HEADER)
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
    _check_length(path, header)


def _check_length(path: Path, header: bytes) -> None:
    """The file must hold the pages that its header counts, unless a log beside it still holds some."""
    page = struct.unpack(">H", header[16:18])[0]
    pages = struct.unpack(">I", header[28:32])[0]
    log = path.with_name(path.name + "-wal")
    if not (log.exists() and log.stat().st_size) and path.stat().st_size < (65536 if page == 1 else page) * pages:
        raise _cut_short(str(path))


def _cut_short(where: str) -> StoreError:
    return StoreError("the project file is cut short", where=where, remedy="Restore it from a copy of the file.")


def _format(store: Store) -> str:
    """The format that the project has, refused when a newer program made it."""
    with store.reading() as connection:
        tables = sa.inspect(connection).get_table_names()
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


def _upgrade(store: Store, found: str, path: Path | None) -> None:
    """Back up a file, then migrate it in one transaction."""
    backup = _back_up(path, found) if path else None
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


def _back_up(path: Path, found: str) -> Path:
    """A whole copy beside the file, the log folded in; never over an earlier copy."""
    names = (path.with_name(f"{path.name}.backup-{found}{suffix}") for suffix in _suffixes())
    backup = next(name for name in names if not os.path.lexists(name))
    with (
        translated(str(backup)),
        closing(sqlite3.connect(f"{path.absolute().as_uri()}?mode=rw", uri=True)) as source,
        closing(sqlite3.connect(backup)) as copy,
    ):
        source.backup(copy)
    return backup


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
