"""Quantities times unit prices. Lengths [m], areas [m2], volumes [m3]; money in the currency of the prices."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd

from slabwright.calculation import Array
from slabwright.errors import BadResult
from slabwright.records.decisions import Decisions, entries
from slabwright.records.decisions.economics import EconomicsDecisions
from slabwright.records.words import CRACK, FILLED_BY_OVERLAY, FULL, PARTIAL, REPAIRS, TRANSFER, VOID

__all__ = ["SAWCUTS", "costs_by_section", "costs_of_repairs", "dear_pieces", "unit_prices"]

SAWCUTS = 2  # of a full-depth repair: one at each end


def unit_prices(prices: EconomicsDecisions) -> dict[str, float]:
    """The unit prices among the decisions, by name without their group."""
    every = entries(replace(Decisions(), economics=prices))
    return {e.name.partition(".")[2]: float(e.value) for e in every if e.is_price}


def costs_of_repairs(repairs: pd.DataFrame, prices: EconomicsDecisions) -> Array:
    """Cost of each repair from its kind, length, area and filling.

    Raises BadResult for a kind that has no price.
    """
    kind = repairs["kind"].to_numpy()
    if unknown := set(kind) - set(REPAIRS):
        raise BadResult("economics", "has no price for this kind of repair", ", ".join(sorted(unknown)))
    length, area = (repairs[c].to_numpy(dtype=float) for c in ("length", "area"))
    by_overlay = (repairs["filled_with"] == FILLED_BY_OVERLAY).to_numpy()
    partial = np.where(by_overlay, prices.partial_removal_cost, prices.partial_depth_cost)
    priced = {
        FULL: area * prices.full_depth_cost + SAWCUTS * prices.saw_cost,
        PARTIAL: area * partial,
        CRACK: length * prices.crack_cost,
        VOID: np.full(len(kind), prices.void_cost),
        TRANSFER: np.full(len(kind), prices.load_transfer_cost),
    }
    return np.asarray(np.select([kind == name for name in priced], list(priced.values())))


def costs_by_section(quantities: pd.DataFrame, repairs: pd.Series, prices: EconomicsDecisions) -> pd.DataFrame:
    """Cost of concrete, surface, repairs and all of each section that has an overlay or a repair.

    ``quantities``: area and volume of the overlay by section; ``repairs``: cost by the name of the section. Where no
    overlay is designed its costs are missing, and the whole is that of the repairs.
    """
    names = list(dict.fromkeys([*quantities["section"], *repairs.index]))
    of = quantities.set_index("section").reindex(names)
    concrete = (of["volume"] * prices.concrete_cost).to_numpy(dtype=float)
    surface = (of["area"] * prices.surface_cost).to_numpy(dtype=float)
    mended = repairs.reindex(names).fillna(0.0).to_numpy(dtype=float)
    return pd.DataFrame({
        "section": names,
        "concrete_cost": concrete,
        "surface_cost": surface,
        "repair_cost": mended,
        "cost": np.where(np.isnan(concrete), 0.0, concrete + surface) + mended,
    })


def dear_pieces(repairs: pd.DataFrame, prices: EconomicsDecisions) -> Array:
    """Lengths of the sound pieces between full-depth repairs of a lane that cost more to keep than to replace. [m]

    A piece is kept by two sawcuts, one at the end of each neighbour; replaced, it is full-depth repair.
    """
    full = repairs[repairs["kind"] == FULL].sort_values(["lane", "begin"], kind="stable")
    if len(full) < 2:
        return np.array([])
    lane, begin, end, width = (full[c].to_numpy() for c in ("lane", "begin", "end", "width"))
    gap = (begin[1:] - end[:-1]).astype(float)
    replaced = gap * np.maximum(width[1:], width[:-1]).astype(float) * prices.full_depth_cost
    return np.asarray(gap[(lane[1:] == lane[:-1]) & (replaced < SAWCUTS * prices.saw_cost)])
