"""Slabs with voids that nobody tested: what the corners tested say of the others of their lane."""

from __future__ import annotations

import numpy as np
import pandas as pd

from slabwright.records.facts import Facts
from slabwright.records.outcomes.evaluation import EXPECTED_VOIDS
from slabwright.records.table import table
from slabwright.roadway.joints import joints_of_road, slabs_of_length
from slabwright.roadway.places import by_section
from slabwright.roadway.structures import decks, off_deck_length
from slabwright.statistics.samples import binomial_interval

__all__ = ["expected_voids"]

SAME = 1e-9  # of a slab: what is no more than a rounding beyond a whole one


def expected_voids(facts: Facts, condition: pd.DataFrame, voids: pd.DataFrame, confidence: float) -> pd.DataFrame:
    """The table ``expected_voids``: lanes (n,) where a tested corner has a void, with the slabs not tested. Raises nothing.

    ``voids``: corner tests with the names of their sections; ``confidence`` of the exact limits. One corner stands for its
    slab, and the tested slabs for all slabs of their lane in the section (common practice, no source). More than the found
    are whole slabs, so that the bid and every sum count the same.
    """
    judged = voids[voids["void"].isin(["yes", "no"]) & (voids["section"] != "")]
    joints = joints_of_road(facts, condition)
    ends = condition.set_index("section")
    length = pd.Series(off_deck_length(ends["begin"], ends["end"], decks(facts)), index=ends.index)
    found = judged.assign(found=judged["void"] == "yes").groupby(["section", "lane"], sort=True)["found"]
    counted = by_section(found.agg(tested="size", found="sum").reset_index(), condition["section"])
    counted = counted[counted["found"] > 0].reset_index(drop=True)
    keys = pd.MultiIndex.from_frame(counted[["section", "lane"]])
    spacing = joints.groupby(["section", "lane"])["spacing"].first().reindex(keys).to_numpy(dtype=float)
    slabs = slabs_of_length(counted["section"].map(length).to_numpy(dtype=float), spacing)
    of_lane = np.fmax(slabs, counted["tested"].to_numpy(dtype=float))
    share = binomial_interval(counted["found"].to_numpy(float), counted["tested"].to_numpy(float), confidence)
    left = of_lane - counted["tested"].to_numpy(dtype=float)
    limits = {"share": share.share, "low": share.lower, "high": share.upper}
    more = {
        name: np.ceil(left * part - SAME)
        for name, part in (("more", share.share), ("more_low", share.lower), ("more_high", share.upper))
    }
    return table(EXPECTED_VOIDS, counted.assign(slabs=of_lane, **limits, **more)[list(EXPECTED_VOIDS.names)])
