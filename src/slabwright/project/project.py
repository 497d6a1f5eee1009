"""The face of the project file: what every page, command and the conductor ask of it.

A ``Project`` holds no state but its connection. Each method is one transaction: a reader sees one state,
a writer leaves a whole change or nothing. Writers take ``expected``, the head that the editor saw, and
raise Conflict when the project has moved on since.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from types import TracebackType
from typing import Any, Self

import pandas as pd
import sqlalchemy as sa

from slabwright import __version__
from slabwright.errors import InputError
from slabwright.project import alternatives, facts_io, history, opening, results, sources
from slabwright.project.alternatives import BASE, Plain
from slabwright.project.cells import changed_cells
from slabwright.project.history import Change, Signature
from slabwright.project.schema import CHANGE, META, REPORT
from slabwright.project.sources import AnsweredFinding, Batch, LoadedFile, SourceFile, TracedFinding
from slabwright.project.store import Store
from slabwright.project.texts import checked_name
from slabwright.records.decisions import Decisions, to_plain
from slabwright.records.facts import Facts
from slabwright.records.results import StageResult

__all__ = ["Clock", "Meta", "Project", "SinceReport", "create", "open_project"]

Clock = Callable[[], datetime]
Before = Callable[[], None]
LoadOne = Callable[
    ..., int
]  # a file's batches, file, findings, mapping, in_place_of and tell, as ``Project.load`` takes them
LONGEST_USER = 200
LONGEST_WHAT = 5000  # room for the names of all decisions, changed at once


@dataclass(frozen=True)
class Meta:
    """When the project was made, the program version that last set its format, and the format."""

    created: datetime
    version: str
    format: str


@dataclass(frozen=True)
class SinceReport:
    """The last report, and what has changed since: made, undone, and undone and since replaced by others."""

    path: str
    alternative: str  # "" where an older version did not write it down
    time: datetime
    user: str
    made: tuple[Change, ...]
    undone: tuple[Change, ...]
    taken_back: tuple[str, ...]


def create(place: str | Path, *, user: str, clock: Clock) -> Project:
    """A new project at a path or PostgreSQL URL; StoreError where something exists already."""
    signature = _signature(user, clock)

    def fill(connection: sa.Connection) -> None:
        connection.execute(sa.insert(META).values(id=1, created=signature.stamp, version=__version__))
        history.start(connection)
        alternatives.start(connection)

    return Project(opening.make(place, fill), user, clock)


def open_project(place: str | Path, *, user: str, clock: Clock) -> Project:
    """The project at a path or URL; an older format is backed up beside it and migrated, a newer one refused."""
    _signature(user, clock)
    return Project(opening.opened(place), user, clock)


def _signature(user: str, clock: Clock) -> Signature:
    return Signature(checked_name(user, "the user's name", LONGEST_USER), clock())


class Project:
    """One open project; use it in a ``with`` block or close it."""

    def __init__(
        self, store: Store, user: str, clock: Clock, *, may_change: bool = True, before_change: Before = lambda: None
    ) -> None:
        """``before_change`` is called before each change and may refuse it by raising."""
        self.store = store
        self.before_change = before_change
        self.may_change = may_change
        self.user = user
        self.clock = clock

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, problem: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the file, with nothing left beside it."""
        self.store.close()

    @property
    def read_only(self) -> bool:
        """Whether the project stands where nothing can be written, or its user may only look at it."""
        return not self.may_change or self.store.read_only

    # Facts ------------------------------------------------------------------------------------------------
    def facts(self) -> Facts:
        """Every table of facts, in SI."""
        with self._reading() as (connection, head):
            return facts_io.read_facts(connection, head)

    def facts_mark(self) -> tuple[int, str]:
        """The newest change that holds and touched facts, (0, "") for none: the same mark means the same facts.

        The changes that hold are a line and their numbers are never used twice, so what holds up to a change is told by
        its number; its time tells it from one of the same number in a copy that was put in the place of the file.
        """
        touched = [c for c in self.history() if c.holds and ({"file", "table"} & {*c.before, *c.after})]
        return (touched[-1].id, touched[-1].time.isoformat()) if touched else (0, "")

    def origins(self, table: str) -> pd.DataFrame:
        """The file and row that each row of a table of facts came from; "" and NaN for rows entered by hand."""
        facts_io.schema_named(table)
        with self._reading() as (connection, head):
            return facts_io.read_origins(connection, table, head)

    def load(
        self,
        batches: Sequence[Batch | tuple[str, pd.DataFrame, Any]],
        *,
        file: LoadedFile,
        findings: Sequence[AnsweredFinding] = (),
        mapping: sources.HeaderMapping | None = None,
        in_place_of: str = "",
        expected: int | None = None,
        tell: Callable[[int], None] | None = None,
    ) -> int:
        """Load all rows of a file and return the number of the change; the file ``in_place_of`` is taken out in it.

        ``tell`` hears, piece by piece, how many rows more are written; none of them is in before the last.
        Raises Conflict when the same bytes are loaded already as another file, InputError for rows that no table can hold.
        """
        with self.loading(expected) as load:
            return load(batches, file, findings, mapping, in_place_of, tell)

    @contextmanager
    def loading(self, expected: int | None = None) -> Iterator[LoadOne]:
        """What loads files as ``load`` does, each as one change, and all of them or none: they are in at the end of the block."""
        with self._writing(expected) as (connection, head):
            heads = [head]

            def load(
                batches: Sequence[Batch | tuple[str, pd.DataFrame, Any]],
                file: LoadedFile,
                findings: Sequence[AnsweredFinding] = (),
                mapping: sources.HeaderMapping | None = None,
                in_place_of: str = "",
                tell: Callable[[int], None] | None = None,
            ) -> int:
                known = LoadedFile(checked_name(file.name, "the file's name", LONGEST_USER), file.sha256, file.size)
                given = [Batch(table, facts_io.prepared(table, frame), rows) for table, frame, rows in batches]
                after = {"file": known.name, "rows": {b.table: len(b.frame) for b in given}, "findings": len(findings)}
                old = sources.file_named(connection, heads[-1], in_place_of) if in_place_of else None
                sources.refuse_twice(connection, heads[-1], known, old)
                what = f"load {known.name}" + (f" in place of {in_place_of}" if in_place_of else "")
                change = self._record(connection, what, {"file": in_place_of} if in_place_of else {}, after)
                if old is not None:
                    sources.take_out(connection, old, heads[-1], change)
                sources.add_file(connection, change, known, given, findings, mapping or {}, tell)
                heads.append(change)
                return change

            yield load

    def remove_source(self, name: str, *, sha256: str = "", expected: int | None = None) -> int:
        """Take the newest loaded file of that name (and digest) out, with its rows; its mapping is remembered."""
        with self._writing(expected) as (connection, head):
            source = sources.file_named(connection, head, name, sha256)
            change = self._record(connection, f"take out {name}", {"file": name}, {})
            sources.take_out(connection, source, head, change)
            return change

    def replace_table(self, name: str, frame: pd.DataFrame, what: str = "", *, expected: int | None = None) -> int:
        """Make the frame the table of that name; returns the head, moved only if a row differs."""
        made = facts_io.prepared(name, frame)
        with self._writing(expected) as (connection, head):
            old = facts_io.read(connection, name, head)
            if old.equals(made):
                return head
            before, after = (
                {"table": name, "rows": len(old)},
                {"table": name, "rows": len(made), **changed_cells(old, made)},
            )
            change = self._record(connection, what or f"edit {name}", before, after)
            facts_io.replace(connection, name, old, made, change, head)
            return change

    def sources(self) -> tuple[SourceFile, ...]:
        """The loaded files, oldest first."""
        with self._reading() as (connection, head):
            return sources.read_sources(connection, head)

    def mappings(self) -> tuple[tuple[tuple[str, ...], Any], ...]:
        """The headers of every file loaded, taken out since or not, with what they were confirmed to mean, oldest first."""
        with self._reading() as (connection, head):
            return sources.read_mappings(connection, head)

    def findings(self) -> tuple[TracedFinding, ...]:
        """Every accepted or rejected finding with its trace."""
        with self._reading() as (connection, head):
            return sources.read_findings(connection, head)

    # Decisions --------------------------------------------------------------------------------------------
    def alternatives(self) -> tuple[str, ...]:
        """The names of the alternatives, the base first."""
        with self._reading() as (connection, head):
            return alternatives.names(connection, head)

    def decisions(self, alternative: str = BASE) -> Decisions:
        """The decisions of an alternative; InputError when there is none of that name."""
        with self._reading() as (connection, head):
            return alternatives.read(connection, head, alternative)

    def decide(self, alternative: str, values: Plain, what: str = "", *, expected: int | None = None) -> int:
        """Change decisions (SI values by name); returns the head, moved only if a value differs."""
        with self._writing(expected) as (connection, head):
            old = alternatives.read(connection, head, alternative)
            new = alternatives.changed(old, values)
            if not new:
                return head
            alternatives.check_beside_facts(new, lambda: facts_io.read_facts(connection, head))
            before, after = ({"alternative": alternative, **v} for v in ({k: to_plain(old)[k] for k in new}, new))
            change = self._record(connection, what or f"decide {', '.join(new)} ({alternative})", before, after)
            alternatives.decide(connection, alternatives.numbered(connection, head, alternative), new, head, change)
            return change

    def add_alternative(self, name: str, like: str = BASE, *, expected: int | None = None) -> int:
        """A new alternative with the decisions of another one."""
        name = checked_name(name, "the alternative's name")
        with self._writing(expected) as (connection, head):
            if name in alternatives.names(connection, head):
                raise InputError("there is an alternative of this name already", given=name)
            values = to_plain(alternatives.read(connection, head, like))
            after = {"alternative": name, "like": like}
            change = self._record(connection, f"add the alternative {name}", {}, after)
            alternatives.insert(connection, name, values, change)
            return change

    def remove_alternative(self, name: str, *, expected: int | None = None) -> int:
        """Remove an alternative; the base stays."""
        if name == BASE:
            raise InputError("the base alternative cannot be removed", remedy="Change its decisions instead.")
        with self._writing(expected) as (connection, head):
            number = alternatives.numbered(connection, head, name)
            change = self._record(connection, f"remove the alternative {name}", {"alternative": name}, {})
            alternatives.remove(connection, number, head, change)
            return change

    # History ----------------------------------------------------------------------------------------------
    @property
    def head(self) -> int:
        """The number of the newest change that holds, 0 for none: what an editor hands back as ``expected``."""
        with self._reading() as (_, head):
            return head

    def mark(self) -> tuple[int, str]:
        """The head, and number and time of the newest entry: between two equal marks nothing was changed, undone or redone.

        The time tells a state from one of the same numbers in a copy that was put in the place of the file.
        """
        with self._reading() as (connection, head):
            newest = sa.select(CHANGE.c.id, CHANGE.c.time).order_by(CHANGE.c.id.desc()).limit(1)
            entry = connection.execute(newest).first()
            return head, f"{entry.id} {entry.time}" if entry else ""

    def history(self) -> tuple[Change, ...]:
        """Every change, undo and redo, oldest first."""
        with self._reading() as (connection, _):
            return history.changes(connection)

    def undo(self, *, expected: int | None = None) -> Change:
        """Take the last change back, with an entry that says who did, and return it; InputError when there is none."""
        with self._writing(expected) as (connection, _):
            return history.undo(connection, self._signed())

    def redo(self, *, expected: int | None = None) -> Change:
        """Make the last undone change again and return it; InputError when there is none."""
        with self._writing(expected) as (connection, _):
            return history.redo(connection, self._signed())

    # Results ----------------------------------------------------------------------------------------------
    def result(self, stage: str, fingerprint: str) -> StageResult | None:
        """The kept result of a stage for inputs of that fingerprint."""
        with self._reading() as (connection, _):
            content = results.read(connection, stage, fingerprint)
        return None if content is None else results.unpacked(content)

    def save_result(self, stage: str, fingerprint: str, result: StageResult) -> None:
        """Keep a result; it is outside the history, because its fingerprint says all it depends on."""
        self.save_results([(stage, fingerprint, result)])

    def save_results(self, made: Sequence[tuple[str, str, StageResult]]) -> None:
        """Keep results, each as (stage, fingerprint, result); where nothing can be written, nothing is kept."""
        if self.read_only:
            return
        packed = [(stage, key, results.packed(result)) for stage, key, result in made]
        with self._writing(None) as (connection, _):
            for stage, key, content in packed:
                results.save(connection, stage, key, content, self._signed().stamp)

    def result_keys(self) -> tuple[tuple[str, str], ...]:
        """Stage and fingerprint of every kept result, oldest first."""
        with self._reading() as (connection, _):
            return results.keys(connection)

    def last_computed(self, stage: str) -> datetime | None:
        """When (UTC) a stage was last computed, of any alternative and for whatever inputs; None where nothing is kept of it."""
        with self._reading() as (connection, _):
            stamp = results.last(connection, stage)
        return None if stamp is None else datetime.fromisoformat(stamp)

    # About the file ---------------------------------------------------------------------------------------
    def meta(self) -> Meta:
        """When and by what version the project was made."""
        with self._reading() as (connection, _):
            row = connection.execute(sa.select(META)).one()
        return Meta(datetime.fromisoformat(row.created), row.version, opening.FORMAT)

    def mark_report(self, path: str | Path, alternative: str, seen: int) -> None:
        """Remember that a report of an alternative was written from the state at ``seen``, where anything can be written."""
        if self.read_only:
            return
        by = self._signed()
        with self._writing(None) as (connection, _):
            head, lost = history.still_held(connection, seen)
            values = {"time": by.stamp, "user": by.user, "path": str(path), "head": head, "alternative": alternative}
            connection.execute(sa.insert(REPORT).values({**values, "taken_back": json.dumps(lost)}))

    def changes_since_report(self) -> SinceReport | None:
        """What differs from the last report's state; None when no report was written."""
        with self._reading() as (connection, head):
            row = connection.execute(sa.select(REPORT).order_by(REPORT.c.id.desc()).limit(1)).first()
            if row is None:
                return None
            made, undone = history.since(connection, row.head, head)
        time = datetime.fromisoformat(row.time)
        return SinceReport(row.path, row.alternative, time, row.user, made, undone, tuple(json.loads(row.taken_back)))

    @contextmanager
    def _reading(self) -> Iterator[tuple[sa.Connection, int]]:
        with self.store.reading() as connection:
            yield connection, history.when(connection)

    @contextmanager
    def _writing(self, expected: int | None) -> Iterator[tuple[sa.Connection, int]]:
        if not self.may_change:
            raise InputError(
                "you may look at this project, but not change it", remedy="Ask its keeper for the right to change."
            )
        self.before_change()
        with self.store.writing() as connection:
            yield connection, history.claim(connection, expected)

    def _signed(self) -> Signature:
        return _signature(self.user, self.clock)

    def _record(self, connection: sa.Connection, what: str, before: Mapping[str, Any], after: Mapping[str, Any]) -> int:
        text = checked_name(what, "the description of the change", LONGEST_WHAT)
        return history.record(connection, self._signed(), text, before, after)
