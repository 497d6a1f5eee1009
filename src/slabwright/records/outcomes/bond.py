"""The tables of the bond as a field: where, when and at which age it is stressed, and what deflection tests should show."""

from __future__ import annotations

from slabwright.records.outcomes.columns import OVERLAY, SECTION
from slabwright.records.table import Column, Schema

__all__ = [
    "BOND_AGES",
    "BOND_DEFLECTIONS",
    "BOND_MAP",
    "BOND_PATCHES",
    "BOND_PLACES",
    "BOND_VERDICTS",
    "TABLES",
]

AGE = Column("age", "age", "worst age of the overlay")
MODE = Column("mode", "text", "what governs")
MEAN_SHEAR = Column("mean_shear", "stress", "mean interface shear over the averaging length", brief="mean shear")
MEAN_PEEL = Column("mean_peel", "stress", "mean peel over the averaging length", brief="mean peel")
TENSION = Column("tension", "stress", "bond strength in tension at that age", brief="tensile strength then")
SHEAR_STRENGTH = Column("shear_strength", "stress", "bond strength in shear at that age", brief="shear strength then")
STRENGTH = Column("strength", "stress", "bond strength required by the specification", brief="strength specified")
FACTOR = Column("factor", "number", "strength over demand")
FREE = Column("free", "strain", "free shrinkage of the overlay by then")
STRAIN = Column("strain", "strain", "shrinkage that creep leaves, free to curl", brief="shrinkage left")
HELD = Column("held", "strain", "the same held flat")
OTHER_SUPPORT = Column("other_support", "number", "factor by creep of a pair held flat")
FRACTURE = Column("fracture_energy", "energy_release", "fracture energy decided")
ENERGY_OF = (
    Column("energy_age", "age", "age when most energy is released"),
    Column("energy_strain", "strain", "shrinkage that creep leaves then, free to curl"),
    Column("energy_held", "strain", "the same held flat"),
)
SHORT_CUT = Column("short_cut", "strain", "the same free to curl by the age-adjusted modulus")
PASSES = Column("passes", "text", "reaches the least factor")

