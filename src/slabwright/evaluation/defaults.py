"""What the traffic to come and the repaired joints take from a default that nobody decided.

A decision that still has its default is taken for one that nobody made: the project keeps no other trace of it.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pandas as pd

from slabwright.evaluation.loading import Loading, lanes_each_way
from slabwright.evaluation.reasons import PRACTICE
from slabwright.evaluation.restored import falls_short
from slabwright.records.decisions import Decisions
from slabwright.records.facts import Facts
from slabwright.records.remarks import Remark

__all__ = ["AXLES", "GROWTH", "by_default"]

AXLES, GROWTH = "future_axles", "growth"  # what the assumption enters: axles in proportion, and their yearly growth
DIRECTIONS = (0.3, 0.7)  # AASHTO 1993 Part II section 2.1.2, from memory
LANES = {1: (1.0, 1.0), 2: (0.8, 1.0), 3: (0.6, 0.8)}  # by lanes each way, as above
MORE_LANES = (0.5, 0.75)
SHARES_BY = "AASHTO 1993 Part II section 2.1.2, published ranges (from memory)"
GROWTHS = (0.0, 0.04)  # a year (common practice, no source)
RESTORED = (0.7, 1.0)  # of joints with dowels put in (common practice, no source)
UNTOLD = "the default, which nobody decided"
Default = tuple[str, str, float, tuple[float, float], Remark | str, str, str]


def by_default(section: pd.Series, facts: Facts, decisions: Decisions, loading: Loading) -> Iterator[Default]:
    """Quantity, what it enters, value, range, why, the decision and the source of the range; shares and growth are ratios [1]."""
    usual, traffic = Decisions(), decisions.traffic
    if traffic.directional_share == usual.traffic.directional_share:
        by = "traffic.directional_share"
        yield (
            "Share of traffic in the design direction",
            AXLES,
            traffic.directional_share,
            DIRECTIONS,
            UNTOLD,
            by,
            SHARES_BY,
        )
    lanes = lanes_each_way(facts, traffic)
    if traffic.lane_share == usual.traffic.lane_share and lanes > 1:
        why = "by the published curve; trucks were not counted by lane"
        ends = LANES.get(int(lanes), MORE_LANES)
        yield (
            "Share of trucks in the design lane",
            AXLES,
            loading.lane_share,
            ends,
            why,
            "traffic.lane_share",
            SHARES_BY,
        )
    ahead = loading.years >= traffic.base_year
    if traffic.growth == usual.traffic.growth and "projected" in set(np.asarray(loading.basis)[ahead]):
        yield "Yearly growth of traffic to come", GROWTH, traffic.growth, GROWTHS, UNTOLD, "traffic.growth", PRACTICE
    restored = decisions.repair.restored_load_transfer
    if restored == usual.repair.restored_load_transfer and falls_short(section["transfer"], decisions):
        by = "repair.restored_load_transfer"
        yield "Load transfer of restored joints", "", restored, RESTORED, UNTOLD, by, PRACTICE
