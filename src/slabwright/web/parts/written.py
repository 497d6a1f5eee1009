"""Numbers of a page's tables, rounded to what they are worth; the working behind each, and its file, keep every digit."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np

from slabwright import units
from slabwright.records.display import cell, is_longest, life_words
from slabwright.records.remarks import CONCRETE
from slabwright.records.table import Column

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["as_read", "written"]

FIGURES = 3  # more than field data and these equations carry (common practice, no source)
ROUNDED = ("number", "age", "area", "volume", "stress", "modulus", "first_moment", "second_moment", "line_force")
LIVES = "years"  # the names of columns of lives end in it; years after an event and targets are called otherwise


def as_read(column: Column, values: pd.Series) -> Column:
    """The column in the kind in which its values are read."""
    if column.kind != "modulus":
        return column
    known = values.to_numpy(dtype=float)
    known = known[np.isfinite(known)]
    return replace(column, kind="slab_modulus") if len(known) and known.min() >= CONCRETE else column


def written(value: Any, column: Column, system: units.System) -> str:
    """One value of a table without its unit. Whole digits stay, so that columns can be added up. Raises nothing."""
    if column.kind == "years" and column.name.endswith(LIVES) and is_longest(float(value)):
        return life_words(float(value), system, unit=False)
    if column.kind not in ROUNDED or not math.isfinite(float(value)):
        return cell(value, column, system)
    number = float(units.convert(float(value), column.kind, system))
    digits = units.kind(column.kind).digits(system)
    if number == 0 or digits >= 6:
        return cell(value, column, system)
    kept = min(digits, FIGURES - 1 - math.floor(math.log10(abs(number))))
    return cell(value, column, system) if kept == digits else f"{number:,.{max(kept, 0)}f}"