BOND_VERDICTS = Schema(
    "bond_verdicts",
    "Bond strength against demand",
    "a section",
    (
        SECTION,
        OVERLAY,
        Column("place", "text", "where the bond is most stressed"),
        Column("cause", "text", "by what"),
        AGE,
        MODE,
        FACTOR,
        Column("least_factor", "number", "least factor decided"),
        Column("passes", "text", "passes by stress and energy together", brief="passes"),
        Column(
            "required",
            "stress",
            "bond strength that the test would have to find, without the factor",
            brief="strength needed",
        ),
        STRENGTH,
        Column("test", "text", "by which test"),
        Column("test_age", "age", "age of that test"),
        Column("averaging", "thickness", "averaging length"),
        Column("other_criterion", "number", "factor by the other criterion"),
        Column("other_model", "number", "factor by the other model of the concrete"),
        OTHER_SUPPORT,
        Column("day", "temperature_change", "temperature difference by day, top less bottom"),
        Column("night", "temperature_change", "temperature difference by night"),
        Column("differences_from", "text", "where these differences come from"),
        Column("humidity", "share", "mean relative humidity of the air"),
        Column("humidity_from", "text", "where the humidity comes from"),
        FREE,
        STRAIN,
        HELD,
        SHORT_CUT,
        *ENERGY_OF,
        Column("energy", "energy_release", "energy released where the layers part"),
        FRACTURE,
        Column("pull", "stress", "the overlay's own tension from shrinkage, free to curl"),
        Column("pull_held", "stress", "the same held flat, then"),
        Column("pull_age", "age", "age when that is the greatest share of its tensile strength"),
        Column("tensile", "stress", "tensile strength of the overlay, then"),
        Column("note", "text", "remark"),
    ),
)
BOND_PLACES = Schema(
    "bond_places",
    "Demand on the bond by place and cause",
    "a place under a cause",
    (
        SECTION,
        OVERLAY,
        Column("place", "text", "place in the slab"),
        Column("cause", "text", "what stresses it"),
        AGE,
        Column("peak_shear", "stress", "peak interface shear, an index"),
        MEAN_SHEAR,
        MEAN_PEEL,
        TENSION,
        SHEAR_STRENGTH,
        MODE,
        Column(
            "required",
            "stress",
            "bond strength that the test would have to find, without the factor",
            brief="strength needed",
        ),
        STRENGTH,
        FACTOR,
        PASSES,
    ),
)
BOND_AGES = Schema(
    "bond_ages",
    "Demand and strength of the bond over ages",
    "a place at an age",
    (
        SECTION,
        Column("place", "text", "place in the slab"),
        Column("age", "age", "age of the overlay"),
        Column("cause", "text", "what acts and asks most"),
        FREE,
        STRAIN,
        HELD,
        SHORT_CUT,
        Column("other_strain", "strain", "shrinkage left by the other model of the concrete"),
        MEAN_SHEAR,
        MEAN_PEEL,
        TENSION,
        SHEAR_STRENGTH,
        Column("demand", "stress", "strength in tension that shear and peel together ask for"),
        FACTOR,
        Column("other_criterion", "number", "factor by the other criterion"),
        Column("other_model", "number", "factor by the other model of the concrete"),
        OTHER_SUPPORT,
    ),
    bulk=True,
)
BOND_PATCHES = Schema(
    "bond_patches",
    "Bond beside patches without bond",
    "a patch of one size at one place",
    (
        SECTION,
        OVERLAY,
        Column("place", "text", "place of the patch"),
        Column("size", "length", "side of the patch"),
        AGE,
        Column("mean_shear", "stress", "mean interface shear beside the patch", brief="mean shear"),
        Column("mean_peel", "stress", "mean peel beside the patch"),
        FACTOR,
        Column("sound", "number", "factor there without the patch"),
        Column("passes", "text", "reaches the least factor"),
        Column("opening", "deflection", "opening at the free end by night"),
        *ENERGY_OF,
        Column("energy", "energy_release", "energy released as it grows, steady", brief="energy released"),
        FRACTURE,
        Column("growth", "text", "does it grow by energy"),
        Column("trust", "text", "range of the correction"),
    ),
)
BOND_MAP = Schema(
    "bond_map",
    "Interface shear over one slab at the worst age",
    "a place on the slab",
    (
        SECTION,
        Column("along", "length", "distance from the transverse joint"),
        Column("across", "length", "distance from the free edge"),
        Column("wheels", "stress", "greatest shear from wheels"),
        Column("day", "stress", "shear from the day's temperature"),
        Column("night", "stress", "shear from the night's temperature"),
        Column("shrinkage", "stress", "shear from shrinkage"),
        Column("together", "stress", "greatest shear from all together"),
        Column("when", "text", "when that is"),
    ),
    bulk=True,
)
BOND_DEFLECTIONS = Schema(
    "bond_deflections",
    "Deflection that tests should find before and after",
    "a test position",
    (
        SECTION,
        OVERLAY,
        Column("position", "text", "position of the plate"),
        Column("before", "deflection", "before the overlay"),
        Column("bonded", "deflection", "after, bonded"),
        Column(
            "part_delaminated",
            "deflection",
            "after, corners without bond over a tenth of the slab",
            brief="after, corners unbonded",
        ),
        Column("unbonded", "deflection", "after, without bond"),
        Column("fall", "share", "fall if bonded"),
        Column("unbonded_reduction", "share", "fall if unbonded"),
        Column("warning_above", "deflection", "above this the test speaks against the bond", brief="suspect above"),
    ),
)

TABLES = (BOND_VERDICTS, BOND_PLACES, BOND_AGES, BOND_PATCHES, BOND_MAP, BOND_DEFLECTIONS)
