"""Which changes of the roads are on the audit list, and those that are not put there, each once and by its own person."""

from __future__ import annotations

import threading
from collections.abc import Iterable, Sequence

from slabwright.project import Change
from slabwright.web.access.audit import LONGEST, Audit, Event

__all__ = ["ListedChanges"]

CHANGED = "changed"


class ListedChanges:
    """By road: number and time of each entry of the history that is listed, or was there before the road was listed.

    Number and time together, for a backup put back in place makes the same numbers anew.
    """

    def __init__(self) -> None:
        self._known: dict[str, dict[int, str]] = {}
        self._lock = threading.Lock()

    def forget(self, road: str) -> None:
        """Ask the list itself again at the next change: another file stands in the road's place."""
        self._known.pop(road, None)

    def complete(self, audit: Audit, road: str, history: Sequence[Change]) -> None:
        """Put on the list what it lacks. Raises StoreError where it cannot be read or written."""
        with self._lock:
            if road not in self._known:
                lacking = _lacking(road, history, audit.all_events())
                self._known[road] = {e.id: str(e.time) for e in history if e not in lacking}
            known = self._known[road]
            for entry in history:
                if known.get(entry.id) != str(entry.time):
                    audit.add(entry.user, CHANGED, detail=_said(road, entry))
                    known[entry.id] = str(entry.time)


def _said(road: str, entry: Change) -> str:
    return f"{road}, no. {entry.id}: {entry.what}"


def _lacking(road: str, history: Sequence[Change], events: Iterable[Event]) -> list[Change]:
    """The entries after the last that the list has of a road, by number or by time, as far as they are not on it.

    A server that was killed, or could not write, left them out. None where the road is new to the list.
    """
    lines: dict[tuple[str, str], str] = {}
    last, time = -1, ""
    for event in events:
        if event.what == CHANGED and event.detail.startswith(f"{road}, no. "):
            lines[event.who, event.detail] = time = event.time
            number = event.detail.removeprefix(f"{road}, no. ").partition(":")[0]
            last = int(number) if number.isdecimal() else last
        elif event.what == "began a road" and event.detail == road:
            last, time = 0, event.time
    if last < 0:
        return []
    lacking = []
    for entry in history:
        made = entry.time.isoformat(timespec="seconds")
        listed = lines.get((entry.user[:LONGEST], _said(road, entry)[:LONGEST]), "")
        if (entry.id > last or made > time) and listed < made:
            lacking.append(entry)
    return lacking
