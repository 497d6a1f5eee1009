"""Where the headings of a sheet stand: in one row, under merged titles in two; and the units and sums around them."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np
import numpy.typing as npt
import pandas as pd

from slabwright.intake.headings import known_headings, known_whole
from slabwright.intake.rules import Log
from slabwright.intake.sheets import Body, Values
from slabwright.intake.spellings import known_unit
from slabwright.intake.wordings import TOTALS
from slabwright.intake.words import compact

__all__ = ["candidates", "heading_row", "units_row", "without_sums"]

Row = tuple[str, ...]
Known = Callable[[Sequence[str]], int]
NOT_UNITS_TEXT = """- – text date n/a km+m dd.mm.yyyy tt.mm.jjjj jj/mm/aaaa dd/mm/yyyy mm/dd/yyyy yyyy-mm-dd name word code no nr
    datum fecha id #"""
LETTERS, COLUMNS = 6, 3  # of a cell that is a note and no name; of a table beneath which one cell alone is no row
NOT_UNITS = frozenset(NOT_UNITS_TEXT.split())


def candidates(head: Sequence[Sequence[str]]) -> list[tuple[int, Row]]:
    """(rows to skip, headings) for each row of the head, and for each row put together with the one above it."""
    single = [(at + 1, tuple(cell.strip() for cell in row)) for at, row in enumerate(head)]
    double = [(at + 1, _joined(head[at - 1], head[at])) for at in range(1, len(head)) if _are_titles(head[at - 1])]
    return [*single, *double]


def _are_titles(row: Sequence[str]) -> bool:
    """Whether a row may hold titles: something is written, and nothing begins like a number."""
    written = [cell.strip() for cell in row if cell.strip()]
    return bool(written) and not any(cell[0].isdigit() for cell in written)


def _joined(upper: Sequence[str], lower: Sequence[str]) -> Row:
    """Headings under merged titles: ``Deflection (um) | |`` above ``0 | 200 | 300`` is ``Deflection 0 (um)`` ...

    A merged cell keeps its text in its first column; an empty lower cell takes the title above it. ``Dicke |`` above
    ``Beton (mm) | Tragschicht (mm)`` is ``Dicke Beton (mm)`` ...
    """
    made, title = [], ""
    merged = _merged(upper, lower)
    for index in range(max(len(upper), len(lower))):
        above = upper[index].strip() if index < len(upper) else ""
        below = lower[index].strip() if index < len(lower) else ""
        title = above or title
        unit = re.search(r"[\(\[][^\(\)\[\]]{0,40}[\)\]]", title)
        stem = (title[: unit.start()] + title[unit.end() :]).strip() if unit else title
        if not below:
            made.append(above)
        elif known_unit(below) and not below.isdigit() and compact(below) != "km":  # km alone heads the stations
            made.append(f"{above} ({below.strip('()[]')})" if above else below)
        elif re.fullmatch(r"-?\d{1,4}", below):
            made.append(" ".join(filter(None, (stem, below, unit[0] if unit else ""))))
        elif index in merged and _better_titled(f"{stem} {below}", below):
            made.append(f"{stem} {below}")
        else:
            made.append(below)
    return tuple(made)


def _merged(upper: Sequence[str], lower: Sequence[str]) -> set[int]:
    """The positions under a title that stands over two or more headings."""
    found: set[int] = set()
    start: int | None = None
    for index in range(max(len(upper), len(lower))):
        if index < len(upper) and upper[index].strip():
            start = index
        elif start is not None and index < len(lower) and lower[index].strip():
            found |= {start, index}
    return found


def _better_titled(whole: str, alone: str) -> bool:
    """Whether a heading is to be read with its title: where that is known, or the heading alone is not."""
    return known_whole(whole) or not known_headings([alone])


def heading_row(head: Sequence[Sequence[str]], known: Known) -> tuple[int, Row]:
    """(rows to skip, headings): the row with most known headings; two rows together only where they know more."""
    found = candidates(head)
    if not found:
        return 0, ()
    scores = [(known(row), _titled(head, skip, row)) for skip, row in found]
    return found[max(range(len(found)), key=lambda at: (scores[at], -at))]


