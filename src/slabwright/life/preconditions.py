"""What the life stage cannot work without, beyond rows in its tables."""

from __future__ import annotations

from slabwright.climate.temperature import hourly_weather
from slabwright.life.inputs import thickness_ends, truck_passes
from slabwright.life.run import section_states
from slabwright.life.section_life import require_past
from slabwright.records.stage import Given

__all__ = ["PRECONDITIONS"]


def _past(given: Given) -> None:
    _, _, states = section_states(given)
    for state in states:
        require_past(state, given.decisions)


PRECONDITIONS = (
    lambda given: thickness_ends(given.decisions),
    lambda given: truck_passes(given.facts, given.decisions),
    lambda given: hourly_weather(given.facts),
    _past,
)
