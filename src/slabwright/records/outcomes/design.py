"""The result tables of the design stage: thickness, life, deflection, steel, joints, clearances, specification and quantities."""

from __future__ import annotations

from slabwright.records.outcomes.columns import BEGIN, DIRECTION, END, FITS, LANE, OVERLAY, SECTION
from slabwright.records.table import Column, Schema

__all__ = [
    "BOND",
    "CLEARANCES",
    "DEFLECTION_CHANGES",
    "DESIGN_FITS",
    "LANE_QUANTITIES",
    "LIVES",
    "OVERLAY_QUANTITIES",
    "REFUSED_WAYS",
    "SENSITIVITIES",
    "SIDE_AREAS",
    "SPECIFICATIONS",
    "STEEL",
    "STRETCHES",
    "TABLES",
    "TAPERS",
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
        Column("proposed", "thickness", "proposed over its stretch"),
        OVERLAY,
        Column("surplus", "thickness", "built beyond what is required"),
        Column("enough", "text", "meets the requirement"),
        Column(
            "years", "years", "years to terminal serviceability at the design reliability", brief="life, AASHTO 1993"
        ),
        Column("years_gained", "years", "years gained over doing nothing", brief="years gained"),
        Column("reduction", "share", "interior deflection reduction"),
        Column("note", "text", "remark"),
    ),
)
STRETCHES = Schema(
    "stretches",
    "Thickness as built",
    "a stretch of one thickness",
    (
        DIRECTION,
        BEGIN,
        END,
        Column("sections", "text", "sections"),
        Column("length", "length", "length"),
        Column("needed", "thickness", "greatest overlay required in it"),
        OVERLAY,
        Column("least_surplus", "thickness", "least built beyond what a section requires"),
        Column("most_surplus", "thickness", "most built beyond what a section requires"),
        Column("area", "paved_area", "area of the overlay"),
        Column("volume", "volume", "concrete without overrun"),
        Column("by_sections", "volume", "concrete if each section had its own rounded thickness"),
        Column("decided_by", "text", "decision that sets it"),
        Column("note", "remark", "remark"),
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
    "Bond demand from wheels alone",
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
        Column("passes", "text", "enough under the wheel alone", brief="enough"),
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

REFUSED_WAYS = Schema(
    "refused_ways",
    "Ways through where no bonded overlay is designed",
    "a way through a section",
    (
        SECTION,
        DIRECTION,
        BEGIN,
        END,
        Column("verdict", "text", "suitability"),
        Column("way", "text", "what is built"),
        Column("area", "paved_area", "area"),
        Column("concrete", "thickness", "new concrete"),
        Column("volume", "volume", "new concrete without overrun"),
        Column("removed", "volume", "old concrete removed"),
        Column("raised", "thickness", "grade raised"),
        Column("room", "thickness", "least raise available at bridges over it"),
        Column("fits", "text", "fits under the bridges"),
        Column("chosen", "text", "chosen"),
        Column("note", "remark", "remark"),
    ),
)
TAPERS = Schema(
    "tapers",
    "Tapers",
    "a taper",
    (
        DIRECTION,
        Column("place", "text", "place"),
        BEGIN,
        END,
        Column("high", "thickness", "surface raised at its high end"),
        Column("low", "thickness", "surface raised at its low end"),
        Column("ratio", "number", "length over rise"),
        Column("length", "length", "length"),
        Column("width", "length", "width"),
        Column("area", "paved_area", "area"),
        Column("volume", "volume", "concrete beyond the thickness of its stretch"),
        Column("milled", "volume", "old pavement milled"),
        Column(
            "short", "thickness", "slab required beyond what milling would leave with the overlay", brief="short by"
        ),
        Column("rebuilt", "paved_area", "old slab rebuilt full depth"),
        Column("note", "text", "how it is made"),
    ),
)
SIDE_AREAS = Schema(
    "side_areas",
    "Shoulders and ramps",
    "a shoulder beside a stretch, or a ramp",
    (
        DIRECTION,
        Column("place", "text", "place"),
        BEGIN,
        END,
        Column("built", "text", "what is built"),
        Column("length", "length", "length"),
        Column("width", "length", "width"),
        Column("thickness", "thickness", "thickness"),
        Column("area", "paved_area", "area"),
        Column("volume", "volume", "volume"),
        Column("note", "text", "remark"),
    ),
)
LANE_QUANTITIES = Schema(
    "lane_quantities",
    "Quantities of the overlay by lane",
    "a lane of a section",
    (
        DIRECTION,
        LANE,
        SECTION,
        Column("length", "length", "length off the decks"),
        Column("width", "length", "width"),
        Column("area", "paved_area", "area of the overlay"),
        OVERLAY,
        Column("volume", "volume", "concrete without overrun"),
        Column("milled", "volume", "old slab milled under it"),
    ),
)

TABLES = (
    THICKNESSES,
    STRETCHES,
    REFUSED_WAYS,
    TAPERS,
    SIDE_AREAS,
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
    LANE_QUANTITIES,
)
