"""What lies beside a project file: the journal of a change that was cut off, and whether it belongs to the file.

A project keeps a rollback journal: what a change replaces is written to ``FILE-journal`` first, then the file is changed,
and the end of the journal is the commit. So after every change that was acknowledged the file alone is whole, and only a
program killed in the middle of one leaves a journal, from which SQLite restores the state before. SQLite asks no journal
whose it is: beside a copy put in the place of the file it would write strange pages into the copy. Each change therefore
begins by writing the journal's own random number, which stands in its header, into the first page of the file
(``user_version``), so that the first page is also the first that the journal keeps. A journal belongs to a file whose
first page is the one that it keeps, or one that bears its number.

Layouts of the file's header and of the journal: the published file format of SQLite (Database File Format, the sections
on the database header and on the rollback journal), looked up.
"""

from __future__ import annotations

import os
import stat
import struct
import threading
import time
from dataclasses import dataclass
from pathlib import Path

from slabwright.errors import StoreError

__all__ = [
    "Held",
    "Stamp",
    "journal_number",
    "journal_of",
    "log_of",
    "refuse_strangers",
    "stamp",
    "stranger",
    "with_log",
]

JOURNAL = bytes.fromhex("d9d505f920a163d7")  # the first bytes of a journal that may be played back
PATIENCE = 1.0  # seconds: a change that is under way ends its journal sooner
WAITS = 0.02
BEGINNING = 2 * 65536 + 4  # the longest header and page
Stamp = tuple[int, int, int, int]


def stamp(path: Path) -> Stamp | None:
    """Which file is at the path and in what state: device, number, size and time of the last change; None for none."""
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_dev, found.st_ino, found.st_size, found.st_mtime_ns


def journal_of(path: Path) -> Path:
    return path.with_name(path.name + "-journal")


def log_of(path: Path) -> Path:
    return path.with_name(path.name + "-wal")


@dataclass
class _Open:
    handle: int
    stores: int


class Held:
    """The file of a store, as far as it is read without SQLite.

    Closing any handle of a file lets go of every lock that the process has on it, those of SQLite too. So a file that
    is read here stays open as long as any store of the process has it.
    """

    _files: dict[tuple[int, int], _Open] = {}  # noqa: RUF012 (locks are those of the process, and so is this)
    _lock = threading.Lock()

    def __init__(self) -> None:
        self._mine: set[tuple[int, int]] = set()

    def start(self, path: Path, length: int) -> bytes:
        """The first bytes of the file that is at the path now. Raises OSError."""
        with self._lock:
            found = os.stat(path)
            key = found.st_dev, found.st_ino
            if key not in self._files:
                self._files[key] = _Open(os.open(path, os.O_RDONLY | os.O_CLOEXEC), 0)
            if key not in self._mine:
                self._mine.add(key)
                self._files[key].stores += 1
            return os.pread(self._files[key].handle, length, 0)

    def close(self) -> None:
        """Let go of the file; the last store to do so closes it."""
        with self._lock:
            for key in self._mine:
                self._files[key].stores -= 1
                if not self._files[key].stores:
                    os.close(self._files.pop(key).handle)
            self._mine.clear()


def with_log(header: bytes) -> bool:
    """Whether the file was left by a version that kept its last changes in a log beside it."""
    return header[18:20] == b"\x02\x02"


def journal_number(path: Path) -> int:
    """The random number of the journal that the open change writes, as ``user_version`` takes it; 0 for none."""
    try:
        if not stat.S_ISREG(journal_of(path).stat().st_mode):
            return False  # a named pipe would wait for somebody to write
        with journal_of(path).open("rb") as file:
            return _number(file.read(16))
    except OSError:
        return 0


def _number(start: bytes) -> int:
    return int(struct.unpack(">i", start[12:16])[0]) if len(start) == 16 else 0


def refuse_strangers(path: Path, held: Held, name: str) -> None:
    """Raise StoreError where a journal or a log of another file lies beside the project."""
    if journal_of(path).exists():
        end = time.monotonic() + PATIENCE
        while not _belongs(path, held):  # or a change is under way and was seen half
            if time.monotonic() > end:
                raise stranger(journal_of(path), name)
            time.sleep(WAITS)
    log = log_of(path)
    if log.exists() and log.stat().st_size and not with_log(held.start(path, 100)):
        raise stranger(log, name)


def _belongs(path: Path, held: Held) -> bool:
    """Whether the journal beside a file is its own, or none that would be played back."""
    try:
        if not stat.S_ISREG(journal_of(path).stat().st_mode):
            return False  # a named pipe would wait for somebody to write
        with journal_of(path).open("rb") as file:
            journal = file.read(BEGINNING)
    except OSError:
        return True  # ended meanwhile
    if journal[:8] != JOURNAL or len(journal) < 28:
        return not any(journal[:1])
    sector, size = struct.unpack(">II", journal[20:28])
    page = held.start(path, size)
    kept = journal[sector : sector + 4 + size]
    return page[60:64] == journal[12:16] or kept == b"\0\0\0\1" + page


def stranger(other: Path, name: str) -> StoreError:
    """The refusal of a file whose journal or log is another's."""
    return StoreError(
        f"beside the project lies {other.name}, which another state of the file left behind",
        where=name,
        remedy=f"If you have put a copy in the place of the project, delete or move {other.name} and open it again."
        " If not, keep both and restore the project from a copy.",
    )
