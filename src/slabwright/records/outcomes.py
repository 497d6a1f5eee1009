"""The tables of results, column by column; written by stages, read by commands, pages and reports."""

from __future__ import annotations

from slabwright.records.bond_outcomes import BOND_OUTCOMES
from slabwright.records.facts import LARGEST_SENSOR_COUNT
from slabwright.records.life_outcomes import LIFE_OUTCOMES
from slabwright.records.table import Column, Schema

__all__ = ["OUTCOMES"]

SECTION = Column("section", "text", "section")
DIRECTION = Column("direction", "text", "direction of travel")
STATION = Column("station", "station", "station")
LANE = Column("lane", "text", "lane")
BEGIN = Column("begin", "station", "from station")
END = Column("end", "station", "to station")
POSITION = Column("position", "text", "position of the plate")
POINT = Column("point", "text", "test point")
REASON = Column("reason", "text", "reason")
SOURCE = Column("source", "text", "source of the limit")
OVERLAY = Column("overlay", "thickness", "overlay thickness")

# Survey --------------------------------------------------------------------------------------------------
BASINS = Schema(
    "basins",
    "Deflection basins at the standard load",
    "a test point",
    (
        STATION,
        LANE,
        POSITION,
        POINT,
        Column("drops", "count", "drops at the point"),
        Column("load", "force", "load of the drop used"),
        Column("plate_radius", "thickness", "radius of the plate"),
        *(
            Column(f"deflection_{i}", "deflection", f"deflection of sensor {i} at the standard load")
            for i in range(1, LARGEST_SENSOR_COUNT + 1)
        ),
        *(Column(f"offset_{i}", "thickness", f"offset of sensor {i}") for i in range(1, LARGEST_SENSOR_COUNT + 1)),
        Column("area_36", "thickness", "basin area, 36 in"),
        Column("area_60", "thickness", "basin area, 60 in"),
        Column("linearity", "share", "range of deflection over load across the drops, over its mean"),
        Column("repeatability", "share", "coefficient of variation among drops of one height"),
        Column("air_temperature", "temperature", "air temperature"),
        Column("surface_temperature", "temperature", "surface temperature"),
    ),
)
CORE_STRENGTHS = Schema(
    "core_strengths",
    "Cores",
    "a core",
    (
        STATION,
        LANE,
        Column("core", "text", "core"),
        Column("thickness", "thickness", "slab thickness"),
        Column("length_ratio", "number", "length over diameter"),
        Column("compressive_strength", "stress", "strength as tested"),
        Column("strength", "stress", "in-place strength"),
        Column("split_strength", "stress", "split tensile strength"),
        Column("material_distress", "text", "materials-related distress"),
        Column("delamination_depth", "thickness", "depth of delamination"),
    ),
)
RATED_DISTRESSES = Schema(
    "rated_distresses",
    "Distress with severity",
    "a distress",
    (
        STATION,
        LANE,
        Column("kind", "text", "kind of distress"),
        Column("severity", "text", "severity used"),
        Column("measured_severity", "text", "severity by the measurements"),
        Column("length", "length", "length"),
        Column("width", "length", "extent across"),
        Column("area", "area", "area"),
        Column("crack_width", "width", "crack opening"),
        Column("spall_width", "width", "width of spalling"),
        Column("faulting", "width", "faulting"),
        Column("depth", "thickness", "depth of loss"),
    ),
)
DISTRESS_QUANTITIES = Schema(
    "distress_quantities",
    "Distress quantities by lane",
    "a kind and severity in a lane",
    (
        LANE,
        Column("kind", "text", "kind of distress"),
        Column("severity", "text", "severity"),
        Column("number", "count", "number"),
        Column("length", "length", "length"),
        Column("area", "area", "area"),
        Column("number_density", "frequency", "number per length of lane"),
        Column("length_share", "number", "length of distress over length of lane"),
    ),
)
SECTIONS = Schema(
    "sections",
    "Homogeneous sections",
    "a section",
    (
        SECTION,
        DIRECTION,
        BEGIN,
        END,
        Column("border", "text", "what made the border at its beginning"),
        Column("pavement", "text", "kind of pavement"),
        Column("plan_thickness", "thickness", "slab thickness from the plans"),
        Column("tests", "count", "mid-slab tests"),
        Column("mean_deflection", "deflection", "mean centre deflection"),
        Column("deviation", "deflection", "standard deviation"),
        Column("variation", "share", "coefficient of variation"),
        Column("design_deflection", "deflection", "centre deflection at the design percentile"),
        Column("mean_area", "thickness", "mean 36-in basin area"),
        Column("distress_per_length", "frequency", "distresses per length of lane"),
        Column("durability_per_length", "frequency", "joints with durability cracking per length of lane"),
    ),
)
BORDERS = Schema(
    "borders",
    "Section borders by both methods",
    "a border",
    (
        DIRECTION,
        STATION,
        Column("method", "text", "method"),
        Column("used", "text", "used for the sections"),
    ),
)
DIFFERENCES = Schema(
    "differences",
    "Cumulative differences",
    "a point",
    (
        DIRECTION,
        STATION,
        Column("response", "deflection", "mid-slab centre deflection"),
        Column("difference", "area", "cumulative difference"),
    ),
)

