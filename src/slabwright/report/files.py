"""Files that appear whole or not at all, and never in the place of something else."""

from __future__ import annotations

import hashlib
import os
import sqlite3
import tempfile
import zipfile
from collections.abc import Collection, Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Literal

from slabwright.errors import StoreError
from slabwright.project.store import APPLICATION_ID

__all__ = ["Kind", "refuse_target", "replacing", "write_whole"]

Kind = Literal["pdf", "xlsx", "gpkg", "dxf"]
NAMES: dict[Kind, str] = {"pdf": "PDF", "xlsx": "workbook", "gpkg": "GeoPackage", "dxf": "drawing"}
DATABASE = b"SQLite format 3\0"
BEGINNING = 200
END = 1024


def refuse_target(path: Path, kind: Kind, *, loaded: Collection[str] = (), overwrite: bool = False) -> None:
    """Raise StoreError where a file of this kind must not be written to ``path``.

    Over a project nothing is ever written; over a file of another kind, and over one whose SHA-256 is among those that
    were ``loaded``, only with ``overwrite``.
    """
    refuse_project(path)
    if overwrite or not path.is_file() or not path.stat().st_size:
        return
    remedy = "Choose another name, or say --overwrite if you want that file replaced."
    if loaded and _digest(path) in loaded:
        raise StoreError("this file was loaded into the project", where=str(path), remedy=remedy)
    if not _looks(path, kind):
        raise StoreError(f"there is a file of this name that is no {NAMES[kind]}", where=str(path), remedy=remedy)


def refuse_project(path: Path) -> None:
    """Raise StoreError where ``path`` is a project, or has the name of one, or is no plain file."""
    try:
        project = path.suffix.lower() == ".slab" or (path.is_file() and _is_project(_start(path)))
        strange = path.exists() and not path.is_file()
    except OSError as problem:
        raise _refusal(path, problem) from problem
    if project:
        raise StoreError(
            "this is a project file, and nothing else is written to it", where=str(path), remedy="Choose another name."
        )
    if strange:
        raise StoreError("this is no plain file", where=str(path), remedy="Choose another name.")


@contextmanager
def replacing(path: Path, kind: Kind) -> Iterator[Path]:
    """A name beside ``path`` to write to; it takes the place of ``path`` when the block ends well and the file is sound.

    Raises StoreError when the folder cannot be written, the disk is full, or ``path`` is a project.
    """
    refuse_project(path)
    try:
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name[:100]}.", suffix=path.suffix)
        os.close(handle)
    except OSError as problem:
        raise _refusal(path, problem) from problem
    made = Path(name)
    try:
        yield made
        _check(made, path, kind)
        made.chmod(0o666 & ~_mask())
        refuse_project(path)
        os.replace(made, path)
    except OSError as problem:
        raise _refusal(path, problem) from problem
    finally:
        for leftover in ("", "-journal"):
            made.with_name(made.name + leftover).unlink(missing_ok=True)


def write_whole(path: Path, content: bytes, kind: Kind) -> None:
    """Write the bytes to ``path`` whole or not at all."""
    with replacing(path, kind) as made:
        made.write_bytes(content)


def _start(path: Path) -> bytes:
    with path.open("rb") as file:
        return file.read(BEGINNING)


def _is_project(start: bytes) -> bool:
    return start.startswith(DATABASE) and start[68:72] == APPLICATION_ID.to_bytes(4, "big")


def _looks(path: Path, kind: Kind) -> bool:
    """Whether the beginning of a file is that of its kind."""
    start = _start(path)
    if kind == "pdf":
        return start.startswith(b"%PDF-")
    if kind == "xlsx":
        return start.startswith(b"PK") and zipfile.is_zipfile(path)
    if kind == "gpkg":
        return start.startswith(DATABASE) and start[68:72] == b"GPKG"
    return start.split()[:2] in ([b"0", b"SECTION"], [b"999", *start.split()[1:2]])


def _check(made: Path, path: Path, kind: Kind) -> None:
    """What was written must be whole on the disk before it takes a name."""
    with made.open("rb+") as file:
        os.fsync(file.fileno())
        file.seek(max(0, made.stat().st_size - END))
        end = file.read()
    whole = _looks(made, kind)
    if kind in ("pdf", "dxf"):
        whole = whole and (b"%%EOF" if kind == "pdf" else b"EOF") in end
    elif kind == "gpkg":
        with closing(sqlite3.connect(made)) as plain:
            whole = whole and plain.execute("PRAGMA quick_check(1)").fetchone() == ("ok",)
    if not whole:
        raise StoreError(
            f"the {NAMES[kind]} was not written whole, so none was kept",
            where=str(path),
            remedy="Check that there is room on the disk and try again.",
        )


def _digest(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def _mask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _refusal(path: Path, problem: OSError) -> StoreError:
    return StoreError(
        f"this file cannot be written: {problem.strerror or problem}",
        where=str(path),
        remedy="Make room on the disk, or choose another place.",
    )
