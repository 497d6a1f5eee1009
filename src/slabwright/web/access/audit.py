"""The audit list: who signed in, changed and signed out, and who was refused; lines are only added to its file."""

from __future__ import annotations

import errno
import fcntl
import json
import os
import stat
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import asdict, dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from slabwright.errors import StoreError

__all__ = ["LONGEST", "Audit", "Event", "audit_of"]

MOST_READ = 10_000  # the newest lines
BLOCK = 2**16  # bytes read at a time, from the end
MINUTE = timedelta(minutes=1)
LONGEST_LINE = 8192  # bytes: who and detail of the longest, each letter written out
PATIENCE = 5.0  # seconds to wait for another program that writes
LONGEST = 300  # characters of what a stranger may put into a line


@dataclass(frozen=True)
class Event:
    """One line: when, who, what they did, from which address, and what it was done to."""

    time: str
    who: str
    what: str
    address: str = ""
    detail: str = ""


@dataclass
class _Repeated:
    """What one person was refused within a minute, beyond the first time."""

    until: datetime
    address: str
    more: int = 0


def audit_of(accounts: Path) -> Path:
    """Where the audit list of a file of accounts is."""
    return accounts.with_name(f"{accounts.stem}-audit.jsonl")


class Audit:
    """The list in a file, one JSON object a line, readable by its owner alone."""

    def __init__(self, path: Path, now: Callable[[], datetime] = lambda: datetime.now(UTC)) -> None:
        self.path, self._now = path, now
        self._lock = threading.Lock()
        self._repeated: dict[tuple[str, str], _Repeated] = {}
        self._counting = threading.Lock()
        self._timer: threading.Timer | None = None

    def add_refusal(self, who: str, what: str, address: str = "", detail: str = "") -> None:
        """The first of a minute as a line of its own; how many more there were of that person as one line after it.

        Whoever is refused may ask thousands of times a minute, and would bury what others did. Raises as ``add`` does.
        """
        self.tell_repeated()
        with self._counting:
            again = self._repeated.get((who, what))
            if again is not None:
                again.more += 1
                if self._timer is None:
                    self._timer = threading.Timer(MINUTE.total_seconds(), self._tell_later)
                    self._timer.daemon = True
                    self._timer.start()
                return
            self.add(who, what, address, detail)
            self._repeated[who, what] = _Repeated(self._now() + MINUTE, address)

    def _tell_later(self) -> None:
        with self._counting:
            self._timer = None
        with suppress(StoreError):  # kept and tried again with the next refusal and at the end
            self.tell_repeated()

    def tell_repeated(self, *, all_of_them: bool = False) -> None:
        """A line for each person whose minute is over, or for everybody. Raises as ``add`` does, with the counts kept."""
        with self._counting:
            now = self._now()
            for (who, what), again in list(self._repeated.items()):
                if all_of_them or again.until <= now:
                    if again.more:
                        self.add(who, what, again.address, f"and {again.more} more within a minute")
                    del self._repeated[who, what]

    def close(self) -> None:
        """Tell what was only counted until now."""
        with suppress(StoreError):
            self.tell_repeated(all_of_them=True)
        if self._timer is not None:
            self._timer.cancel()

    def add(self, who: str, what: str, address: str = "", detail: str = "") -> None:
        """One line more. Raises StoreError where it cannot be written: nobody enters and nothing is changed then."""
        event = Event(self._now().isoformat(timespec="seconds"), who[:LONGEST], what, address, detail[:LONGEST])
        line = json.dumps(asdict(event), ensure_ascii=True) + "\n"
        try:
            with self._held() as handle:
                size = os.fstat(handle).st_size
                cut = (
                    size > 0 and os.pread(handle, 1, size - 1) != b"\n"
                )  # by a fallen machine: it takes no line with it
                _put(handle, (b"\n" if cut else b"") + line.encode())
        except OSError as problem:
            raise self._refusal("written", problem) from problem

    def ready(self) -> None:
        """Raises StoreError where a line could not be written: asked before something is done that is to be listed.

        As much as the longest line takes is written and taken back, for a full disk lets a file be opened.
        """
        try:
            with self._held() as handle:
                size = os.fstat(handle).st_size
                try:
                    _put(handle, b"\n" * LONGEST_LINE)
                finally:
                    os.ftruncate(handle, size)
        except OSError as problem:
            raise self._refusal("written", problem) from problem

    @contextmanager
    def _held(self) -> Iterator[int]:
        """The file, while nobody else writes to it; a program that holds it for long is refused as a full disk is."""
        with self._lock:
            handle = self._opened()
            try:
                until = time.monotonic() + PATIENCE
                while True:
                    try:
                        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
                        break
                    except BlockingIOError:
                        if time.monotonic() > until:
                            raise
                        time.sleep(0.01)
                    except OSError:  # a disk that knows no holds
                        break
                yield handle
            finally:
                os.close(handle)

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

    def events(self) -> list[Event]:
        """The newest lines, oldest first: see ``newest``."""
        return self.newest()[0]

    def newest(self, most: int | None = None) -> tuple[list[Event], bool]:
        """The newest lines, oldest first, and whether there are earlier ones; only their end of the file is read.

        One that a cut cable left half is passed over. Raises StoreError for what is no file.
        """
        if not self.path.exists():
            return [], False
        try:
            if not self.path.is_file():
                raise OSError(errno.EINVAL, "it is no file")
            lines, earlier = _last_lines(self.path, most or MOST_READ)
        except OSError as problem:
            raise self._refusal("read", problem) from problem
        return [event for line in lines if (event := _event(line)) is not None], earlier

    def all_events(self) -> Iterator[Event]:
        """Every line, oldest first, read one by one. Raises StoreError where it cannot be read."""
        try:
            handle = self._opened()
            with os.fdopen(handle, encoding="utf-8", errors="replace") as file:
                for line in file:
                    if (event := _event(line)) is not None:
                        yield event
        except OSError as problem:
            raise self._refusal("read", problem) from problem


def _put(handle: int, text: bytes) -> None:
    """Write all of it through to the disk."""
    if os.write(handle, text) < len(text):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
    os.fsync(handle)


def _event(line: str) -> Event | None:
    try:
        return Event(**json.loads(line))
    except (ValueError, TypeError, RecursionError):
        return None


def _last_lines(path: Path, most: int) -> tuple[list[str], bool]:
    """At most so many lines from the end of a file, and whether there are others before them."""
    with path.open("rb") as file:
        start = file.seek(0, os.SEEK_END)
        pieces: list[bytes] = []
        ends = 0
        while start and ends <= most:
            size = min(BLOCK, start)
            start -= size
            file.seek(start)
            pieces.insert(0, file.read(size))
            ends += pieces[0].count(b"\n")
    lines = b"".join(pieces).splitlines()
    return [line.decode("utf-8", "replace") for line in lines[-most:]], start > 0 or len(lines) > most
