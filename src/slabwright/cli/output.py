"""Printing: tables for people, JSON for programs. Numbers are converted here and nowhere else in the commands."""

from __future__ import annotations

import json
import re
import sys
from typing import Any

from rich import box
from rich.console import Console
from rich.markup import escape as unmarked
from rich.table import Table

from slabwright import units
from slabwright.errors import InputError
from slabwright.project.texts import escaped
from slabwright.records.display import cell, heading, plain_columns, plain_rows
from slabwright.records.table import Schema

__all__ = [
    "JSON_VERSION",
    "as_json",
    "cell",
    "console",
    "heading",
    "print_frame",
    "print_json",
    "print_narrow",
    "print_rows",
    "say",
    "system",
]

JSON_VERSION = 1
MOST_ROWS = 15
MOST_COLUMNS = 12

NARROW, GAP = 100, 2  # columns of a preview and between its columns
SIDEWAYS_FROM = 5  # columns; fewer fit by folding their words
LONGEST_LEAD = 44
PIPE_WIDTH = 200  # columns where the output is a file or a pipe, which have no width of their own

STEERING = re.compile(r"[\x7f-\x9f\u2028-\u202e\u2066-\u2069]")  # what JSON may hold as it is and a terminal may obey

console = Console(highlight=False, width=None if sys.stdout.isatty() else PIPE_WIDTH)


def system(text: str) -> units.System:
    """``us`` or ``metric`` from an option."""
    if text == "us":
        return "us"
    if text == "metric":
        return "metric"
    raise InputError("units are us or metric", given=text, allowed="us, metric")


def print_frame(schema: Schema, frame: Any, shown: units.System, *, all_rows: bool = False) -> None:
    """A result table; short wide tables are turned on their side, long ones are cut with a word about it."""
    columns = [c for c in schema.columns if c.is_text or frame[c.name].notna().any()]
    rows = len(frame) if all_rows else min(len(frame), MOST_ROWS)
    texts = [[cell(v, c, shown) for v in frame[c.name].iloc[:rows]] for c in columns]
    sideways = len(columns) > MOST_COLUMNS and rows <= MOST_COLUMNS
    grid = _grid(schema.title)
    if sideways:
        grid.add_column(escape(columns[0].meaning) if columns else "", min_width=34)
        for words in texts[0] if texts else []:
            grid.add_column(escape(words), justify="right", overflow="fold")
        for column, row in zip(columns[1:], texts[1:], strict=True):
            grid.add_row(escape(heading(column, shown)), *map(escape, row))
    else:
        for column in columns:
            grid.add_column(
                escape(heading(column, shown)), justify="left" if column.is_text else "right", overflow="fold"
            )
        for cells in zip(*texts, strict=True):
            grid.add_row(*map(escape, cells))
    console.print(grid)
    if rows < len(frame):
        console.print(f"… and {len(frame) - rows} more rows: --all shows them.\n")


def _grid(title: str) -> Table:
    return Table(
        title=escape(title),
        title_justify="left",
        title_style="bold",
        header_style="",
        box=box.SIMPLE_HEAD,
        pad_edge=False,
    )


def escape(text: str) -> str:
    """A cell as it is: neither markup nor what steers a terminal is read in it."""
    return unmarked(escaped(text))


def say(text: str) -> None:
    """A sentence, as it is: no markup is read in it and no line broken."""
    console.print(text, markup=False, soft_wrap=True)


def print_rows(title: str, headings: list[str], rows: list[list[str]]) -> None:
    """A plain table of texts; of one without rows, the title alone."""
    if not rows:
        console.print(f"{escape(title)}: no rows.")
        return
    grid = _grid(title)
    for name in headings:
        grid.add_column(escape(name), overflow="fold")
    for row in rows:
        grid.add_row(*map(escape, row))
    console.print(grid)


def print_narrow(title: str, headings: list[str], rows: list[list[str]]) -> None:
    """A plain table of texts that fits ``NARROW`` columns: turned on its side where it does not, with as many rows as fit."""
    cut = [[shorter(word) for word in row] for row in rows]
    widths = [max(map(len, column)) for column in zip(headings, *cut, strict=True)]
    if sum(widths) + GAP * len(widths) > NARROW and len(headings) > SIDEWAYS_FROM:
        headings = [shorter(word, LONGEST_LEAD) for word in headings]
        lead = max(map(len, headings))
        kept, used = 0, lead
        while kept < len(cut) and used + GAP + max(map(len, cut[kept])) <= NARROW - GAP:
            used += GAP + max(map(len, cut[kept]))
            kept += 1
        cut = [list(row) for row in zip(headings, *cut[: max(kept, 1)], strict=True)]
        headings, cut = cut[0], cut[1:]
    grid = _grid(title)
    for name in headings:
        grid.add_column(escape(name), overflow="fold")
    for row in cut:
        grid.add_row(*map(escape, row))
    console.print(grid, width=min(console.width, NARROW))


def shorter(word: str, longest: int = 28) -> str:
    """A text on one line of at most so many characters."""
    plain = " ".join(word.split())
    return plain if len(plain) <= longest else plain[: longest - 1] + "…"


def as_json(schema: Schema, frame: Any, shown: units.System) -> dict[str, Any]:
    """A table as plain data in the units shown: columns with units, rows as lists; missing numbers are null."""
    return {"title": schema.title, "columns": plain_columns(schema, shown), "rows": plain_rows(schema, frame, shown)}


def print_json(data: Any) -> None:
    """JSON on standard output; a number that is not finite is a defect and refused."""
    text = json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False)
    print(STEERING.sub(lambda found: f"\\u{ord(found[0]):04x}", text))
