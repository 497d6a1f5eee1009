"""A workbook as it lies in its file, and its formulas worked out by plain reading: what a spreadsheet would show."""

from __future__ import annotations

import re
import zipfile
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
REFERENCE = re.compile(r"(?:'([^']+)'!)?\$?([A-Z]+)\$?(\d+)(?::\$?([A-Z]+)\$?(\d+))?(?!\()")
Place = tuple[str, str, int]  # sheet, column, row


@dataclass
class Book:
    """Values and formulas by place; a value put in place of another is what the formulas then see."""

    values: dict[Place, Any] = field(default_factory=dict)
    formulas: dict[Place, str] = field(default_factory=dict)
    names: list[str] = field(default_factory=list)
    _worked: dict[Place, Any] = field(default_factory=dict)

    def worked(self, place: Place) -> Any:
        """What a cell shows when every formula is worked out; an empty one is zero."""
        if place not in self._worked:
            formula = self.formulas.get(place)
            self._worked[place] = self._reckoned(formula, place[0]) if formula else self.values.get(place, 0.0)
        return self._worked[place]

    def put(self, place: Place, value: float) -> None:
        assert place in self.values
        assert place not in self.formulas
        self.values[place] = value
        self._worked.clear()

    def _reckoned(self, formula: str, sheet: str) -> float:
        def named(found: re.Match[str]) -> str:
            where, column, row, last_column, last_row = found.groups()
            if last_row is None:
                return f"cell({where or sheet!r}, {column!r}, {row})"
            return f"cells({where or sheet!r}, {column!r}, {row}, {last_column!r}, {last_row})"

        here = {
            "cell": lambda *place: self.worked(place),
            "cells": self._range,
            "SUM": lambda numbers: sum(n for n in numbers if not isinstance(n, str)),
            "SUMIFS": lambda numbers, *keys: sum(n for n, kept in zip(numbers, _match(keys), strict=True) if kept),
            "COUNTIFS": lambda *keys: sum(_match(keys)),
        }
        return float(eval(REFERENCE.sub(named, formula), {"__builtins__": {}}, here))

    def _range(self, sheet: str, column: str, row: int, last_column: str, last_row: int) -> list[Any]:
        columns = [chr(c) for c in range(ord(column), ord(last_column) + 1)]  # the sheets with formulas end before Z
        return [self.worked((sheet, c, r)) for c in columns for r in range(row, last_row + 1)]


def _match(keys: tuple[Any, ...]) -> list[bool]:
    pairs = list(zip(keys[::2], keys[1::2], strict=True))
    return [all(texts[i] == wanted for texts, wanted in pairs) for i in range(len(pairs[0][0]))]


def read(path: Path) -> Book:
    """The sheets of a workbook written by this program, numbered in their order."""
    book = Book()
    with zipfile.ZipFile(path) as parts:
        words = ["".join(t.itertext()) for t in ElementTree.fromstring(parts.read("xl/sharedStrings.xml"))]
        sheets = ElementTree.fromstring(parts.read("xl/workbook.xml")).find(f"{MAIN}sheets")
        assert sheets is not None
        book.names = [sheet.attrib["name"] for sheet in sheets]
        for number, name in enumerate(book.names, start=1):
            for cell in ElementTree.fromstring(parts.read(f"xl/worksheets/sheet{number}.xml")).iter(f"{MAIN}c"):
                _take(book, name, cell, words)
    return book


def _take(book: Book, sheet: str, cell: ElementTree.Element, words: list[str]) -> None:
    found = re.fullmatch(r"([A-Z]+)(\d+)", cell.attrib["r"])
    assert found is not None
    place = (sheet, found[1], int(found[2]))
    text, formula = cell.findtext(f"{MAIN}v"), cell.findtext(f"{MAIN}f")
    if text is not None:
        book.values[place] = words[int(text)] if cell.get("t") == "s" else float(text)
    if formula is not None:
        book.formulas[place] = formula
