"""Areas of pavement by section and lane."""

from __future__ import annotations

import numpy as np
import pandas as pd

from slabwright.records.facts import Facts
from slabwright.roadway.places import directions_of_lanes, lane_width
from slabwright.roadway.structures import decks, off_deck_length

__all__ = ["lane_areas", "section_areas"]


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


def lane_areas(sections: pd.DataFrame, facts: Facts) -> pd.DataFrame:
    """The same by lane: section, direction, lane, length off the decks [m], width [m] and area [m2], each (n,), one a lane of a section.

    Raises nothing.
    """
    lanes = pd.DataFrame(list(directions_of_lanes(facts).items()), columns=["lane", "direction"])
    lanes["width"] = np.array([lane_width(facts, lane) for lane in lanes["lane"]], dtype=float)
    length = off_deck_length(sections["begin"], sections["end"], decks(facts))
    found = sections[["section", "direction"]].assign(length=length).merge(lanes, on="direction", how="inner")
    return found.assign(area=found["length"] * found["width"])
