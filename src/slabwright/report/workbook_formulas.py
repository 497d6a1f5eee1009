"""Which cells of the workbook are formulas: measures from lengths, sums from rows, costs from quantities and unit prices.

Cells are in the units of the workbook: repairs in ft and ft² with prices per yd², the overlay in yd², in and yd³; or all
in m and mm.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from xlsxwriter.utility import xl_col_to_name

from slabwright.economics.items import measured
from slabwright.economics.pricing import SAWCUTS
from slabwright.errors import StoreError
from slabwright.records.words import CRACK, FILLED_BY_OVERLAY, FULL, PARTIAL, TRANSFER, VOID
from slabwright.stages import outcomes
from slabwright.units import System

__all__ = ["FORMULAS", "TOTALS", "Cells"]


@dataclass(frozen=True)
class Cells:
    """Where things stand in the workbook: sheets and numbers of rows by table, cells of the unit prices by name."""

    sheets: Mapping[str, str]
    rows: Mapping[str, int]
    prices: Mapping[str, str]
    system: System

    def letter(self, table: str, column: str) -> str:
        return xl_col_to_name(outcomes()[table].names.index(column))

    def here(self, table: str, column: str, row: int) -> str:
        """A cell, as its own sheet names it; rows count from 1."""
        return f"{self.letter(table, column)}{row}"

    def there(self, table: str, column: str, row: int) -> str:
        """A cell, as another sheet names it."""
        return f"'{self.sheets[table]}'!{self.here(table, column, row)}"

    def all(self, table: str, column: str) -> str:
        """A column without its heading, as any sheet names it."""
        letter, last = self.letter(table, column), max(self.rows[table], 1) + 1
        return f"'{self.sheets[table]}'!${letter}$2:${letter}${last}"

    def summed(self, table: str, column: str, by: tuple[str, ...], at: str, row: int) -> str:
        """The sum of a column over the rows whose columns ``by`` are as in a row of the table ``at``."""
        return f"SUMIFS({self.all(table, column)},{self.matched(table, by, at, row)})"

    def matched(self, table: str, by: tuple[str, ...], at: str, row: int) -> str:
        return ",".join(f"{self.all(table, c)},{self.here(at, c, row)}" for c in by)


Formula = Callable[[Cells, int, Any], str]  # cells, row of the sheet, record: the formula, or "" for a plain value
IN_GROUP = ("section", "kind")


def _area(cells: Cells, row: int, repair: Any) -> str:
    measured = repair.kind in (FULL, PARTIAL)
    return f"={cells.here('repairs', 'length', row)}*{cells.here('repairs', 'width', row)}" if measured else ""


def _number(cells: Cells, row: int, group: Any) -> str:
    """A criterion without a text matches no row, so a group off every section keeps its value."""
    return f"=COUNTIFS({cells.matched('repairs', IN_GROUP, 'repair_quantities', row)})" if group.section else ""


def _in_group(table: str, column: str, at: str, by: tuple[str, ...] = IN_GROUP) -> Formula:
    def formula(cells: Cells, row: int, group: Any) -> str:
        return f"={cells.summed(table, column, by, at, row)}" if group.section else ""

    return formula


def _volume(cells: Cells, row: int, _: Any) -> str:
    per = {"us": 36, "metric": 1000}[cells.system]  # in in a yd, mm in a m
    return f"={cells.here('overlay_quantities', 'area', row)}*{cells.here('overlay_quantities', 'overlay', row)}/{per}"


def _laid(column: str, price: str) -> Formula:
    def formula(cells: Cells, row: int, _: Any) -> str:
        return (
            f"={cells.summed('overlay_quantities', column, ('section',), 'section_costs', row)}*{cells.prices[price]}"
        )

    return formula


def _whole(cells: Cells, row: int, _: Any) -> str:
    first, last = (cells.here("section_costs", c, row) for c in ("concrete_cost", "repair_cost"))
    return f"=SUM({first}:{last})"


def _cost(cells: Cells, row: int, repair: Any) -> str:
    """Of one repair, which stands in the same row of the sheet of repairs."""
    area, length = (cells.there("repairs", c, row) for c in ("area", "length"))
    area += "/9" if cells.system == "us" else ""  # ft2 in a yd2
    partial = "partial_removal_cost" if repair.filled_with == FILLED_BY_OVERLAY else "partial_depth_cost"
    price = cells.prices
    formulas = {
        FULL: f"={area}*{price['full_depth_cost']}+{SAWCUTS}*{price['saw_cost']}",
        PARTIAL: f"={area}*{price[partial]}",
        CRACK: f"={length}*{price['crack_cost']}",
        VOID: f"={price['void_cost']}",
        TRANSFER: f"={price['load_transfer_cost']}",
    }
    if repair.kind not in formulas:
        raise StoreError("the workbook has no price for this kind of repair", given=repair.kind)
    return formulas[repair.kind]


def _item(cells: Cells, row: int, item: Any) -> str:
    """Of one item: its quantity, as a number after the last column, times its unit price."""
    kind, _ = measured(item.quantity)
    price = cells.prices.get(item.priced_by.partition(".")[2], "")
    return f"={xl_col_to_name(len(outcomes()['bid_items'].names))}{row}*{price}" if kind and price else ""


FORMULAS: Mapping[str, Mapping[str, Formula]] = {
    "repairs": {"area": _area},
    "repair_quantities": {
        "number": _number,
        "length": _in_group("repairs", "length", "repair_quantities"),
        "area": _in_group("repairs", "area", "repair_quantities"),
    },
    "overlay_quantities": {"volume": _volume},
    "bid_items": {"amount": _item},
    "section_costs": {
        "concrete_cost": _laid("volume", "concrete_cost"),
        "surface_cost": _laid("area", "surface_cost"),
        "repair_cost": _in_group("repair_kind_costs", "cost", "section_costs", ("section",)),
        "cost": _whole,
    },
    "repair_kind_costs": {"cost": _in_group("repair_costs", "cost", "repair_kind_costs")},
    "repair_costs": {"cost": _cost},
}

# Columns that are summed under their table.
TOTALS: Mapping[str, tuple[str, ...]] = {
    "bid_items": ("amount",),
    "overlay_quantities": ("area", "volume"),
    "section_costs": ("concrete_cost", "surface_cost", "repair_cost", "cost"),
    "repair_kind_costs": ("cost",),
    "repair_costs": ("cost",),
}
