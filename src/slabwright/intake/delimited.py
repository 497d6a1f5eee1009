"""Delimited text of any common dialect, read by the C reader of pandas.

The encoding is UTF-8, UTF-16 with its mark, or else Windows-1252, which is announced. Rows are numbered as
a spreadsheet shows them: a quoted cell that spans lines is one row, and empty lines count.
"""

from __future__ import annotations

import codecs
import csv
import io
import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from slabwright.errors import InputError
from slabwright.intake.container import LONGEST_CELL, MOST_COLUMNS, MOST_ROWS, Content
from slabwright.intake.sheets import HEAD, Body, Values

__all__ = ["DelimitedSheet", "decode", "delimited_sheet"]

DELIMITERS = ",;\t|"
SAMPLE = 64 * 1024
CHUNK = 8 * 2**20
ROWS_AT_ONCE = 50_000  # the reader holds each piece twice over
Score = Callable[[Sequence[Sequence[str]]], float]


def decode(content: Content) -> tuple[bytes, tuple[tuple[str, str], ...]]:
    """The text as UTF-8 with plain line ends, and what had to be guessed. Raises InputError for binary data."""
    data = content.data
    notes: tuple[tuple[str, str], ...] = ()
    if data[:2] in (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE):
        try:
            data = data.decode("utf-16").encode()
        except UnicodeError as problem:
            raise InputError(
                "the UTF-16 text is damaged", where=content.name, remedy="Save it again as UTF-8."
            ) from problem
    data = data.removeprefix(codecs.BOM_UTF8)
    if b"\0" in data:
        raise InputError(
            "this is not a text file that can be read",
            where=content.name,
            remedy="Save the table as .csv in UTF-8, or as .xlsx.",
        )
    if not _is_utf8(data):
        data = data.decode("cp1252", errors="replace").encode()
        notes = (("encoding guessed", "the text is not UTF-8 and was read as Windows-1252"),)
    if b"\r" in data:
        data = data.replace(b"\r\n", b"\n").replace(b"\r", b"\n")
    if not data.strip():
        raise InputError("the file is empty", where=content.name)
    return data, notes


def _is_utf8(data: bytes) -> bool:
    """Checked piece by piece, so that a large file is not held twice."""
    check = codecs.getincrementaldecoder("utf-8")()
    try:
        for start in range(0, len(data), CHUNK):
            check.decode(data[start : start + CHUNK])
        check.decode(b"", final=True)
    except UnicodeDecodeError:
        return False
    return True


class _AllShort(Exception):
    """All rows that were read at once lack their last cells, which the reader takes for a mistake."""


