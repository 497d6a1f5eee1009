"""Sheets of an .xlsx workbook. Macros are never run and formulas never computed: their stored values are read."""

from __future__ import annotations

import datetime
import io
from typing import Any

import numpy as np
import python_calamine

from slabwright.errors import InputError
from slabwright.intake.container import LONGEST_CELL, Content, check_workbook
from slabwright.intake.sheets import Cell, MemorySheet

__all__ = ["workbook_sheets"]


def workbook_sheets(content: Content) -> list[MemorySheet]:
    """Every sheet that holds anything. Raises InputError when the workbook is damaged, protected or a bomb."""
    check_workbook(content)
    try:
        book = python_calamine.CalamineWorkbook.from_filelike(io.BytesIO(content.data))
        raw = [(name, list(book.get_sheet_by_name(name).iter_rows())) for name in _worksheets(book)]
    except (KeyboardInterrupt, SystemExit, MemoryError):
        raise
    except BaseException as problem:  # a panic of the compiled reader does not derive from Exception
        raise InputError(
            "the workbook cannot be read",
            where=content.name,
            given=str(problem),
            remedy="Open it in a spreadsheet and save it again as .xlsx or .csv.",
        ) from problem
    sheets = [_sheet(f"{content.name}, sheet {name}", rows) for name, rows in raw]
    filled = [s for s in sheets if len(s.cells)]
    if not filled:
        raise InputError("the workbook is empty", where=content.name)
    return filled


def _worksheets(book: Any) -> list[str]:
    kind = python_calamine.SheetTypeEnum.WorkSheet
    return [sheet.name for sheet in book.sheets_metadata if sheet.typ == kind]


def _sheet(place: str, raw: list[list[Any]]) -> MemorySheet:
    refused: list[tuple[int, int, int]] = []
    cells = []
    for number, row in enumerate(raw, start=1):
        cells.append([_cell(value) for value in row])
        refused += [(number, i, len(v)) for i, v in enumerate(row) if isinstance(v, str) and len(v) > LONGEST_CELL]
    if not any(c is not None for row in cells for c in row):
        cells = []
    return MemorySheet(place, cells, np.arange(1, len(cells) + 1, dtype=np.int64), refused=tuple(refused))


def _cell(value: Any) -> Cell:
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    if isinstance(value, (int, float)):
        return float(value)
    if isinstance(value, datetime.datetime):
        return value.date().isoformat() if value.time() == datetime.time() else value.isoformat(sep=" ")
    if isinstance(value, (datetime.date, datetime.time)):
        return value.isoformat()
    text = str(value)
    return (text if len(text) <= LONGEST_CELL else text[:200]) or None
