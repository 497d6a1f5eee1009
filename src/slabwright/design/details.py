"""Steel, joints and specification values of the chosen overlay."""

from __future__ import annotations

import numpy as np
import pandas as pd

from slabwright.calculation import Array
from slabwright.design.joints import SPECIFICATION, saw_depth
from slabwright.design.steel import (
    bar_count_per_width,
    continuous_crack_spacing,
    continuous_crack_width,
    continuous_steel_for_spacing,
    continuous_steel_for_stress,
    continuous_steel_for_width,
    continuous_steel_stress,
    drag_steel_area,
)
from slabwright.records.decisions import Decisions
from slabwright.records.decisions.design import DesignDecisions
from slabwright.records.facts import Facts
from slabwright.records.outcomes.design import SPECIFICATIONS, STEEL
from slabwright.records.remarks import Remark, remark
from slabwright.records.table import empty, table
from slabwright.roadway.places import design_lane, directions_of_lanes, lane_width, section_layers
from slabwright.units import FOOT, INCH, PSI

__all__ = ["specification", "steel_and_joints"]

WIDEST_SPACING = 8 * FOOT
NARROWEST_SPACING = 3.5 * FOOT
WIDEST_CRACK = 0.04 * INCH
STEEL_EXPANSION = 9.0e-6  # 1/K: 5.0e-6 per degree F (looked up in the continuous-reinforcement slides)
USUAL_TEXTURE = 0.0008  # m, FHWA T 5040.36 (from memory)
TENSILE_SHARE = 0.86  # indirect tensile strength over modulus of rupture (looked up, same)
ALLOWABLE_STRESS = 60000 * PSI  # No. 5 bars at 400 to 700 psi: 60 to 65 ksi (looked up, same)
LEAST_STEEL, MOST_STEEL = 0.004, 0.015  # shares of the section
USUAL_LENGTH = 18.0  # m between free joints, where no joint spacing is given
TOO_NARROW = remark(
    "continuous reinforcement; cracks closer than {least}: use fewer or larger bars",
    least=("length", NARROWEST_SPACING),
)
NO_THICKNESS = "no thickness, no steel and no joints"
OLD_JOINTS = "joints over every joint of the old slab; no steel across transverse joints"


def steel_and_joints(designed: pd.DataFrame, overlay: Array, facts: Facts, decisions: Decisions) -> pd.DataFrame:
    """The table ``steel``: saw depths, and fabric or continuous steel where chosen."""
    rows = [_section_steel(designed.iloc[i], float(t), facts, decisions) for i, t in enumerate(overlay)]
    return table(STEEL, pd.DataFrame(rows)) if rows else empty(STEEL)


def _section_steel(state: pd.Series, thickness: float, facts: Facts, decisions: Decisions) -> dict[str, object]:
    choice = decisions.design
    if not np.isfinite(thickness):
        return {"section": state["section"], "overlay": thickness, "note": NO_THICKNESS}
    cut = saw_depth(thickness)
    lanes = [lane for lane, way in directions_of_lanes(facts).items() if way == state["direction"]]
    layer = int(section_layers(facts, state.to_frame().T)[0])
    spacing = float(facts.layers["joint_spacing"].iloc[layer]) if layer >= 0 else np.nan
    row: dict[str, object] = {
        "section": state["section"],
        "overlay": thickness,
        "joint_spacing": spacing,
        "transverse_saw": float(cut.transverse),
        "longitudinal_saw": float(cut.longitudinal),
        "note": OLD_JOINTS,
    }
    if state["pavement"] == "CRCP":
        row |= {
            "transverse_saw": np.nan,
            "joint_spacing": np.nan,
            "note": "no transverse joints over continuously reinforced slabs",
        }
    if choice.reinforcement == "fabric":
        width = sum(lane_width(facts, lane) for lane in lanes)
        row |= _fabric(thickness, spacing if np.isfinite(spacing) else USUAL_LENGTH, width, choice)
    elif choice.reinforcement == "continuous":
        row |= _continuous_design(thickness, lane_width(facts, design_lane(facts, state["direction"])), choice)
    return row