@dataclass(eq=False)
class DelimitedSheet:
    """One text table; ``width`` is the most cells of any row."""

    place: str
    data: bytes
    delimiter: str
    head: Sequence[Sequence[str]]
    width: int
    decimal_comma: bool
    long_lines: bool
    notes: Sequence[tuple[str, str]]

    def body(self, skip: int, width: int, texts: frozenset[int], wanted: frozenset[int]) -> Body:
        """The rows below the first ``skip``. Raises InputError when a quote is never closed."""
        watched = self.long_lines or b'"' in self.data
        extra = range(width, self.width)
        used = sorted(set(range(self.width)) if watched else ({*wanted} & set(range(self.width))) | {0} | set(extra))
        columns = self._columns(skip, used, frozenset(texts | set(extra)))
        kept = ~np.logical_and.reduce([_blank(values) for values in columns.values()])
        rows = np.flatnonzero(kept).astype(np.int64) + skip + 1
        columns = {i: values if kept.all() else values[kept] for i, values in columns.items()}
        absent = {i: np.full(len(rows), np.nan) for i in wanted if i >= self.width}
        long_cells = _long_cells(columns, rows) if watched else ()
        return Body({**columns, **absent}, rows, _too_long([columns[i] for i in extra], rows), long_cells)

    def let_go(self) -> None:
        """The text, a hundred megabytes of a large file, is needed no more than once."""
        self.data = b""

    def _columns(self, skip: int, used: list[int], texts: frozenset[int]) -> dict[int, Values]:
        """The columns, read piece by piece; one that is numbers in one piece and words in another is words."""
        if skip >= self.data.count(b"\n") + (not self.data.endswith(b"\n")):
            return {i: np.zeros(0) for i in used}
        pieces: dict[int, list[Values]] = {i: [] for i in used}
        try:
            for frame in self._pieces(skip, used, texts):
                for i in used:
                    pieces[i].append(_values(frame[i]))
        except _AllShort:
            return replace(self, data=self._padded())._columns(skip, used, texts)
        mixed = [i for i in used if len({part.dtype.kind for part in pieces[i] if not _blank(part).all()}) > 1]
        columns = {i: _joined(pieces.pop(i)) for i in used if i not in mixed}
        if mixed:
            columns |= self._columns(skip, mixed, texts | set(mixed))
        return columns

    def _padded(self) -> bytes:
        """The text with blank cells at the end of every row that lacks them. Raises InputError for a cell beyond all bounds."""
        rows = csv.reader(io.StringIO(self.data.decode(), newline=""), delimiter=self.delimiter)
        made = io.StringIO()
        writer = csv.writer(made, delimiter=self.delimiter, lineterminator="\n")
        try:
            writer.writerows([*row, *[""] * (self.width - len(row))] for row in rows)
        except csv.Error as problem:
            raise InputError(
                "the table cannot be read", where=self.place, given=str(problem), remedy="Shorten its longest cell."
            ) from problem
        return made.getvalue().encode()

    def _pieces(self, skip: int, used: list[int], texts: frozenset[int]) -> Iterator[pd.DataFrame]:
        options = {"decimal": ","} if self.decimal_comma else {}
        try:
            yield from pd.read_csv(
                io.BytesIO(self.data),
                sep=self.delimiter,
                header=None,
                names=list(range(self.width)),
                usecols=used,
                index_col=False,
                skiprows=skip,
                skip_blank_lines=False,
                keep_default_na=False,
                na_values=[""],
                dtype={i: object for i in used if i in texts},
                low_memory=False,
                chunksize=ROWS_AT_ONCE,
                encoding="utf-8",
                **options,
            )
        except (pd.errors.ParserError, pd.errors.EmptyDataError, ValueError, OverflowError) as problem:
            if "Too many columns specified" in str(problem):
                raise _AllShort from problem
            raise InputError(
                "the table cannot be read",
                where=self.place,
                given=_plain(problem),
                remedy="Look for a quotation mark that is never closed, or a row with too many cells.",
            ) from problem


def delimited_sheet(content: Content, score: Score) -> DelimitedSheet:
    """The table of a text file; the delimiter is the one under which ``score`` knows most headings."""
    data, notes = decode(content)
    sample = data[:SAMPLE].decode("utf-8", errors="ignore")
    heads = {d: _head(sample, d, whole=len(data) <= SAMPLE) for d in DELIMITERS if d == "," or d in sample}
    best = max(heads, key=lambda d: (score(heads[d]), np.median([len(r) for r in heads[d]] or [0])))
    head = heads[best]
    width, longest, lines = _shape(data, best)
    if lines > MOST_ROWS + HEAD:
        raise InputError("the file has too many rows", where=content.name, given=lines, allowed=f"{MOST_ROWS}")
    if max(width, max((len(r) for r in head), default=0)) > MOST_COLUMNS:
        raise InputError("the file has too many columns", where=content.name, given=width, allowed=f"{MOST_COLUMNS}")
    comma = best != "," and _decimal_comma(head)
    if comma:
        notes = (*notes, ("decimal comma", "commas were read as decimal marks"))
    return DelimitedSheet(content.name, data, best, head, max(width, 1), comma, longest > LONGEST_CELL, notes)


def _head(sample: str, delimiter: str, *, whole: bool) -> list[list[str]]:
    """The first rows of the sample; a row that the sample cuts is left out when others remain."""
    rows: list[list[str]] = []
    reader = csv.reader(io.StringIO(sample, newline=""), delimiter=delimiter)
    try:
        for row in reader:
            rows.append(row)
            if len(rows) > HEAD:
                break
    except csv.Error:  # a cell beyond the reader's limit: what was read so far is the head
        pass
    return rows[:HEAD] if whole or len(rows) > HEAD or len(rows) < 2 else rows[:-1]


