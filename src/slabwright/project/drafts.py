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
    program, and the hold ends with it; where none can be had (on some network disks), nothing is removed.
    """
    _clear(target)
    draft = target.with_name(f".{target.name}.{secrets.token_hex(4)}.draft")
    handle = os.open(draft, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o666)
    try:
        _hold(handle)
        yield draft
    finally:
        os.close(handle)
        _remove(draft)


def _clear(target: Path) -> None:
    pattern = re.compile(rf"\.{re.escape(target.name)}\.[0-9a-f]{{8}}\.draft(-journal)?")
    with suppress(OSError):  # the folder is missing, or nothing can be removed from it: the build says so
        for name in sorted(n for n in os.listdir(target.parent) if pattern.fullmatch(n)):
            draft = target.with_name(name.removesuffix("-journal"))
            if _nobodys(draft):
                _remove(draft)


def _nobodys(draft: Path) -> bool:
    """Whether no program holds a draft; one whose draft is gone and whose journal is left is nobody's."""
    try:
        handle = os.open(draft, os.O_RDWR | getattr(os, "O_NOFOLLOW", 0))
    except FileNotFoundError:
        return True
    try:
        return _hold(handle)
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
    for leftover in (draft, journal_of(draft)):
        if leftover.exists():  # a read-only disk refuses to remove even what is not there
            leftover.unlink()