def _fabric(thickness: float, length: float, width: float, choice: DesignDecisions) -> dict[str, object]:
    steel = [
        float(drag_steel_area(thickness, x, choice.friction, choice.reinforcement_stress)) for x in (length, width)
    ]
    return {"longitudinal_steel": steel[0], "transverse_steel": steel[1], "note": f"fabric; {OLD_JOINTS}"}


def _continuous_design(thickness: float, width: float, choice: DesignDecisions) -> dict[str, object]:
    """Continuous steel of the overlay's concrete for crack spacing, crack width and steel stress (1993 equations)."""
    tensile = TENSILE_SHARE * choice.overlay_strength
    wheel = 0.0  # the old slab carries the wheel; drying and cooling crack the overlay
    thermal = STEEL_EXPANSION / choice.thermal_expansion
    least = max(
        float(
            continuous_steel_for_spacing(WIDEST_SPACING, tensile, thermal, choice.bar_diameter, wheel, choice.shrinkage)
        ),
        float(continuous_steel_for_width(WIDEST_CRACK, tensile, choice.bar_diameter, wheel)),
        float(continuous_steel_for_stress(ALLOWABLE_STRESS, choice.temperature_drop, tensile, wheel, choice.shrinkage)),
    )
    ratio = float(np.clip(least, LEAST_STEEL, MOST_STEEL))
    spacing = float(continuous_crack_spacing(tensile, thermal, choice.bar_diameter, wheel, ratio, choice.shrinkage))
    bars = bar_count_per_width(ratio, width, thickness, choice.bar_diameter)
    return {
        "steel_ratio": ratio,
        "bars": float(bars.count),
        "crack_spacing": spacing,
        "crack_width": float(continuous_crack_width(tensile, choice.bar_diameter, wheel, ratio)),
        "steel_stress": float(
            continuous_steel_stress(choice.temperature_drop, tensile, wheel, choice.shrinkage, ratio)
        ),
        "longitudinal_steel": ratio * thickness,
        "note": _continuous_note(least, ratio, spacing),
    }


def _continuous_note(asked: float, ratio: float, spacing: float) -> str | Remark:
    """Whether cracks come too close, and where the steel was held at a bound of its range."""
    if asked > ratio:
        return remark(
            "continuous reinforcement held at its upper bound: {asked} is asked for and {built} built, so a limit on"
            " cracks or steel stress is not kept: use smaller bars or a stronger steel",
            asked=("share", asked),
            built=("share", ratio),
        )
    narrow = spacing < NARROWEST_SPACING
    if asked < ratio:
        held = "continuous reinforcement at the lower bound of its range: {built}, where {asked} is asked for"
        bounds: dict[str, tuple[str, float]] = {"asked": ("share", asked), "built": ("share", ratio)}
        if narrow:
            held += "; cracks closer than {least}: use fewer or larger bars"
            bounds["least"] = ("length", NARROWEST_SPACING)
        return remark(held, "", **bounds)
    return TOO_NARROW if narrow else "continuous reinforcement"


def specification(choice: DesignDecisions) -> pd.DataFrame:
    """The table ``specifications``: chosen values first, then the fixed items."""
    chosen = [
        ("Surface preparation", choice.preparation, "Decision of the engineer", "decision"),
        ("Mean texture depth of the prepared surface", remark("at least {depth}", depth=("width", choice.texture_depth)),
         remark("Decision of the engineer; FHWA T 5040.36 gives {usual} as the usual average for riding surfaces",
                usual=("width", USUAL_TEXTURE)), "from memory"),
        ("Bonding grout", choice.grout, "Decision of the engineer", "decision"),
        (f"Bond strength by {choice.bond_test}", remark("at least {strength}", strength=("stress", choice.bond_strength)),
         remark("Specifications of {low} to {high}, trade literature", low=("stress", 100 * PSI), high=("stress", 250 * PSI)),
         "looked up"),
    ]  # fmt: skip
    fixed = [(s.item, s.value, s.source, s.tag) for s in SPECIFICATION]
    return table(SPECIFICATIONS, pd.DataFrame(chosen + fixed, columns=["item", "value", "source", "tag"]))
