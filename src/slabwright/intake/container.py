"""The bytes of a file before anything is read from them: limits, decompression, and what kind of file it is.

Nothing here trusts a size that a file claims. A gzip stream is opened piece by piece up to the limit; each
entry of a workbook is opened and counted (and its checksum verified) before the spreadsheet reader sees it.
"""

from __future__ import annotations

import hashlib
import io
import re
import zipfile
import zlib
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

import numpy as np

from slabwright.errors import InputError

__all__ = [
    "LARGEST_FILE",
    "LONGEST_CELL",
    "MOST_COLUMNS",
    "MOST_ROWS",
    "Content",
    "check_workbook",
    "open_bytes",
    "open_path",
]

LARGEST_FILE = 200 * 2**20
LONGEST_CELL = 10_000
MOST_COLUMNS = 500
MOST_ROWS = 2_000_000
MOST_ENTRIES = 2_000
LARGEST_RATIO = 200
SMALL_ENTRY = 10 * 2**20  # the ratio is not judged below this size: sheets of zeros compress well
MOST_CELLS = 10_000_000
CHUNK = 2**20
OLD_OFFICE = bytes.fromhex("d0cf11e0a1b11ae1")

Shape = Literal["text", "workbook"]


@dataclass(frozen=True)
class Content:
    """A file's name, fingerprint and size as given, what it is, and its bytes once unpacked."""

    name: str
    sha256: str
    size: int
    shape: Shape
    data: bytes


def open_path(path: Path | str) -> Content:
    """The content of a file on disk. Raises InputError when it cannot be read or is too large."""
    path = Path(path)
    try:
        if path.exists() and not (path.is_file() or path.is_dir()):
            raise InputError("this is no file of bytes on a disk", where=str(path), remedy="Save it as a file first.")
        if not path.is_file():
            raise InputError("there is no such file", where=str(path), remedy="Check the name and the folder.")
        with path.open("rb") as stream:
            data = stream.read(LARGEST_FILE + 1)
    except (OSError, ValueError) as problem:
        raise InputError(
            "the file cannot be read", where=str(path), given=str(problem), remedy="Check that you may read it."
        ) from problem
    return open_bytes(data, path.name)


def open_bytes(data: bytes, name: str) -> Content:
    """The content of a file given as bytes. Raises InputError when it is too large, empty or of no known kind."""
    if len(data) > LARGEST_FILE:
        raise InputError(
            "the file is too large",
            where=name,
            allowed=f"up to {LARGEST_FILE // 2**20} MB",
            remedy="Split it by section.",
        )
    digest, size = hashlib.sha256(data).hexdigest(), len(data)
    if data[:2] == b"\x1f\x8b":
        data = _unzip(data, name)
    if not data.strip():
        raise InputError("the file is empty", where=name)
    if data[:8] == OLD_OFFICE:
        raise InputError(
            "this workbook is protected by a password or saved in the old binary format",
            where=name,
            remedy="Open it in a spreadsheet, remove the password and save it as .xlsx or .csv.",
        )
    shape: Shape = "workbook" if data[:2] == b"PK" and data[2:4] in (b"\x03\x04", b"\x05\x06", b"\x07\x08") else "text"
    return Content(name, digest, size, shape, data)


def _unzip(data: bytes, name: str) -> bytes:
    """A gzip stream opened piece by piece, never past the limit."""
    out, rest = bytearray(), data
    try:
        while rest[:2] == b"\x1f\x8b":
            engine = zlib.decompressobj(wbits=31)
            while rest and not engine.eof:
                out += engine.decompress(rest, CHUNK)
                rest = engine.unconsumed_tail
                if len(out) > LARGEST_FILE:
                    raise InputError(
                        "the file unpacks to more than is allowed", where=name, allowed=f"{LARGEST_FILE // 2**20} MB"
                    )
            if not engine.eof:
                raise InputError("the compressed file is cut short", where=name, remedy="Copy it again.")
            rest = engine.unused_data
    except zlib.error as problem:
        raise InputError("the compressed file is damaged", where=name, remedy="Copy it again.") from problem
    return bytes(out)


