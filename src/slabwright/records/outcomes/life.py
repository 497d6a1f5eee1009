"""The tables of the life found by the mechanistic analysis: damage, life at a reliability, thickness, and what they rest on."""

from __future__ import annotations

from slabwright.records.outcomes.columns import FITS, OVERLAY, SECTION
from slabwright.records.table import Column, Schema

__all__ = [
    "FATIGUE_CRACKING",
    "FATIGUE_DAMAGE",
    "FATIGUE_EFFECTS",
    "FATIGUE_FITS",
    "FATIGUE_LAWS",
    "FATIGUE_LIVES",
    "FATIGUE_PAST",
    "FATIGUE_SENSITIVITIES",
    "STRESS_SURFACE",
    "FATIGUE_THICKNESS",
    "TABLES",
]

FATIGUE_LIVES = Schema(
    "fatigue_lives",
    "Fatigue life against overlay thickness and reliability",
    "a thickness at a reliability",
    (
        SECTION,
        OVERLAY,
        Column("reliability", "share", "reliability"),
        Column(
            "years",
            "years",
            "years to the cracking level, by the scatter of the inputs",
            brief="years, by scatter of inputs",
        ),
        Column(
            "curve_years",
            "years",
            "years, by the standard error published with the cracking curve",
            brief="years, by the curve's error",
        ),
    ),
)
FATIGUE_THICKNESS = Schema(
    "fatigue_thickness",
    "Overlay thickness found for the target life",
    "a section",
    (
        SECTION,
        Column("target", "years", "target life"),
        Column("reliability", "share", "reliability"),
        Column("found", "thickness", "overlay thickness found"),
        Column("aashto", "thickness", "overlay required by AASHTO 1993"),
        OVERLAY,
        Column(
            "overlay_years",
            "years",
            "its life at that reliability, by the scatter of the inputs",
            brief="life, by scatter of inputs",
        ),
        Column(
            "overlay_curve_years",
            "years",
            "the same by the published standard error",
            brief="life, by the curve's error",
        ),
        Column("median_years", "years", "its life at 50 %"),
        Column("promised", "text", "held against the road's past"),
        Column("point", "text", "where cracking governs"),
        Column("level", "share", "share of sound slabs cracked at the end of life", brief="cracked at the end"),
        Column("reflected", "share", "slabs that keep a crack after repair, worst lane", brief="cracks kept"),
        Column("all_cracked", "share", "share of all slabs cracked at the end of life"),
        Column("past_damage", "damage", "median damage of the old slab's bottom so far"),
        Column("surface_error", "share", "error of the stress surface where cracking governs"),
        Column("damage_error", "share", "error of the damage surface there, as stress"),
        Column("outside", "share", "samples taken at the ends of the stress surface"),
        Column("note", "remark", "remark"),
    ),
)
FATIGUE_LAWS = Schema(
    "fatigue_laws",
    "How far other fatigue laws would differ",
    "a fatigue law",
    (
        SECTION,
        OVERLAY,
        Column("law", "text", "fatigue law"),
        Column("basis", "text", "what it was fitted to"),
        Column("chosen", "text", "chosen"),
        Column("years", "years", "life with every input at its median", brief="years, medians"),
        Column(
            "ratio",
            "damage",
            "damage of a truck over that by the chosen law, where cracking governs",
            brief="damage over chosen law's",
        ),
    ),
)
FATIGUE_SENSITIVITIES = Schema(
    "fatigue_sensitivities",
    "What the scatter of life comes from",
    "an input",
    (
        SECTION,
        OVERLAY,
        Column("input", "text", "input"),
        Column("single", "share", "coefficient of variation of one value", brief="variation of one"),
        Column("tests", "count", "tests behind the mean"),
        Column("variation", "share", "coefficient of variation sampled"),
        Column("first_order", "share", "share of the variance of log life by itself", brief="share of variance"),
        Column("total", "share", "share with its interactions"),
        Column("confidence", "share", "half width of the 95 % interval of the first", brief="half interval"),
    ),
)
FATIGUE_DAMAGE = Schema(
    "fatigue_damage",
    "Fatigue damage by place",
    "a place in the slab",
    (
        SECTION,
        OVERLAY,
        Column("point", "text", "place"),
        Column("per_truck", "damage", "median damage by an average truck", brief="damage of a truck"),
        Column("per_year", "damage", "median damage in the first year"),
        Column("past", "damage", "median damage so far"),
        Column("governs", "share", "part in the cracking that ends life", brief="part in cracking"),
        Column("stress_error", "share", "error of the stress surface"),
        Column("damage_error", "share", "error of the damage surface as stress", brief="surface error"),
    ),
)
FATIGUE_PAST = Schema(
    "fatigue_past",
    "The model held against the road's own past",
    "a section",
    (
        SECTION,
        Column("trucks", "count", "trucks so far, design lane"),
        Column("damage_bottom_middle", "damage", "damage so far, bottom, mid-slab edge", brief="bottom, mid-slab"),
        Column("damage_bottom_quarter", "damage", "damage so far, bottom, quarter"),
        Column("damage_top_middle", "damage", "damage so far, top, mid-slab edge", brief="top, mid-slab"),
        Column("damage_top_quarter", "damage", "damage so far, top, quarter"),
        Column("bottom_up", "share", "slabs predicted cracked from the bottom", brief="predicted, bottom"),
        Column("top_down", "share", "slabs predicted cracked from the top", brief="predicted, top"),
        Column("predicted", "share", "slabs predicted cracked"),
        Column("predicted_low", "share", "90 % of like roads from"),
        Column("predicted_high", "share", "to"),
        Column("slabs", "count", "slabs surveyed, design lane"),
        Column("cracked", "count", "with transverse cracks"),
        Column("surveyed", "share", "slabs surveyed cracked"),
        Column("surveyed_low", "share", "exact 95 % interval from"),
        Column("surveyed_high", "share", "to"),
        Column("factor", "number", "multiplier on damage that agrees with the survey", brief="multiplier"),
        Column("factor_low", "number", "its 95 % interval from"),
        Column("factor_high", "number", "to"),
        Column("agrees", "text", "past agrees"),
        Column("used", "text", "damage used"),
    ),
)
FATIGUE_EFFECTS = Schema(
    "fatigue_effects",
    "What else acts on life, one thing changed at a time",
    "a change",
    (
        SECTION,
        OVERLAY,
        Column("change", "remark", "changed"),
        Column("years", "years", "years with every input at its median", brief="years, medians"),
        Column("ratio", "number", "over those as computed"),
        Column("point", "text", "where cracking governs"),
    ),
)
FATIGUE_CRACKING = Schema(
    "fatigue_cracking",
    "Cracking over the years",
    "a year after the overlay",
    (
        SECTION,
        OVERLAY,
        Column("year", "years", "years after the overlay"),
        Column("median", "share", "sound slabs cracked, median"),
        Column(
            "low", "share", "reached by all but few roads, at the design reliability", brief="passed at reliability"
        ),
        Column("high", "share", "not passed, at the design reliability", brief="not passed"),
    ),
)
FATIGUE_FITS = Schema("fatigue_fits", "Where the analysis was held against known roads", "a quantity of a law", FITS)
STRESS_SURFACE = Schema(
    "stress_surface",
    "A response surface of stresses, for the program to read",
    "a number of the surface",
    (
        Column("part", "text", "part"),
        Column("text", "text", "name of a place"),
        Column("row", "count", "row"),
        Column("column", "count", "column"),
        Column("value", "number", "value"),
    ),
)

TABLES = (
    FATIGUE_LIVES,
    FATIGUE_THICKNESS,
    FATIGUE_LAWS,
    FATIGUE_SENSITIVITIES,
    FATIGUE_DAMAGE,
    FATIGUE_PAST,
    FATIGUE_EFFECTS,
    FATIGUE_CRACKING,
    FATIGUE_FITS,
)