# Evaluation ----------------------------------------------------------------------------------------------
MODULI = Schema(
    "moduli",
    "Backcalculated moduli",
    "a mid-slab test",
    (
        STATION,
        LANE,
        POINT,
        SECTION,
        Column("thickness", "thickness", "slab thickness used"),
        Column("thickness_from", "text", "where the thickness comes from"),
        Column("stiffness_area", "thickness", "l by basin area, finite slab"),
        Column("foundation_area", "foundation", "dynamic k by basin area"),
        Column("modulus_area", "modulus", "E by basin area"),
        Column("stiffness_fit", "thickness", "l by plate fit, finite slab"),
        Column("foundation_fit", "foundation", "dynamic k by plate fit"),
        Column("modulus_fit", "modulus", "E by plate fit"),
        Column("misfit", "deflection", "root mean square misfit of the plate fit"),
        Column("solid_modulus", "modulus", "foundation modulus, elastic solid"),
        Column("slab_modulus", "modulus", "slab modulus after the partition with the base"),
        Column("base_modulus", "modulus", "base modulus after the partition"),
        Column("excluded", "text", "why the test is left out"),
    ),
)
TRANSFERS = Schema(
    "transfers",
    "Load transfer",
    "a joint test",
    (
        STATION,
        LANE,
        POSITION,
        POINT,
        SECTION,
        Column("loaded", "deflection", "loaded side"),
        Column("unloaded", "deflection", "unloaded side"),
        Column("bending", "number", "bending correction"),
        Column("efficiency", "share", "load transfer efficiency"),
    ),
)
VOIDS = Schema(
    "voids",
    "Void tests at corners",
    "a corner test",
    (
        STATION,
        LANE,
        POINT,
        SECTION,
        Column("drops", "count", "loads"),
        Column("slope", "deflection_per_force", "slope of deflection on load"),
        Column("intercept", "deflection", "deflection at zero load"),
        Column("void", "text", "void suspected"),
    ),
)
TRAFFIC = Schema(
    "traffic",
    "Loading by year",
    "a year",
    (
        Column("year", "text", "year"),
        Column("daily_traffic", "count", "average daily traffic"),
        Column("trucks", "count", "trucks per day in the design lane"),
        Column("axles", "count", "equivalent axles in the year, design lane"),
        Column("accumulated", "count", "equivalent axles since construction"),
        Column("basis", "text", "counted, interpolated or projected"),
    ),
)
CONDITION = Schema(
    "condition",
    "State of the old slab by section",
    "a section",
    (
        SECTION,
        DIRECTION,
        BEGIN,
        END,
        Column("pavement", "text", "kind of pavement"),
        Column("thickness", "thickness", "slab thickness used"),
        Column("tests", "count", "mid-slab tests used"),
        Column("dynamic_foundation", "foundation", "mean dynamic k"),
        Column("foundation", "foundation", "static k for design"),
        Column("foundation_variation", "share", "coefficient of variation of k"),
        Column("modulus", "modulus", "mean slab modulus"),
        Column("modulus_variation", "share", "coefficient of variation of E"),
        Column("core_strength", "stress", "mean in-place core strength"),
        Column("rupture_cores", "stress", "modulus of rupture from cores"),
        Column("rupture_modulus", "stress", "modulus of rupture from E"),
        Column("rupture", "stress", "modulus of rupture used"),
        Column("transfer", "share", "mean load transfer"),
        Column("load_transfer_coefficient", "number", "load transfer coefficient J"),
        Column("drainage_coefficient", "number", "drainage coefficient Cd"),
        Column("void_share", "share", "corners tested with voids"),
        Column("cracking", "number", "cracked slabs (share) or working cracks or punchouts (per m)"),
        Column("joints_factor", "number", "joints and cracks factor"),
        Column("durability_factor", "number", "durability factor"),
        Column("fatigue_factor", "number", "fatigue factor"),
        Column("effective_condition", "thickness", "effective thickness by condition"),
        Column("past_axles", "count", "equivalent axles to date"),
        Column("failure_axles", "count", "equivalent axles to serviceability 1.5"),
        Column("remaining_life", "share", "remaining life"),
        Column("condition_factor", "number", "condition factor by remaining life"),
        Column("effective_life", "thickness", "effective thickness by remaining life"),
        Column("future_axles", "count", "equivalent axles in the design period"),
    ),
)
SUITABILITY = Schema(
    "suitability",
    "Reasons for and against a bonded overlay",
    "a reason",
    (
        SECTION,
        Column("subject", "text", "subject"),
        Column("provided", "text", "found"),
        Column("required", "text", "limit"),
        Column("passes", "text", "passes"),
        Column("weight", "text", "what failing means"),
        SOURCE,
    ),
)
VERDICTS = Schema(
    "verdicts",
    "Suitability",
    "a section",
    (
        SECTION,
        DIRECTION,
        BEGIN,
        END,
        Column("verdict", "text", "verdict"),
        Column("reasons", "text", "reasons"),
        Column("consider", "text", "what to consider"),
    ),
)

