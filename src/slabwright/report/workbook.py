"""Quantities as a workbook: repairs and overlay with live sums over a sheet of unit prices.

Every formula is stored with its value, so that a reader that does not calculate shows the same numbers. Texts are
written as texts: a lane called ``=1+1`` stays that.
"""

from __future__ import annotations

import io
import math
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pandas as pd
import xlsxwriter
from xlsxwriter.utility import xl_rowcol_to_cell

from slabwright import __version__, units
from slabwright.errors import StoreError
from slabwright.records.decisions import Decisions, entries
from slabwright.records.display import cell, heading
from slabwright.records.remarks import reads
from slabwright.records.results import StageResult
from slabwright.records.table import Column
from slabwright.records.words import CRACK, FULL, PARTIAL, TRANSFER, VOID
from slabwright.report.files import write_whole
from slabwright.stages import outcomes, stages

__all__ = ["write_workbook"]

LONGEST_TEXT = 32_000  # a cell holds 32,767 characters
WITH_FORMULAS = ("repairs", "repair_quantities", "overlay_quantities")  # tables with a sheet of their own
CAUTION = (
    "Prepared to assist a licensed engineer. Local codes, the agency's standards and that engineer's judgement govern."
    " Check quantities in the field before ordering."
)


def write_workbook(
    path: Path, *, alternative: str, decisions: Decisions, results: Mapping[str, StageResult], system: units.System
) -> None:
    """Write the workbook whole or not at all. Raises StoreError when the place cannot be written."""
    buffer = io.BytesIO()
    options = {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False, "nan_inf_to_errors": False}
    with xlsxwriter.Workbook(buffer, options) as book:
        book.set_properties({"title": "Quantities", "comments": f"Slabwright {__version__}"})
        sheets = _Sheets(book, system)
        summary = book.add_worksheet("Summary")
        prices = sheets.prices(decisions)
        repairs = results["repair"].tables["repairs"]
        overlay = results["design"].tables["overlay_quantities"]
        sheets.summary(summary, alternative, overlay, repairs)
        sheets.repairs(repairs, prices)
        sheets.repair_sums(results["repair"].tables["repair_quantities"], len(repairs))
        sheets.overlay(overlay, len(repairs), prices)
        for stage in reversed(stages()):  # what is decided first, what was measured last
            for schema in stage.outcomes if stage.name in results else ():
                if not schema.bulk and schema.name not in WITH_FORMULAS:
                    sheets.plain(schema.name, results[stage.name].tables[schema.name])
        sheets.decisions(decisions)
    write_whole(path, buffer.getvalue())


