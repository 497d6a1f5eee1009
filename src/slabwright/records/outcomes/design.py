"""The result tables of the design stage: thickness, life, deflection, steel, joints, clearances, specification and quantities."""

from __future__ import annotations

from slabwright.records.outcomes.columns import BEGIN, DIRECTION, END, FITS, OVERLAY, SECTION
from slabwright.records.table import Column, Schema

__all__ = [
    "BOND",
    "CLEARANCES",
    "DEFLECTION_CHANGES",
    "DESIGN_FITS",
    "LIVES",
    "OVERLAY_QUANTITIES",
    "SENSITIVITIES",
    "SPECIFICATIONS",
    "STEEL",
    "TABLES",
    "THICKNESSES",
]
THICKNESSES = Schema(
    "thicknesses",
    "Overlay thickness by section",
    "a section",
    (
        SECTION,
        DIRECTION,
        BEGIN,
        END,
        Column("verdict", "text", "suitability"),
        Column("future_axles", "count", "equivalent axles in the design period", brief="axles to come"),
        Column("required_slab", "thickness", "slab thickness required, Df"),
        Column("effective_condition", "thickness", "effective thickness by condition"),
        Column("effective_life", "thickness", "effective thickness by remaining life"),
        Column("effective", "thickness", "effective thickness used, Deff"),
        Column("bonded", "thickness", "bonded overlay required"),
        Column("partly_bonded", "thickness", "partly bonded, for comparison"),
        Column("unbonded", "thickness", "unbonded, for comparison"),
        Column("rounded", "thickness", "rounded to build"),
        OVERLAY,
        Column("enough", "text", "meets the requirement"),
        Column(
            "years", "years", "years to terminal serviceability at the design reliability", brief="life, AASHTO 1993"
        ),
        Column("years_gained", "years", "years gained over doing nothing", brief="years gained"),
        Column("reduction", "share", "interior deflection reduction"),
        Column("note", "text", "remark"),
    ),
)
LIVES = Schema(
    "lives",
    "Life against thickness and reliability",
    "a thickness at a reliability",
    (
        SECTION,
        OVERLAY,
        Column("reliability", "share", "reliability"),
        Column("axles", "count", "allowable equivalent axles"),
        Column("years", "years", "years"),
    ),
)
DEFLECTION_CHANGES = Schema(
    "deflection_changes",
    "Predicted deflection before and after",
    "a thickness",
    (
        SECTION,
        OVERLAY,
        Column("before", "deflection", "interior deflection before"),
        Column("bonded", "deflection", "interior deflection after, bonded", brief="after, bonded"),
        Column("unbonded", "deflection", "interior deflection after, unbonded", brief="after, unbonded"),
        Column("interior", "share", "interior deflection reduction, bonded", brief="interior reduction"),
        Column("edge", "share", "edge deflection reduction, bonded", brief="edge reduction"),
        Column("corner", "share", "corner deflection reduction, bonded", brief="corner reduction"),
        Column("unbonded_reduction", "share", "interior deflection reduction, unbonded", brief="reduction, unbonded"),
    ),
)
SENSITIVITIES = Schema(
    "sensitivities",
    "What the thickness depends on",
    "an input",
    (
        SECTION,
        Column("input", "text", "input"),
        Column("low", "remark", "lower value"),
        Column("high", "remark", "upper value"),
        Column("at_low", "thickness", "bonded overlay required at the lower value", brief="required at the lower"),
        Column("at_high", "thickness", "bonded overlay required at the upper value", brief="required at the upper"),
        Column("swing", "thickness", "difference"),
    ),
)
DESIGN_FITS = Schema("design_fits", "What the laws of the design were fitted to", "a quantity of a law", FITS)
STEEL = Schema(
    "steel",
    "Steel and joints of the overlay",
    "a section",
    (
        SECTION,
        OVERLAY,
        Column("joint_spacing", "length", "joint spacing, matched"),
        Column("transverse_saw", "thickness", "transverse saw depth"),
        Column("longitudinal_saw", "thickness", "longitudinal saw depth, at least"),
        Column("longitudinal_steel", "steel_area", "longitudinal steel"),
        Column("transverse_steel", "steel_area", "transverse steel"),
        Column("steel_ratio", "share", "continuous steel ratio"),
        Column("bars", "number", "continuous bars in a lane"),
        Column("crack_spacing", "length", "crack spacing of continuous reinforcement"),
        Column("crack_width", "width", "crack width of continuous reinforcement"),
        Column("steel_stress", "stress", "steel stress at cracks"),
        Column("note", "remark", "remark"),
    ),
)
BOND = Schema(
    "bond",
    "Bond demand from wheels",
    "a section",
    (
        SECTION,
        OVERLAY,
        Column("spread", "thickness", "width over which the wheel's shear spreads", brief="width of spread"),
        Column("first_moment", "first_moment", "first moment Q per unit width"),
        Column("inertia", "second_moment", "second moment I per unit width"),
        Column("shear", "stress", "interface shear from the wheel"),
        Column("strength", "stress", "bond strength required by the specification", brief="strength specified"),
        Column("factor", "number", "strength over demand"),
        Column("passes", "text", "passes"),
    ),
)
CLEARANCES = Schema(
    "clearances",
    "Grade raise at bridges",
    "a bridge",
    (
        Column("bridge", "text", "bridge"),
        BEGIN,
        END,
        Column("passes_road", "text", "position of the bridge"),
        Column("available", "thickness", "raise available"),
        Column("grade_raise", "thickness", "raise by the overlay"),
        Column("passes", "text", "passes"),
        Column("remedy", "remark", "remedy"),
    ),
)
STRUCTURES = Schema(
    "structures",
    "Decks that carry the road, left out of the overlay",
    "a bridge",
    (
        Column("bridge", "text", "bridge"),
        BEGIN,
        END,
        Column("deck_length", "length", "deck within the road"),
        Column("deck_area", "paved_area", "lanes on the deck"),
        Column("beside", "thickness", "overlay beside it"),
        Column("dead_load", "area_load", "dead load that this overlay would add", brief="dead load added"),
        Column("spare_load", "area_load", "dead load that the deck can still take", brief="dead load to spare"),
        Column("could_bear", "thickness", "overlay that the deck could bear"),
        Column("bears", "text", "bears the overlay beside it"),
        Column("taper", "length", "taper at each end"),
        Column("note", "text", "remark"),
    ),
)
ASSUMPTION_EFFECTS = Schema(
    "assumption_effects",
    "What the assumptions do to the thickness",
    "an assumption that enters the thickness",
    (
        SECTION,
        Column("quantity", "text", "quantity"),
        Column("value", "number", "assumed value"),
        Column("low", "number", "least it could be"),
        Column("high", "number", "greatest it could be"),
        Column("needed", "thickness", "overlay needed as assumed"),
        Column("at_low", "thickness", "overlay needed at the least"),
        Column("at_high", "thickness", "overlay needed at the greatest"),
        Column("swing", "thickness", "range of the overlay needed"),
        Column("decision", "text", "decision that sets it"),
    ),
)
SPECIFICATIONS = Schema(
    "specifications",
    "Specification values",
    "an item",
    (
        Column("item", "text", "item"),
        Column("value", "remark", "value"),
        Column("source", "remark", "source of the limit"),
        Column("tag", "text", "how the value is known"),
    ),
)
OVERLAY_QUANTITIES = Schema(
    "overlay_quantities",
    "Quantities of the overlay",
    "a section",
    (
        SECTION,
        Column("area", "paved_area", "area of the overlay"),
        OVERLAY,
        Column("volume", "volume", "concrete without overrun"),
    ),
)

TABLES = (
    THICKNESSES,
    LIVES,
    DEFLECTION_CHANGES,
    SENSITIVITIES,
    DESIGN_FITS,
    STEEL,
    BOND,
    CLEARANCES,
    STRUCTURES,
    ASSUMPTION_EFFECTS,
    SPECIFICATIONS,
    OVERLAY_QUANTITIES,
)