def check_workbook(content: Content) -> None:
    """Refuse what is no workbook, is protected, or would unpack to more than memory should hold."""
    name = content.name
    try:
        with zipfile.ZipFile(io.BytesIO(content.data)) as archive:
            _check_entries(archive, name)
            strings = _string_lengths(archive)
            for entry in archive.infolist():
                # The relations may name any part a sheet, so whatever holds cells is looked at, wherever it lies.
                if not entry.filename.lower().endswith("sharedstrings.xml"):
                    _check_sheet(archive.read(entry), strings, f"{name}, {entry.filename}")
    except (
        zipfile.BadZipFile,
        zlib.error,
        EOFError,
        NotImplementedError,
        RuntimeError,
        OSError,
        ValueError,
        KeyError,
    ) as problem:
        raise InputError(
            "the workbook is damaged", where=name, remedy="Open it in a spreadsheet and save it again as .xlsx or .csv."
        ) from problem


def _check_entries(archive: zipfile.ZipFile, name: str) -> None:
    entries = archive.infolist()
    if len(entries) > MOST_ENTRIES:
        raise InputError("the archive holds too many parts", where=name, given=len(entries), allowed=f"{MOST_ENTRIES}")
    if any(entry.flag_bits & 1 for entry in entries):
        raise InputError("the workbook is protected by a password", where=name, remedy="Save it without the password.")
    if not any(entry.filename.lower() == "xl/workbook.xml" for entry in entries):
        raise InputError(
            "this is an archive, not an .xlsx workbook", where=name, remedy="Unpack it and load the files one by one."
        )
    total = 0
    for entry in entries:
        if entry.file_size > SMALL_ENTRY and entry.file_size > LARGEST_RATIO * max(entry.compress_size, 1):
            raise InputError(
                "a part of the workbook unpacks to far more than it holds",
                where=name,
                given=entry.filename,
                allowed=f"{LARGEST_RATIO} times its size",
            )
        total += entry.file_size
        if total > LARGEST_FILE:
            raise InputError(
                "the workbook unpacks to more than is allowed", where=name, allowed=f"{LARGEST_FILE // 2**20} MB"
            )
    for entry in entries:  # a false size ends here: the stream is cut at the claim and its checksum fails
        with archive.open(entry) as stream:
            while stream.read(CHUNK):
                pass


def _string_lengths(archive: zipfile.ZipFile) -> np.ndarray:
    """Bytes of each shared string, an upper bound of what each cell that names it costs."""
    parts = [e for e in archive.infolist() if e.filename.lower() == "xl/sharedstrings.xml"]
    if not parts:
        return np.zeros(0, dtype=np.int64)
    return np.array([len(piece) for piece in re.split(rb"</(?:\w+:)?si>", archive.read(parts[0]))], dtype=np.int64)


def _check_sheet(xml: bytes, strings: np.ndarray, where: str) -> None:
    """The area that a sheet spans, and the text its cells repeat: both are made real by the reader."""
    columns, rows = 1, 1
    for match in re.finditer(rb"\br\s*=\s*[\"']\$?([A-Za-z]{1,7})\$?([0-9]{1,12})[\"']", xml):
        columns = max(columns, _column_number(match[1]))
        rows = max(rows, int(match[2]))
    for match in re.finditer(rb"<(?:\w+:)?row\b[^>]{0,200}?\br\s*=\s*[\"']([0-9]{1,12})[\"']", xml):
        rows = max(rows, int(match[1]))
    if rows > MOST_ROWS or columns > MOST_COLUMNS or rows * columns > MOST_CELLS:
        raise InputError(
            "the sheet spans too many cells",
            where=where,
            given=f"{rows} rows by {columns} columns",
            allowed=f"{MOST_ROWS} rows, {MOST_COLUMNS} columns, {MOST_CELLS} cells together",
            remedy="Delete the stray cells far from the data, or save the sheet as .csv.",
        )
    if len(strings) and strings.max() > LONGEST_CELL:
        named = [int(n) for n in re.findall(rb"<(?:\w+:)?v>\s*([0-9]{1,9})\s*</", xml)]
        indices = np.array([n for n in named if n < len(strings)], dtype=np.int64)
        if strings[indices].sum() > LARGEST_FILE:
            raise InputError("the sheet repeats a very long text too often", where=where, remedy="Shorten the text.")


def _column_number(letters: bytes) -> int:
    number = 0
    for letter in letters.upper():
        number = number * 26 + letter - 64
    return number
