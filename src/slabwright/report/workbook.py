"""Results as a workbook: a sheet for each table in the order of the job, quantities and costs as live formulas.

Every formula is stored with its value, so that a reader that does not calculate shows the same numbers. Texts are
written as texts: a lane called ``=1+1`` stays that.
"""

from __future__ import annotations

import io
import math
import re
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

import pandas as pd
import xlsxwriter

from slabwright import __version__, units
from slabwright.economics.items import measured
from slabwright.records.decisions import Decisions, Entry, entries
from slabwright.records.display import cell, heading
from slabwright.records.remarks import worded
from slabwright.records.results import StageResult
from slabwright.records.stage import Stage
from slabwright.records.table import Column, Schema
from slabwright.report.files import write_whole
from slabwright.report.workbook_formulas import FORMULAS, TOTALS, Cells
from slabwright.stages import stages

__all__ = ["sheet_names", "write_workbook"]

LONGEST_TEXT = 32_000  # a cell holds 32,767 characters
LONGEST_NAME = 31  # of a sheet, which has none of []:*?/\
CONTENTS, PRICES, DECISIONS = "Contents", "Unit prices", "Decisions"
LINE_HEIGHT, LINE_LETTERS = 16, 100  # points, and letters of a line across the sheet of contents
BID = "bid_items"
OPEN = "open_points"
PRICED_BY = "economics"  # the stage before whose tables the unit prices stand
# Words at which no name ends.
HANGING = re.compile(r"( (a|an|and|against|at|before|both|by|for|from|in|of|on|or|should|that|the|to|with|would))+$")
CAUTION = (
    "Prepared to assist a licensed engineer. Local codes, the agency's standards and that engineer's judgement govern."
    " Check quantities in the field before ordering."
)


def sheet_names(titles: Mapping[str, str]) -> dict[str, str]:
    """The name of the sheet of each table: its title, cut after a word where a sheet's name cannot be so long."""
    taken = {name.lower() for name in (CONTENTS, PRICES, DECISIONS, "History")}
    found = {}
    for table, title in titles.items():
        whole = " ".join(re.sub(r"[\[\]:*?/\\']", " ", title).split())
        cut = whole[: LONGEST_NAME + 1].rpartition(" ")[0] or whole[:LONGEST_NAME]
        short = whole if len(whole) <= LONGEST_NAME else HANGING.sub("", cut)
        name, number = short, 2
        while name.lower() in taken:
            name, number = f"{short[: LONGEST_NAME - 4]} {number}", number + 1
        taken.add(name.lower())
        found[table] = name
    return found


def write_workbook(
    path: Path,
    *,
    alternative: str,
    decisions: Decisions,
    results: Mapping[str, StageResult],
    system: units.System,
    points: Sequence[tuple[str, str]] = (),
) -> None:
    """Write the workbook whole or not at all. Raises StoreError when the place cannot be written.

    ``points`` are the open points of the whole job, as the report lists them: what each is about, and the point. Without
    them the sheet holds those of the evaluation.
    """
    buffer = io.BytesIO()
    options = {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False, "nan_inf_to_errors": False}
    with xlsxwriter.Workbook(buffer, options) as book:
        book.set_properties({"title": "Quantities and costs", "comments": f"Slabwright {__version__}"})
        order = list(_order(results))
        tables = [(stage, schema) for stage, schema in order if schema]
        frames = {schema.name: results[stage.name].tables[schema.name] for stage, schema in tables}
        frames["repair_costs"] = _beside_repairs(frames["repair_costs"], frames["repairs"])
        prices = [e for e in entries(decisions) if e.is_price]
        cells = Cells(
            sheets=sheet_names({schema.name: schema.title for _, schema in tables}),
            rows={name: len(frame) for name, frame in frames.items()},
            prices={e.name.partition(".")[2]: f"'{PRICES}'!$B${row}" for row, e in enumerate(prices, start=2)},
            system=system,
        )
        sheets = _Sheets(book, cells, priced=decisions.economics.confirmed)
        said = " ".join(worded(note, system) for note in results[PRICED_BY].notes)
        sheets.contents(alternative, order, frames, said)
        for _, schema in order:
            if schema and schema.name == OPEN and points:
                sheets.points(points)
            elif schema:
                sheets.result(schema, frames[schema.name])
            else:
                sheets.prices(prices)
        sheets.decisions(decisions)
    write_whole(path, buffer.getvalue(), "xlsx")


