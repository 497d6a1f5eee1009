"""Where the numbers at bridges come from."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from slabwright.design.structures import GRAVITY, bridge_rows, lanes_width, overlay_dead_load, taper_length
from slabwright.design.terms_of_origins import RowOrigin
from slabwright.records.provenance import (
    Calculated,
    Cell,
    Copied,
    Decided,
    Derived,
    Fact,
    Fixed,
    Gathered,
    Method,
    Origin,
    Origins,
    Row,
    Source,
)

__all__ = ["BRIDGES"]


def _bridge(row: Row, column: str) -> Fact:
    """A fact of the bridge of a row of ``clearances`` or ``structures``."""
    rows = bridge_rows(row.scene.facts, carrying=row.table == "structures")
    return Fact("bridges", column, int(rows[row.index]))


def _of_bridge(column: str) -> RowOrigin:
    return lambda row: Copied(_bridge(row, column))


def _available(row: Row) -> Origin:
    return Derived("difference", (_bridge(row, "clearance"), _bridge(row, "required_clearance")), "thickness")


def _near(here: Row, thicknesses: pd.DataFrame) -> Any:
    near = (thicknesses["begin"] <= here["end"]) & (thicknesses["end"] >= here["begin"])
    return near & thicknesses["overlay"].notna()


def _beside(row: Row) -> Origin:
    if not row["deck_length"] > 0 or not np.asarray(_near(row, row.scene.frame("thicknesses"))).any():
        return Method("No overlay is built beside this bridge.")
    return Gathered("greatest", "thicknesses", "overlay", (), rows=_near)


def _deck_length(row: Row) -> Origin:
    if not row["deck_length"] > 0:
        return Method("The bridge lies beyond the ends of the road.")
    sections = row.scene.frame("thicknesses")
    ends = (
        Derived("least", (Cell("end"), Fixed(float(sections["end"].max()), "length", "end of the road"))),
        Derived("greatest", (Cell("begin"), Fixed(float(sections["begin"].min()), "length", "begin of the road"))),
    )
    return Derived("difference", ends, "length")


def _deck_area(row: Row) -> Origin:
    width = Fixed(lanes_width(row.scene.facts), "length", "width of all lanes", "lanes.width")
    return Derived("product", (Cell("deck_length"), width), "paved_area")


def _could_bear(row: Row) -> Origin:
    spare = _bridge(row, "spare_load")
    weight = Derived(
        "product", (Decided("design.overlay_density"), Fixed(GRAVITY, "number", "standard gravity")), "unit_weight"
    )
    by_load = Derived("ratio", (spare, weight), "thickness")
    raised = _bridge(row, "allowable_raise")
    known = np.isfinite(raised.take(row).number)
    return Derived("least", (by_load, raised), "thickness") if known else by_load


def _chosen_near(here: Row, ways: pd.DataFrame) -> Any:
    near = (ways["begin"] <= here["end"]) & (ways["end"] >= here["begin"])
    return near & (ways["chosen"] == "yes")


def _raise_of_grade(row: Row) -> Origin:
    """Of the thickest overlay beside the bridge, less what is milled off, or of the way chosen through a refused section."""
    parts: list[Source] = [Fixed(0.0, "thickness", "nothing")]
    if np.asarray(_near(row, row.scene.frame("thicknesses"))).any():
        thickest = Gathered("greatest", "thicknesses", "overlay", (), rows=_near)
        parts.append(Derived("difference", (thickest, Decided("design.milling_depth")), "thickness", "raise"))
    if np.asarray(_chosen_near(row, row.scene.frame("refused_ways"))).any():
        parts.append(Gathered("greatest", "refused_ways", "raised", (), rows=_chosen_near))
    if len(parts) == 1:
        return Method("Nothing is built beside this bridge.")
    return Derived("greatest", tuple(parts), "thickness")


BRIDGES: Origins = {
    "clearances": {
        "begin": _of_bridge("begin"),
        "end": _of_bridge("end"),
        "available": _available,
        "grade_raise": _raise_of_grade,
    },
    "structures": {
        **{name: _of_bridge(name) for name in ("begin", "end", "spare_load")},
        "deck_length": _deck_length,
        "deck_area": _deck_area,
        "beside": _beside,
        "dead_load": Calculated(
            overlay_dead_load, {"thickness": Cell("beside"), "density": Decided("design.overlay_density")}
        ),
        "could_bear": _could_bear,
        "taper": Calculated(taper_length, {"rise": Cell("beside"), "ratio": Decided("design.taper_ratio")}),
    },
}
