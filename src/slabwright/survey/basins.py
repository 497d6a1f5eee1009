"""Deflection basins: shape indices, normalising to a standard load, linearity and repeatability."""

from __future__ import annotations

from typing import Annotated, Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from slabwright.calculation import Array, Quantity, calculation
from slabwright.records.facts import LARGEST_SENSOR_COUNT
from slabwright.records.outcomes.survey import BASINS
from slabwright.records.table import table
from slabwright.terms import WheelLoad
from slabwright.units import INCH, LBF, MIL

__all__ = ["area_36", "area_48_outer", "area_60", "at_offset", "near_offset", "normalised_deflection", "reduce_basins"]

D = "deflection at {} in"
Centre = Annotated[Array, Quantity("deflection", D.format(0), 0.01 * MIL, 500 * MIL, "d0")]
At8 = Annotated[Array, Quantity("deflection", D.format(8), 0.0, 500 * MIL, "d8")]
At12 = Annotated[Array, Quantity("deflection", D.format(12), 0.0, 500 * MIL, "d12")]
At18 = Annotated[Array, Quantity("deflection", D.format(18), 0.0, 500 * MIL, "d18")]
At24 = Annotated[Array, Quantity("deflection", D.format(24), 0.0, 500 * MIL, "d24")]
At36 = Annotated[Array, Quantity("deflection", D.format(36), 0.0, 500 * MIL, "d36")]
At60 = Annotated[Array, Quantity("deflection", D.format(60), 0.0, 500 * MIL, "d60")]
Area = Annotated[Array, Quantity("thickness", "basin area over centre deflection", symbol="AREA")]
STANDARD: Array = np.asarray(9000 * LBF)


@calculation(
    source="guide1993",
    where="Part III, section 5",
    equation="AREA = 6 (1 + 2 d12 / d0 + 2 d24 / d0 + d36 / d0)",
)
def area_36(d0: Centre, d12: At12, d24: At24, d36: At36) -> Area:
    """Basin area of four sensors, 0 to 36 in; 36 in for a rigid slab. [m]"""
    return 6 * INCH * (1 + 2 * d12 / d0 + 2 * d24 / d0 + d36 / d0)


@calculation(
    source="hall1997",
    equation="AREA = 4 + 6 d8 / d0 + 5 d12 / d0 + 6 d18 / d0 + 9 d24 / d0 + 18 d36 / d0 + 12 d60 / d0",
)
def area_60(d0: Centre, d8: At8, d12: At12, d18: At18, d24: At24, d36: At36, d60: At60) -> Area:
    """Basin area of seven sensors, 0 to 60 in. [m]"""
    return INCH * (4 + (6 * d8 + 5 * d12 + 6 * d18 + 9 * d24 + 18 * d36 + 12 * d60) / d0)


@calculation(
    source="khazanovich2001",
    equation="AREA = 3 + 6 d18 / d12 + 9 d24 / d12 + 18 d36 / d12 + 12 d60 / d12",
)
def area_48_outer(
    d12: Annotated[Array, Quantity("deflection", D.format(12), 0.01 * MIL, 500 * MIL, "d12")],
    d18: At18,
    d24: At24,
    d36: At36,
    d60: At60,
) -> Area:
    """Basin area of the outer five sensors, 12 to 60 in, relative to 12 in. [m]"""
    return INCH * (3 + (6 * d18 + 9 * d24 + 18 * d36 + 12 * d60) / d12)


@calculation(source="practice", where="proportion, deflection linear in load", equation="d' = d P0 / P")
def normalised_deflection(
    deflection: Annotated[Array, Quantity("deflection", "measured deflection", 0.0, 500 * MIL, "d")],
    load: WheelLoad,
    standard_load: Annotated[Array, Quantity("force", "standard load", 1000 * LBF, 60000 * LBF, "P0")] = STANDARD,
) -> Annotated[Array, Quantity("deflection", "deflection at the standard load", symbol="d'")]:
    """Deflection at a standard load by proportion. [m]"""
    return deflection * standard_load / load


def at_offset(deflections: Array, offsets: Array, wanted: float) -> Array:
    """The deflection of the sensor that stands at an offset; NaN where no sensor does. (n, s), (n, s) -> (n,).

    A sensor counts as standing there within 4 mm, so that 300 mm serves for 12 in and 200 mm for 8 in. [m]
    """
    there = np.abs(offsets - wanted) <= 0.006
    found = np.where(there & np.isfinite(deflections), deflections, -np.inf).max(axis=-1, initial=-np.inf)
    return np.where(np.isfinite(found), found, np.nan)


NEAR_SENSOR = 0.03  # m: interpolation reaches this far from a sensor (common practice, no source)