def _order(results: Mapping[str, StageResult]) -> Iterator[tuple[Stage, Schema | None]]:
    """The tables that are read as tables, in the order of the job; None for the unit prices before what they price."""
    for stage in stages():
        if stage.name in results:
            if stage.name == PRICED_BY:
                yield stage, None
            yield from ((stage, schema) for schema in stage.outcomes if not schema.bulk)


def _beside_repairs(costs: pd.DataFrame, repairs: pd.DataFrame) -> pd.DataFrame:
    """The cost of each repair with its filling, of which the formula depends."""
    return costs.assign(filled_with=repairs["filled_with"].to_numpy())


class _Sheets:
    """The sheets of one workbook with its formats; rows are filled from the top."""

    def __init__(self, book: Any, cells: Cells, *, priced: bool) -> None:
        self.priced = priced
        self.book, self.cells, self.system = book, cells, cells.system
        self.bold = book.add_format({"bold": True, "text_wrap": True, "valign": "top", "bottom": 1})
        self.total = book.add_format({"bold": True, "top": 1, "num_format": "#,##0"})
        self.wrap = book.add_format({"text_wrap": True, "valign": "top"})
        self.numbers = {d: book.add_format({"num_format": "#,##0" + ("." + "0" * d if d else "")}) for d in range(10)}

    def unit(self, kind: str) -> str:
        return units.label(units.unit_of(kind, self.system))

    def shown(self, value: float, kind: str) -> float:
        return float(units.convert(float(value), kind, self.system))

    def format(self, kind: str) -> Any:
        return self.numbers[min(units.kind(kind).digits(self.system), 9)]

    def headings(self, sheet: Any, row: int, names: list[str], widths: list[int]) -> None:
        for column, (name, width) in enumerate(zip(names, widths, strict=True)):
            sheet.write_string(row, column, name, self.bold)
            sheet.set_column(column, column, width)

    def contents(
        self, alternative: str, order: list[tuple[Stage, Schema | None]], frames: Mapping[str, pd.DataFrame], said: str
    ) -> None:
        """What it comes to, the caution, what is ``said`` of the costs, and the sheets that follow."""
        sheet = self.book.add_worksheet(CONTENTS)
        self.headings(sheet, 0, [f"Quantities and costs of alternative {alternative}"[:LONGEST_TEXT]], [34])
        sheet.set_column(1, 1, 54)
        sheet.set_column(2, 2, 26)
        sums = (
            ("Overlay area", "overlay_quantities", "area", "paved_area"),
            ("Overlay concrete", "overlay_quantities", "volume", "volume"),
            ("Cost of repairs", "section_costs", "repair_cost", "money"),
            ("Cost of overlay and repairs", "section_costs", "cost", "money"),
            ("Bid items in all", BID, "amount", "money"),
        )[: None if self.priced else 2]
        for row, (name, table, column, kind) in enumerate(sums, start=2):
            value, unit = self.shown(frames[table][column].sum(), kind), self.unit(kind)
            sheet.write_string(row, 0, f"{name} [{unit}]" if unit else name)
            sheet.write_formula(row, 1, f"=SUM({self.cells.all(table, column)})", self.numbers[0], value)
        sheet.merge_range(7, 0, 7, 2, CAUTION, self.wrap)
        sheet.set_row(7, 32)
        sheet.merge_range(8, 0, 8, 2, said[:LONGEST_TEXT], self.wrap)
        sheet.set_row(8, LINE_HEIGHT * math.ceil(len(said) / LINE_LETTERS))
        for place, name in enumerate(("Sheet", "Table", "Stage")):
            sheet.write_string(9, place, name, self.bold)
        names = [
            (self.cells.sheets[schema.name] if schema else PRICES, schema.title if schema else "", stage.title)
            for stage, schema in order
        ]
        for row, (name, title, of) in enumerate([*names, (DECISIONS, "", "")], start=10):
            sheet.write_url(row, 0, f"internal:'{name}'!A1", string=name)
            sheet.write_string(row, 1, title or name)
            sheet.write_string(row, 2, of)

    def prices(self, prices: list[Entry]) -> None:
        """The unit prices, which the formulas name."""
        sheet = self.book.add_worksheet(PRICES)
        self.headings(sheet, 0, ["Item", "Unit price", "Per"], [56, 14, 14])
        sheet.freeze_panes(1, 0)
        for row, entry in enumerate(prices, start=1):
            kind = getattr(entry.about, "kind", "money")
            sheet.write_string(row, 0, entry.about.meaning[:1].upper() + entry.about.meaning[1:])
            sheet.write_number(row, 1, self.shown(float(entry.value), kind), self.numbers[2])
            sheet.write_string(row, 2, self.unit(kind).removeprefix("per ") or "each")

    def points(self, points: Sequence[tuple[str, str]]) -> None:
        """Every open point of the job."""
        sheet = self.book.add_worksheet(self.cells.sheets[OPEN])
        self.headings(sheet, 0, ["About", "Open point"], [34, 120])
        sheet.freeze_panes(1, 0)
        for row, line in enumerate(points, start=1):
            for column, words in enumerate(line):
                sheet.write_string(row, column, words[:LONGEST_TEXT], self.wrap)

    def result(self, schema: Schema, frame: pd.DataFrame) -> None:
        """A result table: values, formulas where there are any, and sums under it."""
        sheet = self.book.add_worksheet(self.cells.sheets[schema.name])
        widths = [max(14, min(len(c.meaning), 40)) for c in schema.columns]
        self.headings(sheet, 0, [heading(c, self.system) for c in schema.columns], widths)
        sheet.freeze_panes(1, 1)
        if len(frame):
            self._stations(sheet, schema, frame)
            if schema.name == BID:
                self._quantities(sheet, schema, frame)
            stations = sum(c.kind == "station" for c in schema.columns)
            sheet.autofilter(0, 0, len(frame), len(schema.columns) + stations - 1)
        formulas = FORMULAS.get(schema.name, {})
        for column, about in enumerate(schema.columns):
            formula = formulas.get(about.name)
            records = frame.itertuples(index=False) if formula else ()
            made = [formula(self.cells, row, r) for row, r in enumerate(records, start=2)] if formula else []
            for row, value in enumerate(frame[about.name], start=1):
                self._cell(sheet, row, column, value, about, made[row - 1] if made else "")
        if len(frame):
            self._totals(sheet, schema, frame)

    def _stations(self, sheet: Any, schema: Schema, frame: pd.DataFrame) -> None:
        """After the last column every station once more, as a number that can be sorted and reckoned with."""
        stations = [c for c in schema.columns if c.kind == "station"]
        for column, about in enumerate(stations, start=len(schema.columns)):
            sheet.write_string(0, column, f"{about.meaning}, as a number [{self.unit('length')}]", self.bold)
            sheet.set_column(column, column, 18)
            for row, value in enumerate(frame[about.name], start=1):
                if math.isfinite(float(value)):
                    sheet.write_number(row, column, self.shown(value, "length"), self.format("length"))

    def _quantities(self, sheet: Any, schema: Schema, frame: pd.DataFrame) -> None:
        """After the last column the quantity of each item as a number, and its unit."""
        first = len(schema.columns)
        for column, (name, width) in enumerate((("quantity, as a number", 18), ("unit", 10)), start=first):
            sheet.write_string(0, column, name, self.bold)
            sheet.set_column(column, column, width)
        for row, text in enumerate(frame["quantity"], start=1):
            kind, value = measured(text)
            if kind:
                sheet.write_number(row, first, self.shown(value, kind), self.format(kind))
                sheet.write_string(row, first + 1, self.unit(kind) or "each")

    def _cell(self, sheet: Any, row: int, column: int, value: Any, about: Column, formula: str) -> None:
        """A text, or a number in the unit shown; a missing number leaves the cell empty."""
        if about.is_text:
            sheet.write_string(row, column, cell(value, about, self.system)[:LONGEST_TEXT])
        elif about.kind == "station":
            sheet.write_string(row, column, units.format_station(float(value), self.system))
        elif math.isfinite(float(value)):
            kind = about.unit_kind or "number"
            shown, form = self.shown(value, kind), self.format(kind)
            if formula:
                sheet.write_formula(row, column, formula, form, shown)
            else:
                sheet.write_number(row, column, shown, form)

    def _totals(self, sheet: Any, schema: Schema, frame: pd.DataFrame) -> None:
        last = len(frame) + 1
        totals = [n for n in TOTALS.get(schema.name, ()) if self.priced or schema[n].kind != "money"]
        for number, name in enumerate(totals):
            if not number:
                sheet.write_string(last, 0, "All", self.bold)
            column, value = schema.names.index(name), self.shown(frame[name].sum(), schema[name].kind)
            sheet.write_formula(last, column, f"=SUM({self.cells.all(schema.name, name)})", self.total, value)

    def decisions(self, decisions: Decisions) -> None:
        sheet = self.book.add_worksheet(DECISIONS)
        self.headings(sheet, 0, ["Decision", "Value", "Meaning"], [38, 20, 70])
        sheet.freeze_panes(1, 0)
        for row, entry in enumerate(entries(decisions), start=1):
            for column, text in enumerate((entry.name, entry.text(self.system), entry.about.meaning)):
                sheet.write_string(row, column, text[:LONGEST_TEXT])
