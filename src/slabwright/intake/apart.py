"""The program that takes a workbook apart in a process of its own: bytes on its input, rows as lines of JSON on its output.

It is run by its path and imports nothing of this package, so that it begins at once. The spreadsheet reader is compiled:
where it runs out of memory, or fails in a way that no exception tells, this process ends and not the one that asked.
"""

from __future__ import annotations

import datetime
import io
import json
import sys
from typing import Any

MEMORY = 2**30  # bytes
SECONDS = 60  # of one core
MOST_OUTPUT = 400 * 2**20  # characters
LONGEST_CELL = 10_000
UNLIMITED, TOO_MUCH, UNREADABLE = 3, 4, 5


def limit() -> bool:
    """Bound memory and time of this process; False where the system offers no such bound."""
    try:
        import resource
    except ImportError:
        return False
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    return True


def cell(value: Any) -> str | float | None:
    """A cell as a number, a text or nothing; dates as ISO texts."""
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


def take_apart(data: bytes) -> int:
    """Write every worksheet: its name, its rows, and (row, column, length) of cells that are too long."""
    import python_calamine

    book = python_calamine.CalamineWorkbook.from_filelike(io.BytesIO(data))
    written = 0
    for about in book.sheets_metadata:
        if about.typ != python_calamine.SheetTypeEnum.WorkSheet:
            continue
        lines: list[str] = [json.dumps({"sheet": about.name})]
        refused = []
        for number, row in enumerate(book.get_sheet_by_name(about.name).iter_rows(), start=1):
            refused += [(number, i, len(v)) for i, v in enumerate(row) if isinstance(v, str) and len(v) > LONGEST_CELL]
            lines.append(json.dumps([cell(value) for value in row]))
            if len(lines) > 10_000:
                written += put(lines)
            if written > MOST_OUTPUT:
                return TOO_MUCH
        lines.append(json.dumps({"refused": refused}))
        written += put(lines)
    return 0


def put(lines: list[str]) -> int:
    """Write the lines and forget them; how many characters they had."""
    text = "\n".join(lines) + "\n"
    sys.stdout.write(text)
    lines.clear()
    return len(text)


def main() -> int:
    if not limit():
        return UNLIMITED
    try:
        return take_apart(sys.stdin.buffer.read())
    except MemoryError:
        return TOO_MUCH
    except BaseException as problem:  # a panic of the compiled reader does not derive from Exception
        sys.stderr.write(str(problem)[:500])
        return UNREADABLE


if __name__ == "__main__":
    sys.exit(main())
