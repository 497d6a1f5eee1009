"""Slabs with voids that nobody tested: what the corners tested say of the others of their lane."""

from __future__ import annotations

import numpy as np
import pandas as pd

from slabwright.records.facts import Facts
from slabwright.records.outcomes.evaluation import EXPECTED_VOIDS
from slabwright.records.table import table
from slabwright.roadway.joints import joints_of_road
from slabwright.roadway.structures import decks, on_deck
from slabwright.statistics.samples import binomial_interval

__all__ = ["expected_voids"]


def expected_voids(facts: Facts, condition: pd.DataFrame, voids: pd.DataFrame, confidence: float) -> pd.DataFrame:
    """The table ``expected_voids``: lanes (n,) where a tested corner has a void, with the slabs not tested. Raises nothing.

    ``voids``: corner tests with the names of their sections; ``confidence`` of the exact limits. One corner stands for its
    slab, and the tested slabs for all slabs of their lane in the section (common practice, no source).
    """
    judged = voids[voids["void"].isin(["yes", "no"]) & (voids["section"] != "")]
    joints = joints_of_road(facts, condition)
    slabs = joints[~on_deck(joints["station"], decks(facts))].groupby(["section", "lane"]).size()
    found = judged.assign(found=judged["void"] == "yes").groupby(["section", "lane"], sort=True)["found"]
    counted = found.agg(tested="size", found="sum").reset_index()
    counted = counted[counted["found"] > 0].reset_index(drop=True)
    keys = pd.MultiIndex.from_frame(counted[["section", "lane"]])
    of_lane = np.fmax(slabs.reindex(keys).to_numpy(dtype=float), counted["tested"].to_numpy(dtype=float))
    share = binomial_interval(counted["found"].to_numpy(float), counted["tested"].to_numpy(float), confidence)
    left = of_lane - counted["tested"].to_numpy(dtype=float)
    limits = {"share": share.share, "low": share.lower, "high": share.upper}
    more = {"more": left * share.share, "more_low": left * share.lower, "more_high": left * share.upper}
    return table(EXPECTED_VOIDS, counted.assign(slabs=of_lane, **limits, **more)[list(EXPECTED_VOIDS.names)])