def _shape(data: bytes, delimiter: str) -> tuple[int, int, int]:
    """(most cells of a line, bytes of the longest line, lines); delimiters within quotes are not counted."""
    outside = b"".join(data.split(b'"')[::2]) if b'"' in data else data
    width, longest, lines, start = 1, 0, 0, 0
    while start < len(outside):
        end = outside.find(b"\n", min(start + CHUNK, len(outside)))
        piece = np.frombuffer(outside, np.uint8, count=(len(outside) if end < 0 else end + 1) - start, offset=start)
        ends = np.append(np.flatnonzero(piece == 10), len(piece))
        marks = np.flatnonzero(piece == ord(delimiter))
        counts = np.diff(np.searchsorted(marks, ends), prepend=0)
        width, longest = max(width, int(counts.max()) + 1), max(longest, int(np.diff(ends, prepend=0).max()))
        lines, start = lines + len(ends) - 1, start + len(piece)
    return width, longest, lines


def _decimal_comma(head: Sequence[Sequence[str]]) -> bool:
    cells = [cell.strip() for row in head for cell in row]
    commas = sum(bool(re.fullmatch(r"[-+]?\d{1,9},\d{1,9}", cell)) for cell in cells)
    points = sum(bool(re.fullmatch(r"[-+]?\d{1,9}\.\d{1,9}", cell)) for cell in cells)
    if commas and points:  # a mark before just three digits may stand between thousands, and then says nothing
        points -= sum(bool(re.fullmatch(r"[-+]?\d{1,3}\.\d{3}", cell)) for cell in cells)
        commas -= sum(bool(re.fullmatch(r"[-+]?\d{1,3},\d{3}", cell)) for cell in cells)
    return commas > points


def _joined(parts: list[Values]) -> Values:
    """The pieces of one column together: texts where any piece holds texts, "" for what is empty there."""
    if all(part.dtype.kind == "f" for part in parts):
        return np.concatenate(parts, dtype=np.float64)
    words = [np.full(len(part), "", dtype=object) if part.dtype.kind == "f" else part for part in parts]
    return np.concatenate(words, dtype=np.object_)


def _values(column: pd.Series) -> Values:
    """Floats where every cell is a number, else texts with "" for an empty cell."""
    if column.dtype.kind in "iuf":
        return column.to_numpy(dtype=np.float64)
    if column.dtype.kind == "b":
        return np.where(column.to_numpy(), "TRUE", "FALSE").astype(object)
    values = column.to_numpy(dtype=object, copy=True)
    values[pd.isna(values)] = ""
    return values if all(map(_is_text, values)) else np.array([str(v) for v in values], dtype=object)


def _is_text(value: object) -> bool:
    return isinstance(value, str)


def _blank(values: Values) -> np.ndarray:
    return np.isnan(values) if values.dtype.kind == "f" else values == ""


def _too_long(extra: list[Values], rows: np.ndarray) -> tuple[tuple[int, str], ...]:
    """Rows with something in cells beyond the last heading."""
    found: dict[int, str] = {}
    for values in extra:
        for at in np.flatnonzero(~_blank(values))[:LONGEST_CELL].tolist():
            found.setdefault(int(rows[at]), str(values[at])[:80])
    return tuple(sorted(found.items()))


def _long_cells(columns: dict[int, Values], rows: np.ndarray) -> tuple[tuple[int, int, int], ...]:
    """(row, column, length) of cells over the limit; the cells themselves are cut, so nothing later holds them."""
    found = []
    for i, values in columns.items():
        if values.dtype.kind == "O":
            lengths = np.fromiter((len(v) for v in values), dtype=np.int64, count=len(values))
            for at in np.flatnonzero(lengths > LONGEST_CELL).tolist():
                found.append((int(rows[at]), i, int(lengths[at])))
                values[at] = values[at][:200]
    return tuple(found)


def _plain(problem: Exception) -> str:
    return str(problem).replace("Error tokenizing data. C error: ", "")