# Repair --------------------------------------------------------------------------------------------------
REPAIRS = Schema(
    "repairs",
    "Repairs before the overlay",
    "a repair",
    (
        Column("repair", "text", "number"),
        SECTION,
        LANE,
        BEGIN,
        END,
        Column("kind", "text", "kind of repair"),
        Column("length", "length", "length along the lane"),
        Column("width", "length", "width"),
        Column("depth", "thickness", "depth"),
        Column("area", "area", "area"),
        Column("cost", "money", "cost"),
        REASON,
    ),
)
REPAIR_QUANTITIES = Schema(
    "repair_quantities",
    "Quantities and cost of repairs",
    "a kind of repair in a section",
    (
        SECTION,
        Column("kind", "text", "kind of repair"),
        Column("number", "count", "number"),
        Column("length", "length", "length"),
        Column("area", "area", "area"),
        Column("cost", "money", "cost"),
        Column("area_share", "share", "share of the pavement area"),
    ),
)

# Overlay -------------------------------------------------------------------------------------------------
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
        Column("future_axles", "count", "equivalent axles in the design period"),
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
        Column("years", "years", "years to terminal serviceability at the design reliability"),
        Column("years_gained", "years", "years gained over doing nothing"),
        Column("reduction", "share", "fall of interior deflection"),
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
        Column("bonded", "deflection", "interior deflection after, bonded"),
        Column("unbonded", "deflection", "interior deflection after, unbonded"),
        Column("interior", "share", "fall of interior deflection, bonded"),
        Column("edge", "share", "fall of edge deflection, bonded"),
        Column("corner", "share", "fall of corner deflection, bonded"),
        Column("unbonded_fall", "share", "fall of interior deflection, unbonded"),
    ),
)
SENSITIVITIES = Schema(
    "sensitivities",
    "What the thickness depends on",
    "an input",
    (
        SECTION,
        Column("input", "text", "input"),
        Column("low", "text", "lower value"),
        Column("high", "text", "upper value"),
        Column("at_low", "thickness", "bonded overlay required at the lower value"),
        Column("at_high", "thickness", "bonded overlay required at the upper value"),
        Column("swing", "thickness", "difference"),
    ),
)
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
        Column("note", "text", "remark"),
    ),
)
BOND = Schema(
    "bond",
    "Bond demand from wheels",
    "a section",
    (
        SECTION,
        OVERLAY,
        Column("spread", "thickness", "width over which the wheel's shear spreads"),
        Column("first_moment", "area", "first moment Q per unit width"),
        Column("inertia", "volume", "second moment I per unit width"),
        Column("shear", "stress", "interface shear from the wheel"),
        Column("strength", "stress", "bond strength required by the specification"),
        Column("factor", "number", "strength over demand"),
        Column("passes", "text", "passes"),
    ),
)
CLEARANCES = Schema(
    "clearances",
    "Raise of grade at bridges",
    "a bridge",
    (
        Column("bridge", "text", "bridge"),
        BEGIN,
        END,
        Column("passes_road", "text", "position of the bridge"),
        Column("available", "thickness", "raise available"),
        Column("raise_of_grade", "thickness", "raise by the overlay"),
        Column("passes", "text", "passes"),
        Column("remedy", "text", "remedy"),
    ),
)
SPECIFICATIONS = Schema(
    "specifications",
    "Specification values",
    "an item",
    (
        Column("item", "text", "item"),
        Column("value", "text", "value"),
        SOURCE,
        Column("tag", "text", "how the value is known"),
    ),
)
OVERLAY_QUANTITIES = Schema(
    "overlay_quantities",
    "Quantities and cost of the overlay",
    "a section",
    (
        SECTION,
        Column("area", "paved_area", "area of the overlay"),
        OVERLAY,
        Column("volume", "volume", "concrete without overrun"),
        Column("concrete_cost", "money", "concrete"),
        Column("surface_cost", "money", "preparation, joints and curing"),
        Column("repair_cost", "money", "repairs"),
        Column("cost", "money", "cost"),
    ),
)

OUTCOMES: dict[str, Schema] = {
    s.name: s
    for s in (
        BASINS, CORE_STRENGTHS, RATED_DISTRESSES, DISTRESS_QUANTITIES, SECTIONS, BORDERS, DIFFERENCES, MODULI, TRANSFERS,
        VOIDS, TRAFFIC, CONDITION, SUITABILITY, VERDICTS, REPAIRS, REPAIR_QUANTITIES, THICKNESSES, LIVES,
        DEFLECTION_CHANGES, SENSITIVITIES, STEEL, BOND, CLEARANCES, SPECIFICATIONS, OVERLAY_QUANTITIES,
        *BOND_OUTCOMES, *LIFE_OUTCOMES,
    )
}  # fmt: skip