class _Sheets:
    """The sheets of one workbook with its formats; rows are filled from the top."""

    def __init__(self, book: Any, system: units.System) -> None:
        self.book, self.system = book, system
        self.bold = book.add_format({"bold": True, "text_wrap": True, "valign": "top", "bottom": 1})
        self.total = book.add_format({"bold": True, "top": 1, "num_format": "#,##0"})
        self.wrap = book.add_format({"text_wrap": True, "valign": "top"})
        self.numbers = {d: book.add_format({"num_format": "#,##0" + ("." + "0" * d if d else "")}) for d in range(10)}

    def unit(self, kind: str) -> str:
        return units.label(units.unit_of(kind, self.system))

    def shown(self, value: float, kind: str) -> float:
        return float(units.convert(float(value), kind, self.system))

    def number(self, sheet: Any, row: int, column: int, value: float, kind: str) -> None:
        """A number in the unit shown; a missing one leaves the cell empty."""
        if math.isfinite(value):
            sheet.write_number(row, column, self.shown(value, kind), self.format(kind))

    def format(self, kind: str) -> Any:
        return self.numbers[min(units.kind(kind).digits(self.system), 9)]

    def headings(self, sheet: Any, row: int, names: list[str], widths: list[int]) -> None:
        for column, (name, width) in enumerate(zip(names, widths, strict=True)):
            sheet.write_string(row, column, name, self.bold)
            sheet.set_column(column, column, width)
        sheet.freeze_panes(row + 1, 0)

    def prices(self, decisions: Decisions) -> dict[str, tuple[str, float]]:
        """The sheet of unit prices: cell and value of each, by the name of its decision."""
        sheet = self.book.add_worksheet("Prices")
        self.headings(sheet, 0, ["Item", "Unit price", "Per"], [46, 14, 14])
        repair, overlay = decisions.repair, decisions.design
        partial = (
            repair.partial_removal_cost if repair.fill_partial_with_overlay == "yes" else repair.partial_depth_cost
        )
        rows = [
            ("full_depth", "Full-depth repair", repair.full_depth_cost, "money_per_area", ""),
            ("saw", "Transverse sawcut across a lane", repair.saw_cost, "money", "each"),
            ("partial", "Partial-depth repair, as decided", partial, "money_per_area", ""),
            ("crack", "Crack routed and filled", repair.crack_cost, "money_per_length", ""),
            ("void", "Slab corner stabilised", repair.void_cost, "money", "each"),
            ("transfer", "Load transfer restored", repair.load_transfer_cost, "money", "joint and lane"),
            ("concrete", "Overlay concrete in place", overlay.concrete_cost, "money_per_volume", ""),
            ("surface", "Preparation, joints and curing", overlay.surface_cost, "money_per_area", ""),
        ]
        found = {}
        for row, (key, item, value, kind, each) in enumerate(rows, start=1):
            price = self.shown(value, kind)
            sheet.write_string(row, 0, item)
            sheet.write_number(row, 1, price, self.numbers[2])
            sheet.write_string(row, 2, each or self.unit(kind).removeprefix("per "))
            found[key] = (f"Prices!{xl_rowcol_to_cell(row, 1, row_abs=True, col_abs=True)}", price)
        return found

    def summary(self, sheet: Any, alternative: str, overlay: pd.DataFrame, repairs: pd.DataFrame) -> None:
        sheet.set_column(0, 0, 40)
        sheet.set_column(1, 1, 18)
        last = len(overlay) + 1
        rows: list[tuple[str, str, float]] = [
            ("Overlay area [" + self.unit("paved_area") + "]", f"=SUM(Overlay!B2:B{last})", self.shown(overlay["area"].sum(), "paved_area")),
            ("Overlay concrete [" + self.unit("volume") + "]", f"=SUM(Overlay!D2:D{last})", self.shown(overlay["volume"].sum(), "volume")),
            ("Cost of repairs", f"=SUM(Repairs!K2:K{len(repairs) + 1})", float(repairs["cost"].sum())),
            ("Cost in all, repairs with it", f"=SUM(Overlay!H2:H{last})", float(overlay["cost"].sum())),
        ]  # fmt: skip
        sheet.write_string(0, 0, f"Quantities of alternative {alternative}"[:LONGEST_TEXT], self.bold)
        for row, (name, formula, value) in enumerate(rows, start=2):
            sheet.write_string(row, 0, name)
            sheet.write_formula(row, 1, formula, self.numbers[0], value)
        sheet.write_string(len(rows) + 3, 0, CAUTION, self.wrap)

    def repairs(self, repairs: pd.DataFrame, prices: Mapping[str, tuple[str, float]]) -> None:
        """One row for each repair; area and cost are formulas."""
        sheet = self.book.add_worksheet("Repairs")
        length, area = self.unit("length"), self.unit("area")
        names = [
            "Repair",
            "Section",
            "Lane",
            "From",
            "To",
            "Kind",
            f"Length [{length}]",
            f"Width [{length}]",
            f"Depth [{self.unit('thickness')}]",
            f"Area [{area}]",
            "Cost",
            "Reason",
        ]
        self.headings(sheet, 0, names, [9, 9, 12, 12, 12, 24, 12, 12, 12, 12, 12, 60])
        for row, r in enumerate(repairs.itertuples(index=False), start=1):
            for column, text in (
                (0, r.repair),
                (1, r.section),
                (2, r.lane),
                (5, r.kind),
                (11, reads(r.reason, self.system)),
            ):
                sheet.write_string(row, column, text[:LONGEST_TEXT])
            for column, station in ((3, r.begin), (4, r.end)):
                sheet.write_string(row, column, units.format_station(station, self.system))
            self.number(sheet, row, 6, r.length, "length")
            self.number(sheet, row, 7, r.width, "length")
            self.number(sheet, row, 8, r.depth, "thickness")
            if r.kind in (FULL, PARTIAL):
                sheet.write_formula(row, 9, f"=G{row + 1}*H{row + 1}", self.format("area"), self.shown(r.area, "area"))
            sheet.write_formula(row, 10, _cost_formula(r.kind, row + 1, prices, self.system), self.numbers[0], r.cost)

    def repair_sums(self, sums: pd.DataFrame, repairs: int) -> None:
        sheet = self.book.add_worksheet("Repair sums")
        names = ["Section", "Kind", "Number", f"Length [{self.unit('length')}]", f"Area [{self.unit('area')}]", "Cost"]
        self.headings(sheet, 0, names, [10, 26, 10, 14, 14, 14])
        keys = f"Repairs!B$2:B${repairs + 1},A{{0}},Repairs!F$2:F${repairs + 1},B{{0}}"
        for row, s in enumerate(sums.itertuples(index=False), start=1):
            match = keys.format(row + 1)
            sheet.write_string(row, 0, s.section)
            sheet.write_string(row, 1, s.kind)
            sheet.write_formula(row, 2, f"=COUNTIFS({match})", self.numbers[0], s.number)
            for column, source, value, kind in (
                (3, "G", s.length, "length"),
                (4, "J", s.area, "area"),
                (5, "K", s.cost, "money"),
            ):
                formula = f"=SUMIFS(Repairs!{source}$2:{source}${repairs + 1},{match})"
                sheet.write_formula(row, column, formula, self.format(kind), self.shown(value, kind))
        if len(sums):
            sheet.write_string(len(sums) + 1, 0, "All", self.bold)
            sheet.write_formula(len(sums) + 1, 5, f"=SUM(F2:F{len(sums) + 1})", self.total, float(sums["cost"].sum()))

    def overlay(self, overlay: pd.DataFrame, repairs: int, prices: Mapping[str, tuple[str, float]]) -> None:
        sheet = self.book.add_worksheet("Overlay")
        names = [
            "Section",
            f"Area [{self.unit('paved_area')}]",
            f"Thickness [{self.unit('thickness')}]",
            f"Concrete [{self.unit('volume')}]",
            "Concrete cost",
            "Surface cost",
            "Repair cost",
            "Cost",
        ]
        self.headings(sheet, 0, names, [10, 14, 14, 14, 14, 14, 14, 14])
        factor = 1.0 if self.system == "metric" else 1 / 3  # yd2 and ft to yd3
        per = {"us": 12.0, "metric": 1000.0}[self.system]  # in in a ft, mm in a m
        for row, o in enumerate(overlay.itertuples(index=False), start=1):
            n = row + 1
            sheet.write_string(row, 0, o.section)
            self.number(sheet, row, 1, o.area, "paved_area")
            self.number(sheet, row, 2, o.overlay, "thickness")
            sheet.write_formula(
                row, 3, f"=B{n}*C{n}/{per:g}*{factor!r}", self.format("volume"), self.shown(o.volume, "volume")
            )
            sheet.write_formula(row, 4, f"=D{n}*{prices['concrete'][0]}", self.numbers[0], o.concrete_cost)
            sheet.write_formula(row, 5, f"=B{n}*{prices['surface'][0]}", self.numbers[0], o.surface_cost)
            sums = f"=SUMIFS(Repairs!K$2:K${max(repairs, 1) + 1},Repairs!B$2:B${max(repairs, 1) + 1},A{n})"
            sheet.write_formula(row, 6, sums, self.numbers[0], o.repair_cost)
            sheet.write_formula(row, 7, f"=E{n}+F{n}+G{n}", self.numbers[0], o.cost)
        if len(overlay):
            n = len(overlay) + 1
            sheet.write_string(n, 0, "All", self.bold)
            for column, name in (
                (1, "area"),
                (3, "volume"),
                (4, "concrete_cost"),
                (5, "surface_cost"),
                (6, "repair_cost"),
                (7, "cost"),
            ):
                letter = "ABCDEFGH"[column]
                kind = {"area": "paved_area", "volume": "volume"}.get(name, "money")
                sheet.write_formula(
                    n, column, f"=SUM({letter}2:{letter}{n})", self.total, self.shown(overlay[name].sum(), kind)
                )

    def plain(self, name: str, frame: pd.DataFrame) -> None:
        """A result table as values."""
        schema = outcomes()[name]
        sheet = self.book.add_worksheet(name.capitalize())
        self.headings(
            sheet,
            0,
            [heading(c, self.system) for c in schema.columns],
            [max(14, min(len(c.meaning), 40)) for c in schema.columns],
        )
        for column, c in enumerate(schema.columns):
            for row, value in enumerate(frame[c.name], start=1):
                self._cell(sheet, row, column, value, c)

    def _cell(self, sheet: Any, row: int, column: int, value: Any, about: Column) -> None:
        if about.is_text:
            sheet.write_string(row, column, cell(value, about, self.system)[:LONGEST_TEXT])
        elif about.kind == "station":
            sheet.write_string(row, column, units.format_station(float(value), self.system))
        else:
            self.number(sheet, row, column, float(value), about.unit_kind or "number")

    def decisions(self, decisions: Decisions) -> None:
        sheet = self.book.add_worksheet("Decisions")
        self.headings(sheet, 0, ["Decision", "Value", "Meaning"], [38, 20, 70])
        for row, entry in enumerate(entries(decisions), start=1):
            for column, text in enumerate((entry.name, entry.text(self.system), entry.about.meaning)):
                sheet.write_string(row, column, text[:LONGEST_TEXT])


def _cost_formula(kind: str, row: int, prices: Mapping[str, tuple[str, float]], system: units.System) -> str:
    """Areas of repairs are in ft² or m², their prices per yd² or m²."""
    cell = {key: where for key, (where, _) in prices.items()}
    area = f"J{row}/9" if system == "us" else f"J{row}"
    formulas = {
        FULL: f"={area}*{cell['full_depth']}+2*{cell['saw']}",
        PARTIAL: f"={area}*{cell['partial']}",
        CRACK: f"=G{row}*{cell['crack']}",
        VOID: f"={cell['void']}",
        TRANSFER: f"={cell['transfer']}",
    }
    if kind not in formulas:
        raise StoreError("the workbook has no price for this kind of repair", given=kind)
    return formulas[kind]
