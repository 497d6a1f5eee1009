"""Tables as plain data in the units asked for."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from slabwright import units
from slabwright.records import display
from slabwright.records.table import Schema
from slabwright.web.api.models import TableColumn, TableView

__all__ = ["columns", "plain_rows", "rows", "table_view"]


def table_view(schema: Schema, frame: pd.DataFrame, system: units.System) -> TableView:
    """The whole table."""
    return TableView(title=schema.title, columns=columns(schema, system), rows=rows(schema, frame, system))


def columns(schema: Schema, system: units.System) -> list[TableColumn]:
    return [TableColumn(**column) for column in display.plain_columns(schema, system)]


def rows(schema: Schema, frame: pd.DataFrame, system: units.System) -> list[list[Any]]:
    """Values in the units shown, row by row; a missing number is None."""
    return display.plain_rows(schema, frame, system)


def plain_rows(frame: pd.DataFrame) -> list[list[Any]]:
    """Rows of a table that is already in the units shown."""
    return [[_plain(v) for v in row] for row in frame.itertuples(index=False, name=None)]


def _plain(value: Any) -> Any:
    if isinstance(value, str):
        return value
    return float(value) if np.isfinite(value) else None
