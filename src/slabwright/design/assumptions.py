"""What each assumption of the evaluation does to the thickness: the overlay with it at both ends of its range."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pandas as pd

from slabwright.calculation import Array
from slabwright.evaluation.defaults import AXLES, GROWTH
from slabwright.evaluation.state import worth
from slabwright.records.outcomes.design import ASSUMPTION_EFFECTS
from slabwright.records.table import table
from slabwright.repair.after import worth_by_condition

__all__ = ["assumption_effects", "with_assumed"]

Overlay = Callable[[pd.DataFrame], Array]
Ahead = Callable[[Array], Array]


def assumption_effects(
    designed: pd.DataFrame, assumptions: pd.DataFrame, initial_serviceability: float, ahead: Ahead, overlay: Overlay
) -> pd.DataFrame:
    """The table ``assumption_effects``: one row for each assumption that enters the thickness of a designed section.

    A section of which no truck asks for a thickness has no row: no assumption moves what is not needed.

    ``designed``: rows of the condition table with what the repairs change; ``ahead(growth)`` gives the axles to come at yearly
    growths (m,) over those found (m,), and ``overlay(rows)`` the overlay that each needs (rows,) [m].
    """
    number = {name: i for i, name in enumerate(designed["section"]) if designed["future_axles"].iloc[i] != 0}
    entering = assumptions[(assumptions["enters"] != "") & assumptions["section"].isin(number)]
    rows = designed.iloc[entering["section"].map(number).to_numpy(dtype=int)]
    # The three ends below one another: the thickness equation is solved once for all.
    thrice, repeated = pd.concat([rows] * 3, ignore_index=True), pd.concat([entering] * 3, ignore_index=True)
    value = entering[["value", "low", "high"]].to_numpy(dtype=float).T.ravel()
    ends = overlay(with_assumed(thrice, repeated, value, initial_serviceability, ahead)).reshape(3, -1)
    return table(
        ASSUMPTION_EFFECTS,
        pd.DataFrame({
            **{c: entering[c].to_numpy() for c in ("section", "quantity", "value", "low", "high", "decision")},
            "needed": ends[0],
            "at_low": ends[1],
            "at_high": ends[2],
            "swing": np.ptp(ends, axis=0),
        }),
    )


def with_assumed(
    rows: pd.DataFrame, entering: pd.DataFrame, value: Array, initial_serviceability: float, ahead: Ahead
) -> pd.DataFrame:
    """Rows of the condition table with what each assumption enters at another value, and all that follows from it."""
    column, assumed = entering["enters"].to_numpy(), entering["value"].to_numpy(dtype=float)
    changed = rows.copy()
    for name in (
        "load_transfer_coefficient",
        "drainage_coefficient",
        "joints_factor",
        "durability_factor",
        "fatigue_factor",
    ):
        changed[name] = np.where(column == name, value, rows[name].to_numpy(dtype=float))
    ratio = np.where(column == "static_ratio", value / assumed, 1.0)
    thick = np.where(column == "thickness", value, rows["thickness"].to_numpy(dtype=float))
    # A deflection basin gives E h^3 of the slab: another thickness is another modulus.
    changed["modulus"] = rows["modulus"].to_numpy(dtype=float) * (rows["thickness"].to_numpy(dtype=float) / thick) ** 3
    changed["thickness"] = thick
    changed["foundation"] = rows["foundation"].to_numpy(dtype=float) * ratio
    share = np.where(column == AXLES, value / assumed, 1.0)
    grown = ahead(np.where(column == GROWTH, value, 0.0))
    changed["past_axles"] = rows["past_axles"].to_numpy(dtype=float) * share
    changed["future_axles"] = rows["future_axles"].to_numpy(dtype=float) * np.where(column == GROWTH, grown, share)
    # J is assumed only where none was measured: there the J used is the J found.
    used = changed["load_transfer_coefficient"].where(column == "load_transfer_coefficient", rows["load_transfer_used"])
    return worth_by_condition(worth(changed.assign(load_transfer_used=used), initial_serviceability))
