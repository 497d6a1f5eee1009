"""Where load transfer is restored, and what a section's load transfer is afterwards."""

from __future__ import annotations

import numpy as np
import pandas as pd

from slabwright.records.decisions import Decisions
from slabwright.records.remarks import Remark, remark
from slabwright.records.words import TRANSFER
from slabwright.repair.marking import COLUMNS, covered_by
from slabwright.roadway.joints import SAME_JOINT

__all__ = ["restorations"]


def restorations(
    joints: pd.DataFrame,
    transfers: pd.DataFrame,
    condition: pd.DataFrame,
    full: pd.DataFrame,
    widths: dict[str, float],
    decisions: Decisions,
) -> pd.DataFrame:
    """Every joint of a tested lane whose section falls short on average; elsewhere the tested joints that do.

    A joint inside a full-depth repair, or at its end, gets new dowels with it and is not marked again. ``joints`` is the frame
    of ``joints_of_road``, ``full`` the full-depth repairs.
    """
    if decisions.repair.restore_load_transfer == "no":
        return pd.DataFrame(columns=COLUMNS)
    limit = decisions.evaluation.lowest_load_transfer
    parts = []
    for s in condition[condition["pavement"] != "CRCP"].itertuples(index=False):  # a handful of sections
        tests = transfers[transfers["section"] == s.section]
        here = joints[(joints["section"] == s.section) & joints["lane"].isin(set(tests["lane"]))]
        if s.transfer < limit:
            reasons = [_mean(s.transfer, j.assumed, j.spacing) for j in here.itertuples(index=False)]
            parts.append(_rows(here, widths, reasons))
        else:
            short = _at_joints(tests[tests["efficiency"] < limit], here)
            reasons = [remark("load transfer {found}", found=("share", e)) for e in short["efficiency"]]
            parts.append(_rows(short, widths, reasons))
    marked = pd.concat(parts, ignore_index=True) if parts else pd.DataFrame(columns=COLUMNS)
    return marked[~covered_by(marked["begin"], marked["lane"], full, SAME_JOINT / 2)]


def _mean(transfer: float, assumed: bool, spacing: float) -> Remark:
    if not assumed:
        return remark("mean load transfer of the section {mean}", mean=("share", transfer))
    return remark(
        "mean load transfer of the section {mean}; place of the joint assumed, joints {spacing} apart",
        mean=("share", transfer),
        spacing=("length", spacing),
    )


def _at_joints(tests: pd.DataFrame, joints: pd.DataFrame) -> pd.DataFrame:
    """The tests at the station of their joint, the worst test of each joint once."""
    placed = tests.assign(station=[_nearest(t.station, t.lane, joints) for t in tests.itertuples(index=False)])
    return placed.sort_values("efficiency", kind="stable").drop_duplicates(["lane", "station"]).sort_index()


def _nearest(station: float, lane: str, joints: pd.DataFrame) -> float:
    of_lane = joints["station"].to_numpy(dtype=float)[(joints["lane"] == lane).to_numpy()]
    near = of_lane[np.abs(of_lane - station) <= SAME_JOINT]
    return float(near[np.argmin(np.abs(near - station))]) if len(near) else station


def _rows(here: pd.DataFrame, widths: dict[str, float], reasons: list[Remark]) -> pd.DataFrame:
    return pd.DataFrame(
        {
            "lane": here["lane"].to_numpy(),
            "begin": here["station"].to_numpy(dtype=float),
            "end": here["station"].to_numpy(dtype=float),
            "kind": TRANSFER,
            "width": here["lane"].map(widths).to_numpy(dtype=float),
            "depth": np.nan,
            "reason": pd.Series(reasons, dtype=object),
        },
        columns=COLUMNS,
    )
