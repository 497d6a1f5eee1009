"""Tables as plain data in the units asked for."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from slabwright import units
from slabwright.records.table import Column, Schema
from slabwright.web.api_models import TableColumn, TableView

__all__ = ["columns", "plain_rows", "rows", "table_view"]


def table_view(schema: Schema, frame: pd.DataFrame, system: units.System) -> TableView:
    """The whole table."""
    return TableView(title=schema.title, columns=columns(schema, system), rows=rows(schema, frame, system))


def columns(schema: Schema, system: units.System) -> list[TableColumn]:
    return [
        TableColumn(
            name=c.name, unit=units.unit_of(c.unit_kind, system) if c.unit_kind else "", meaning=c.meaning
        )
        for c in schema.columns
    ]  # fmt: skip


def rows(schema: Schema, frame: pd.DataFrame, system: units.System) -> list[list[Any]]:
    """Values in the units shown, row by row; a missing number is None."""
    data = [_values(frame[c.name], c, system) for c in schema.columns]
    return [list(row) for row in zip(*data, strict=True)]


def _values(values: pd.Series, column: Column, system: units.System) -> list[Any]:
    if column.unit_kind is None:
        return [str(v) for v in values]
    numbers = units.convert(values.to_numpy(dtype=np.float64), column.unit_kind, system)
    # Twelve digits, without the last bits that a conversion leaves behind.
    return [float(f"{v:.12g}") if finite else None for v, finite in zip(numbers, np.isfinite(numbers), strict=True)]


def plain_rows(frame: pd.DataFrame) -> list[list[Any]]:
    """Rows of a table that is already in the units shown."""
    return [[_plain(v) for v in row] for row in frame.itertuples(index=False, name=None)]


def _plain(value: Any) -> Any:
    if isinstance(value, str):
        return value
    return float(value) if np.isfinite(value) else None
