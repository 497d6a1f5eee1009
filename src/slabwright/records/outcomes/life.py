"""The tables of the life found by the mechanistic analysis: damage, life at a reliability, thickness, and what they rest on."""

from __future__ import annotations

from slabwright.records.outcomes.columns import OVERLAY, SECTION
from slabwright.records.table import Column, Schema

__all__ = [
    "FATIGUE_DAMAGE",
    "FATIGUE_LAWS",
    "FATIGUE_LIVES",
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
        Column("years", "years", "years to the cracking level"),
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
        Column("aashto", "thickness", "overlay thickness by AASHTO 1993"),
        Column("aashto_years", "years", "life of AASHTO 1993's thickness at that reliability"),
        Column("median_years", "years", "life of AASHTO 1993's thickness at 50 %"),
        Column("point", "text", "where cracking governs"),
        Column("limit", "damage", "damage at the cracking level"),
        Column("past_damage", "damage", "median damage of the old slab so far"),
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
        Column("years", "years", "life with every input at its median"),
        Column("ratio", "damage", "damage of a truck over that by the chosen law, where cracking governs"),
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
        Column("variation", "share", "coefficient of variation"),
        Column("first_order", "share", "share of the variance of log life by itself"),
        Column("total", "share", "share with its interactions"),
        Column("confidence", "share", "half width of the 95 % interval of the first"),
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
        Column("per_truck", "damage", "median damage by an average truck"),
        Column("per_year", "damage", "median damage in the first year"),
        Column("past", "damage", "median damage so far"),
        Column("governs", "share", "share of samples in which it cracks first"),
        Column("stress_error", "share", "error of the stress surface"),
        Column("damage_error", "share", "error of the damage surface as stress"),
    ),
)
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

TABLES = (FATIGUE_LIVES, FATIGUE_THICKNESS, FATIGUE_LAWS, FATIGUE_SENSITIVITIES, FATIGUE_DAMAGE)
