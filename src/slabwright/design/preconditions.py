"""What the design cannot work without, beyond rows in its tables."""

from __future__ import annotations

from slabwright.design.built import thickness_by_hand
from slabwright.design.run import REFUSED, stationing_of
from slabwright.design.thickness import built_step
from slabwright.design.ways import chosen_ways
from slabwright.records.stage import Given

__all__ = ["PRECONDITIONS"]


def _by_hand(given: Given) -> None:
    verdicts = given.tables("evaluation")["verdicts"]
    refused = verdicts["verdict"].isin(REFUSED)
    thickness_by_hand(given.decisions.design.thickness_by_hand, verdicts[~refused])
    chosen_ways(given.decisions.design, verdicts[refused])


PRECONDITIONS = (lambda given: built_step(given.decisions.design.round_to, stationing_of(given.facts)), _by_hand)
