"""Results kept by the fingerprint of their inputs, so that one is found only where it is still true."""

from __future__ import annotations

import json
import zlib
from typing import Any

import numpy as np
import pandas as pd
import sqlalchemy as sa

from slabwright.errors import StoreError
from slabwright.project.schema import RESULT
from slabwright.records.remarks import decoded, encoded
from slabwright.records.results import StageResult

__all__ = ["KEPT_BYTES", "KEPT_RESULTS", "keys", "last", "packed", "read", "save", "unpacked"]

# How much of each stage is kept, newest first; an older result is only computed again.
KEPT_RESULTS = 200
KEPT_BYTES = 100_000_000
COMPRESSION = 1  # numbers hardly shrink further with more effort
DTYPES = ("float64", "int64", "bool", "object", "str")


def save(connection: sa.Connection, stage: str, fingerprint: str, content: bytes, stamp: str) -> None:
    """Keep a packed result, once for each fingerprint, and drop what is more than is kept."""
    found = sa.select(RESULT.c.id).where(RESULT.c.stage == stage, RESULT.c.fingerprint == fingerprint)
    if connection.execute(found).scalar() is None:
        connection.execute(sa.insert(RESULT).values(stage=stage, fingerprint=fingerprint, time=stamp, content=content))
        _prune(connection, stage)


def read(connection: sa.Connection, stage: str, fingerprint: str) -> bytes | None:
    """The packed result of that fingerprint, if it is kept."""
    query = sa.select(RESULT.c.content).where(RESULT.c.stage == stage, RESULT.c.fingerprint == fingerprint)
    return connection.execute(query).scalar()


def keys(connection: sa.Connection) -> tuple[tuple[str, str], ...]:
    """Stage and fingerprint of every kept result, oldest first."""
    rows = connection.execute(sa.select(RESULT.c.stage, RESULT.c.fingerprint).order_by(RESULT.c.id))
    return tuple((row.stage, row.fingerprint) for row in rows)


def last(connection: sa.Connection, stage: str) -> str | None:
    """When the newest kept result of a stage was computed, for whatever inputs; None where none is kept."""
    query = sa.select(RESULT.c.time).where(RESULT.c.stage == stage).order_by(RESULT.c.id.desc()).limit(1)
    return connection.execute(query).scalar()


def _prune(connection: sa.Connection, stage: str) -> None:
    query = sa.select(RESULT.c.id, sa.func.length(RESULT.c.content)).where(RESULT.c.stage == stage)
    rows = connection.execute(query.order_by(RESULT.c.id.desc())).all()
    sizes = np.cumsum([size for _, size in rows])
    kept = max(1, min(KEPT_RESULTS, int(np.searchsorted(sizes, KEPT_BYTES, side="right"))))
    if kept < len(rows):
        connection.execute(sa.delete(RESULT).where(RESULT.c.stage == stage, RESULT.c.id <= rows[kept].id))


def packed(result: StageResult) -> bytes:
    """A result as compressed JSON, every number with all its digits."""
    plain = {
        "stage": result.stage,
        "tables": {name: _columns(frame) for name, frame in result.tables.items()},
        "notes": [[encoded(note), note.section] for note in result.notes],
    }
    text = json.dumps(plain, default=_plain, separators=(",", ":"))
    return zlib.compress(text.encode(), COMPRESSION)


def unpacked(content: bytes) -> StageResult:
    """The inverse of ``packed``; StoreError when the bytes are damaged."""
    try:
        plain = json.loads(zlib.decompress(content))
        return StageResult(
            stage=plain["stage"],
            tables={name: _frame(columns) for name, columns in plain["tables"].items()},
            notes=tuple(decoded(text, section) for text, section in plain["notes"]),
        )
    except (zlib.error, ValueError, KeyError, TypeError) as problem:
        raise StoreError(
            f"a stored result is damaged ({problem})", remedy="Restore the project from a copy of the file."
        ) from problem


def _columns(frame: pd.DataFrame) -> dict[str, Any]:
    """Columns as lists; ValueError for a table that would not come back as it was."""
    dtypes = [str(dtype) for dtype in frame.dtypes]
    plain_index = frame.index.equals(pd.RangeIndex(len(frame)))
    if not plain_index or not set(dtypes) <= set(DTYPES) or not all(isinstance(c, str) for c in frame.columns):
        raise ValueError(f"result tables have a plain index, text headings and columns of {', '.join(DTYPES)}")
    places = range(frame.shape[1])
    return {
        "rows": len(frame),
        "columns": [[frame.columns[i], dtypes[i], frame.iloc[:, i].tolist()] for i in places],
    }


def _frame(plain: dict[str, Any]) -> pd.DataFrame:
    series = {name: pd.Series(values, dtype=dtype) for name, dtype, values in plain["columns"]}
    return pd.DataFrame(series, index=pd.RangeIndex(plain["rows"]))


def _plain(value: object) -> object:
    if isinstance(value, np.generic):
        return value.item()
    raise ValueError(f"a result table cannot hold {type(value).__name__}")
