"""What milling leaves of the old slab: its thickness, and what it is worth to the thickness equation."""

from __future__ import annotations

import pandas as pd

from slabwright.design.terms_of_origins import repaired, state
from slabwright.records.provenance import Copied, Decided, Derived, Origin, Row, Source

__all__ = ["LEFT", "effective_left", "milled_states"]

LEFT: Source = Derived(
    "difference", (state("thickness"), Decided("design.milling_depth")), "thickness", "old slab less what is milled"
)


def milled_states(states: pd.DataFrame, depth: float) -> pd.DataFrame:
    """The states of sections with ``depth`` [m] of every slab milled off: thickness, and both effective thicknesses in
    proportion, as these are shares of it; one row for each of ``states``. Raises nothing."""
    left = (states["thickness"] - depth) / states["thickness"]
    thinner = {c: states[c] * left for c in ("effective_condition", "effective_life")}
    return states.assign(thickness=states["thickness"] - depth, **thinner)


def effective_left(column: str, row: Row) -> Origin:
    """Where an effective thickness of the design comes from: that of the old slab, less the share that is milled."""
    whole = repaired(column) if column == "effective_condition" else state(column)
    if not row.scene.decision("design.milling_depth") > 0:
        return Copied(whole)
    share = Derived("ratio", (LEFT, state("thickness")), "number", "share of the slab that is left")
    return Derived("product", (whole, share), "thickness")