def _titled(head: Sequence[Sequence[str]], skip: int, row: Row) -> int:
    """How many known headings a row has by the title above them."""
    if skip < 2:
        return 0
    below = [cell.strip() for cell in head[skip - 1]]
    merged = [at for at in _merged(head[skip - 2], below) if below[at] != row[at] and row[at].endswith(f" {below[at]}")]
    return sum(known_whole(row[at]) for at in merged if not below[at].isdigit())


def units_row(row: Sequence[str], words: frozenset[int] = frozenset()) -> dict[int, str]:
    """Units by position when a row below the headings holds units and nothing else; ``words`` are columns of words."""
    filled = {i: cell.strip() for i, cell in enumerate(row) if cell.strip() and i not in words}
    blank = {i for i, cell in filled.items() if cell.lower().strip("()[]") in NOT_UNITS}
    known = {
        i: cell
        for i, cell in filled.items()
        if i not in blank and known_unit(cell) and not cell.strip("()[]").isdigit()
    }
    return known if known and len(known) + len(blank) == len(filled) else {}


def without_sums(body: Body, needed: Sequence[int], headings: Sequence[str], log: Log) -> Body:
    """The rows without those that add up or average the others, or repeat the headings; each is told.

    ``needed`` are the positions of the required numbers: a row with a number in any of them is data, whatever it says.
    """
    rows = len(body.rows)
    if not rows or not needed:
        return body
    sums, again = np.zeros(rows, dtype=bool), np.zeros(rows, dtype=np.int64)
    for index, values in body.columns.items():
        if values.dtype.kind != "O":
            continue
        if index == 0 or index in needed:
            sums |= _which(values, _is_sum)
        heading = headings[index].strip() if index < len(headings) else ""
        if heading:
            again += np.asarray(values == heading, dtype=np.int64)
    for index in needed:
        sums &= ~_numbers(body.columns[index])
    below = _notes_below(body)
    out = sums | (again >= 2) | below
    for rule, which in (
        ("row of sums", sums & ~below),
        ("headings repeated", again >= 2),
        ("lines below the table", below),
    ):
        numbers = body.rows[which]
        if len(numbers):
            listed = ", ".join(map(str, numbers[:10])) + (" ..." if len(numbers) > 10 else "")
            log.say(rule, f"{len(numbers)} rows were not read as data: {listed}", row=int(numbers[0]))
    if not out.any():
        return body
    return replace(body, columns={i: values[~out] for i, values in body.columns.items()}, rows=body.rows[~out])


def _notes_below(body: Body) -> npt.NDArray[np.bool_]:
    """Rows at the end with one cell filled, in words: notes that somebody wrote beneath the table."""
    filled, worded = np.zeros(len(body.rows), dtype=np.int64), np.zeros(len(body.rows), dtype=bool)
    for values in body.columns.values():
        filled += ~np.isnan(values) if values.dtype.kind == "f" else values != ""
        if values.dtype.kind == "O":
            worded |= _which(values, lambda text: sum(c.isalpha() for c in text) >= LETTERS)
    alone = (filled == 1) & worded if len(body.columns) >= COLUMNS else np.zeros(len(body.rows), dtype=bool)
    return np.logical_and.accumulate(alone[::-1])[::-1]


def _is_sum(text: str) -> bool:
    plain = text.strip()
    return plain[:1].isalpha() and (compact(plain) in TOTALS or compact(plain.split(" ")[0]) in TOTALS)


def _which(values: Values, holds: Callable[[str], bool]) -> npt.NDArray[np.bool_]:
    codes, uniques = pd.factorize(values)
    return np.array([holds(str(text)) for text in uniques] or [False], dtype=bool)[codes]


def _numbers(values: Values) -> npt.NDArray[np.bool_]:
    if values.dtype.kind == "f":
        return ~np.isnan(np.asarray(values, dtype=np.float64))
    return _which(values, lambda text: re.search(r"\d", text) is not None)
