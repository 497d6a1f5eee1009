"""Where the effects of the assumptions come from: the thickness worked out anew with each of them changed."""

from __future__ import annotations

import numpy as np

from slabwright.design.terms_of_origins import RELIABILITY, TERMS, RowOrigin, repaired, state
from slabwright.design.thickness import bonded_overlay_thickness
from slabwright.evaluation.backcalculation import static_foundation
from slabwright.evaluation.condition import (
    condition_factor,
    effective_thickness_condition,
    effective_thickness_remaining_life,
    remaining_life,
)
from slabwright.evaluation.defaults import AXLES, GROWTH
from slabwright.evaluation.state import FAILURE
from slabwright.records.provenance import (
    Calculated,
    Cell,
    Copied,
    Decided,
    Derived,
    Method,
    Of,
    Origin,
    Origins,
    Row,
    Source,
)
from slabwright.slab.serviceability import rigid_allowable_axles, rigid_required_thickness

__all__ = ["ASSUMED"]

OVERLAYS = ("needed", "at_low", "at_high")


def _assumed(end: str) -> RowOrigin:
    """The overlay with one assumption at its value or an end of its range, and all that follows from it."""

    def origin(row: Row) -> Origin:
        here = Of("assumptions", "enters", ("section", "quantity")).row(row)
        if here["enters"] == GROWTH:
            return Method(
                "The overlay for the axles to come with that growth in every year after the last count; the share of the"
                " design lane and the old slab's worth are held."
            )
        entered: dict[str, Source] = {name: state(name) for name in ENTERED}
        entered |= {"joints_factor": repaired("joints_factor"), "used": repaired("coefficient")}
        if here["enters"] == "static_ratio":
            given: dict[str, Source | float | str] = {
                "dynamic_foundation": state("dynamic_foundation"),
                "ratio": Cell(end),
            }
            entered["foundation"] = Calculated(static_foundation, given)
        elif here["enters"] == AXLES:
            share = Derived("ratio", (Cell(end), Cell("value")), "number")
            for name in ("past_axles", AXLES):
                entered[name] = Derived("product", (state(name), share), "count")
        else:
            entered[here["enters"]] = Cell(end)
        if here["enters"] == "load_transfer_coefficient":
            entered["used"] = Cell(end)
        if here["enters"] == "thickness":
            thinner = Derived("ratio", (state("thickness"), Cell(end)), "number")
            cubed = (state("modulus"), thinner, thinner, thinner)
            entered["modulus"] = Derived("product", cubed, "modulus", "the basin gives E h^3")
        terms = TERMS | {
            "modulus": entered["modulus"],
            "foundation": entered["foundation"],
            "load_transfer": entered["used"],
            "drainage": entered["drainage_coefficient"],
        }
        axles: dict[str, Source] = {"axles": entered[AXLES], "reliability": RELIABILITY}
        required = Calculated(rigid_required_thickness, axles | terms)
        return Calculated(bonded_overlay_thickness, {"required": required, "effective": _worth_with(row, entered)})

    return origin


ENTERED = (
    "thickness",
    "modulus",
    "foundation",
    "load_transfer_coefficient",
    "drainage_coefficient",
    "durability_factor",
    "fatigue_factor",
    "past_axles",
    AXLES,
)


def _worth_with(row: Row, entered: dict[str, Source]) -> Source:
    """Effective thickness, by the method decided, of a section in that state, less the share that is milled off."""
    worth = _whole_worth(row, entered)
    if not row.scene.decision("design.milling_depth") > 0:
        return worth
    left = Derived("difference", (entered["thickness"], Decided("design.milling_depth")), "thickness", "slab left")
    return Derived("product", (worth, Derived("ratio", (left, entered["thickness"]), "number")), "thickness")


def _whole_worth(row: Row, entered: dict[str, Source]) -> Source:
    by_condition = Calculated(
        effective_thickness_condition,
        {
            "thickness": entered["thickness"],
            "joints_and_cracks": entered["joints_factor"],
            "durability": entered["durability_factor"],
            "fatigue": entered["fatigue_factor"],
        },
    )
    failure = Calculated(
        rigid_allowable_axles,
        {
            "rupture": state("rupture"),
            "thickness": entered["thickness"],
            "modulus": entered["modulus"],
            "foundation": entered["foundation"],
            "load_transfer": entered["load_transfer_coefficient"],
            "drainage": entered["drainage_coefficient"],
            "initial_serviceability": Decided("evaluation.initial_serviceability"),
            **FAILURE,
        },
        "axles",
        "to failure",
    )
    life = Calculated(remaining_life, {"past_axles": entered["past_axles"], "failure_axles": failure})
    factor = Calculated(condition_factor, {"remaining_life": life})
    by_life = Calculated(effective_thickness_remaining_life, {"thickness": entered["thickness"], "factor": factor})
    by = row.scene.decision("design.effective_by")
    known = [source for source in (by_condition, by_life) if np.isfinite(source.take(row).number)]
    if by == "lower of both" and len(known) == 2:
        return Derived("least", (by_condition, by_life), "thickness")
    return {"condition": by_condition, "remaining life": by_life}.get(by) or known[0]


def _swing() -> Derived:
    cells = tuple(Cell(c) for c in OVERLAYS)
    ends = Derived("greatest", cells, "thickness", "most"), Derived("least", cells, "thickness", "least")
    return Derived("difference", ends)


ASSUMED: Origins = {
    "assumption_effects": {
        **{name: Copied(Of("assumptions", name, ("section", "quantity"))) for name in ("value", "low", "high")},
        "needed": _assumed("value"),
        "at_low": _assumed("low"),
        "at_high": _assumed("high"),
        "swing": _swing(),
    },
}
