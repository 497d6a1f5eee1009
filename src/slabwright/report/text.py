"""Words on paper: cells and headings in the units shown, and text of others kept literal and within its place."""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Iterable
from typing import Any

from slabwright import units
from slabwright.records import display
from slabwright.records.display import heading
from slabwright.records.table import Column

__all__ = ["cell", "heading", "listed", "literal", "plural", "restated", "short_name"]

LONGEST = 400  # characters of one text in a table or sentence; a remark is not a book
LONGEST_NAME = 40
NAMES = ("lane", "point", "core", "bridge", "name", "section")
LONGEST_WORD = 18  # beyond, a word may break anywhere
BREAK = "\u200b"
ISOLATE, RELEASE = "\u2068", "\u2069"
PLAIN_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9 .\-/]{0,9}\Z")

# The units met in the sentences of stages and the kind and partner of each.
PARTNERS = {
    "in": ("thickness", "mm"), "mil": ("deflection", "um"), "ft": ("length", "m"), "psi": ("stress", "MPa"),
    "pci": ("foundation", "MPa/m"), "lb": ("force", "kN"), "kip": ("axle_load", "kN"), "mm": ("thickness", "in"),
    "µm": ("deflection", "mil"), "MPa": ("stress", "psi"), "MPa/m": ("foundation", "pci"), "m": ("length", "ft"),
}  # fmt: skip
CUSTOMARY = ("in", "mil", "ft", "psi", "pci", "lb", "kip")
NUMBER = r"\d[\d,]*(?:\.\d+)?"
QUANTITY = re.compile(
    rf"(?<![\w.+])({NUMBER})(?: to ({NUMBER}))? (in|mil|ft|psi|pci|lb|kip|mm|µm|MPa/m|MPa|m)(?![\w/°²³])"
)
FEET_STATION = re.compile(r"station (-?\d+\+\d\d\.\d)")


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


def short_name(name: object, otherwise: str) -> str:
    """A name as a drawing can hold it, or the key under which the text beside the drawing gives it."""
    text = str(name)
    return text if PLAIN_NAME.match(text) else otherwise


def cell(value: Any, column: Column, shown: units.System) -> str:
    """One value of a table without its unit; words are made literal and cut to what a page can hold."""
    if column.is_text:
        return literal(display.cell(value, column, shown), LONGEST_NAME if column.name in NAMES else LONGEST)
    return display.cell(value, column, shown)


def restated(text: str, shown: units.System) -> str:
    """A sentence of a stage with its quantities and stations in the units shown, to three digits.

    Stages write their sentences once, in the unit the trade prints; only units of the other system are touched.
    """
    if shown == "metric":
        text = FEET_STATION.sub(
            lambda m: f"station {units.format_station(units.parse_station(m[1], 'us'), 'metric')}", text
        )
    text = text.replace("<= ", "≤ ").replace(">= ", "≥ ")
    return QUANTITY.sub(lambda m: _restated(m, shown), text)


def _restated(found: re.Match[str], shown: units.System) -> str:
    unit = found[3]
    if (unit in CUSTOMARY) == (shown == "us"):
        return found[0]
    kind, partner = PARTNERS[unit]
    values = [units.from_si(units.to_si(float(n.replace(",", "")), unit, kind), partner, kind)
              for n in (found[1], found[2]) if n]  # fmt: skip
    return f"{' to '.join(_three_digits(v) for v in values)} {units.label(partner)}"


def _three_digits(value: float) -> str:
    if value == 0:
        return "0"
    places = 2 - math.floor(math.log10(abs(value)))
    return f"{round(value, places):,.{max(0, places)}f}"


def listed(words: Iterable[str]) -> str:
    """``a, b and c``."""
    *first, last = list(words) or [""]
    return f"{', '.join(first)} and {last}" if first else last


def plural(number: int, one: str, many: str = "") -> str:
    """``1 section``, ``2 sections``."""
    return f"{number:,} {one if number == 1 else many or one + 's'}"
