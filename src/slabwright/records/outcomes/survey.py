"""The result tables of the survey stage: what the road shows."""

from __future__ import annotations

from slabwright.records.facts import LARGEST_SENSOR_COUNT
from slabwright.records.outcomes.columns import BEGIN, DIRECTION, END, LANE, POINT, POSITION, SECTION, STATION
from slabwright.records.table import Column, Schema

__all__ = [
    "BASINS",
    "BOUNDARIES",
    "CORE_STRENGTHS",
    "DIFFERENCES",
    "DISTRESS_QUANTITIES",
    "RATED_DISTRESSES",
    "SECTIONS",
    "TABLES",
]
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
        Column("area_36", "thickness", "basin area, four sensors"),
        Column("area_60", "thickness", "basin area, seven sensors"),
        Column(
            "linearity",
            "share",
            "range of deflection over load across the drops, over its mean",
            brief="range across drops",
        ),
        Column("repeatability", "share", "coefficient of variation among drops of one height", brief="repeatability"),
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
        Column("boundary", "text", "what made the boundary at its beginning", brief="its boundary by"),
        Column("pavement", "text", "kind of pavement"),
        Column("plan_thickness", "thickness", "slab thickness from the plans"),
        Column("tests", "count", "mid-slab tests"),
        Column("mean_deflection", "deflection", "mean centre deflection"),
        Column("deviation", "deflection", "standard deviation"),
        Column("variation", "share", "coefficient of variation"),
        Column(
            "design_deflection", "deflection", "centre deflection at the design percentile", brief="at the percentile"
        ),
        Column("mean_area", "thickness", "mean basin area, four sensors"),
        Column("distress_per_length", "frequency", "distresses per length of lane"),
        Column(
            "durability_per_length",
            "frequency",
            "joints with durability cracking per length of lane",
            brief="durability cracked joints",
        ),
    ),
)
BOUNDARIES = Schema(
    "boundaries",
    "Section boundaries by both methods",
    "a boundary",
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
        Column("difference", "cumulative_difference", "cumulative difference"),
    ),
)

TABLES = (BASINS, CORE_STRENGTHS, RATED_DISTRESSES, DISTRESS_QUANTITIES, SECTIONS, BOUNDARIES, DIFFERENCES)
