"""What the design cannot work without, beyond rows in its tables."""

from __future__ import annotations

from slabwright.design.built import check_thicknesses, thickness_by_hand
from slabwright.design.run import REFUSED, stationing_of
from slabwright.design.thickness import built_step
from slabwright.design.ways import chosen_ways
from slabwright.records.stage import Given
from slabwright.units import System

__all__ = ["PRECONDITIONS"]


def _by_hand(given: Given) -> None:
    system: System = "metric" if stationing_of(given.facts) == "metres" else "us"
    check_thicknesses(given.decisions.design.thickness_by_hand, system)
    verdicts = given.tables("evaluation")["verdicts"]
    built = verdicts[~verdicts["verdict"].isin(REFUSED)]
    thickness_by_hand(given.decisions.design.thickness_by_hand, built, system)


def _ways(given: Given) -> None:
    verdicts = given.tables("evaluation")["verdicts"]
    chosen_ways(given.decisions.design, verdicts[verdicts["verdict"].isin(REFUSED)])


PRECONDITIONS = (lambda given: built_step(given.decisions.design.round_to, stationing_of(given.facts)), _by_hand, _ways)
