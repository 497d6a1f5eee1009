"""The history: one entry for each change, and a head that says which of them hold.

Undo and redo move the head. A change made after an undo first drops the undone future. Numbers of
changes are never used twice, so the number an editor saw names one state for ever.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any

import sqlalchemy as sa

from slabwright.errors import Conflict, InputError
from slabwright.project.schema import CHANGE, HEAD, REPORT, TEMPORAL

__all__ = ["Change", "Signature", "changes", "claim", "record", "redo", "since", "start", "undo", "when"]


@dataclass(frozen=True)
class Change:
    """One entry of the history; ``before`` and ``after`` hold what changed, by name, in SI."""

    id: int
    time: datetime
    user: str
    what: str
    before: Mapping[str, Any] = field(default_factory=dict)
    after: Mapping[str, Any] = field(default_factory=dict)
    undone: bool = False

    def __str__(self) -> str:
        return f"no. {self.id} {self.what!r} by {self.user} on {self.time:%Y-%m-%d %H:%M} UTC"


@dataclass(frozen=True)
class Signature:
    """Who makes a change and when."""

    user: str
    time: datetime

    @property
    def stamp(self) -> str:
        if self.time.tzinfo is None:
            raise ValueError("the clock must give a time with its zone")
        return self.time.astimezone(UTC).isoformat()


def start(connection: sa.Connection) -> None:
    """The head of a project without changes."""
    connection.execute(sa.insert(HEAD).values(id=1, change=0, last=0))


def when(connection: sa.Connection) -> int:
    """The head: the number of the newest change that holds, 0 for none."""
    return int(connection.execute(sa.select(HEAD.c.change)).scalar_one())


def claim(connection: sa.Connection, expected: int | None = None) -> int:
    """The head, held until the transaction ends.

    Raises Conflict when the editor saw another head than there is now.
    """
    head = int(connection.execute(sa.select(HEAD.c.change).with_for_update()).scalar_one())
    if expected is not None and expected != head:
        made, undone = since(connection, expected, head)
        news = [f"{c} was made" for c in made] + [f"{c} was undone" for c in undone]
        raise Conflict(
            "the project has changed since it was read: "
            + ("; ".join(news[-5:]) or "a change was undone and replaced"),
            remedy="Look at the project as it is now and make the change again if it still fits.",
        )
    return head


def record(
    connection: sa.Connection, by: Signature, what: str, before: Mapping[str, Any], after: Mapping[str, Any]
) -> int:
    """Enter a change after the head, dropping the undone future, and return its number."""
    head, last = connection.execute(sa.select(HEAD.c.change, HEAD.c.last)).one()
    _drop_future(connection, head)
    number = last + 1
    detail = json.dumps({"before": before, "after": after}, ensure_ascii=False)
    connection.execute(sa.insert(CHANGE).values(id=number, time=by.stamp, user=by.user, what=what, detail=detail))
    connection.execute(sa.update(HEAD).values(change=number, last=number))
    return int(number)


def _drop_future(connection: sa.Connection, head: int) -> None:
    dropped = connection.execute(sa.select(CHANGE).where(CHANGE.c.id > head).order_by(CHANGE.c.id)).all()
    if not dropped:
        return
    _keep_for_report(connection, head, [_change(row, head) for row in dropped])
    for table in TEMPORAL:
        connection.execute(sa.delete(table).where(table.c.inserted > head))
        connection.execute(sa.update(table).where(table.c.closed > head).values(closed=None))
    connection.execute(sa.delete(CHANGE).where(CHANGE.c.id > head))


def _keep_for_report(connection: sa.Connection, head: int, dropped: list[Change]) -> None:
    """A report may have shown changes that are about to vanish; it must be able to say so."""
    for row in connection.execute(sa.select(REPORT).where(REPORT.c.head > head)).all():
        lost = [*json.loads(row.taken_back), *(str(c) for c in dropped if c.id <= row.head)]
        connection.execute(
            sa.update(REPORT).where(REPORT.c.id == row.id).values(head=head, taken_back=json.dumps(lost))
        )


def changes(connection: sa.Connection) -> tuple[Change, ...]:
    """All changes, oldest first, the undone ones at the end."""
    head = when(connection)
    return tuple(_change(row, head) for row in connection.execute(sa.select(CHANGE).order_by(CHANGE.c.id)))


def since(connection: sa.Connection, seen: int, head: int) -> tuple[tuple[Change, ...], tuple[Change, ...]]:
    """What was made, and what was undone, between the state at ``seen`` and the one at ``head``."""
    low, high = min(seen, head), max(seen, head)
    rows = connection.execute(sa.select(CHANGE).where(CHANGE.c.id > low, CHANGE.c.id <= high).order_by(CHANGE.c.id))
    between = tuple(_change(row, head) for row in rows)
    return tuple(c for c in between if not c.undone), tuple(c for c in between if c.undone)


def undo(connection: sa.Connection) -> Change:
    """Move the head back by one change and return that change."""
    head = when(connection)
    if head == 0:
        raise InputError("there is nothing to undo")
    earlier = connection.execute(sa.select(sa.func.max(CHANGE.c.id)).where(CHANGE.c.id < head)).scalar()
    connection.execute(sa.update(HEAD).values(change=earlier or 0))
    return _numbered(connection, head, earlier or 0)


def redo(connection: sa.Connection) -> Change:
    """Move the head forward by one undone change and return that change."""
    later = connection.execute(sa.select(sa.func.min(CHANGE.c.id)).where(CHANGE.c.id > when(connection))).scalar()
    if later is None:
        raise InputError("there is nothing to do again")
    connection.execute(sa.update(HEAD).values(change=later))
    return _numbered(connection, later, later)


def _numbered(connection: sa.Connection, number: int, head: int) -> Change:
    return _change(connection.execute(sa.select(CHANGE).where(CHANGE.c.id == number)).one(), head)


def _change(row: sa.Row[Any], head: int) -> Change:
    detail = json.loads(row.detail)
    time = datetime.fromisoformat(row.time)
    return Change(row.id, time, row.user, row.what, detail["before"], detail["after"], row.id > head)
