"""Tables by declaration: one row here for each column that the project ever stores or shows.

A ``Schema`` is read by the project file (SQL columns), by intake (header matching, units, bounds), by
commands, pages and reports (headings, units, digits) and by the docs. Values in a table are SI, in a
``pandas.DataFrame`` whose columns are those of the schema; a missing number is NaN, a missing text "".
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from slabwright.errors import InputError
from slabwright.units import KINDS

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["TEXT_KINDS", "Column", "Schema", "empty", "table"]

# Kinds of column that are not numbers with a unit: free text, one of several words, a whole number,
# a position along the road, a calendar date as ISO text, yes or no.
TEXT_KINDS = ("text", "choice", "date")


@dataclass(frozen=True)
class Column:
    """One column: kind of quantity (see ``units.KINDS``) or of word, meaning, bounds in SI, synonyms."""

    name: str
    kind: str
    meaning: str
    low: float | None = None
    high: float | None = None
    choices: tuple[str, ...] = ()
    required: bool = False
    synonyms: tuple[str, ...] = ()

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
    """A table: name, title, what one row is, and its columns in order."""

    name: str
    title: str
    row: str
    columns: tuple[Column, ...]

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


def table(schema: Schema, data: Mapping[str, Iterable[object]] | pd.DataFrame) -> pd.DataFrame:
    """A table of that schema from columns; absent columns are filled with missing values.

    Raises InputError for a column that the schema does not have.
    """
    import numpy as np
    import pandas as pd

    source = pd.DataFrame(data)
    for name in source.columns:
        schema[str(name)]
    rows = source.index if len(source.columns) else pd.RangeIndex(0)
    made: dict[str, object] = {}
    for column in schema.columns:
        if column.name in source:
            values = source[column.name]
            made[column.name] = (
                values.astype(object).where(values.notna(), "").astype(str)
                if column.is_text
                else pd.to_numeric(values).astype(np.float64)
            )
        else:
            made[column.name] = pd.Series("" if column.is_text else np.nan, index=rows)
    frame = pd.DataFrame(made, index=rows)
    for column in schema.columns:
        frame[column.name] = frame[column.name].astype(object if column.is_text else np.float64)
    return frame.reset_index(drop=True)
