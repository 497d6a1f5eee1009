"""The rules that intake applies, by name. An ``error`` stops a load, a ``warning`` waits for the engineer.

``Log`` gathers findings while a file is read. Findings are kept per cell up to ``LISTED`` for each rule and
column; the rest share one finding, whose ``Cells`` still name every row, so nothing is lost by the summary.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from slabwright.records.findings import Finding, Weight

__all__ = ["LISTED", "RULES", "Cells", "Log", "Rows", "Rule", "rows_named"]

LISTED = 20
ROWS_NAMED = 8
Rows = npt.NDArray[np.int64]


@dataclass(frozen=True)
class Rule:
    """A named check: how heavily it weighs, what to do about it, and whether its rows are left out even when accepted."""

    weight: Weight
    remedy: str
    sets_aside: bool = False


@dataclass(frozen=True, eq=False)
class Cells:
    """What a finding speaks of: positions in the frame, and columns (none means the whole row)."""

    rows: Rows
    columns: tuple[str, ...] = ()


LOOK = "Look at the row; accept it as it is, or reject it."
RULES: dict[str, Rule] = {
    # the file
    "encoding guessed": Rule("note", "Check names with accents; save the file as UTF-8 if they are wrong."),
    "decimal comma": Rule("note", "Nothing to do if commas mark decimals in this file."),
    "sheet without a table": Rule("note", "Nothing to do if that sheet holds no data."),
    "lines above the headings": Rule("note", "Nothing to do if those lines hold no data."),
    "row of sums": Rule("note", "Nothing to do if those rows hold sums or means of the others."),
    "lines below the table": Rule("note", "Nothing to do if those rows are notes beneath the table."),
    "heading twice": Rule("warning", "Accept the first of them, or leave out the wrong one in the file."),
    "headings repeated": Rule("note", "Nothing to do if those rows repeat the headings."),
    "headings in two rows": Rule("note", "Check that each heading went with the title above it."),
    "sheet nearly a table": Rule("warning", "Accept that the sheet is left out, or name its columns in the mapping."),
    "row too long": Rule("error", "Remove the extra cells, or put quotes around a text that holds the delimiter."),
    "cell too long": Rule("error", "Shorten the text to 10,000 characters."),
    # headings and units
    "column not used": Rule("note", "Name its column in the mapping if it should be read."),
    "two headings for one column": Rule("warning", "Name the right one in the mapping."),
    "heading guessed": Rule("warning", "Confirm the mapping, or correct it."),
    "missing column": Rule("error", "Name the heading that holds it in the mapping, or add the column to the file."),
    "sensor distances assumed": Rule(
        "warning", "Accept them, or write the unit after the distance in the headings, as in D200mm."
    ),
    "sensors named by offset": Rule("note", "Check that the distances are right."),
    "unit assumed": Rule("warning", "State the unit in the heading or with the units option, or accept it."),
    "unit not understood": Rule("error", "Write a unit of that quantity, such as mil, mm, lbf or kN."),
    "load from plate pressure": Rule("note", "Check the plate radius."),
    "plate radius assumed": Rule("warning", "Add a column with the plate radius, or accept the usual one."),
    "mixed units": Rule("warning", "Each cell was read in its own unit; check them, then accept or reject them."),
    "looks like another unit": Rule(
        "warning", "Correct the unit with the units option, or accept the values as they are."
    ),
    # single cells
    "missing required": Rule("error", "Fill in the cell, or remove the row."),
    "unreadable number": Rule("error", "Write a number, with its unit if it differs from the heading."),
    "not finite": Rule("warning", "The cell was taken as missing; accept that or reject it."),
    "formula": Rule("error", "Write the value instead of the formula."),
    "formula kept as text": Rule("note", "It stays plain text and is never run."),
    "unknown word": Rule(
        "warning", "The cell was taken as missing; use one of the allowed words, accept or reject it."
    ),
    "unknown word in a required column": Rule("error", "Use one of the allowed words."),
    "word guessed": Rule("warning", "Accept the meaning, which is then remembered, or give the right one."),
    "word as told": Rule("note", "Nothing to do if the word means that here."),
    "kept as other": Rule("note", "Nothing to do; the file's word is kept beside it."),
    "unknown kind": Rule("warning", "Accept it to keep the word as it is, or give the kind that it means."),
    "lane as told": Rule("note", "Nothing to do if the whole file is of that lane."),
    "position as told": Rule("note", "Nothing to do if every test of the file stands there."),
    "length from its ends": Rule("note", "Nothing to do if both stations are of one distress."),
    "mark of thousands": Rule(
        "warning", "Accept it if the mark stands between thousands; else write the number without it."
    ),
    "station equation": Rule(
        "error",
        "Count all stations on one line: add to those ahead of the equation what it takes away (back less ahead), "
        "or load each side as a road of its own.",
    ),
    "station read two ways": Rule(
        "error", "Write it with three digits after the plus sign, or as metres with their unit."
    ),
    "station taken as metres": Rule("warning", "Accept it, or write the station as the others are written."),
    "station far from the others": Rule("warning", "Check how this station is written, and its unit."),
    "reference of posts assumed": Rule(
        "warning", "Accept it if the posts count from station 0, or give the station of one post."
    ),
    "out of bounds": Rule("error", "Correct the value or its unit."),
    "negative load": Rule("error", "Loads are positive downward; correct the sign or the sensor's wiring."),
    "impossible temperature": Rule("error", "Correct the value or its unit."),
    "not a whole number": Rule("error", "Write a whole number."),
    "impossible date": Rule("error", "Write the date as year-month-day, for example 2025-06-04."),
    "future date": Rule("warning", LOOK),
    "date order assumed": Rule("warning", "Write dates as year-month-day, or accept the order that was assumed."),
    # rows
    "duplicate row": Rule("warning", "Reject the repeats, or accept that they were measured twice."),
    "duplicate drop": Rule("warning", "Reject the later rows, or accept both."),
    "begins after it ends": Rule(
        "error",
        "Swap the two stations, or write both in one unit: 3+200 counts metres, three digits after the plus sign, and "
        "32+00 counts feet.",
    ),
    "station out of order": Rule("warning", LOOK),
    "outside the road": Rule("warning", "Check the stationing of the file and of the road."),
    # rows that contradict each other
    "given twice": Rule("error", "Keep one of the two rows, or load the corrected file in the place of the other."),
    "more than one road": Rule("error", "Make a project for each road, or load this file in the place of the other."),
    "overlapping layers": Rule(
        "error", "Let one end where the other begins, name their lanes, or load this file in the place of the other."
    ),
    "bridge given twice": Rule("error", "Keep one of the two rows, or load this file in the place of the other."),
    "overlapping bridges": Rule("warning", "Accept it for twin or stacked bridges; else correct the stations."),
    "name used twice": Rule("warning", LOOK),
    "lane over all lanes": Rule("warning", "Accept it if this lane has another pavement; else reject the row."),
    "lane spelled another way": Rule("warning", "Accept it to have the rows in that lane; reject them otherwise."),
    "lane not declared": Rule(
        "warning",
        "Correct the name in the file or add the lane to the lanes table; accepted, it counts as one more lane.",
    ),
    "road far too long": Rule(
        "warning",
        "Check the first and last station of the road, and their unit; accept it if the rest is not surveyed yet.",
    ),
    # deflection tests
    "drop set aside": Rule(
        "warning", "Accept it to have the rows left out, or fill in what is missing.", sets_aside=True
    ),
    "sensors without distance": Rule(
        "warning",
        "Name the columns by their distance (D0, D300 with its unit), or add a column with the distance of each sensor "
        "(offset_2, ...); accepted, no modulus comes from them.",
    ),
    "sensor reads only zero": Rule(
        "error", "Leave its column out by --map 'HEADER=', for example --map 'D600 (um)=', or correct the file."
    ),
    "drop without deflection": Rule(
        "warning", "Accept it to have the rows left out, or correct what was read.", sets_aside=True
    ),
    "basin rises outward": Rule("warning", LOOK),
    "swapped sensors": Rule("warning", "Exchange the two in the mapping, or reject both."),
    "faulty sensor": Rule("warning", "Reject the sensor, or accept it if its record is right."),
    "load off its drop height": Rule("warning", LOOK),
    "non-linear drops": Rule(
        "warning", "Look for a void, a load plate not seated or a wrong load; accept or reject the drops."
    ),
    # traffic and ride
    "equivalent axles per truck": Rule(
        "warning", "One of the two figures covers only part of the year; correct it, accept it or reject the row."
    ),
    "repeated construction number": Rule(
        "warning", "Use one construction number only when adding up, or reject the repeats."
    ),
    "few trucks": Rule(
        "warning", "Check whether the file gives fractions and not percent, and name the unit if it does."
    ),
    "count unlike its neighbours": Rule(
        "warning", "Check both counts against their source; accept it if they are right."
    ),
    "more traffic than lanes carry": Rule("warning", "Check the count and the number of lanes."),
    "shares do not add up": Rule("warning", "Check that every class is there."),
    "mean is not the mean": Rule("warning", LOOK),
    # weather
    "weather station": Rule("note", "Check that this is the weather of the road."),
    "months of several years": Rule("note", "Nothing to do: a typical year is put together from months of many years."),
    "sky not given": Rule("note", "Radiation of the sky is then estimated from humidity and clouds."),
    "missing weather value": Rule(
        "warning", "Accept it to have the gap bridged from the hours around it, or use another file."
    ),
    "not a whole year": Rule(
        "error", "Give every hour of one year: 8,760 rows, or 8,784 with 29 February, without long gaps."
    ),
    "hours as told": Rule("note", "Check it against one hot afternoon if the source says nothing."),
    "several readings in an hour": Rule("note", "Nothing to do if they are readings in between."),
    "hours of another year": Rule("note", "Nothing to do if they only spill over the turn of the year."),
    "hours bridged": Rule("warning", "Accept it to have the gaps bridged, or use another file."),
    "gap too long": Rule("error", "Fill the gap from a station near by, or use another file."),
    "hour given twice": Rule("error", "Keep one row for each hour."),
    "hour out of order": Rule("error", "Sort the rows from 1 January, hour 1, to 31 December, hour 24."),
    "diffuse exceeds global": Rule("warning", LOOK),
    "storm": Rule("warning", "Check the unit of the wind; accept or reject the hours."),
}


class Log:
    """Findings of one table, gathered in order; ``source_rows`` turns positions into rows of the file."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.source_rows: Rows = np.zeros(0, dtype=np.int64)
        self.findings: list[Finding] = []
        self.cells: list[Cells] = []

    def say(self, rule: str, message: str, *, column: str = "", value: str = "", row: int | None = None) -> None:
        """A finding about the file as a whole, or about a row that is not in the table."""
        self._put(rule, message, row, column, value, Cells(np.zeros(0, dtype=np.int64), (column,) if column else ()))

    def whole(self, rule: str, message: str, rows: Rows, columns: tuple[str, ...], *, value: str = "") -> None:
        """One finding that speaks of many cells together."""
        first = int(self.source_rows[rows[0]]) if len(rows) else None
        self._put(rule, message, first, ", ".join(columns), value, Cells(rows, columns))

    def each(
        self,
        rule: str,
        message: str | Sequence[str],
        rows: Rows,
        columns: tuple[str, ...] = (),
        values: Sequence[object] = (),
    ) -> None:
        """A finding for each row, the first ``LISTED`` apart and the rest together; values and messages go with rows."""
        name = ", ".join(columns)
        words = [message] if isinstance(message, str) else message
        listed = len(rows) if len(rows) == LISTED + 1 else LISTED
        for at, row in enumerate(rows[:listed].tolist()):
            value = str(values[at]) if at < len(values) else ""
            said = words[min(at, len(words) - 1)]
            self._put(rule, said, int(self.source_rows[row]), name, value, Cells(rows[at : at + 1], columns))
        rest = rows[listed:]
        if len(rest):
            first = int(self.source_rows[rest[0]])
            more = f"{words[min(listed, len(words) - 1)]} (this and {len(rest) - 1} more rows)"
            self._put(rule, more, first, name, "", Cells(rest, columns))

    def moved(self, place: Rows, source_rows: Rows) -> None:
        """The row at position i now stands at ``place[i]``; ``source_rows`` gives the row of the file for each position."""
        self.cells = [Cells(place[c.rows], c.columns) for c in self.cells]
        self.source_rows = source_rows

    def _put(self, rule: str, message: str, row: int | None, column: str, value: str, cells: Cells) -> None:
        about = RULES[rule]
        self.findings.append(Finding(about.weight, rule, self.file, row, column, value[:200], message, about.remedy))
        self.cells.append(cells)


def rows_named(log: Log, rows: Rows) -> str:
    """``row 4``, or ``300 rows: 4, 5, 9, ...``: the rows of the file that a finding speaks of together."""
    named = ", ".join(str(log.source_rows[row]) for row in rows[:ROWS_NAMED])
    if len(rows) == 1:
        return f"row {named}"
    return f"{len(rows):,} rows: {named}{', ...' if len(rows) > ROWS_NAMED else ''}"
