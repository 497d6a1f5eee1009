"""Ramps that no overlay reaches as the tables stand, so that their tapers and areas are in no quantity."""

from __future__ import annotations

from collections.abc import Iterator

import pandas as pd

from slabwright.records.facts import Facts
from slabwright.records.remarks import Remark, remark
from slabwright.roadway.structures import decks, on_deck

__all__ = ["lost_ramps"]


def lost_ramps(
    sections: pd.DataFrame, facts: Facts, directions: dict[str, str]
) -> Iterator[tuple[str, Remark | str, str]]:
    """Open points: ramps whose nose lies on a deck, in a lane of no direction that was surveyed, or off every section.

    ``sections`` (n,) has direction, begin and end [m]; ``directions`` names the direction by lane. Raises nothing.
    """
    lying = on_deck(facts.ramps["station"], decks(facts))
    for ramp, carried in zip(facts.ramps.itertuples(index=False), lying, strict=True):
        here = sections[sections["direction"] == directions.get(ramp.lane, "")]
        within = (here["begin"] <= ramp.station) & (ramp.station <= here["end"])
        name = ramp.name or "ramp"
        lost = "its taper and its area are in no quantity"
        at = ("station", float(ramp.station))
        if here.empty:
            said = remark(f"its lane {{lane}} belongs to no direction with a section: {lost}", lane=("text", ramp.lane))
            yield name, said, "Correct the lane in the table of ramps, or declare it in the table of lanes."
        elif carried:
            said = remark(
                f"its nose at {{at}} lies on the deck of a bridge, where no overlay is designed: {lost}", at=at
            )
            yield name, said, "Correct the station, or lay the ramp out with the bridge engineer."
        elif not within.any():
            said = remark(f"its nose at {{at}} lies in no section: {lost}", at=at)
            yield name, said, "Correct the station of the nose, or the ends of the road."
