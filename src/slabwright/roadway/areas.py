"""Areas of pavement by section."""

from __future__ import annotations

import pandas as pd

from slabwright.records.facts import Facts
from slabwright.roadway.places import directions_of_lanes, lane_width
from slabwright.roadway.structures import decks, off_deck_length

__all__ = ["section_areas"]


def section_areas(sections: pd.DataFrame, facts: Facts) -> dict[str, float]:
    """Area of slab on the ground [m2] of each section by name, over all lanes of its direction, from the table of sections.

    Decks that carry the road are not in it. A lane counts with ``lane_width``. Raises nothing; a section of a direction
    without lanes has the area 0.
    """
    directions = directions_of_lanes(facts)
    total: dict[str, float] = {}
    for lane, way in directions.items():
        total[way] = total.get(way, 0.0) + lane_width(facts, lane)
    length = off_deck_length(sections["begin"], sections["end"], decks(facts))
    names = zip(sections["section"], sections["direction"], length, strict=True)
    return {name: float(size) * total.get(way, 0.0) for name, way, size in names}
