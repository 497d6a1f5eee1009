"""What a page may hold. A page is a list of these plain records; the template draws them and computes nothing."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, field, replace
from typing import TYPE_CHECKING, Any, Literal

import numpy as np

from slabwright import units
from slabwright.records.table import Column, Schema
from slabwright.report.text import cell, heading
from slabwright.roadway.places import directions_in_order

if TYPE_CHECKING:
    import pandas as pd

__all__ = [
    "MOST_SIDEWAYS",
    "PAPER",
    "TINY",
    "Block",
    "Box",
    "Figure",
    "Heading",
    "Items",
    "Lines",
    "Sheet",
    "Table",
    "Text",
    "frame_table",
    "frame_tables",
    "plain",
    "rows_table",
    "summed_table",
]

PAPER: dict[units.System, tuple[str, float]] = {"us": ("us-letter", 612.0), "metric": ("a4", 595.28)}
MARGIN = 54.0  # points, left and right
SMALL, TINY = 8.0, 6.8  # points
INSET = 3.2  # points on each side of a cell
EM = 0.50  # mean width of a letter or digit of the text face over its size
SHORT = 12  # rows up to which a table is kept on one page
MOST_COLUMNS = 11  # wider tables are turned on their side
MOST_SIDEWAYS = 7  # sections beside each other in a turned table
WIDEST_WISH = 46  # letters that a column may wish for before its text is wrapped


@dataclass(frozen=True)
class Heading:
    """``anchor`` is a name by which links lead here, or ""; with ``page`` it begins one."""

    text: str
    level: int = 1
    anchor: str = ""
    page: bool = False
    block: Literal["heading"] = "heading"


@dataclass(frozen=True)
class Text:
    """A paragraph; ``role`` is body, lead (the answer), question or fine (small print)."""

    text: str
    role: Literal["body", "lead", "question", "fine"] = "body"
    block: Literal["text"] = "text"


@dataclass(frozen=True)
class Items:
    """A list of sentences, each with a few words in bold before it."""

    items: tuple[tuple[str, str], ...]
    small: bool = False
    block: Literal["items"] = "items"


@dataclass(frozen=True)
class Box:
    """A framed list that may not be missed."""

    title: str
    items: tuple[tuple[str, str], ...]
    block: Literal["box"] = "box"


@dataclass(frozen=True)
class Lines:
    """Lines to write on by hand: what belongs on each, and what is known of it, or ""."""

    lines: tuple[tuple[str, str], ...]
    block: Literal["lines"] = "lines"


@dataclass(frozen=True)
class Figure:
    """A drawing: its name among the figures, what it shows in words, and its key."""

    name: str
    caption: str
    alternative: str
    block: Literal["figure"] = "figure"


@dataclass(frozen=True)
class Table:
    """Cells as texts with the width of each column in points; ``strong`` rows are totals, a ``whole`` table is not split.

    ``links`` lead from words of the first column to the anchors of headings.
    """

    title: str
    headings: tuple[str, ...]
    aligns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    widths: tuple[float, ...]
    size: float = SMALL
    strong: tuple[int, ...] = ()
    whole: bool = True
    links: Mapping[str, str] = field(default_factory=dict)
    block: Literal["table"] = "table"


@dataclass(frozen=True)
class Sheet:
    """The working of one calculation."""

    title: str
    context: str
    equation: str
    given: tuple[tuple[str, str, str], ...]
    substituted: str
    results: tuple[tuple[str, str], ...]
    source: str
    tag: str
    block: Literal["sheet"] = "sheet"


Block = Heading | Text | Items | Box | Lines | Figure | Table | Sheet


def plain(blocks: Iterable[Block]) -> list[dict[str, Any]]:
    """The blocks as data for the template."""
    return [asdict(b) for b in blocks]


def rows_table(
    title: str,
    headings: Sequence[str],
    rows: Sequence[Sequence[str]],
    system: units.System,
    *,
    right: Sequence[int] = (),
    size: float = SMALL,
    strong: Sequence[int] = (),
    whole: bool | None = None,
) -> Table:
    """A table of texts; ``right`` are the columns of numbers."""
    aligns = tuple("right" if i in right else "left" for i in range(len(headings)))
    widths = _widths(headings, rows, size, PAPER[system][1] - 2 * MARGIN)
    return Table(
        title,
        tuple(headings),
        aligns,
        tuple(map(tuple, rows)),
        widths,
        size,
        tuple(strong),
        len(rows) <= SHORT if whole is None else whole,
    )


def frame_table(
    schema: Schema,
    frame: pd.DataFrame,
    system: units.System,
    *,
    title: str | None = None,
    columns: Sequence[str] = (),
    size: float = SMALL,
) -> Block:
    """A result table row by row; columns without any value are left out, a table without rows says so."""
    name = schema.title if title is None else title
    if frame.empty:
        return Text(f"{name or schema.title}: no rows.")
    shown = _filled(schema, frame, columns)
    texts = [[cell(v, c, system) for v in frame[c.name]] for c in shown]
    right = [i for i, c in enumerate(shown) if not c.is_text]
    rows = list(zip(*texts, strict=True))
    return rows_table(name, [heading(c, system) for c in shown], rows, system, right=right, size=size)


def summed_table(
    schema: Schema,
    frame: pd.DataFrame,
    system: units.System,
    sums: Sequence[str],
    *,
    title: str | None = None,
    size: float = SMALL,
) -> Block:
    """As ``frame_table``, with a last row of the sums of some columns."""
    made = frame_table(schema, frame, system, title=title, size=size)
    if not isinstance(made, Table):
        return made
    shown = _filled(schema, frame, ())
    total = [cell(frame[c.name].sum(), c, system) if c.name in sums else "" for c in shown]
    return replace(made, rows=(*made.rows, ("all", *total[1:])), strong=(len(made.rows),))


def frame_tables(
    schema: Schema, frame: pd.DataFrame, system: units.System, *, title: str | None = None, columns: Sequence[str] = ()
) -> list[Block]:
    """As ``frame_table``, but a wide table is turned on its side: its rows become columns, a few to a table."""
    shown = _filled(schema, frame, columns)
    if frame.empty or len(shown) <= MOST_COLUMNS:
        return [frame_table(schema, frame, system, title=title, columns=columns)]
    pieces = (
        [frame[frame["direction"] == way] for way in directions_in_order(frame["direction"])]
        if "direction" in frame
        else [frame]
    )
    chunks = [p.iloc[i : i + MOST_SIDEWAYS] for p in pieces for i in range(0, len(p), MOST_SIDEWAYS)]
    return [_sideways(shown, chunk, system, schema.title if title is None else title) for chunk in chunks]


def _sideways(shown: Sequence[Column], frame: pd.DataFrame, system: units.System, title: str) -> Table:
    way = "direction" in frame and frame["direction"].nunique() == 1
    kept = [c for c in shown if not (way and c.name == "direction")]
    first, *others = kept
    rows = [[heading(c, system), *(cell(v, c, system) for v in frame[c.name])] for c in others]
    headings = [first.meaning, *(cell(v, first, system) for v in frame[first.name])]
    name = f"{title}, {frame['direction'].iloc[0]}" if way and frame["direction"].iloc[0] else title
    return rows_table(name.strip(", "), headings, rows, system, right=range(1, len(headings)), whole=True)


def _filled(schema: Schema, frame: pd.DataFrame, columns: Sequence[str]) -> list[Column]:
    wanted = [schema[n] for n in columns] if columns else list(schema.columns)
    return [c for c in wanted if (frame[c.name].ne("").any() if c.is_text else frame[c.name].notna().any())]


def _widths(headings: Sequence[str], rows: Sequence[Sequence[str]], size: float, room: float) -> tuple[float, ...]:
    """Widths in points: what the words need at least, and of the rest what the texts wish for, within ``room``."""
    cells = [[h, *(r[i] for r in rows)] for i, h in enumerate(headings)]
    need = np.array([max(_longest_word(t) for t in column) for column in cells], dtype=float)
    wish = np.array([max([len(h) / 2.6, *map(len, body)]) for h, *body in cells])
    wish = np.maximum(np.minimum(wish, WIDEST_WISH), need)
    available = (room - 2 * INSET * len(headings)) / (EM * size)
    if wish.sum() <= available:
        letters = wish
    elif need.sum() <= available:
        letters = need + (wish - need) * (available - need.sum()) / (wish - need).sum()
    else:
        letters = need * available / need.sum()
    return tuple(round(float(w), 2) for w in letters * EM * size + 2 * INSET)


def _longest_word(text: str) -> int:
    return max((len(w) for w in re.split(r"[\s\u200b]", text)), default=1) + 1
