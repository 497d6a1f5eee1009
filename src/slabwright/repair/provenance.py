"""Where the numbers of the repairs come from."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import numpy as np

from slabwright.evaluation.condition import effective_thickness_condition, joints_and_cracks_factor
from slabwright.evaluation.joints import load_transfer_coefficient
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
    Of,
    Origin,
    Origins,
    Row,
    Sheet,
    Source,
)
from slabwright.records.words import CRACK, FULL, PARTIAL, TRANSFER, VOID
from slabwright.repair.after import DECIDED
from slabwright.roadway.areas import section_areas

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["ORIGINS", "SHEETS"]

# By kind of repair: how its ends are found, and its width.
ENDS = {
    FULL: "Centred on the distress and at least repair.full_depth_shortest long; an end nearer to a joint than"
    " repair.joint_distance, on either side, is moved to it, and a distress at a joint is replaced that far on both sides; neighbours are one repair where they overlap or the sound piece between them is at"
    " most repair.merge_gap.",
    PARTIAL: "Centred on the spall, with the margin repair.partial_depth_margin on all sides.",
    CRACK: "Station of the crack in the survey of distress; a longitudinal crack reaches as far as it is long.",
    VOID: "Station of the corner tested.",
    TRANSFER: "Station of the joint: a joint tested, or each joint of the section where its mean load transfer is too low."
    " Joints are those surveyed or tested; between and beyond them they are assumed from the joint spacing, and the reason says"
    " so.",
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


def _unrepaired(row: Row) -> Origin:
    if row["unrepaired_from"] == DECIDED:
        return Copied(Decided("evaluation.unrepaired"))
    walks = row.scene.frame("lanes_walked")
    counted = walks[(walks["section"] == row["section"]) & (walks["lane"] == row["lane"])]["counted"]
    over = float(counted.iloc[0]) if len(counted) else 1.0
    return Derived("ratio", (Cell("left"), Fixed(over, "length", "length walked, lanes_walked")), "frequency")


def _transfer_after(row: Row) -> Origin:
    return Copied(
        Cell("transfer") if row["transfer_after"] == row["transfer"] else Decided("repair.restored_load_transfer")
    )


def _coefficient(row: Row) -> Origin:
    if row["coefficient"] == row["coefficient_found"]:
        return Copied(Cell("coefficient_found"))
    return Calculated(load_transfer_coefficient, {"efficiency": Cell("transfer_after")})


AFTER: dict[str, Origin | Callable[[Row], Origin]] = {
    "begin": Copied(Of("condition", "begin")),
    "end": Copied(Of("condition", "end")),
    "deteriorated": Method(
        "Counted in the lane: transverse cracks, corner breaks, punchouts, spalled joints and durability cracking of moderate or"
        " high severity in the table Distress with severity, and those that nobody rated."
    ),
    "left": Method(
        "Counted in the lane: those of them that no full- or partial-depth repair replaces; a crack routed and filled still works."
    ),
    "unrepaired": _unrepaired,
    "joints_factor": Calculated(joints_and_cracks_factor, {"unrepaired": Cell("unrepaired")}),
    "effective_condition": Calculated(
        effective_thickness_condition,
        {
            "thickness": Of("condition", "thickness"),
            "joints_and_cracks": Cell("joints_factor"),
            "durability": Of("condition", "durability_factor"),
            "fatigue": Of("condition", "fatigue_factor"),
        },
    ),
    "transfer": Copied(Of("condition", "transfer")),
    "transfer_after": _transfer_after,
    "coefficient_found": Copied(Of("condition", "load_transfer_coefficient")),
    "coefficient": _coefficient,
}

ORIGINS: Origins = {
    "repairs": REPAIRS,
    "repair_quantities": {
        "number": _in_group("number", "length"),
        **{c: _in_group("sum", c) for c in ("length", "area")},
        "area_share": _area_share,
    },
    "after_repair": AFTER,
    "reflected_cracks": {
        "slabs": Method("Length over which the lane is counted (lanes_walked), by the joint spacing of its layer."),
        "cracked": Method(
            "Slabs between the joints of the lane with a transverse, longitudinal or corner crack in the table Distress with"
            " severity, of any severity, in jointed reinforced slabs not the low ones; a longitudinal crack is in every slab of"
            " its length. Cracks themselves where no joint spacing is given."
        ),
        "left": Method(
            "Those of them that keep a crack outside the full-depth repairs; a crack routed and filled works."
        ),
        "share": Derived("least", (Derived("ratio", (Cell("left"), Cell("slabs")), "share"), Fixed(1.0, "share"))),
    },
}


def _answered(after: pd.DataFrame) -> pd.DataFrame:
    return after[after["effective_condition"].notna()]


SHEETS = (Sheet("after_repair", ("unrepaired", "joints_factor", "effective_condition", "coefficient"), _answered),)
