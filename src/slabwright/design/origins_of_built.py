"""Where the numbers of the thickness as built come from."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pandas as pd

from slabwright.design.built import BY_HAND, FOR_ALL, thickness_by_hand
from slabwright.design.run import stationing_of
from slabwright.design.sides import BEYOND, INSIDE
from slabwright.design.structures import taper_length
from slabwright.design.terms_of_origins import RELIABILITY, TERMS, repaired, state
from slabwright.design.thickness import built_step, least_built, rounded_thickness, unbonded_overlay_thickness
from slabwright.records.decisions.design import INLAY, LEFT_OUT, UNBONDED
from slabwright.records.provenance import (
    Calculated,
    Cell,
    Copied,
    Decided,
    Derived,
    Fixed,
    Gathered,
    Method,
    Of,
    Origin,
    Origins,
    Row,
    Source,
)
from slabwright.records.words import OVER
from slabwright.slab.serviceability import rigid_required_thickness

__all__ = ["BUILT", "LAID_OUT", "STRETCHES"]


def _proposed(row: Row) -> Origin:
    """The rounded need of the section that asks for the most in its stretch."""
    if row["proposed"] == row["rounded"]:
        return Copied(Cell("rounded"))
    sections = row.scene.frame("thicknesses")
    same = (sections["direction"] == row["direction"]) & (sections["rounded"] == row["proposed"])
    if not same.any():  # no overlay in this row
        return Copied(Cell("rounded"))
    away = (sections.loc[same, "begin"] - row["begin"]).abs()
    return Copied(Of("thicknesses", "rounded", (), {"section": sections.loc[away.idxmin(), "section"]}))


def _overlay(row: Row) -> Origin:
    decided = row.scene.decisions.design
    if row["section"] in thickness_by_hand(decided.thickness_by_hand, row.scene.frame("thicknesses")):
        return Method(f"Decided by hand in {BY_HAND}.")
    return Copied(Decided(FOR_ALL) if decided.thickness > 0 else Cell("proposed"))


BUILT: dict[str, Origin | Callable[[Row], Origin]] = {
    "proposed": _proposed,
    "overlay": _overlay,
    "surplus": Derived("difference", (Cell("overlay"), Cell("bonded")), "thickness"),
}


def _within(here: Row, sections: pd.DataFrame) -> Any:
    return np.isin(sections["section"].to_numpy(dtype=object).astype(str), str(here["sections"]).split(", "))


def _gathered(operation: str, column: str, table: str = "thicknesses") -> Origin:
    return Gathered(operation, table, column, (), rows=_within)


STRETCHES: Origins = {
    "stretches": {
        "begin": _gathered("least", "begin"),
        "end": _gathered("greatest", "end"),
        "length": Derived("difference", (Cell("end"), Cell("begin")), "length"),
        "needed": _gathered("greatest", "bonded"),
        "overlay": _gathered("greatest", "overlay"),
        "least_surplus": _gathered("least", "surplus"),
        "most_surplus": _gathered("greatest", "surplus"),
        "area": _gathered("sum", "area", "overlay_quantities"),
        "volume": Derived("product", (Cell("area"), Cell("overlay")), "volume"),
        "by_sections": Method(
            "Sum over its sections of the area of the overlay times the thickness that the section needs, rounded to build;"
            " arithmetic, no equation."
        ),
    },
}


# Ways through refused sections ------------------------------------------------------------------------------

NEW = {"rupture": Decided("design.overlay_strength"), "modulus": Decided("design.overlay_modulus")}
REQUIRED = Calculated(
    rigid_required_thickness, {"axles": state("future_axles"), "reliability": RELIABILITY, **TERMS, **NEW}
)


def _inlay_depth(row: Row) -> Source:
    """What is removed for an inlay: the depth decided, or the whole slab."""
    slab = state("thickness").take(row).number
    return Decided("design.inlay_depth") if 0 < row.scene.decision("design.inlay_depth") < slab else state("thickness")


def _concrete(row: Row) -> Origin:
    if row["way"] == UNBONDED:
        decided = row.scene.decisions.design
        step = built_step(decided.round_to, stationing_of(row.scene.facts))
        thickness = Calculated(
            unbonded_overlay_thickness, {"required": REQUIRED, "effective": repaired("effective_condition")}
        )
        return Calculated(
            rounded_thickness,
            {
                "thickness": thickness,
                "least": Fixed(least_built(decided.thinnest, step), "thickness", "practical minimum"),
                "step": Fixed(step, "thickness", "rounding step"),
            },
        )
    if row["way"] == LEFT_OUT:
        return Method("Nothing is built.")
    depth = _inlay_depth(row)
    if isinstance(depth, Decided):
        return Copied(depth)
    return Method(
        "The slab required for the traffic to come by the thickness equation, rounded up to what is built, and not thinner"
        " than the old slab (common practice, no source).",
        (REQUIRED,),
    )


def _removed(row: Row) -> Origin:
    if row["way"] != INLAY:
        return Method("No old concrete is removed.")
    return Derived("product", (Cell("area"), _inlay_depth(row)), "volume")


def _raised(row: Row) -> Origin:
    if row["way"] == INLAY:
        return Derived("difference", (Cell("concrete"), _inlay_depth(row)), "thickness")
    return Copied(Cell("concrete"))


def _bridges_over(here: Row, bridges: pd.DataFrame) -> Any:
    near = (bridges["begin"] <= here["end"]) & (bridges["end"] >= here["begin"])
    return near & (bridges["passes_road"] == OVER)


# Tapers, shoulders and ramps --------------------------------------------------------------------------------

RISE = Derived("difference", (Cell("high"), Cell("low")), "thickness", "rise")
PLACE = Method(
    "At a step the taper lies on the lower side; at a deck, an end or a low bridge in the overlay; on a ramp from its nose."
)
HIGH = Method(
    "Overlay as built less design.milling_depth, or the raise of the way chosen through a section without one; nothing over"
    " the old pavement and on decks, and under a low bridge what its clearance leaves."
)


def _ratio(row: Row) -> Origin:
    if _lies_flat(row):
        return Method("It does not rise: the same depth over the whole length of the bridge.")
    return Copied(Decided("design.ramp_taper_ratio" if _on_ramp(row) else "design.taper_ratio"))


def _rebuilt(row: Row) -> Origin:
    return Copied(Cell("area")) if row["rebuilt"] > 0 else Method("Milled or concrete: enough is left of the old slab.")


def _taper_long(row: Row) -> Origin:
    if _lies_flat(row) or _is_cut(row):
        return Derived("difference", (Cell("end"), Cell("begin")), "length")
    return Calculated(taper_length, {"rise": RISE, "ratio": Cell("ratio")})


def _lies_flat(row: Row) -> bool:
    """Whether a row of the tapers is the stretch between both tapers of a low bridge."""
    return bool(np.isnan(row["ratio"]))


def _is_cut(row: Row) -> bool:
    return BEYOND in str(row["note"])


def _on_ramp(row: Row) -> bool:
    return bool((row.scene.facts.ramps["name"] == row["place"]).any())


def _width(row: Row) -> Origin:
    if _on_ramp(row):
        return Copied(Decided("design.ramp_width"))
    if row.table == "side_areas":
        return Copied(Decided("design.inside_shoulder" if row["place"] == INSIDE else "design.outside_shoulder"))
    return Method("Widths of the lanes of the direction together, table lanes.")


def _wedge(column: str) -> Callable[[Row], Origin]:
    """Half the rise over the area of the taper, in the column of what it is made of."""

    def origin(row: Row) -> Origin:
        if row[column] == 0:
            return Method(
                "A taper is one of three: concrete on the lower side, milled beneath the overlay, or rebuilt full depth."
            )
        if _lies_flat(row):
            return Derived("product", (Cell("area"), RISE), "volume")
        if _is_cut(row):
            return Method("The deep part of a wedge whose stretch is too short for it.")
        half = Fixed(0.5, "number", "half of it", "a wedge")
        return Derived("product", (Cell("area"), RISE, half), "volume")

    return origin


def _side_length(row: Row) -> Origin:
    if _on_ramp(row):
        return Copied(Of("tapers", "length", ("place",)))
    return Derived("difference", (Cell("end"), Cell("begin")), "length")


def _beside(row: Row) -> Origin:
    if _on_ramp(row):
        return Copied(Of("tapers", "high", ("place",)))
    return Method("As high as the surface beside it is raised; nothing where nothing is built.")


AREA = Derived("product", (Cell("length"), Cell("width")), "paved_area")
LAID_OUT: Origins = {
    "refused_ways": {
        "begin": Copied(state("begin")),
        "end": Copied(state("end")),
        "concrete": _concrete,
        "volume": Derived("product", (Cell("area"), Cell("concrete")), "volume"),
        "removed": _removed,
        "raised": _raised,
        "room": Gathered("least", "clearances", "available", (), rows=_bridges_over),
    },
    "tapers": {
        "begin": PLACE,
        "end": PLACE,
        "high": HIGH,
        "low": HIGH,
        "ratio": _ratio,
        "length": _taper_long,
        "width": _width,
        "area": AREA,
        "volume": _wedge("volume"),
        "milled": _wedge("milled"),
        "short": Method(
            "The slab required, less the overlay there and the share of the effective slab that milling would leave at the deep"
            " end; nothing where that is enough, where nothing is milled and on ramps."
        ),
        "rebuilt": _rebuilt,
    },
    "side_areas": {
        "begin": Method("The raised piece beside it, off the decks; the nose of a ramp."),
        "end": Method("The raised piece beside it, off the decks; the nose of a ramp."),
        "length": _side_length,
        "width": _width,
        "thickness": _beside,
        "area": AREA,
        "volume": Derived("product", (Cell("area"), Cell("thickness")), "volume"),
    },
}
