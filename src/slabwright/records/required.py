"""What a stage cannot work without in the tables of facts: rows where they are needed, and every required cell."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np

from slabwright.errors import MissingFact
from slabwright.records.facts import FACTS

if TYPE_CHECKING:
    from slabwright.records.facts import Facts

__all__ = ["lacking"]

# Tables whose every row counts; a test, core or distress that lacks a cell is left out where the cell is needed.
WHOLE = ("road", "alignment", "lanes", "bridges", "layers", "counts", "truck_classes", "axles")
ROWS_NAMED = 5


def lacking(facts: Facts, stage: str, tables: tuple[str, ...], needed: tuple[str, ...]) -> Iterator[MissingFact]:
    """MissingFact for each needed table without rows, and for each required column of the ``WHOLE`` tables with empty cells."""
    for name in tables:
        try:
            frame = facts.need(name, stage) if name in needed else getattr(facts, name)
        except MissingFact as missing:
            yield missing
            continue
        for column in (c for c in FACTS[name].columns if c.required and name in WHOLE):
            values = frame[column.name]
            at = np.flatnonzero((values == "").to_numpy() if column.is_text else values.isna().to_numpy())
            if len(at):
                rows = ", ".join(str(r + 1) for r in at[:ROWS_NAMED].tolist()) + (", …" if len(at) > ROWS_NAMED else "")
                lacks = f"{column.name} ({column.meaning}) in every row of the table {name!r}"
                yield MissingFact(
                    f"the {stage} stage needs {lacks}",
                    lacks=f"what is needed is {lacks}",
                    where=f"row {rows}",
                    remedy="Fill in the cell, or take the row out.",
                )
