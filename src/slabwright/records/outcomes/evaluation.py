"""The result tables of the evaluation stage: what is left of the old slab, and whether it suits a bonded overlay."""

from __future__ import annotations

from slabwright.records.outcomes.columns import BEGIN, DIRECTION, END, LANE, POINT, POSITION, SECTION, SOURCE, STATION
from slabwright.records.table import Column, Schema

__all__ = [
    "ASSUMPTIONS",
    "CONDITION",
    "CORE_STATES",
    "LANES_WALKED",
    "MODULI",
    "OPEN_POINTS",
    "SUITABILITY",
    "TABLES",
    "TRAFFIC",
    "TRANSFERS",
    "VERDICTS",
    "EXPECTED_VOIDS",
    "VOIDS",
]
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
        Column("no_area", "text", "why there is no basin area"),
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
EXPECTED_VOIDS = Schema(
    "expected_voids",
    "Voids expected in slabs that were not tested",
    "a lane of a section where a tested corner has a void",
    (
        SECTION,
        LANE,
        Column("tested", "count", "corners tested"),
        Column("found", "count", "with a void"),
        Column("share", "share", "share with a void"),
        Column("low", "share", "lower exact limit"),
        Column("high", "share", "upper exact limit"),
        Column("slabs", "count", "slabs of the lane"),
        Column("more", "count", "slabs expected with a void beyond those tested", brief="expected more"),
        Column("more_low", "count", "the same at the lower limit", brief="more, lower"),
        Column("more_high", "count", "the same at the upper limit", brief="more, upper"),
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
        Column("core_split", "stress", "mean split tensile strength of cores, where none was tested in compression"),
        Column("rupture_cores", "stress", "modulus of rupture from cores"),
        Column("rupture_modulus", "stress", "modulus of rupture from E"),
        Column("rupture", "stress", "modulus of rupture used"),
        Column("transfer", "share", "mean load transfer"),
        Column("load_transfer_coefficient", "number", "load transfer coefficient J"),
        Column("drainage_coefficient", "number", "drainage coefficient Cd"),
        Column("void_share", "share", "corners tested with voids"),
        Column("cracking", "share", "cracked slabs, of jointed plain concrete", brief="cracked slabs"),
        Column(
            "crack_density", "frequency", "working cracks or punchouts, of reinforced concrete", brief="working cracks"
        ),
        Column("durability_factor", "number", "durability factor"),
        Column("fatigue_factor", "number", "fatigue factor"),
        Column("past_axles", "count", "equivalent axles to date"),
        Column("failure_axles", "count", "equivalent axles to serviceability 1.5"),
        Column("remaining_life", "share", "remaining life"),
        Column("condition_factor", "number", "condition factor by remaining life"),
        Column("effective_life", "thickness", "effective thickness by remaining life"),
        Column("future_axles", "count", "equivalent axles in the design period", brief="axles to come"),
    ),
)
CORE_STATES = Schema(
    "core_states",
    "What each core says of the concrete",
    "a core",
    (
        SECTION,
        STATION,
        LANE,
        Column("core", "text", "core"),
        Column("material", "text", "materials-related distress"),
        Column("delaminated", "text", "delamination"),
        Column("note", "text", "remark of the log"),
        Column("conflict", "remark", "remark against code"),
    ),
)
SUITABILITY = Schema(
    "suitability",
    "Reasons for and against a bonded overlay",
    "a reason",
    (
        SECTION,
        Column("subject", "text", "subject"),
        Column("provided", "remark", "found"),
        Column("sample", "remark", "sample and its exact limits"),
        Column("required", "remark", "limit"),
        Column("outcome", "text", "outcome"),
        Column("weight", "text", "what failing means"),
        Column("assumed_by", "text", "decision that assumes it"),
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
        Column("not_examined", "text", "not examined"),
        Column("cautions", "remark", "cautions"),
        Column("consider", "text", "what to consider"),
    ),
)
ASSUMPTIONS = Schema(
    "assumptions",
    "What is assumed and was not measured",
    "an assumption",
    (
        SECTION,
        Column("quantity", "text", "quantity"),
        Column("enters", "text", "column of the state that it enters"),
        Column("value", "number", "assumed value"),
        Column("low", "number", "least it could be"),
        Column("high", "number", "greatest it could be"),
        Column("why", "remark", "why"),
        Column("decision", "text", "decision that sets it"),
        Column("without", "text", "verdict without it"),
        SOURCE,
    ),
)
LANES_WALKED = Schema(
    "lanes_walked",
    "How much of each lane the distress survey walked",
    "a lane of a section",
    (
        SECTION,
        LANE,
        Column("share", "share", "walked, by the rows of the survey"),
        Column("counted", "length", "length over which distress is counted", brief="counted over"),
        Column("standing", "text", "walked, partly, stated to be walked whole, or not walked", brief="how walked"),
    ),
)
OPEN_POINTS = Schema(
    "open_points",
    "Open points",
    "an open point",
    (
        Column("about", "text", "section, core or bridge"),
        Column("point", "remark", "open point"),
        Column("settle", "text", "how it is settled"),
    ),
)

TABLES = (
    VERDICTS,
    OPEN_POINTS,
    ASSUMPTIONS,
    SUITABILITY,
    CONDITION,
    CORE_STATES,
    LANES_WALKED,
    MODULI,
    TRANSFERS,
    VOIDS,
    EXPECTED_VOIDS,
    TRAFFIC,
)
