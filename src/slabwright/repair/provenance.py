"""Where the numbers of the repairs come from."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from slabwright.records.provenance import (
    Cell,
    Copied,
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
from slabwright.records.words import CRACK, FULL, PARTIAL, TRANSFER, VOID
from slabwright.roadway.areas import section_areas

__all__ = ["ORIGINS", "SHEETS"]

# By kind of repair: how its ends are found, and its width.
ENDS = {
    FULL: "Centred on the distress and at least repair.full_depth_shortest long; neighbours are one repair where the sound piece"
    " between them is at most repair.merge_gap.",
    PARTIAL: "Centred on the spall, with the margin repair.partial_depth_margin on all sides.",
    CRACK: "Station of the crack in the survey of distress; a longitudinal crack reaches as far as it is long.",
    VOID: "Station of the corner tested.",
    TRANSFER: "Station of the joint: a joint tested, or each joint of the section where its mean load transfer is too low.",
}
WIDTHS = {
    PARTIAL: "Length of the spall in the survey of distress, with the margin repair.partial_depth_margin on both sides.",
    CRACK: "Length of a transverse crack in the survey of distress; nothing for a longitudinal one.",
}
DEPTHS = {
    FULL: "Slab thickness at the distress, as in the table Backcalculated moduli: a core nearby, the cores of the pavement, or the"
    " plans; the greatest of those that are merged.",
    PARTIAL: "Depth of loss in the survey of distress, a usual depth where it was not measured (common practice, no source).",
}
ALONG = Derived("difference", (Cell("end"), Cell("begin")), "length", "length along the lane")
NO_AREA = Method("No area is counted for this kind of repair.")


def _ends(row: Row) -> Origin:
    return Method(f"{ENDS[row['kind']]} Table Distress with severity; a rule of the stage, no equation.")


def _length(row: Row) -> Origin:
    return Derived("greatest", (ALONG, Cell("width")), "length") if row["kind"] == CRACK else ALONG


def _width(row: Row) -> Origin:
    if row["kind"] in WIDTHS:
        return Method(WIDTHS[row["kind"]])
    lane = np.flatnonzero((row.scene.facts.lanes["lane"] == row["lane"]).to_numpy())
    if not len(lane):
        return Method("Usual width of a lane, because the table of lanes does not give this one.")
    return Copied(Fact("lanes", "width", int(lane[0])))


def _depth(row: Row) -> Origin:
    return Method(DEPTHS[row["kind"]])


def _area(row: Row) -> Origin:
    return Derived("product", (ALONG, Cell("width")), "area") if row["kind"] in (FULL, PARTIAL) else NO_AREA


def _in_group(operation: str, column: str) -> Origin:
    return Gathered(operation, "repairs", column, ("section", "kind"))


def _area_share(row: Row) -> Origin:
    areas = section_areas(row.scene.frame("verdicts"), row.scene.facts)
    whole: Source = Fixed(
        areas[row["section"]],
        "area",
        "area of the section over all lanes of its direction, without decks",
        "length by widths of lanes",
    )
    return Derived("ratio", (Cell("area"), whole), "share")


REPAIRS: dict[str, Origin | Callable[[Row], Origin]] = {
    "begin": _ends,
    "end": _ends,
    "length": _length,
    "width": _width,
    "depth": _depth,
    "area": _area,
}

ORIGINS: Origins = {
    "repairs": REPAIRS,
    "repair_quantities": {
        "number": _in_group("number", "length"),
        **{c: _in_group("sum", c) for c in ("length", "area")},
        "area_share": _area_share,
    },
}

SHEETS = ()
