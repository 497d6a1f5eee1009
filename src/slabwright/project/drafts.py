"""Files that are built under another name and get their own when they are whole."""

from __future__ import annotations

import os
import re
import secrets
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from slabwright.project.beside import journal_of

if sys.platform != "win32":
    import fcntl

__all__ = ["draft_of"]


@contextmanager
def draft_of(target: Path) -> Iterator[Path]:
    """An empty file to build ``target`` in, gone at the end of the block unless it was renamed by then.

    What killed programs left of earlier drafts of the target is removed first. A draft that is being built is held by its
    program, and the hold ends with it; where none can be had (on some network disks), nothing is removed. What is held is a
    file beside the draft: on a network disk a hold on the draft itself would keep SQLite out of it.
    """
    _clear(target)
    draft, handle = _begun(target)
    try:
        os.close(os.open(draft, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o666))
        yield draft
    finally:
        _remove(draft)
        os.close(handle)


def _begun(target: Path) -> tuple[Path, int]:
    """Where to build, and the handle of the file beside it that is held meanwhile."""
    while True:
        draft = target.with_name(f".{target.name}.{secrets.token_hex(4)}.draft")
        handle = os.open(_lock_of(draft), os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o666)
        _hold(handle)
        if _lock_of(draft).exists():
            return draft, handle
        os.close(handle)  # another program took it for a leftover before it was held


def _lock_of(draft: Path) -> Path:
    return draft.with_name(draft.name + ".lock")


def _clear(target: Path) -> None:
    pattern = re.compile(rf"(\.{re.escape(target.name)}\.[0-9a-f]{{8}}\.draft)(-journal|\.lock)?")
    with suppress(OSError):  # the folder is missing, or nothing can be removed from it: the build says so
        found = {match[1] for name in os.listdir(target.parent) if (match := pattern.fullmatch(name))}
        for name in sorted(found):
            _remove_nobodys(target.with_name(name))


def _remove_nobodys(draft: Path) -> None:
    """Remove a draft that no program holds."""
    there = _lock_of(draft).exists()
    flags = os.O_RDWR | (0 if there else os.O_CREAT | os.O_EXCL)
    try:
        handle = os.open(_lock_of(draft), flags | getattr(os, "O_NOFOLLOW", 0), 0o666)
    except (FileNotFoundError, FileExistsError):
        return  # another program is at it
    try:
        if _hold(handle):
            _remove(draft)
        elif not there:
            _lock_of(draft).unlink()
    finally:
        os.close(handle)


def _hold(handle: int) -> bool:
    """Whether the file is held now; not by this one where another has it or the disk knows no holds."""
    if sys.platform == "win32":
        return False
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True


def _remove(draft: Path) -> None:
    for leftover in (draft, journal_of(draft), _lock_of(draft)):  # the lock last: it speaks for the others
        if leftover.exists():  # a read-only disk refuses to remove even what is not there
            leftover.unlink(missing_ok=True)
