"""Facts in and out of their tables: whole columns through the driver, since a survey has 100,000 rows."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd
import sqlalchemy as sa

from slabwright.errors import InputError
from slabwright.project.schema import FACT, SOURCE, current
from slabwright.project.texts import check_storable
from slabwright.records.facts import FACTS, Facts
from slabwright.records.table import Schema, table

__all__ = ["ORIGIN", "append", "prepared", "read", "read_facts", "read_origins", "replace", "schema_named"]

ORIGIN = ("source_file", "source_row")
Origins = Sequence[int | None] | npt.NDArray[np.int64]
ROWS_AT_ONCE = 20_000  # as Python objects a row takes about ten times its room in the frame


def schema_named(name: str) -> Schema:
    """The schema of that table of facts, or InputError with the names there are."""
    if name not in FACTS:
        raise InputError("there is no table of facts of this name", given=name, allowed=", ".join(FACTS))
    return FACTS[name]


def prepared(name: str, frame: pd.DataFrame) -> pd.DataFrame:
    """The frame in its schema's columns, with text that a file can keep; InputError otherwise."""
    schema = schema_named(name)
    made = table(schema, frame, own=True)  # kept no longer than it takes to write it
    for column in schema.columns:
        if column.is_text:
            check_storable(made[column.name].tolist(), f"table {name}, column {column.name}")
    return made


def read_facts(connection: sa.Connection, head: int) -> Facts:
    """All facts of the state at a head."""
    return Facts(**{name: read(connection, name, head) for name in FACTS})


def read(connection: sa.Connection, name: str, head: int) -> pd.DataFrame:
    """One table of facts of the state at a head, rows in the order they were given."""
    schema = FACTS[name]
    columns = _columns(connection, name, schema.names, head)
    made = {
        column.name: np.array(values, dtype=object if column.is_text else np.float64)
        for column, values in zip(schema.columns, columns, strict=True)
    }
    return pd.DataFrame({key: pd.Series(values, dtype=values.dtype) for key, values in made.items()})


def read_origins(connection: sa.Connection, name: str, head: int) -> pd.DataFrame:
    """File and row that each row of ``read`` came from; "" and NaN for rows entered by hand."""
    fact = FACT[name]
    query = (
        sa
        .select(SOURCE.c.name, fact.c.source_row)
        .select_from(fact.outerjoin(SOURCE, fact.c.source_file == SOURCE.c.id))
        .where(current(fact, head))
        .order_by(fact.c.id)
    )
    rows = connection.execute(query).all()
    files = pd.Series([row[0] or "" for row in rows], dtype=object)
    return pd.DataFrame({"file": files, "row": np.array([row[1] for row in rows], dtype=np.float64)})


def append(
    connection: sa.Connection,
    name: str,
    frame: pd.DataFrame,
    change: int,
    files: Origins,
    rows: Origins,
    tell: Callable[[int], None] | None = None,
) -> None:
    """Bear the rows of a prepared frame, each with the file and row it came from; piece by piece, for their memory.

    ``tell`` hears the number of rows of each piece that is in.
    """
    if not len(files) == len(rows) == len(frame):
        raise ValueError(f"{len(frame)} rows of {name} have {len(files)} files and {len(rows)} numbers of rows")
    for start in range(0, len(frame), ROWS_AT_ONCE):
        piece = slice(start, start + ROWS_AT_ONCE)
        columns: dict[str, Iterable[Any]] = {"source_file": _plain(files[piece]), "source_row": _plain(rows[piece])}
        for column in FACTS[name].columns:
            values = frame[column.name].iloc[piece]
            columns[column.name] = values.tolist() if column.is_text else _nullable(values.to_numpy())
        count = len(files[piece])
        _insert(connection, FACT[name], {"inserted": [change] * count, **columns})
        if tell:
            tell(count)


def replace(connection: sa.Connection, name: str, old: pd.DataFrame, new: pd.DataFrame, change: int, head: int) -> None:
    """Put the prepared frame ``new`` in place of ``old``, in the change ``change`` made at ``head``.

    Rows before the first difference stay; equal rows after it keep the file and row they came from.
    """
    fact = FACT[name]
    ids, files, rows = _columns(connection, name, ("id", *ORIGIN), head)
    hashes, new_hashes = _hashes(old), _hashes(new)
    kept = _common_start(hashes, new_hashes)
    connection.execute(
        sa
        .update(fact)
        .where(current(fact, head), fact.c.id >= ids[kept] if kept < len(ids) else sa.false())
        .values(closed=change)
    )
    known = pd.DataFrame({"hash": hashes, "file": list(files), "row": list(rows)}, dtype=object).iloc[kept:]
    origins = _with_count(pd.DataFrame({"hash": new_hashes[kept:]}, dtype=object)).merge(
        _with_count(known), on=["hash", "count"], how="left"
    )
    append(connection, name, new.iloc[kept:], change, _nullable_whole(origins["file"]), _nullable_whole(origins["row"]))


def _hashes(frame: pd.DataFrame) -> npt.NDArray[np.uint64]:
    return pd.util.hash_pandas_object(frame, index=False).to_numpy()


def _common_start(old: npt.NDArray[np.uint64], new: npt.NDArray[np.uint64]) -> int:
    """How many leading rows both have."""
    shortest = min(len(old), len(new))
    different = np.flatnonzero(old[:shortest] != new[:shortest])
    return int(different[0]) if len(different) else shortest


def _with_count(rows: pd.DataFrame) -> pd.DataFrame:
    """Equal rows numbered, so that each finds one partner."""
    return rows.assign(count=rows.groupby("hash").cumcount())


def _columns(connection: sa.Connection, name: str, wanted: Sequence[str], head: int) -> list[tuple[Any, ...]]:
    fact = FACT[name]
    query = sa.select(*(fact.c[key] for key in wanted)).where(current(fact, head)).order_by(fact.c.id)
    rows = connection.execute(query).all()
    return list(zip(*rows, strict=True)) if rows else [()] * len(wanted)


def _plain(numbers: Origins) -> Sequence[int | None]:
    return numbers.tolist() if isinstance(numbers, np.ndarray) else numbers


def _nullable(values: npt.NDArray[np.float64]) -> list[float | None]:
    """NaN as SQL's null, which every database understands alike."""
    made = values.astype(object)
    made[np.isnan(values)] = None
    return made.tolist()


def _nullable_whole(values: pd.Series) -> list[int | None]:
    return [None if pd.isna(value) else int(value) for value in values]


def _insert(connection: sa.Connection, into: sa.Table, columns: Mapping[str, Iterable[Any]]) -> None:
    """Insert whole columns straight through the driver, in the parameter style that it speaks."""
    rows = list(zip(*columns.values(), strict=True))
    if not rows:
        return
    statement = sa.insert(into).values({key: sa.bindparam(key) for key in columns}).compile(dialect=connection.dialect)
    if statement.positional:
        order = [list(columns).index(key) for key in statement.positiontup or ()]
        parameters: list[Any] = rows if order == sorted(order) else [tuple(row[i] for i in order) for row in rows]
    else:
        parameters = [dict(zip(columns, row, strict=True)) for row in rows]
    connection.exec_driver_sql(str(statement), parameters)
