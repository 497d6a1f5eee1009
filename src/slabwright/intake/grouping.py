"""Findings as a person reads them: errors first, one group for each rule and column, with its count and first rows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from slabwright.errors import shorten
from slabwright.intake.rules import Cells
from slabwright.records.findings import Finding, Weight

__all__ = ["Group", "grouped"]

WEIGHTS: tuple[Weight, ...] = ("error", "warning", "note")
FIRST_ROWS = 5


@dataclass(frozen=True)
class Group:
    """All findings of one rule on one column: their places among the findings given, and the first in words.

    ``count`` counts rows, or findings where these speak of no row; ``rows`` are the first rows of the file.
    """

    weight: Weight
    rule: str
    column: str
    count: int
    rows: tuple[int, ...]
    first: Finding
    places: tuple[int, ...]

    def __str__(self) -> str:
        """One line: the rule, how many and where, what and what to do."""
        shown = ", ".join(map(str, self.rows[:FIRST_ROWS])) + (", …" if len(self.rows) > FIRST_ROWS else "")
        where = f" in {self.count} row{'' if self.count == 1 else 's'} ({shown})" if self.rows else ""
        where = where or (f", {self.count} times" if self.count > 1 else "")
        column = f", {self.column}" if self.column else ""
        value = f" (value {shorten(self.first.value)})" if self.first.value else ""
        first = "first: " if self.count > 1 and value else ""
        return f"{self.weight} [{self.rule}{column}]{where}: {first}{self.first.message}{value}. {self.first.remedy}".rstrip()


def grouped(
    findings: Sequence[Finding], cells: Sequence[Cells] | None = None, source_rows: Sequence[int] = ()
) -> tuple[Group, ...]:
    """Groups of findings, errors first, then in the order of the file.

    ``cells`` and ``source_rows`` (rows of the file by place in the table) give every row of a finding that speaks of
    many; without them each speaks of its own row.
    """
    found: dict[tuple[Weight, str, str], list[int]] = {}
    for place, finding in enumerate(findings):
        found.setdefault((finding.weight, finding.rule, finding.column), []).append(place)
    made = []
    for (weight, rule, column), places in found.items():
        rows = sorted({row for p in places for row in _rows(findings[p], cells[p] if cells else None, source_rows)})
        count = len(rows) or len(places)
        made.append(
            Group(weight, rule, column, count, tuple(rows[: FIRST_ROWS + 1]), findings[places[0]], tuple(places))
        )
    return tuple(sorted(made, key=lambda g: WEIGHTS.index(g.weight)))


def _rows(finding: Finding, cells: Cells | None, source_rows: Sequence[int]) -> list[int]:
    if cells is not None and len(cells.rows):
        return [int(source_rows[r]) for r in cells.rows]
    return [] if finding.row is None else [finding.row]
