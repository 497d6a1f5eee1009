"""What the office holds on the demo road: plans, alignment, bridges, ramps and traffic, as tables in SI.

Names are invented. The coordinates lie in the open ocean, in a real projected system, so that no place is meant.
"""

from __future__ import annotations

import numpy as np
import pandas as pd

from slabwright.demo.truth import TRUTH
from slabwright.units import FOOT, INCH, KIP

__all__ = [
    "alignment",
    "axles",
    "bridges",
    "counts",
    "lanes",
    "layers",
    "ramps",
    "road",
    "truck_classes",
]

COORDINATE_SYSTEM = "EPSG:32610"
ORIGIN = (250_000.0, 4_100_000.0)
FIRST_BEARING = np.radians(8.0)
CURVE_RADIUS = 4000.0
ALIGNMENT_STEP = 200 * FOOT

YEARS = np.arange(2005, 2026)
FIRST_COUNT, GROWTH, COUNT_SCATTER = 110_500.0, 0.0080, 0.008
QUIET_YEAR, QUIET_SHARE = 2020, 0.91
# A commuter road: few trucks, so that the old slab still has life to keep.
TRUCK_SHARE, TRUCK_SHARE_SCATTER = 0.04, 0.001

# Federal class: share of trucks, single, tandem and tridem axle groups per truck; an invented urban mix.
CLASSES = {
    4: (0.020, 1.6, 0.4, 0), 5: (0.190, 2, 0, 0), 6: (0.060, 1, 1, 0), 7: (0.010, 1, 0, 1), 8: (0.070, 2.4, 0.6, 0),
    9: (0.560, 1.2, 1.9, 0), 10: (0.020, 1, 1, 1), 11: (0.040, 5, 0, 0), 12: (0.015, 4, 1, 0), 13: (0.015, 1, 2, 1),
}  # fmt: skip

# Axles per 1,000 trucks by kips, Portland Cement Association category 3 (Packard 1984, Table 15), from memory.
SINGLES = {12: 182.02, 14: 47.73, 16: 31.82, 18: 25.15, 20: 16.33, 22: 7.85, 24: 5.21, 26: 1.78, 28: 0.85, 30: 0.45}
TANDEMS = {
    16: 99.34,
    20: 85.94,
    24: 72.54,
    28: 121.22,
    32: 103.63,
    36: 56.25,
    40: 21.31,
    44: 8.01,
    48: 2.91,
    52: 1.19,
}


def road() -> pd.DataFrame:
    """The one row that says what the road is."""
    return pd.DataFrame({
        "name": [TRUTH.road],
        "stationing": ["feet"],
        "begin": [TRUTH.begin],
        "end": [TRUTH.end],
        "coordinate_system": [COORDINATE_SYSTEM],
    })


def alignment() -> pd.DataFrame:
    """Points of the centre line, every 200 ft along one long circular curve."""
    station = np.arange(TRUTH.begin, TRUTH.end + ALIGNMENT_STEP / 2, ALIGNMENT_STEP)
    bearing = FIRST_BEARING + (station - TRUTH.begin) / CURVE_RADIUS
    east, north = ORIGIN
    return pd.DataFrame({
        "station": station,
        "x": east + CURVE_RADIUS * (np.cos(FIRST_BEARING) - np.cos(bearing)),
        "y": north + CURVE_RADIUS * (np.sin(bearing) - np.sin(FIRST_BEARING)),
    })


def lanes() -> pd.DataFrame:
    """Three lanes each way, numbered from the median."""
    return pd.DataFrame({
        "lane": ["NB1", "NB2", "NB3", "SB1", "SB2", "SB3"],
        "direction": ["with stationing"] * 3 + ["against stationing"] * 3,
        "position": [1, 2, 3] * 2,
        "width": TRUTH.slab_width,
    })


def bridges() -> pd.DataFrame:
    """One bridge that carries the road and one that passes over it; both limit the grade raise."""
    hundred = 100 * FOOT
    return pd.DataFrame({
        "name": ["Wick Slough Bridge", "Snuffer Street Overpass"],
        "begin": [134.2 * hundred, 176.4 * hundred],
        "end": [135.9 * hundred, 177.3 * hundred],
        "passes": ["under the road", "over the road"],
        "clearance": [np.nan, 16.30 * FOOT],
        "required_clearance": [np.nan, 16.00 * FOOT],
        "allowable_raise": [3.5 * INCH, np.nan],
    })


def ramps() -> pd.DataFrame:
    """Two interchanges with an off-ramp and an on-ramp each way."""
    hundred = 100 * FOOT
    return pd.DataFrame({
        "name": [
            "Snuffer Street NB off",
            "Snuffer Street NB on",
            "Snuffer Street SB off",
            "Snuffer Street SB on",
            "Beeswax Avenue NB off",
            "Beeswax Avenue NB on",
        ],
        "station": [hundred * s for s in (166.0, 186.5, 187.0, 165.5, 106.0, 124.0)],
        "lane": ["NB3", "NB3", "SB3", "SB3", "NB3", "NB3"],
        "kind": ["off", "on"] * 3,
    })


def layers() -> pd.DataFrame:
    """The existing pavement from the plans of 1988, which know two pavements and not five stretches."""
    jointed = [s for s in TRUTH.stretches if s.jointed]
    last = TRUTH.stretches[-1]
    return pd.DataFrame({
        "begin": [jointed[0].begin, last.begin],
        "end": [jointed[-1].end, last.end],
        "pavement": [jointed[0].pavement, last.pavement],
        "thickness": [jointed[0].thickness, last.thickness],
        "joint_spacing": [TRUTH.slab_length, np.nan],
        "dowelled": ["yes", ""],
        "steel": [np.nan, 0.006],
        "base": "cement-treated base",
        "base_thickness": 4 * INCH,
        "shoulder": "asphalt",
        "drainage": "fair",
        "year_built": 1988,
    })


def counts(rng: np.random.Generator) -> pd.DataFrame:
    """Daily traffic and share of trucks for each year; one year was quiet."""
    scatter = 1 + COUNT_SCATTER * rng.uniform(-1, 1, len(YEARS))
    quiet = np.where(YEARS == QUIET_YEAR, QUIET_SHARE, 1.0)
    return pd.DataFrame({
        "year": YEARS,
        "daily_traffic": FIRST_COUNT * (1 + GROWTH) ** (YEARS - YEARS[0]) * quiet * scatter,
        "truck_share": TRUCK_SHARE + TRUCK_SHARE_SCATTER * rng.standard_normal(len(YEARS)),
    })


def truck_classes() -> pd.DataFrame:
    """Share of each federal class among trucks, and its axle groups."""
    names = ["share", "single_axles", "tandem_axles", "tridem_axles"]
    return pd.DataFrame.from_dict(CLASSES, orient="index", columns=names).rename_axis("vehicle_class").reset_index()


def axles() -> pd.DataFrame:
    """The axle-load spectrum, one row a load class."""
    rows = [(group, load * KIP, n) for group, s in (("single", SINGLES), ("tandem", TANDEMS)) for load, n in s.items()]
    return pd.DataFrame(rows, columns=["axle", "load", "per_thousand_trucks"])
