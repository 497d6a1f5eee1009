"""Tables by declaration: one row here for each column that the project ever stores or shows.

A ``Schema`` is read by the project file (SQL columns), by intake (header matching, units, bounds), by
commands, pages and reports (headings, units, digits) and by the docs. Values in a table are SI, in a
``pandas.DataFrame`` whose columns are those of the schema; a missing number is NaN, a missing text "". Remarks are
kept as the text of ``remarks.encoded``.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from slabwright.errors import InputError
from slabwright.records.remarks import Remark, encoded
from slabwright.units import KINDS

if TYPE_CHECKING:
    import numpy as np
    import pandas as pd

__all__ = ["TEXT_KINDS", "Column", "Schema", "empty", "table"]

# Kinds of column that hold words: free text, one of several words, a calendar date as ISO text, and words with
# quantities in them (see ``records.remarks``).
TEXT_KINDS = ("text", "choice", "date", "remark")


@dataclass(frozen=True)
class Column:
    """One column: kind of quantity (see ``units.KINDS``) or of word, meaning, bounds in SI, synonyms.

    ``brief`` heads it where a long meaning would take several lines; the meaning is then one press or pointer away.
    """

    name: str
    kind: str
    meaning: str
    low: float | None = None
    high: float | None = None
    choices: tuple[str, ...] = ()
    required: bool = False
    synonyms: tuple[str, ...] = ()
    brief: str = ""

    def __post_init__(self) -> None:
        if self.kind not in KINDS and self.kind not in (*TEXT_KINDS, "station", "integer"):
            raise ValueError(f"column {self.name}: unknown kind {self.kind}")

    @property
    def is_text(self) -> bool:
        return self.kind in TEXT_KINDS

    @property
    def unit_kind(self) -> str | None:
        """The kind of quantity behind the column, None for words; stations are lengths."""
        if self.is_text:
            return None
        return {"station": "length", "integer": "count"}.get(self.kind, self.kind)


@dataclass(frozen=True)
class Schema:
    """A table: name, title, what one row is, and its columns in order.

    ``bulk``: thousands of rows that a person does not read as a table; pages, report and workbook do not list it.
    """

    name: str
    title: str
    row: str
    columns: tuple[Column, ...]
    bulk: bool = False

    def __getitem__(self, name: str) -> Column:
        for column in self.columns:
            if column.name == name:
                return column
        raise InputError(f"table {self.name} has no column of this name", given=name, allowed=", ".join(self.names))

    @property
    def names(self) -> tuple[str, ...]:
        return tuple(c.name for c in self.columns)


def empty(schema: Schema) -> pd.DataFrame:
    """A table of that schema without rows."""
    return table(schema, {})


def table(schema: Schema, data: Mapping[str, Iterable[object]] | pd.DataFrame, *, own: bool = False) -> pd.DataFrame:
    """A table of that schema from columns; absent columns are filled with missing values.

    With ``own`` the values are taken over as they are, not copied, and all absent columns are one that cannot be written
    to: for a large table whose columns nobody else keeps, and which is changed by whole columns only.

    Raises InputError for a column that the schema does not have.
    """
    import numpy as np
    import pandas as pd

    source = data if isinstance(data, pd.DataFrame) else pd.DataFrame(data, copy=not own)
    for name in source.columns:
        schema[str(name)]
    rows = len(source)
    made: dict[str, object] = {}
    missing = {is_text: _missing(rows, is_text=is_text) for is_text in (False, True)}
    for column in schema.columns:
        if column.name not in source:
            values = missing[column.is_text] if own else missing[column.is_text].copy()
        elif column.is_text:
            values = source[column.name].to_numpy(dtype=object)
            if not (own and all(type(v) is str for v in values)):
                values = np.array([_text(v) for v in values], dtype=object)
        elif own and isinstance(kept := data[column.name], np.ndarray | pd.Series) and kept.dtype == np.float64:
            values = np.asarray(kept)
        else:
            values = np.array(pd.to_numeric(source[column.name]), dtype=np.float64)
        made[column.name] = pd.Series(values, dtype=values.dtype, copy=False)  # else words would get another type
    return pd.DataFrame(made, columns=list(schema.names), copy=False)


def _missing(rows: int, *, is_text: bool) -> np.ndarray:
    """A column without a value in any row, which cannot be written to."""
    import numpy as np

    values = np.full(rows, "", dtype=object) if is_text else np.full(rows, np.nan)
    values.setflags(write=False)
    return values


def _text(value: object) -> str:
    if isinstance(value, Remark):
        return encoded(value)
    return "" if value is None or value != value else str(value)
