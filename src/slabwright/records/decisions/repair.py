"""Decisions on what is repaired, by which rules."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from slabwright.calculation import Choice, Quantity
from slabwright.records.decisions.words import YES_NO
from slabwright.units import FOOT, INCH

__all__ = ["RepairDecisions"]


@dataclass(frozen=True)
class RepairDecisions:
    """The rules by which repairs are marked out; an agency changes them here."""

    full_depth_shortest: Annotated[float, Quantity("length", "shortest full-depth repair along the lane", 0.9, 6.0)] = (
        6 * FOOT
    )
    full_depth_severity: Annotated[
        str, Choice("severity from which cracks and joints are replaced full depth", ("moderate", "high"))
    ] = "high"
    merge_gap: Annotated[
        float, Quantity("length", "sound length between repairs that is always replaced with them", 0.0, 10.0)
    ] = 6 * FOOT
    joint_distance: Annotated[
        float,
        Quantity(
            "length",
            "distance from the end of a full-depth repair within which it is moved to a joint (common practice, no source)",
            0.0,
            3.0,
        ),
    ] = 3 * FOOT
    partial_depth_deepest: Annotated[
        float, Quantity("share", "depth of spalling over slab depth beyond which repair is full depth", 0.1, 0.6)
    ] = 0.33
    partial_depth_margin: Annotated[
        float, Quantity("thickness", "sound margin around a partial-depth repair", 0.0, 0.5)
    ] = 3 * INCH
    crack_width_to_fill: Annotated[
        float, Quantity("width", "opening from which a crack is routed and filled", 0.0005, 0.02)
    ] = 0.003
    fill_partial_with_overlay: Annotated[str, Choice("fill partial-depth repairs as part of the overlay", YES_NO)] = (
        "yes"
    )
    restore_load_transfer: Annotated[str, Choice("restore load transfer at joints below the limit", YES_NO)] = "yes"
    restored_load_transfer: Annotated[
        float, Quantity("share", "load transfer of a restored joint (common practice, no source)", 0.5, 1.0)
    ] = 0.9
