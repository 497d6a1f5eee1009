"""Decisions on fatigue life at a reliability."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from slabwright.calculation import Choice, Quantity
from slabwright.units import INCH

__all__ = ["FATIGUE_WORDS", "LAW_BASIS", "LifeDecisions"]


# How a fatigue law is called where one is chosen, and the calculation behind it.
FATIGUE_WORDS = {
    "NCHRP 1-37A, 2004": "fatigue_nchrp_1_37a",
    "AASHTO 2008": "fatigue_aashto_2008",
    "PCA 1984": "fatigue_pca",
    "Darter 1977, 50 % failed": "fatigue_darter",
    "Darter 1977, 24 % failed": "fatigue_darter_24_percent",
    "Vesic and Saxena 1969": "fatigue_vesic",
    "NCHRP 1-26, 1992": "fatigue_nchrp_1_26",
    "Corps of Engineers, field": "fatigue_corps",
    "Salsilli and others 1993": "fatigue_salsilli",
    "Majidzadeh and Ilves 1983": "fatigue_majidzadeh",
    "Tepfers and Kutti 1979": "fatigue_tepfers",
    "Titus-Glover and others 2005": "fatigue_titus_glover",
}


# What each law was fitted to, and what its failure is (all from memory); they are not the same thing.
LAW_BASIS = {
    "NCHRP 1-37A, 2004": "field slabs; with its own curve of cracked slabs",
    "AASHTO 2008": "field slabs, calibrated anew; with its own curve of cracked slabs",
    "PCA 1984": "design curve below laboratory beams; no damage at a stress ratio of 0.45 or less",
    "Darter 1977, 50 % failed": "laboratory beams, half of them failed",
    "Darter 1977, 24 % failed": "laboratory beams, a quarter of them failed",
    "Vesic and Saxena 1969": "Road Test slabs to serviceability 2.5",
    "NCHRP 1-26, 1992": "field slabs",
    "Corps of Engineers, field": "field slabs, half of them cracked",
    "Salsilli and others 1993": "field slabs, the data of NCHRP 1-26, at an even chance",
    "Majidzadeh and Ilves 1983": "Road Test slabs",
    "Tepfers and Kutti 1979": "plain concrete in the laboratory, lower stress zero",
    "Titus-Glover and others 2005": "laboratory beams gathered anew, at an even chance",
}


@dataclass(frozen=True)
class LifeDecisions:
    """Fatigue life at a reliability: law, limit, what is carried on, and how much each input scatters.

    Coefficients of variation lie within those published for design inputs (AASHTO 1993 App. EE, NCHRP 1-26, PCA;
    from memory): thickness 2-5 %, strength 8-15 %, modulus 15-25 %, k 30-50 %, forecast of axles 20-40 %. Wander
    and the built-in difference are the defaults of NCHRP 1-37A (from memory), with whose law and curve they were
    calibrated. By how much damage may be off, spreads of temperature and of the delaminated share are common practice, no source.
    """

    fatigue_law: Annotated[str, Choice("fatigue law", tuple(FATIGUE_WORDS))] = "NCHRP 1-37A, 2004"
    cracking_curve: Annotated[
        str, Choice("share of slabs cracked by fatigue damage", ("2004 calibration", "2008 calibration"))
    ] = "2004 calibration"
    cracking_level: Annotated[
        float,
        Quantity(
            "share", "share of sound slabs that crack until life ends (10 % on interstates, AASHTO 2008)", 0.01, 0.5
        ),
    ] = 0.1
    target_years: Annotated[float, Quantity("years", "target life; 0 for the design period", 0, 60)] = 0.0
    past_damage_from: Annotated[str, Choice("damage of the old slab so far", ("past traffic", "observed cracking"))] = (
        "past traffic"
    )
    wander_mean: Annotated[
        float, Quantity("thickness", "mean distance of the outer tyre from the slab's edge", 0.0, 48 * INCH)
    ] = 18 * INCH
    wander_deviation: Annotated[float, Quantity("thickness", "standard deviation of that distance", 0.0, 24 * INCH)] = (
        10 * INCH
    )
    built_in_difference: Annotated[
        float,
        Quantity("temperature_change", "permanent curl and warp as a temperature difference, top less bottom", -25, 10),
    ] = -10 / 1.8
    overlay_shrinkage: Annotated[
        float,
        Quantity(
            "strain",
            "shrinkage of the overlay beyond the old slab's that creep leaves, not in that difference",
            0.0,
            5e-4,
        ),
    ] = 0.0
    foundation_spring: Annotated[float, Quantity("number", "k in March to May over its yearly value", 0.3, 3.0)] = 1.0
    foundation_summer: Annotated[float, Quantity("number", "k in June to August over its yearly value", 0.3, 3.0)] = 1.0
    foundation_autumn: Annotated[
        float, Quantity("number", "k in September to November over its yearly value", 0.3, 3.0)
    ] = 1.0
    foundation_winter: Annotated[
        float, Quantity("number", "k in December to February over its yearly value", 0.3, 3.0)
    ] = 1.0
    strength_growth: Annotated[
        str, Choice("growth of strength and modulus with age, old slab and overlay", ("curve of 2004", "none"))
    ] = "curve of 2004"
    calibration: Annotated[
        str, Choice("damage of each section", ("as published", "calibrated to the section's own past"))
    ] = "as published"
    damage_spread: Annotated[
        float,
        Quantity(
            "number", "factor by which damage may be off at one standard deviation, before the past is seen", 1.5, 1e3
        ),
    ] = 10.0
    past_factor: Annotated[
        float,
        Quantity("number", "factor on damage within which the section's past counts as agreeing", 1.0, 100.0),
    ] = 2.0
    overlay_correlation: Annotated[
        float,
        Quantity(
            "number", "correlation of the overlay's modulus with its strength (both follow one concrete)", 0.0, 1.0
        ),
    ] = 0.8
    overlay_tests: Annotated[
        float,
        Quantity("count", "tests in a section by which the overlay's mean thickness and strength are held", 1, 100),
    ] = 1
    overlay_thickness_variation: Annotated[
        float, Quantity("share", "coefficient of variation of overlay thickness", 0.0, 0.15)
    ] = 0.05
    slab_thickness_variation: Annotated[
        float, Quantity("share", "coefficient of variation of old slab thickness", 0.0, 0.1)
    ] = 0.03
    overlay_strength_variation: Annotated[
        float, Quantity("share", "coefficient of variation of overlay strength", 0.0, 0.25)
    ] = 0.1
    slab_strength_variation: Annotated[
        float, Quantity("share", "coefficient of variation of old slab strength", 0.0, 0.25)
    ] = 0.12
    overlay_modulus_variation: Annotated[
        float, Quantity("share", "coefficient of variation of overlay modulus", 0.0, 0.3)
    ] = 0.15
    slab_modulus_variation: Annotated[
        float, Quantity("share", "coefficient of variation of old slab modulus", 0.0, 0.4)
    ] = 0.2
    foundation_variation: Annotated[float, Quantity("share", "coefficient of variation of k", 0.0, 0.5)] = 0.35
    traffic_variation: Annotated[
        float, Quantity("share", "coefficient of variation of the traffic to come", 0.0, 0.5)
    ] = 0.3
    temperature_variation: Annotated[
        float, Quantity("share", "coefficient of variation of temperature differences", 0.0, 0.4)
    ] = 0.1
    delaminated_mean: Annotated[float, Quantity("share", "mean share of the area without bond", 0.0, 0.3)] = 0.02
    delaminated_deviation: Annotated[
        float, Quantity("share", "standard deviation of the share without bond", 0.0, 0.1)
    ] = 0.02
    sample_power: Annotated[
        float, Quantity("count", "lives computed for each thickness, as a power of two (14 is 16,384)", 8, 17)
    ] = 14
    surface_power: Annotated[
        float, Quantity("count", "pavements computed for the response surface, as a power of two (6 is 64)", 4, 10)
    ] = 6
    seed: Annotated[float, Quantity("count", "seed of the sampling", 0, 1e6)] = 1
