"""The tables of the bond as a field: where and when it is stressed, and what deflection tests should show."""

from __future__ import annotations

from slabwright.records.outcomes.columns import OVERLAY, SECTION
from slabwright.records.table import Column, Schema

__all__ = [
    "BOND_DEFLECTIONS",
    "BOND_MAP",
    "BOND_PLACES",
    "BOND_VERDICTS",
    "TABLES",
]

BOND_PLACES = Schema(
    "bond_places",
    "Demand on the bond by place and cause",
    "a place under a cause",
    (
        SECTION,
        OVERLAY,
        Column("place", "text", "place in the slab"),
        Column("cause", "text", "what stresses it"),
        Column("peak_shear", "stress", "peak interface shear, an index"),
        Column("mean_shear", "stress", "mean interface shear over the averaging length"),
        Column("mean_peel", "stress", "mean peel over the averaging length"),
        Column("required", "stress", "tensile bond strength that the means ask for"),
        Column("strength", "stress", "tensile bond strength required by the specification"),
        Column("factor", "number", "strength over demand"),
        Column("passes", "text", "reaches the least factor"),
    ),
)
BOND_VERDICTS = Schema(
    "bond_verdicts",
    "Bond strength against demand",
    "a section",
    (
        SECTION,
        OVERLAY,
        Column("place", "text", "where the bond is most stressed"),
        Column("cause", "text", "by what"),
        Column("required", "stress", "tensile bond strength asked for, without the factor"),
        Column("strength", "stress", "tensile bond strength required by the specification"),
        Column("factor", "number", "strength over demand"),
        Column("least_factor", "number", "least factor decided"),
        Column("passes", "text", "passes"),
        Column("day", "temperature_change", "temperature difference by day, top less bottom"),
        Column("night", "temperature_change", "temperature difference by night"),
        Column("differences_from", "text", "where these differences come from"),
        Column("strain", "strain", "shrinkage of the overlay that creep leaves"),
        Column("energy", "energy_release", "energy released where the layers part"),
        Column("note", "text", "remark"),
    ),
)
BOND_MAP = Schema(
    "bond_map",
    "Interface shear over one slab",
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
        Column("part_delaminated", "deflection", "after, corners without bond over a tenth of the slab"),
        Column("unbonded", "deflection", "after, without bond"),
        Column("fall", "share", "fall if bonded"),
        Column("unbonded_reduction", "share", "fall if unbonded"),
        Column("warning_above", "deflection", "above this the test speaks against the bond"),
    ),
)

TABLES = (BOND_VERDICTS, BOND_PLACES, BOND_MAP, BOND_DEFLECTIONS)
