"""Words on paper: cells and headings in the units shown, and text of others kept literal and within its place."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from typing import Any

from slabwright import units
from slabwright.records import display
from slabwright.records.display import heading
from slabwright.records.table import Column

__all__ = ["BREAK", "cell", "heading", "listed", "literal", "plural"]

LONGEST = 400  # characters of one text in a table or sentence; a remark is not a book
LONGEST_NAME = 40
NAMES = ("lane", "point", "core", "bridge", "name", "section")
LONGEST_WORD = 18  # beyond, a word may break anywhere
BREAK = "\u200b"
ISOLATE, RELEASE = "\u2068", "\u2069"


def literal(text: object, limit: int = LONGEST) -> str:
    """Any text as one printable line that cannot break a layout: cut, long words breakable, directions isolated."""
    line = "".join(_printable(c) for c in str(text)[: limit + 1])
    line = re.sub(r"\s+", " ", line).strip()
    if len(line) > limit:
        line = line[:limit] + " … (cut)"
    line = re.sub(rf"\S{{{LONGEST_WORD + 1},}}", _breakable, line)
    turned = any(unicodedata.bidirectional(c) in ("R", "AL", "RLE", "RLO", "AN") for c in line)
    return f"{ISOLATE}{line}{RELEASE}" if turned else line


def _printable(character: str) -> str:
    if character.isspace():
        return " "
    category = unicodedata.category(character)
    return "\N{REPLACEMENT CHARACTER}" if category in ("Cc", "Cf", "Cs", "Co", "Cn") else character


def _breakable(word: re.Match[str]) -> str:
    pieces = [word[0][i : i + 8] for i in range(0, len(word[0]), 8)]
    return BREAK.join(pieces)


def cell(value: Any, column: Column, shown: units.System) -> str:
    """One value of a table without its unit; words are made literal and cut to what a page can hold."""
    if column.is_text:
        return literal(display.cell(value, column, shown), LONGEST_NAME if column.name in NAMES else LONGEST)
    return display.cell(value, column, shown)


def listed(words: Iterable[str]) -> str:
    """``a, b and c``."""
    *first, last = list(words) or [""]
    return f"{', '.join(first)} and {last}" if first else last


def plural(number: int, one: str, many: str = "") -> str:
    """``1 section``, ``2 sections``."""
    return f"{number:,} {one if number == 1 else many or one + 's'}"
