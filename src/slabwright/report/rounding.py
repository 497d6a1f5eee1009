"""Numbers rounded to what they are worth, for the design report; the appendix and the workbook keep every digit.

Three figures are more than field data and these equations carry (common practice, no source); stations, counts and
thicknesses keep the digits by which things are set out. Years of life are rounded down, for they are promised, and the longest that
is computed stands for that and more.
"""

from __future__ import annotations

import math

from slabwright import units
from slabwright.records.display import is_longest, life_words
from slabwright.terms import LONGEST_LIFE

__all__ = ["bare", "shown_unit", "worth"]

FIGURES = 3  # two of a share
WHOLE = ("years",)  # rounded down to whole ones
MONEY = ("money",)  # to three figures, thousands and millions too
PLAIN = ("number", "count")  # without a unit: no zeros at the end, and millions in words
AS_THEY_ARE = (
    "calendar_year",
    "thickness",
    "distance",
    "million_axles",
    "money_per_length",
    "money_per_area",
    "money_per_volume",
    "axle_load",
    "width",
)
ALMOST = 0.05  # of a year: a life computed to a design period counts as reaching it
MILLION = 1e6
TIMES = ("years", "days", "hours")
IN_MILLIONS = {
    ("modulus", "us"): "million psi",
    ("modulus", "metric"): "GPa",
    ("axles", "us"): "million",
    ("axles", "metric"): "million",
}


def bare(value: float, kind: str, system: units.System) -> str:
    """An SI value without its unit, rounded; a missing number is an en dash. The kind ``axles`` is a count in millions."""
    if not math.isfinite(value):
        return "–"
    if kind == "axles":
        return _figures(value / MILLION)
    number = float(units.convert(float(value), kind, system))
    if kind in WHOLE:
        if is_longest(number):
            return f"{LONGEST_LIFE:.0f}+"
        return f"{math.floor(number + ALMOST):,}"
    if kind in MONEY:
        return f"{float(f'{number:.{FIGURES}g}'):,.0f}"
    if kind in PLAIN:
        return f"{number / MILLION:.3g} million" if kind == "count" and abs(number) >= MILLION else _plain(number, kind)
    if kind in AS_THEY_ARE:
        return units.format_quantity(value, kind, system, unit=False)
    if (kind, system) in IN_MILLIONS:
        return _figures(number / (MILLION if system == "us" else 1e3))
    digits = units.kind(kind).digits(system)
    return _figures(number, digits, 2).removesuffix(".0") if kind == "share" else _figures(number, digits)


def _plain(number: float, kind: str) -> str:
    return f"{number:,.0f}" if kind == "count" or abs(number) >= 1000 else f"{number:.{FIGURES}g}"


def _figures(number: float, most: int = 9, figures: int = FIGURES) -> str:
    """So many figures, no more digits after the point than ``most``, and whole where it is greater than that."""
    if number == 0:
        return "0"
    digits = max(0, min(most, figures - 1 - math.floor(math.log10(abs(number)))))
    return f"{number:,.{digits}f}"


def shown_unit(kind: str, system: units.System) -> str:
    """The unit that belongs to ``bare``, as it is printed; "" for none."""
    if (kind, system) in IN_MILLIONS:
        return IN_MILLIONS[kind, system]
    return units.label(units.unit_of(kind, system))


def worth(value: float, kind: str, system: units.System) -> str:
    """An SI value rounded, with its unit; one of a unit of time is no plural."""
    if kind in WHOLE and is_longest(value):
        return life_words(value, system)
    number, unit = bare(value, kind, system), shown_unit(kind, system)
    if number == "1" and unit in TIMES:
        unit = unit.removesuffix("s")
    return f"{number} {unit}".strip() if math.isfinite(value) else "–"
