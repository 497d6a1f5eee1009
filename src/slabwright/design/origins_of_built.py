"""Where the numbers of the thickness as built come from."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pandas as pd

from slabwright.design.built import BY_HAND, FOR_ALL, thickness_by_hand
from slabwright.records.provenance import (
    Cell,
    Copied,
    Decided,
    Derived,
    Gathered,
    Method,
    Of,
    Origin,
    Origins,
    Row,
)

__all__ = ["BUILT", "STRETCHES"]


def _proposed(row: Row) -> Origin:
    """The rounded need of the section that asks for the most in its stretch."""
    if row["proposed"] == row["rounded"]:
        return Copied(Cell("rounded"))
    sections = row.scene.frame("thicknesses")
    same = (sections["direction"] == row["direction"]) & (sections["rounded"] == row["proposed"])
    away = (sections.loc[same, "begin"] - row["begin"]).abs()
    return Copied(Of("thicknesses", "rounded", (), {"section": sections.loc[away.idxmin(), "section"]}))


def _overlay(row: Row) -> Origin:
    decided = row.scene.decisions.design
    if row["section"] in thickness_by_hand(decided.thickness_by_hand, row.scene.frame("thicknesses")):
        return Method(f"Decided by hand in {BY_HAND}.")
    return Copied(Decided(FOR_ALL) if decided.thickness > 0 else Cell("proposed"))


BUILT: dict[str, Origin | Callable[[Row], Origin]] = {
    "proposed": _proposed,
    "overlay": _overlay,
    "surplus": Derived("difference", (Cell("overlay"), Cell("bonded")), "thickness"),
}


def _within(here: Row, sections: pd.DataFrame) -> Any:
    return np.isin(sections["section"].to_numpy(dtype=object).astype(str), str(here["sections"]).split(", "))


def _gathered(operation: str, column: str, table: str = "thicknesses") -> Origin:
    return Gathered(operation, table, column, (), rows=_within)


STRETCHES: Origins = {
    "stretches": {
        "begin": _gathered("least", "begin"),
        "end": _gathered("greatest", "end"),
        "length": Derived("difference", (Cell("end"), Cell("begin")), "length"),
        "needed": _gathered("greatest", "bonded"),
        "overlay": _gathered("greatest", "overlay"),
        "least_surplus": _gathered("least", "surplus"),
        "most_surplus": _gathered("greatest", "surplus"),
        "area": _gathered("sum", "area", "overlay_quantities"),
        "volume": Derived("product", (Cell("area"), Cell("overlay")), "volume"),
        "by_sections": Method(
            "Sum over its sections of the area of the overlay times the thickness that the section needs, rounded to build;"
            " arithmetic, no equation."
        ),
    },
}
