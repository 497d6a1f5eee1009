"""What the survey cannot work without, beyond rows in its tables."""

from __future__ import annotations

from slabwright.records.stage import Given
from slabwright.roadway.places import road_limits
from slabwright.survey.boundaries import by_hand_on_road

__all__ = ["PRECONDITIONS"]


def _boundaries(given: Given) -> None:
    limits = road_limits(given.facts)
    if given.decisions.survey.section_boundaries.strip():
        by_hand_on_road(given.decisions.survey, limits)


PRECONDITIONS = (_boundaries,)
