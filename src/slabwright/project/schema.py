"""The tables of a project file, for SQLite and PostgreSQL alike.

Facts, decision values, alternatives, loaded files, header mappings and findings are *temporal*: a row is
``inserted`` by a change and ``closed`` by a later one or not yet. The state at head H is the rows with
``inserted <= H`` that are not closed by H, so undo and redo only move the head. Rows inserted with the project
itself carry 0. Results are kept by the fingerprint of their inputs and have no history.
"""

from __future__ import annotations

from sqlalchemy import Column, ColumnElement, Float, ForeignKey, Integer, LargeBinary, MetaData, Table, Text, and_, or_
from sqlalchemy import UniqueConstraint as Unique

from slabwright.records.facts import FACTS

__all__ = [
    "ALTERNATIVE",
    "CHANGE",
    "DECISION",
    "FACT",
    "FINDING",
    "HEAD",
    "MAPPING",
    "META",
    "METADATA",
    "REPORT",
    "RESULT",
    "SOURCE",
    "TEMPORAL",
    "current",
]

METADATA = MetaData()


def _key() -> Column[int]:
    return Column("id", Integer, primary_key=True)


def _temporal(name: str, *columns: Column[object]) -> Table:
    lifespan = Column("inserted", Integer, nullable=False), Column("closed", Integer)
    return Table(name, METADATA, _key(), *lifespan, *columns)


def _text(name: str) -> Column[object]:
    return Column(name, Text, nullable=False)


def _whole(name: str) -> Column[object]:
    return Column(name, Integer, nullable=False)


# What the file is, and where in its history it stands: one row each.
META = Table("meta", METADATA, _key(), _text("created"), _text("version"))
HEAD = Table("head", METADATA, _key(), _whole("change"), _whole("last"))

# An entry that undoes or redoes another one names it; a change that was undone names the one that took its place.
CHANGE = Table(
    "change",
    METADATA,
    _key(),
    *map(_text, ("time", "user", "what", "detail")),
    *(Column(name, Integer) for name in ("undoes", "redoes", "replaced")),
)
REPORT = Table(
    "report",
    METADATA,
    _key(),
    *map(_text, ("time", "user", "path")),
    _whole("head"),
    *map(_text, ("taken_back", "alternative")),
)

SOURCE = _temporal("source_file", _text("name"), _text("sha256"), _whole("size"), _whole("rows"))
MAPPING = _temporal(
    "header_mapping",
    Column("source_file", Integer, ForeignKey("source_file.id"), nullable=False),
    _text("headers"),
    _text("headers_key"),
    _text("mapping"),
)
FINDING = _temporal(
    "finding",
    Column("source_file", Integer, ForeignKey("source_file.id"), nullable=False),
    *map(_text, ("answer", "weight", "rule", "file")),
    Column("row", Integer),
    *map(_text, ("column", "value", "message", "remedy")),
)
ALTERNATIVE = _temporal("alternative", _text("name"))
DECISION = _temporal(
    "decision",
    Column("alternative", Integer, ForeignKey("alternative.id"), nullable=False),
    _text("name"),
    Column("number", Float),
    Column("word", Text),
)
FACT: dict[str, Table] = {
    name: _temporal(
        f"fact_{name}",
        Column("source_file", Integer, ForeignKey("source_file.id")),
        Column("source_row", Integer),
        *(_text(c.name) if c.is_text else Column(c.name, Float) for c in schema.columns),
    )
    for name, schema in FACTS.items()
}
RESULT = Table(
    "result",
    METADATA,
    _key(),
    _text("stage"),
    _text("fingerprint"),
    _text("time"),
    Column("content", LargeBinary, nullable=False),
    Unique("stage", "fingerprint"),
)

# Children before parents, the order in which rows may be deleted.
TEMPORAL: tuple[Table, ...] = tuple(t for t in reversed(METADATA.sorted_tables) if "inserted" in t.c)


def current(table: Table, head: int) -> ColumnElement[bool]:
    """The rows that make up the state at a head."""
    return and_(table.c.inserted <= head, or_(table.c.closed.is_(None), table.c.closed > head))
