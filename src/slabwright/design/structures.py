"""Bridges: the raise beside those that pass over the road, and the decks that carry it and take no part in the design."""

from __future__ import annotations

from typing import Annotated

import numpy as np
import numpy.typing as npt
import pandas as pd

from slabwright.calculation import Array, Quantity, calculation
from slabwright.records.decisions.design import DesignDecisions
from slabwright.records.facts import Facts
from slabwright.records.outcomes.design import CLEARANCES, STRUCTURES
from slabwright.records.remarks import Remark, remark
from slabwright.records.table import empty, table
from slabwright.records.words import CARRIES, OVER, UNKNOWN
from slabwright.roadway.places import directions_of_lanes, lane_width
from slabwright.units import INCH

__all__ = ["GRAVITY", "bridge_rows", "clearances", "lanes_width", "overlay_dead_load", "structures", "taper_length"]

GRAVITY = 9.80665  # m/s2, standard gravity


@calculation(source="practice", where="weight of a layer", tag="derived", equation="q = rho g t")
def overlay_dead_load(
    thickness: Annotated[Array, Quantity("thickness", "overlay thickness", 0.0, 12 * INCH, "t")],
    density: Annotated[Array, Quantity("density", "density of the concrete", 1500.0, 3000.0, "rho")],
) -> Annotated[Array, Quantity("area_load", "dead load of the overlay", symbol="q")]:
    """Dead load of an overlay on a deck, with standard gravity. [Pa]"""
    return density * GRAVITY * thickness


@calculation(source="practice", where="transition to a structure", tag="common practice", equation="L = r t")
def taper_length(
    rise: Annotated[Array, Quantity("thickness", "rise of the surface", 0.0, 12 * INCH, "t")],
    ratio: Annotated[Array, Quantity("number", "length over rise", 10.0, 2000.0, "r")],
) -> Annotated[Array, Quantity("length", "length of the taper", symbol="L")]:
    """Length of the taper from the overlay down to a structure that is not overlaid. [m]"""
    return ratio * rise


def bridge_rows(facts: Facts, *, carrying: bool) -> npt.NDArray[np.int64]:
    """Rows of the table of bridges that carry the road, or all others."""
    return np.flatnonzero((facts.bridges["passes"] == CARRIES).to_numpy() == carrying)


def lanes_width(facts: Facts) -> float:
    """Width of all lanes of both directions. [m]"""
    return float(sum(lane_width(facts, lane) for lane in directions_of_lanes(facts)))


def _thickest(thicknesses: pd.DataFrame, begin: float, end: float) -> float:
    """Of the overlays that reach a bridge; 0 where none is built. [m]"""
    near = thicknesses[(thicknesses["begin"] <= end) & (thicknesses["end"] >= begin)]
    return float(np.nanmax(near["overlay"].to_numpy(dtype=float), initial=0.0))


def clearances(facts: Facts, raised: pd.DataFrame) -> pd.DataFrame:
    """The table ``clearances``: the greatest raise under each bridge over the road against what it can take.

    ``raised``: begin, end and how high the surface is ``raised`` [m] in each section.
    """
    rows = []
    for bridge in facts.bridges.iloc[bridge_rows(facts, carrying=False)].itertuples(index=False):
        over = bridge.passes == OVER
        room = bridge.clearance - bridge.required_clearance if over else np.nan
        near = raised[(raised["begin"] <= bridge.end) & (raised["end"] >= bridge.begin)]["raised"]
        lift = float(np.nanmax(near.to_numpy(dtype=float), initial=0.0)) if near.notna().all() else np.nan
        known = np.isfinite([room, lift]).all()
        passes = UNKNOWN if not known else "yes" if lift <= room + 1e-9 else "no"
        gap = "measure the clearance" if over else "say whether it passes over the road or carries it"
        rows.append({
            "bridge": bridge.name,
            "begin": bridge.begin,
            "end": bridge.end,
            "passes_road": bridge.passes or UNKNOWN,
            "available": room,
            "grade_raise": lift,
            "passes": passes,
            "remedy": _remedy(room, lift) if passes == "no" else "" if known else gap,
        })
    return table(CLEARANCES, pd.DataFrame(rows)) if rows else empty(CLEARANCES)


def _remedy(room: float, lift: float) -> Remark:
    return remark(
        "{excess} too high: mill the old slab by as much, thin the overlay there, or replace the slab full depth at the"
        " bridge",
        excess=("thickness", lift - room),
    )


def structures(facts: Facts, thicknesses: pd.DataFrame, choice: DesignDecisions) -> pd.DataFrame:
    """The table ``structures``: decks that carry the road, left out of the overlay, and what one beside them would weigh."""
    rows = []
    begin, end = thicknesses["begin"].min(), thicknesses["end"].max()
    weight = choice.overlay_density * GRAVITY
    for bridge in facts.bridges.iloc[bridge_rows(facts, carrying=True)].itertuples(index=False):
        length = max(min(bridge.end, end) - max(bridge.begin, begin), 0.0)
        beside = _thickest(thicknesses, bridge.begin, bridge.end) if length > 0 else 0.0
        could = np.fmin(bridge.spare_load / weight, bridge.allowable_raise) if bridge.spare_load >= 0 else np.nan
        rows.append({
            "bridge": bridge.name,
            "begin": bridge.begin,
            "end": bridge.end,
            "deck_length": length,
            "deck_area": length * lanes_width(facts),
            "beside": beside,
            "dead_load": float(overlay_dead_load(np.asarray(beside), np.asarray(choice.overlay_density))),
            "spare_load": bridge.spare_load,
            "could_bear": could,
            "bears": UNKNOWN if not np.isfinite(could) else "yes" if beside <= could + 1e-9 else "no",
            "taper": float(taper_length(np.asarray(beside), np.asarray(choice.taper_ratio))),
            "note": _note(length, float(could)),
        })
    return table(STRUCTURES, pd.DataFrame(rows)) if rows else empty(STRUCTURES)


def _note(length: float, could: float) -> str:
    if not length > 0:
        return "beyond the ends of the road"
    known = "an overlay on the deck is the bridge engineer's to design"
    return known if np.isfinite(could) else "what it can bear is unknown; ask the bridge engineer"
