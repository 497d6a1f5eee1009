"""Cracks that the repairs leave in the old slab: they work, and a bonded overlay above them cracks with them."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pandas as pd

from slabwright.calculation import Array
from slabwright.records.facts import Facts
from slabwright.records.outcomes.repair import REFLECTED_CRACKS
from slabwright.records.remarks import Remark, remark
from slabwright.records.table import empty, table
from slabwright.records.words import NOT_JUDGED, NOT_SUITED
from slabwright.roadway.places import directions_of_lanes, layer_rows
from slabwright.roadway.structures import decks, off_deck_length

__all__ = ["WORKING", "reflected_cracks", "reflection_notes"]

# What divides a slab of plain concrete, at any severity or none given; joints and spalls are not among them.
WORKING = ("transverse crack", "longitudinal crack", "corner break")
AT_JOINT = (
    1e-6  # of a slab: a crack recorded at a joint lies in the slab after it, whatever the last bit of its station
)
MEANING = remark(
    "A crack that works comes through a bonded overlay, as a rule within the first years (common practice, no source):"
    " replace the slab full depth, saw a joint above the crack, or accept it."
)
SOME = 0.005  # of the slabs of a lane: less is not worth a word


def reflected_cracks(
    facts: Facts, rated: pd.DataFrame, covered: npt.NDArray[np.bool_], verdicts: pd.DataFrame
) -> pd.DataFrame:
    """The table ``reflected_cracks``: slabs of every lane that was walked, the worst lane of a section first.

    ``covered`` (n,) says which of the rated distresses (n rows) lie in a full-depth repair: only that takes a crack out, one
    that is routed and filled works as before. Sections that take no overlay are left out, and continuously reinforced
    pavement, whose steel holds its cracks tight. A slab is a joint spacing [m] long; where none is given, slabs and shares
    are NaN.
    """
    directions, spans = directions_of_lanes(facts), decks(facts)
    cracked = rated["kind"].isin(WORKING).to_numpy()
    rows = []
    for s in verdicts[~verdicts["verdict"].isin([NOT_SUITED, NOT_JUDGED])].itertuples(index=False):
        for lane in (name for name, way in directions.items() if way == s.direction):
            walked = (facts.distresses["lane"] == lane) & facts.distresses["station"].between(s.begin, s.end)
            layer = int(layer_rows(facts, np.array([(s.begin + s.end) / 2]), [lane])[0])
            if not walked.any() or layer < 0 or facts.layers["pavement"].iloc[layer] == "CRCP":
                continue
            length = float(facts.layers["joint_spacing"].iloc[layer])
            here = ((rated["lane"] == lane) & rated["station"].between(s.begin, s.end)).to_numpy() & cracked
            ground = float(off_deck_length(s.begin, s.end, spans))
            found, left = (_slabs(rated["station"].to_numpy()[chosen], length) for chosen in (here, here & ~covered))
            rows.append((s.section, lane, max(round(ground / length), 1) if length > 0 else np.nan, found, left))
    if not rows:
        return empty(REFLECTED_CRACKS)
    made = pd.DataFrame(rows, columns=["section", "lane", "slabs", "cracked", "left"])
    made["share"] = np.minimum(made["left"] / made["slabs"], 1.0)
    return table(REFLECTED_CRACKS, made.sort_values(["section", "share"], ascending=[True, False], kind="stable"))


def _slabs(stations: Array, length: float) -> int:
    """Slabs that have one of the cracks; cracks where the length of the slabs is not known."""
    if not length > 0:
        return len(stations)
    return len(np.unique(np.floor(stations / length + AT_JOINT)))


def reflection_notes(found: pd.DataFrame) -> list[Remark]:
    """How many cracks are left, for the sections where they are more than a few, and what they do to the overlay."""
    worst = found.drop_duplicates("section")
    notes = [
        remark(
            "{left} of {slabs} slabs of lane {lane} keep a crack that works after repair.",
            str(row.section),
            left=("count", row.left),
            slabs=("count", row.slabs),
            lane=("text", row.lane),
        )
        for row in worst[worst["share"] >= SOME].itertuples(index=False)
    ]
    return [*notes, MEANING] if notes else []
