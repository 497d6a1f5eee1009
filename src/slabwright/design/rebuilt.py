"""Where a taper would mill away the slab that the traffic needs: there it is rebuilt full depth."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from slabwright.design.sides import FLAT, MILLED

__all__ = ["REBUILT", "rebuilt"]

REBUILT = "the old slab is rebuilt full depth: what milling left of it would be too thin with the overlay"
LEAST = 1e-6  # m


def rebuilt(made: pd.DataFrame, thicknesses: pd.DataFrame, states: pd.DataFrame) -> pd.DataFrame:
    """The table ``tapers`` (n rows) with what its deep end is ``short`` of the slab required [m], and how such a one is made.

    At the deep end the overlay lies on what milling leaves of the old slab, of which the effective slab loses the same
    share (AASHTO 1993: it is a product of factors and the slab). Of ramps and of tapers that mill nothing it is nothing.
    ``states``: thickness of the old slab by section. Raises nothing.
    """
    short = np.array([_short(row, thicknesses, states) for row in made.itertuples(index=False)])
    bad = short > LEAST
    return made.assign(
        short=short,
        rebuilt=np.where(bad, made["area"], 0.0),
        milled=np.where(bad, 0.0, made["milled"]),
        note=np.where(bad, made["note"].replace(FLAT, REBUILT).str.replace(MILLED, REBUILT, regex=False), made["note"]),
    )


def _short(taper: Any, thicknesses: pd.DataFrame, states: pd.DataFrame) -> float:
    if taper.begin == taper.end or not taper.milled > 0:
        return 0.0
    middle = (taper.begin + taper.end) / 2
    here = thicknesses[
        (thicknesses["direction"] == taper.direction)
        & (thicknesses["begin"] <= middle)
        & (thicknesses["end"] >= middle)
        & (thicknesses["overlay"] > 0)
    ]
    if here.empty:
        return 0.0
    section = here.iloc[0]
    slab = float(states.set_index("section").loc[section["section"], "thickness"])
    left = np.clip((slab - (taper.high - taper.low)) / slab, 0.0, 1.0)
    rest = section["overlay"] + section["effective"] * left
    return float(np.fmax(section["required_slab"] - rest, 0.0))