def near_offset(deflections: Array, offsets: Array, wanted: float) -> Array:
    """As ``at_offset``, and where no sensor stands there, on the straight line between those on both sides. (n, s) -> (n,).

    Only where one of the two stands within 30 mm, so that 600 mm serves for 24 in and 900 mm for 36 in; else NaN. [m]
    """
    known = np.isfinite(deflections) & np.isfinite(offsets)
    inner, outer = (np.where(known & side, offsets, np.nan) for side in (offsets <= wanted, offsets >= wanted))
    row, first, last = np.arange(len(offsets)), _extreme(inner, -np.inf), _extreme(-outer, -np.inf)
    low, high = inner[row, first], outer[row, last]
    near = np.fmin(wanted - low, high - wanted) <= NEAR_SENSOR
    share = (wanted - low) / np.where(high > low, high - low, np.nan)
    between = deflections[row, first] * (1 - share) + deflections[row, last] * share
    exact = at_offset(deflections, offsets, wanted)
    return np.where(np.isfinite(exact), exact, np.where(near, between, np.nan))


def _extreme(values: Array, missing: float) -> npt.NDArray[np.intp]:
    return np.where(np.isfinite(values), values, missing).argmax(axis=1)


DEFLECTIONS = [f"deflection_{i}" for i in range(1, LARGEST_SENSOR_COUNT + 1)]
OFFSETS = [f"offset_{i}" for i in range(1, LARGEST_SENSOR_COUNT + 1)]
Groups = npt.NDArray[np.integer[Any]]
SAME_HEIGHT = 0.08  # drops whose loads lie within this share of each other came from one drop height


def reduce_basins(tests: pd.DataFrame, standard_load: float) -> pd.DataFrame:
    """One row for each test point: the drop nearest the standard load, scaled to it, with its quality measures.

    ``tests`` is the table of deflections; the result follows the schema ``basins``. Drops of a point share station,
    lane, position and point. Load linearity is the spread of deflection over load across drop heights, repeatability
    the spread among drops of one height.
    """
    tests = tests.reset_index(drop=True)
    keys = ["station", "lane", "position", "point"]
    group = tests.groupby(keys, sort=True, dropna=False).ngroup().to_numpy()
    compliance = tests["deflection_1"].to_numpy() / tests["load"].to_numpy()
    distance = np.abs(np.log(tests["load"].to_numpy() / standard_load))
    order = np.lexsort((distance, group))
    first = order[np.r_[True, np.diff(group[order]) != 0]] if len(order) else order
    chosen = tests.loc[first]
    scale = standard_load / chosen["load"].to_numpy()
    scaled = chosen[DEFLECTIONS].to_numpy() * scale[:, None]
    offsets = chosen[OFFSETS].to_numpy()
    named = {r: near_offset(scaled, offsets, r * INCH) for r in (8, 12, 18, 24, 36, 60)}
    d0 = scaled[:, 0]
    return table(
        BASINS,
        pd.DataFrame({
            **{k: chosen[k].to_numpy() for k in keys},
            "drops": np.bincount(group, minlength=len(first)),
            "load": chosen["load"].to_numpy(),
            "plate_radius": chosen["plate_radius"].to_numpy(),
            **{name: scaled[:, i] for i, name in enumerate(DEFLECTIONS)},
            **{name: offsets[:, i] for i, name in enumerate(OFFSETS)},
            "area_36": area_36(d0, named[12], named[24], named[36]),
            "area_60": area_60(d0, *(named[r] for r in (8, 12, 18, 24, 36, 60))),
            "linearity": _spread(compliance, group, len(first)),
            "repeatability": _repeatability(compliance, tests["load"].to_numpy(), group, len(first)),
            "air_temperature": chosen["air_temperature"].to_numpy(),
            "surface_temperature": chosen["surface_temperature"].to_numpy(),
        }),
    )


def _spread(values: Array, group: Groups, groups: int) -> Array:
    """Range over mean of the values of each group; NaN for a single value."""
    frame = pd.Series(values).groupby(group)
    spread = (frame.max() - frame.min()) / frame.mean()
    return np.asarray(spread.where(frame.count() > 1).reindex(range(groups)), dtype=np.float64)


def _repeatability(values: Array, loads: Array, group: Groups, groups: int) -> Array:
    """Greatest coefficient of variation among drops of one height at each point; NaN without repeats."""
    height = np.round(np.log(loads) / np.log1p(SAME_HEIGHT))
    cells = pd.Series(values).groupby([group, height])
    cv = (cells.std(ddof=1) / cells.mean()).groupby(level=0).max()
    return np.asarray(cv.reindex(range(groups)), dtype=np.float64)
