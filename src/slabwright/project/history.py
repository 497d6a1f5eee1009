"""The history: one entry for each change, undo and redo, and a head that says which of the changes hold.

Entries are only added. Undo and redo move the head among the changes and say so in an entry of their own. A change made
after an undo takes the place of the undone ones: their rows go, their entries stay, with what they changed and who undid
them. Numbers are never used twice, so the number an editor saw names one state for ever.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any

import sqlalchemy as sa

from slabwright.errors import Conflict, InputError, StoreError
from slabwright.project.schema import CHANGE, HEAD, REPORT, TEMPORAL

__all__ = ["Change", "Signature", "changes", "claim", "record", "redo", "since", "start", "still_held", "undo", "when"]


@dataclass(frozen=True)
class Change:
    """One entry of the history; ``before`` and ``after`` hold what changed, by name, in SI.

    ``undone``: a change that does not hold; ``replaced``: the number of the change that took its place, so that it cannot
    be made again. An undo or redo is an entry too: ``undoes`` or ``redoes`` is the number of the change it moved.
    """

    id: int
    time: datetime
    user: str
    what: str
    before: Mapping[str, Any] = field(default_factory=dict)
    after: Mapping[str, Any] = field(default_factory=dict)
    undone: bool = False
    undoes: int | None = None
    redoes: int | None = None
    replaced: int | None = None

    @property
    def is_step(self) -> bool:
        """Whether it is an undo or a redo, which changes nothing by itself."""
        return self.undoes is not None or self.redoes is not None

    @property
    def holds(self) -> bool:
        return not (self.undone or self.is_step)

    @property
    def can_be_redone(self) -> bool:
        return self.undone and self.replaced is None

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


def check_head(connection: sa.Connection) -> None:
    """Raises StoreError where the head names no change."""
    _sound_head(connection, held=False)


def claim(connection: sa.Connection, expected: int | None = None) -> int:
    """The head, held until the transaction ends.

    Raises Conflict when the editor saw another head than there is now.
    """
    head = _sound_head(connection)
    if expected is not None and expected != head:
        raise Conflict(
            "the project has changed since it was read: " + "; ".join(_news(connection, expected, head)[-5:]),
            remedy="Look at the project as it is now and make the change again if it still fits.",
        )
    return head


def _sound_head(connection: sa.Connection, *, held: bool = True) -> int:
    """The head, held until the transaction ends or only read; StoreError where it names no change, so that nothing is built on a damaged history."""
    asked = sa.select(HEAD.c.change, HEAD.c.last)
    rows = connection.execute(asked.with_for_update() if held else asked).all()
    newest = connection.execute(sa.select(sa.func.max(CHANGE.c.id))).scalar() or 0
    if len(rows) == 1 and all(isinstance(n, int) for n in (*rows[0], newest)):
        head, last = rows[0]
        known = sa.select(CHANGE.c.id).where(_moving(), CHANGE.c.id == head)
        if newest <= last and (head == 0 or connection.execute(known).scalar() is not None):
            return int(head)
    raise StoreError(
        "the project file is damaged (its history has no head)", remedy="Restore it from a copy of the file."
    )


def _news(connection: sa.Connection, seen: int, head: int) -> list[str]:
    """What was made and undone since an editor saw the state at ``seen``."""
    made, undone = since(connection, seen, head)
    gone = connection.execute(sa.select(CHANGE).where(CHANGE.c.id == seen, CHANGE.c.replaced.is_not(None)))
    lost = [*(_change(row, head) for row in gone), *undone]
    return [f"{c} was undone{_by(connection, c.id)}" for c in lost] + [f"{c} was made" for c in made] or [
        "it is not the state that was read"
    ]


def _by(connection: sa.Connection, number: int) -> str:
    """Who undid a change last; "" where an older version did not write it down."""
    query = sa.select(CHANGE.c.user).where(CHANGE.c.undoes == number).order_by(CHANGE.c.id.desc()).limit(1)
    user = connection.execute(query).scalar()
    return "" if user is None else f" by {user}"


def record(
    connection: sa.Connection, by: Signature, what: str, before: Mapping[str, Any], after: Mapping[str, Any]
) -> int:
    """Enter a change after the head, dropping the undone future, and return its number."""
    number = _enter(connection, by, what, before, after)
    _replace_future(connection, when(connection), number)
    connection.execute(sa.update(HEAD).values(change=number))
    return number


def _enter(
    connection: sa.Connection,
    by: Signature,
    what: str,
    before: Mapping[str, Any],
    after: Mapping[str, Any],
    **step: int,
) -> int:
    """A new entry at the end, and its number."""
    number = int(connection.execute(sa.select(HEAD.c.last)).scalar_one()) + 1
    detail = json.dumps({"before": before, "after": after}, ensure_ascii=False)
    values = {"id": number, "time": by.stamp, "user": by.user, "what": what, "detail": detail, **step}
    connection.execute(sa.insert(CHANGE).values(values))
    connection.execute(sa.update(HEAD).values(last=number))
    return number


def _undone(head: int) -> sa.ColumnElement[bool]:
    """The changes after a head that can be made again."""
    return sa.and_(_moving(), CHANGE.c.id > head)


def _moving() -> sa.ColumnElement[bool]:
    """The changes among which the head moves: neither steps nor replaced ones."""
    return sa.and_(CHANGE.c.undoes.is_(None), CHANGE.c.redoes.is_(None), CHANGE.c.replaced.is_(None))


def _replace_future(connection: sa.Connection, head: int, number: int) -> None:
    """Let a change take the place of what was undone before it."""
    future = sa.and_(_undone(head), CHANGE.c.id < number)
    dropped = connection.execute(sa.select(CHANGE).where(future).order_by(CHANGE.c.id)).all()
    if not dropped:
        return
    _keep_for_report(connection, head, [_change(row, head) for row in dropped])
    for table in TEMPORAL:
        connection.execute(sa.delete(table).where(table.c.inserted > head))
        connection.execute(sa.update(table).where(table.c.closed > head).values(closed=None))
    connection.execute(sa.update(CHANGE).where(future).values(replaced=number))


def _keep_for_report(connection: sa.Connection, head: int, dropped: list[Change]) -> None:
    """A report may have shown changes that are about to be replaced; it must be able to say so."""
    for row in connection.execute(sa.select(REPORT).where(REPORT.c.head > head)).all():
        lost = [*json.loads(row.taken_back), *(str(c) for c in dropped if c.id <= row.head)]
        connection.execute(
            sa.update(REPORT).where(REPORT.c.id == row.id).values(head=head, taken_back=json.dumps(lost))
        )


def still_held(connection: sa.Connection, seen: int) -> tuple[int, list[str]]:
    """What remains of the state at ``seen``: its newest change that was not replaced since, and those that were, in words."""
    head = when(connection)
    gone = sa.and_(CHANGE.c.id <= seen, CHANGE.c.replaced > seen)
    lost = [str(_change(row, head)) for row in connection.execute(sa.select(CHANGE).where(gone).order_by(CHANGE.c.id))]
    kept = connection.execute(sa.select(sa.func.max(CHANGE.c.id)).where(_moving(), CHANGE.c.id <= seen)).scalar()
    return kept or 0, lost


def changes(connection: sa.Connection) -> tuple[Change, ...]:
    """All entries, oldest first."""
    head = when(connection)
    return tuple(_change(row, head) for row in connection.execute(sa.select(CHANGE).order_by(CHANGE.c.id)))


def since(connection: sa.Connection, seen: int, head: int) -> tuple[tuple[Change, ...], tuple[Change, ...]]:
    """What was made, and what was undone, between the state at ``seen`` and the one at ``head``."""
    low, high = min(seen, head), max(seen, head)
    within = sa.and_(_moving(), CHANGE.c.id > low, CHANGE.c.id <= high)
    between = tuple(
        _change(row, head) for row in connection.execute(sa.select(CHANGE).where(within).order_by(CHANGE.c.id))
    )
    return tuple(c for c in between if not c.undone), tuple(c for c in between if c.undone)


def undo(connection: sa.Connection, by: Signature) -> Change:
    """Move the head back by one change, enter that, and return the change."""
    head = when(connection)
    if head == 0:
        raise InputError("there is nothing to undo")
    query = sa.select(sa.func.max(CHANGE.c.id)).where(_moving(), CHANGE.c.id < head)
    earlier = connection.execute(query).scalar() or 0
    done = _numbered(connection, head, earlier)
    _enter(connection, by, f"undo no. {head}: {done.what}", {}, {}, undoes=head)
    connection.execute(sa.update(HEAD).values(change=earlier))
    return done


def redo(connection: sa.Connection, by: Signature) -> Change:
    """Move the head forward by one undone change, enter that, and return the change."""
    later = connection.execute(sa.select(sa.func.min(CHANGE.c.id)).where(_undone(when(connection)))).scalar()
    if later is None:
        raise InputError("there is nothing to do again")
    done = _numbered(connection, later, later)
    _enter(connection, by, f"redo no. {later}: {done.what}", {}, {}, redoes=later)
    connection.execute(sa.update(HEAD).values(change=later))
    return done


def _numbered(connection: sa.Connection, number: int, head: int) -> Change:
    return _change(connection.execute(sa.select(CHANGE).where(CHANGE.c.id == number)).one(), head)


def _change(row: sa.Row[Any], head: int) -> Change:
    detail = json.loads(row.detail)
    time = datetime.fromisoformat(row.time)
    step = row.undoes is not None or row.redoes is not None
    undone = not step and (row.id > head or row.replaced is not None)
    steps = {"undoes": row.undoes, "redoes": row.redoes, "replaced": row.replaced}
    return Change(row.id, time, row.user, row.what, detail["before"], detail["after"], undone, **steps)
