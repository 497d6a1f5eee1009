"""Load transfer of every joint test and the void line of every corner test."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pandas as pd

from slabwright.calculation import Array
from slabwright.evaluation.joints import load_transfer_efficiency, void_intercept
from slabwright.records.decisions.evaluation import EvaluationDecisions
from slabwright.records.outcomes.evaluation import TRANSFERS, VOIDS
from slabwright.records.table import table
from slabwright.survey.basins import DEFLECTIONS, OFFSETS, at_offset
from slabwright.units import INCH

__all__ = ["ACROSS", "JOINT_SIDES", "bending_by_section", "load_transfers", "void_tests"]

LEAST_LOADS = 3
ACROSS = 12 * INCH  # the sensor on the other side of the joint
JOINT_SIDES = ("joint approach", "joint leave")


def bending_by_section(basins: pd.DataFrame, section: npt.NDArray[np.int64], decided: float) -> dict[int, float]:
    """Bending correction of each section: decided, or the mean of d0 / d12 at its slab centres."""
    mid = (basins["position"] == "mid-slab").to_numpy()
    d12 = at_offset(basins[DEFLECTIONS].to_numpy(), basins[OFFSETS].to_numpy(), 12 * INCH)
    ratio = pd.Series(basins["deflection_1"].to_numpy() / d12)[mid]
    means = ratio.groupby(section[mid]).mean()
    return {int(k): decided or float(v) for k, v in means.items()}


def load_transfers(basins: pd.DataFrame, section: npt.NDArray[np.int64], bending: dict[int, float]) -> pd.DataFrame:
    """Load transfer of the joint tests: the unloaded side is the sensor 12 in ahead on the approach, behind on the leave."""
    joint = basins["position"].isin(JOINT_SIDES).to_numpy()
    here = basins[joint].reset_index(drop=True)
    d, r = here[DEFLECTIONS].to_numpy(), here[OFFSETS].to_numpy()
    across = np.where(here["position"] == "joint approach", at_offset(d, r, ACROSS), at_offset(d, r, -ACROSS))
    factor = pd.Series(section[joint]).map(bending).to_numpy(dtype=float)
    loaded = here["deflection_1"].to_numpy()
    return table(
        TRANSFERS,
        pd.DataFrame({
            **{k: here[k] for k in ("station", "lane", "position", "point")},
            "section": section[joint].astype(str),
            "loaded": loaded,
            "unloaded": across,
            "bending": factor,
            "efficiency": load_transfer_efficiency(loaded, across, factor),
        }),
    )


def void_tests(
    deflections: pd.DataFrame, section: npt.NDArray[np.int64], decisions: EvaluationDecisions
) -> pd.DataFrame:
    """Line of deflection on load at each corner point; ``section`` is the section row of each drop."""
    corner = (deflections["position"] == "corner").to_numpy()
    here = deflections[corner].reset_index(drop=True)
    keys = ["station", "lane", "point"]
    group = here.groupby(keys, sort=True, dropna=False).ngroup().to_numpy()
    loads, moved = (_padded(here[c].to_numpy(), group) for c in ("load", "deflection_1"))
    line = void_intercept(loads, moved)
    drops = np.isfinite(loads).sum(axis=1) if len(group) else np.zeros(0)
    first = pd.Series(group).drop_duplicates().sort_values().index
    enough = drops >= LEAST_LOADS
    found = np.where(line.intercept > decisions.void_intercept, "yes", "no")
    return table(
        VOIDS,
        pd.DataFrame({
            **{k: here.loc[first, k].to_numpy() for k in keys},
            "section": section[corner][first].astype(str),
            "drops": drops,
            "slope": line.slope,
            "intercept": line.intercept,
            "void": np.where(enough & np.isfinite(line.intercept), found, "not judged: fewer than three loads"),
        }),
    )


def _padded(values: Array, group: npt.NDArray[np.int64]) -> Array:
    """Values of each group along the last axis, NaN where a group has fewer. (n,) -> (groups, most)"""
    place = pd.Series(group).groupby(group).cumcount().to_numpy()
    made = np.full((int(group.max(initial=-1)) + 1, int(place.max(initial=0)) + 1), np.nan)
    made[group, place] = values
    return made
