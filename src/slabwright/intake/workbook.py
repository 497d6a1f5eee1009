"""Sheets of an .xlsx workbook. Macros are never run and formulas never computed: their stored values are read.

The workbook is taken apart by another process (``apart``) with bounds on its memory and time.
"""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import numpy as np

from slabwright.errors import InputError
from slabwright.intake import apart
from slabwright.intake.container import Content, check_workbook
from slabwright.intake.sheets import Cell, MemorySheet

__all__ = ["workbook_sheets"]

SECONDS = 120.0  # by the clock, on a busy machine
SAVE_AGAIN = "Open it in a spreadsheet and save it again as .xlsx or .csv."


def workbook_sheets(content: Content) -> list[MemorySheet]:
    """Every sheet that holds anything. Raises InputError when the workbook is damaged, protected or a bomb."""
    check_workbook(content)
    sheets: list[MemorySheet] = []
    name, cells = "", list[list[Cell]]()
    for line in _taken_apart(content).splitlines():
        found = json.loads(line)
        if isinstance(found, list):
            cells.append(found)
        elif "sheet" in found:
            name, cells = str(found["sheet"]), []
        else:
            sheets.append(_sheet(f"{content.name}, sheet {name}", cells, found["refused"]))
    filled = [s for s in sheets if len(s.cells)]
    if not filled:
        raise InputError("the workbook is empty", where=content.name)
    return filled


def _taken_apart(content: Content) -> str:
    """What the other process wrote. Raises InputError when it failed or was ended."""
    try:
        done = subprocess.run(
            [sys.executable, "-I", str(Path(apart.__file__))],
            input=content.data,
            capture_output=True,
            timeout=SECONDS,
            check=False,
        )
    except subprocess.TimeoutExpired as problem:
        raise _too_much(content.name) from problem
    except OSError as problem:
        raise InputError(
            f"no process could be begun to read the workbook in ({problem.strerror})", where=content.name
        ) from problem
    if done.returncode == apart.UNLIMITED:
        raise InputError(
            "this system cannot bound what a workbook takes to read, so none is read",
            where=content.name,
            remedy="Save the table as .csv.",
        )
    if done.returncode == apart.UNREADABLE:
        said = done.stderr.decode("utf-8", "replace").strip()
        raise InputError("the workbook cannot be read", where=content.name, given=said, remedy=SAVE_AGAIN)
    if done.returncode != 0:  # ended by a bound, or by the reader itself
        raise _too_much(content.name)
    return done.stdout.decode("utf-8")


def _too_much(name: str) -> InputError:
    return InputError(
        "the workbook takes more memory or time to read than is allowed",
        where=name,
        allowed=f"{apart.MEMORY // 2**20} MB and {apart.SECONDS} seconds",
        remedy="Delete what does not belong to the data, or save the table as .csv.",
    )


def _sheet(place: str, cells: list[list[Cell]], refused: list[list[int]]) -> MemorySheet:
    if not any(c is not None for row in cells for c in row):
        cells = []
    numbers = np.arange(1, len(cells) + 1, dtype=np.int64)
    return MemorySheet(place, cells, numbers, refused=tuple((row, at, length) for row, at, length in refused))
