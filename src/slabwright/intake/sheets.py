"""A sheet: rows of cells with their numbers in the file, whatever kind of file it came from.

``head`` holds the first rows as text, enough to find the headings. ``body`` gives the columns below them:
floats where every cell is a plain number, else text; a cell that is empty is NaN or "".
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Protocol

import numpy as np
import numpy.typing as npt

__all__ = ["HEAD", "Body", "Cell", "MemorySheet", "Sheet", "as_text"]

HEAD = 60
Cell = str | float | None
Values = npt.NDArray[np.float64] | npt.NDArray[np.object_]


@dataclass(frozen=True, eq=False)
class Body:
    """Columns by position, the row of the file for each, and what went wrong with single rows."""

    columns: dict[int, Values]
    rows: npt.NDArray[np.int64]
    too_long: tuple[tuple[int, str], ...] = ()
    long_cells: tuple[tuple[int, int, int], ...] = ()


class Sheet(Protocol):
    """What every kind of file gives."""

    @property
    def place(self) -> str: ...

    @property
    def notes(self) -> Sequence[tuple[str, str]]: ...

    @property
    def head(self) -> Sequence[Sequence[str]]: ...

    @property
    def decimal_comma(self) -> bool: ...

    def body(self, skip: int, width: int, texts: frozenset[int], wanted: frozenset[int]) -> Body: ...

    def let_go(self) -> None:
        """Give back the memory of what the rows are read from, once they are: ``body`` is not asked again."""
        ...


@dataclass(frozen=True, eq=False)
class MemorySheet:
    """Rows held in memory; ``rows`` gives the number of each in its file, ``chosen`` the weather station taken of several."""

    place: str
    cells: Sequence[Sequence[Cell]]
    rows: npt.NDArray[np.int64]
    notes: tuple[tuple[str, str], ...] = ()
    decimal_comma: bool = False
    refused: tuple[tuple[int, int, int], ...] = field(default=())
    chosen: str = ""

    @property
    def head(self) -> list[list[str]]:
        return [[as_text(cell) for cell in row] for row in self.cells[:HEAD]]

    def body(self, skip: int, width: int, texts: frozenset[int], wanted: frozenset[int]) -> Body:
        kept = [at for at in range(skip, len(self.cells)) if any(c is not None and c != "" for c in self.cells[at])]
        below = [self.cells[at] for at in kept]
        numbers = self.rows[kept] if kept else np.zeros(0, dtype=np.int64)
        columns = {i: _column([row[i] if i < len(row) else None for row in below], i in texts) for i in sorted(wanted)}
        extra = [
            (int(number), as_text(row[width]))
            for row, number in zip(below, numbers, strict=True)
            if any(c is not None and c != "" for c in row[width:])
        ]
        present = set(numbers.tolist())
        return Body(columns, numbers, tuple(extra), tuple(r for r in self.refused if r[0] in present))

    def let_go(self) -> None:
        """Nothing: its head is of the rows themselves."""


def as_text(cell: Cell) -> str:
    """A cell as a person wrote it: whole numbers without a point."""
    if cell is None:
        return ""
    if isinstance(cell, str):
        return cell
    return f"{cell:.0f}" if float(cell).is_integer() and abs(cell) < 1e15 else repr(float(cell))


def _column(cells: list[Cell], text: bool) -> Values:
    if not text and all(c is None or c == "" or isinstance(c, (int, float)) for c in cells):
        return np.array([np.nan if c is None or c == "" else float(c) for c in cells], dtype=np.float64)
    values = np.empty(len(cells), dtype=object)
    values[:] = [as_text(c) for c in cells]
    return values
