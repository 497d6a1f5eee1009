"""The audit list: who signed in, changed and signed out, and who was refused; lines are only added to its file."""

from __future__ import annotations

import errno
import json
import os
import stat
import threading
from collections.abc import Callable
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from pathlib import Path

from slabwright.errors import StoreError

__all__ = ["Audit", "Event", "audit_of"]

MOST_READ = 10_000  # the newest lines
LONGEST = 300  # characters of what a stranger may put into a line


@dataclass(frozen=True)
class Event:
    """One line: when, who, what they did, from which address, and what it was done to."""

    time: str
    who: str
    what: str
    address: str = ""
    detail: str = ""


def audit_of(accounts: Path) -> Path:
    """Where the audit list of a file of accounts is."""
    return accounts.with_name(f"{accounts.stem}-audit.jsonl")


class Audit:
    """The list in a file, one JSON object a line, readable by its owner alone."""

    def __init__(self, path: Path, now: Callable[[], datetime] = lambda: datetime.now(UTC)) -> None:
        self.path, self._now = path, now
        self._lock = threading.Lock()

    def add(self, who: str, what: str, address: str = "", detail: str = "") -> None:
        """One line more. Raises StoreError where it cannot be written: nobody enters and nothing is changed then."""
        event = Event(self._now().isoformat(timespec="seconds"), who[:LONGEST], what, address, detail[:LONGEST])
        line = json.dumps(asdict(event), ensure_ascii=True) + "\n"
        try:
            with self._lock:
                handle = self._opened()
                try:
                    size = os.fstat(handle).st_size
                    cut = (
                        size > 0 and os.pread(handle, 1, size - 1) != b"\n"
                    )  # by a fallen machine: it takes no line with it
                    text = (b"\n" if cut else b"") + line.encode()
                    if os.write(handle, text) < len(text):
                        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
                finally:
                    os.close(handle)
        except OSError as problem:
            raise self._refusal("written", problem) from problem

    def ready(self) -> None:
        """Raises StoreError where a line could not be written: asked before something is done that is to be listed."""
        try:
            os.close(self._opened())
        except OSError as problem:
            raise self._refusal("written", problem) from problem

    def _opened(self) -> int:
        """The file; one that is no file, a named pipe say, takes no list."""
        handle = os.open(self.path, os.O_RDWR | os.O_APPEND | os.O_CREAT | os.O_CLOEXEC | os.O_NONBLOCK, 0o600)
        if not stat.S_ISREG(os.fstat(handle).st_mode):
            os.close(handle)
            raise OSError(errno.EINVAL, "it is no file")
        return handle

    def _refusal(self, what: str, problem: OSError) -> StoreError:
        return StoreError(
            f"the audit list cannot be {what} ({problem.strerror})",
            where=self.path.name,
            remedy="Make room, or see who owns it.",
        )

    def events(self, most: int = MOST_READ) -> list[Event]:
        """The newest lines, oldest first; one that a cut cable left half is passed over. StoreError for what is no file."""
        if not self.path.exists():
            return []
        try:
            if not self.path.is_file():
                raise OSError(errno.EINVAL, "it is no file")
            text = self.path.read_text("utf-8", "replace")
        except OSError as problem:
            raise self._refusal("read", problem) from problem
        found = []
        for line in text.splitlines()[-most:]:
            try:
                found.append(Event(**json.loads(line)))
            except (ValueError, TypeError):
                continue
        return found
