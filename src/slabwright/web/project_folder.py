"""The folder of projects that one server works in: what is open, and who is told when something changes.

Nothing outside the folder can be named: a road is the stem of a ``.slab`` file in it. Projects are opened once and
shared by all tabs; every edit names the change it was based on, so that a stale one is refused by the project.
"""

from __future__ import annotations

import secrets
import stat
import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime
from functools import partial
from hashlib import blake2b
from pathlib import Path

from slabwright.errors import InputError, StoreError
from slabwright.project import Project, create, open_project
from slabwright.project.names import MOST_BYTES, checked_file
from slabwright.web.access.audit import Audit
from slabwright.web.access.signed import SIGNED, Signed
from slabwright.web.listed import ListedChanges
from slabwright.web.long_work import LongWork
from slabwright.workflow import Computation, FactsCache

__all__ = ["Identity", "ProjectFolder", "now"]

Listener = Callable[[], None]
Identity = tuple[int, int]  # which file it is: device and number
LONGEST_NAME = 80
WORKERS = 2


def now() -> datetime:
    """The only clock of the workspace."""
    return datetime.now(UTC)


class ProjectFolder:
    """Open projects of one folder, by name."""

    def __init__(self, folder: Path, user: str) -> None:
        self.folder = folder.resolve()
        self.user = user
        self._open: dict[str, Project] = {}
        self._files: dict[str, Identity | None] = {}
        self._computations: dict[tuple[str, str, tuple[int, str]], Computation] = {}
        self._caches: dict[str, FactsCache] = {}
        self._listed = ListedChanges()
        self._listeners: dict[str, dict[int, Listener]] = {}
        self._lock = threading.RLock()
        self.workers = ThreadPoolExecutor(WORKERS, thread_name_prefix="stages")  # more would only take turns
        self.long_work = LongWork()
        self.audit: Audit | None = None
        self._key = secrets.token_bytes(32)  # of the tickets

    @property
    def title(self) -> str:
        """What holds the projects, as the list of roads calls it."""
        return self.folder.name

    def ticket(self, by: Signed) -> str:
        """What the pages of a session put into an address that hands a document over; no page of a stranger can know it."""
        return blake2b(repr((by.name, by.account, by.session)).encode(), key=self._key, digest_size=16).hexdigest()

    def is_ticket(self, given: str) -> bool:
        """Whether an address that hands a document over was made by a page of the session that asks."""
        return secrets.compare_digest(given.encode(), self.ticket(SIGNED.get()).encode())

    def hand_over(self, name: str, alternative: str, seen: int) -> None:
        """Remember that a report of the state at ``seen`` was handed over, on the audit list too; not for who may look."""
        project = self.signed(name)
        if project.read_only:
            return
        if self.audit is not None:
            what = f"{name}, alternative {alternative}, as of no. {seen}"
            self.audit.add(project.user, "handed over a report", detail=what)
        project.mark_report(f"{name}.pdf", alternative, seen)
        self.changed(name)

    def names(self) -> list[str]:
        """The roads of the folder in alphabetical order."""
        stems = (path.stem for path in self.folder.glob("*.slab") if path.is_file())
        return sorted(stem for stem in stems if _is_plain(stem) and stem == stem.strip())

    def path(self, name: str) -> Path:
        """The file of a road; InputError for a name that could mean anything outside the folder."""
        plain = name.strip()
        if not _is_plain(plain):
            raise InputError(
                "this cannot be the name of a road",
                given=name,
                allowed=f"1 to {LONGEST_NAME} printable characters without / \\ : and no dot at the beginning",
            )
        return self.folder / f"{plain}.slab"

    def holds(self, name: str) -> bool:
        """Whether there is a road of that name; InputError for one that could mean anything outside the folder."""
        return self.path(name).is_file()

    def _place(self, name: str) -> Path | str:
        return self.path(name)

    def _there(self, name: str) -> Identity | None:
        """Which file has that name now, None for none."""
        return _identity(self.path(name))

    def project(self, name: str) -> Project:
        """The open project of that name. Raises StoreError when its file is gone or cannot be read."""
        path = self.path(name)
        with self._lock:
            there = self._there(name)
            if there is None or there != self._files.get(name):
                self._let_go(name)
            if there is None:
                raise StoreError(
                    "there is no project file of this name",
                    where=path.name,
                    remedy="It may have been moved; choose another road.",
                )
            if name not in self._open:
                self._hold(name, open_project(self._place(name), user=self.user, clock=now))
            return self._open[name]

    def signed(self, name: str, user: str = "", by: Signed | None = None) -> Project:
        """The open project of that name, whose changes are signed by a user: the one who asks where none is named.

        Who may only look gets one that refuses every change.
        """
        held, asks = self.project(name), by or SIGNED.get()
        return Project(
            held.store,
            user or asks.name or held.user,
            held.clock,
            may_change=asks.may_change,
            before_change=partial(self._listable, name),
        )

    def create(self, name: str, by: Signed | None = None) -> Project:
        """A new empty project; StoreError where one exists, InputError for a name that some computer cannot keep."""
        if not (by or SIGNED.get()).may_change:
            raise InputError("you may look at this workspace, but not change it")
        path, who = self._make(name), (by or SIGNED.get()).name or self.user
        listed = self.audit if not self.holds(name) else None
        if listed is not None:
            listed.add(who, "began a road", detail=name)  # before it is there: one that cannot be listed is not made
        try:
            with self._lock:
                made = create(path, user=self.user, clock=now)
                self._let_go(name)
                self._hold(name, made)
        except StoreError:
            if listed is not None:
                listed.add(who, "could not begin a road", detail=f"not done: {name}")
            raise
        return made

    def _make(self, name: str) -> Path | str:
        """Where a new project of that name is made."""
        return checked_file(self.path(name))

    def _hold(self, name: str, project: Project) -> None:
        self._open[name], self._files[name] = project, self._there(name)

    def _let_go(self, name: str) -> None:
        """Forget a project whose file was removed, or whose place another file has taken."""
        held = self._open.pop(name, None)
        self._caches.pop(name, None)
        self._files.pop(name, None)
        self._computations = {k: v for k, v in self._computations.items() if k[0] != name}
        self._listed.forget(name)
        if held is not None:
            held.close()

    def computation(self, name: str, alternative: str = "base") -> Computation:
        """The computation of an alternative at the project's present state; kept until something changes."""
        return self.at_head(name, alternative)[1]

    def at_head(self, name: str, alternative: str = "base") -> tuple[int, Computation]:
        """The project's present head, and the computation of an alternative at that head and no other."""
        while True:
            project = self.project(name)
            mark = project.mark()
            key = (name, alternative, mark)
            with self._lock:
                if key in self._computations:
                    return mark[0], self._computations[key]
                if name not in self._caches:
                    self._caches[name] = FactsCache()
                cache = self._caches[name]
            made = Computation(project, alternative, cache)
            _ = made.facts  # read at once: facts read later could be those of another state
            if project.mark() == mark:
                with self._lock:
                    kept = {k: v for k, v in self._computations.items() if k[0] != name or k[2] == mark}
                    self._computations = {**kept, key: kept.get(key, made)}
                    return mark[0], self._computations[key]

    def listen(self, name: str, token: int, listener: Listener) -> None:
        """Call ``listener`` after every change of a road until ``forget`` is called with the same token."""
        with self._lock:
            self._listeners.setdefault(name, {})[token] = listener

    def forget(self, name: str, token: int) -> None:
        with self._lock:
            self._listeners.get(name, {}).pop(token, None)

    def changed(self, name: str) -> None:
        """Tell every tab that shows the road, and the audit list where one is kept.

        Raises StoreError where the list cannot take it: the change is kept by then, and listed before the next one.
        """
        with self._lock:
            listeners = list(self._listeners.get(name, {}).values())
        for listener in listeners:
            listener()
        try:
            self._list_changes(name)
        except StoreError as problem:
            raise StoreError(
                f"the change is kept, but {problem.what}",
                where=problem.where,
                remedy=f"{problem.remedy} Nothing more can be changed until then; this is listed first.",
            ) from problem

    def _listable(self, name: str) -> None:
        """Before a change of a road: what was changed is on the audit list, and it can take more. Raises StoreError if not."""
        if self.audit is not None:
            self.audit.ready()
            self._list_changes(name)

    def _list_changes(self, name: str) -> None:
        """Put the changes that are not on the audit list there, each once and by its own person.

        What was there when a road was first changed from here is not listed.
        """
        if self.audit is not None:
            self._listed.complete(self.audit, name, self.project(name).history())

    def list_what_was_left_out(self) -> None:
        """Put on the audit list what a server that was killed could not, of the roads that the list knows.

        Raises StoreError where the list cannot be read or written, or a project cannot be opened.
        """
        if self.audit is None:
            return
        told = {e.detail for e in self.audit.all_events() if e.what in ("changed", "began a road")}
        for name in self.names():
            if any(detail == name or detail.startswith(f"{name}, no. ") for detail in told):
                self._list_changes(name)

    def close(self) -> None:
        self.long_work.close()
        if self.audit is not None:
            self.audit.close()
        self.workers.shutdown(cancel_futures=True)
        with self._lock:
            for project in self._open.values():
                project.close()
            self._open.clear()


def _is_plain(name: str) -> bool:
    """Whether a name can mean one file of the folder and nothing else."""
    return (
        0 < len(name) <= LONGEST_NAME
        and name.isprintable()
        and not name.startswith(".")
        and not any(c in name for c in "/\\:")
        and len(name.encode()) <= MOST_BYTES
    )


def _identity(path: Path) -> Identity | None:
    """Which file is at the path now, None for none."""
    try:
        found = path.stat()
    except OSError:
        return None
    return (found.st_dev, found.st_ino) if stat.S_ISREG(found.st_mode) else None
