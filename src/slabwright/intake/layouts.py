"""What a project remembers of the files it was given: how a source lays out its columns, and what its words mean.

A layout is told by its set of headings, in any order. Both are kept with the loaded file, as plain data, so that they
come and go with its change in the history.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from slabwright.intake.headings import ColumnMatch
from slabwright.intake.words import Manner, Word, compact
from slabwright.records.table import Column, Schema

__all__ = ["Known", "Layout", "Told", "known_from", "meant_in", "plain"]


@dataclass(frozen=True)
class Layout:
    """The headings of a file once loaded, the table they were ("" when not kept), and what each meant."""

    headings: tuple[str, ...]
    table: str
    matches: tuple[ColumnMatch, ...]

    @property
    def key(self) -> tuple[str, ...]:
        return key_of(self.headings)


@dataclass(frozen=True)
class Known:
    """All layouts and words that a project remembers; of two alike the later holds.

    ``shifts`` tells by kind of post (``MP``, ``PR``) how far its zero lies from that of the stations [m]; ``place`` is the weather
    station that was chosen last, ``lanes`` are the names of the lanes that the project holds.
    """

    layouts: tuple[Layout, ...] = ()
    words: tuple[Word, ...] = ()
    shifts: Mapping[str, float] = field(default_factory=dict)
    place: str = ""
    lanes: tuple[str, ...] = ()

    def layout_of(self, headings: Sequence[str]) -> Layout | None:
        """The layout with just these headings."""
        key = key_of(headings)
        return next((layout for layout in reversed(self.layouts) if key and layout.key == key), None)


def key_of(headings: Iterable[str]) -> tuple[str, ...]:
    return tuple(sorted(h.strip() for h in headings if h.strip()))


@dataclass(frozen=True)
class Told:
    """What was said of a file: columns by heading, units by column or heading, words, posts, the place of the weather, its one lane and position."""

    columns: Mapping[str, ColumnMatch] = field(default_factory=dict)
    units: Mapping[str, str] = field(default_factory=dict)
    words: Mapping[str, str] = field(default_factory=dict)
    shifts: Mapping[str, float] = field(default_factory=dict)
    place: str = ""
    lane: str = ""
    position: str = ""
    known: Known = field(default_factory=Known)

    def words_for(self, schema: Schema, column: Column) -> dict[str, tuple[str, Manner]]:
        """What the words of a column were said to mean, by the compact word; what is said now outranks the memory."""
        found: dict[str, tuple[str, Manner]] = {
            compact(w.written): (w.meant, "remembered")
            for w in self.known.words
            if (w.table, w.column) == (schema.name, column.name)
        }
        for written, meant in self.words.items():
            if choice := meant_in(schema, column, meant):
                found[compact(written)] = choice, "given"
        return found


def meant_in(schema: Schema, column: Column, meant: str) -> str:
    """The choice of this column that an answer names, "" when it is for another; a lane may be called anything."""
    choices = {compact(c): c for c in column.choices}
    if column.kind == "choice":
        return choices.get(compact(meant), "")
    others = {compact(c) for other in schema.columns for c in other.choices}
    return meant.strip() if column.name == "lane" and compact(meant) not in others else ""


def plain(
    table: str, matches: Sequence[ColumnMatch], words: Sequence[Word], shifts: Mapping[str, float], place: str = ""
) -> dict[str, Any]:
    """A layout and its words as plain data; headings that were merely not recognised are asked again next time."""
    return {
        "table": table,
        "columns": [dataclasses.asdict(m) for m in matches if _kept(m)],
        "words": [dataclasses.asdict(w) for w in words],
        "shifts": dict(shifts),
        **({"place": place} if place else {}),
    }


def known_from(stored: Iterable[tuple[Sequence[str], Any]]) -> Known:
    """What is remembered, from (headings, plain data) in the order of loading; also as earlier versions kept it."""
    layouts: list[Layout] = []
    words: list[Word] = []
    shifts: dict[str, float] = {}
    place = ""
    for headings, data in stored:
        held: Mapping[str, Any] = data if isinstance(data, dict) else {"columns": data}
        matches = [ColumnMatch(**entry) for entry in held.get("columns", ())]
        layouts.append(Layout(tuple(headings), str(held.get("table", "")), tuple(m for m in matches if _kept(m))))
        words += [Word(**entry) for entry in held.get("words", ())]
        shifts |= {str(kind): float(shift) for kind, shift in held.get("shifts", {}).items()}
        place = str(held.get("place", "")) or place
    return Known(tuple(layouts), tuple(words), shifts, place)


def _kept(match: ColumnMatch) -> bool:
    return match.column is not None or match.how in ("given", "remembered")
