"""Where the numbers of the design come from."""

from __future__ import annotations

from functools import partial
from typing import Any

import numpy as np
import pandas as pd

from slabwright.calculation import Calculation
from slabwright.design import steel
from slabwright.design.details import (
    ALLOWABLE_STRESS,
    LEAST_STEEL,
    MOST_STEEL,
    STEEL_EXPANSION,
    TENSILE_SHARE,
    USUAL_LENGTH,
    WIDEST_CRACK,
    WIDEST_SPACING,
)
from slabwright.design.effects import VARIED, Varied
from slabwright.design.joints import saw_depth
from slabwright.design.left import LEFT, effective_left
from slabwright.design.origins_of_assumptions import ASSUMED
from slabwright.design.origins_of_bridges import BRIDGES
from slabwright.design.origins_of_built import BUILT, LAID_OUT, STRETCHES
from slabwright.design.run import CONTACT, THINNEST_SLAB, stationing_of
from slabwright.design.terms_of_origins import RELIABILITY, TERMS, RowOrigin, state
from slabwright.design.thickness import (
    bonded_overlay_thickness,
    built_step,
    least_built,
    partly_bonded_overlay_thickness,
    rounded_thickness,
    unbonded_overlay_thickness,
)
from slabwright.evaluation.provenance import of_opening_year
from slabwright.interface.composite import composite_section, interface_shear
from slabwright.records.provenance import (
    Calculated,
    Cell,
    Copied,
    Decided,
    Derived,
    Fact,
    Fixed,
    Method,
    Of,
    Origin,
    Origins,
    Row,
    Sheet,
    Source,
)
from slabwright.roadway.places import design_lane, directions_of_lanes, lane_width, section_layers
from slabwright.roadway.structures import decks, off_deck_length
from slabwright.slab.closed_forms import (
    corner_deflection_ioannides,
    edge_deflection_circle,
    interior_deflection_westergaard,
    relative_stiffness,
)
from slabwright.slab.serviceability import rigid_allowable_axles, rigid_required_thickness
from slabwright.terms import LONGEST_LIFE, PLATE_RADIUS
from slabwright.traffic.axles import years_of_growing_traffic

__all__ = ["ORIGINS", "SHEETS"]

# Thickness and years ----------------------------------------------------------------------------------------


def _effective(row: Row) -> Origin:
    by = row.scene.decision("design.effective_by")
    columns = {"condition": ["effective_condition"], "remaining life": ["effective_life"]}
    chosen = columns.get(by, ["effective_condition", "effective_life"])
    known = [Cell(c) for c in chosen if np.isfinite(row[c])]
    return Copied(known[0]) if len(known) == 1 else Derived("least", tuple(known))


def _subtracted(calculation: Calculation[Any]) -> Origin:
    return Calculated(calculation, {"required": Cell("required_slab"), "effective": Cell("effective")})


def _rounded(row: Row) -> Origin:
    """Rounded up to the step that is decided, or to the usual one of the road's units."""
    step: Source = Decided("design.round_to")
    if not row.scene.decisions.design.round_to > 0:
        usual = built_step(0.0, stationing_of(row.scene.facts))
        step = Fixed(usual, "thickness", "rounding step", "usual in the units of the road")
    decided, stationing = row.scene.decisions.design, stationing_of(row.scene.facts)
    least = least_built(decided.thinnest, built_step(decided.round_to, stationing))
    where = "design.thinnest, rounded up to whole steps"
    return Calculated(
        rounded_thickness,
        {
            "thickness": Cell("bonded"),
            "least": Fixed(least, "thickness", "practical minimum", where),
            "step": step,
        },
    )


def _years(axles: Source) -> Calculated:
    return Calculated(
        years_of_growing_traffic,
        {
            "axles": axles,
            "first_year": of_opening_year("axles"),
            "growth": Decided("traffic.growth"),
            "longest": LONGEST_LIFE,
        },
    )


def _carried(slab: Source, reliability: Source, note: str = "") -> Calculated:
    return Calculated(rigid_allowable_axles, {"thickness": slab, "reliability": reliability, **TERMS}, "axles", note)


def _worth(*parts: Source) -> Derived:
    """What slab and overlay are worth together, not below what the equation is used for."""
    whole = Derived("sum", parts, meaning="effective slab with the overlay")
    least = Fixed(THINNEST_SLAB, "thickness", "thinnest slab of the equation")
    return Derived("greatest", (whole, least), meaning="thickness that the equation is given")


def _built_years() -> Origin:
    return _years(_carried(_worth(Cell("effective"), Cell("overlay")), RELIABILITY, "with the overlay"))


def _years_gained() -> Origin:
    alone = _carried(_worth(Cell("effective")), RELIABILITY, "without an overlay")
    return Derived("difference", (Cell("years"), _years(alone)))


# Deflection -------------------------------------------------------------------------------------------------

OLD = Calculated(
    relative_stiffness,
    {
        "modulus": state("modulus"),
        "thickness": LEFT,
        "foundation": state("dynamic_foundation"),
        "poisson": Decided("evaluation.poisson"),
    },
    note="before",
)
RATIO = Derived("ratio", (state("modulus"), Decided("design.overlay_modulus")), "number", "old modulus over new")


def _new(output: str) -> Calculated:
    """Radius of relative stiffness of slab and overlay, bonded or unbonded, on the overlay's modulus."""
    section = Calculated(
        composite_section,
        {
            "thickness": Cell("overlay"),
            "other_thickness": LEFT,
            "ratio": RATIO,
        },
        output,
    )
    return Calculated(
        relative_stiffness,
        {
            "modulus": Decided("design.overlay_modulus"),
            "thickness": section,
            "foundation": state("dynamic_foundation"),
            "poisson": Decided("evaluation.poisson"),
        },
        note=f"with the overlay, {output}",
    )


def _moved(calculation: Calculation[Any], stiffness: Calculated) -> Calculated:
    inputs: dict[str, Source] = {
        "load": Decided("survey.standard_load"),
        "foundation": state("dynamic_foundation"),
        "relative_stiffness": stiffness,
        "load_radius": Fixed(float(PLATE_RADIUS), "thickness", where="the plate of the tests"),
    }
    poisson: dict[str, Source] = {"poisson": Decided("evaluation.poisson")}
    given = inputs | (poisson if calculation is edge_deflection_circle else {})
    return Calculated(calculation, given, note=stiffness.note)


def _reduced(calculation: Calculation[Any]) -> Origin:
    return Derived("reduction", (_moved(calculation, _new("bonded")), _moved(calculation, OLD)), "share")


# What the thickness depends on ------------------------------------------------------------------------------


def _varied_end(end: str) -> RowOrigin:
    def origin(row: Row) -> Origin:
        varied = next(v for v in VARIED if v.meaning == row["input"])
        inputs: dict[str, Source] = {
            "axles": state("future_axles"),
            "reliability": RELIABILITY,
            "effective": Of("thicknesses", "effective"),
            **TERMS,
        }
        inputs[varied.name] = _changed(varied, inputs[varied.name], end)
        effective = inputs.pop("effective")
        required = Calculated(rigid_required_thickness, inputs)
        return Calculated(bonded_overlay_thickness, {"required": required, "effective": effective})

    return origin


def _changed(varied: Varied, usual: Source, end: str) -> Source:
    amount = varied.low if end == "low" else varied.high
    if varied.how == "equal":
        return Fixed(amount, varied.kind, varied.meaning, "end of its range")
    change = Fixed(amount, "number" if varied.how == "times" else varied.kind, "change to the end of its range")
    return Derived("product" if varied.how == "times" else "sum", (usual, change), varied.kind, varied.meaning)


# Steel ------------------------------------------------------------------------------------------------------


def _in_condition(row: Row) -> pd.Series:
    place = Of("condition", "begin").row(row)
    return place.scene.frame("condition").iloc[place.index]


def _lanes(row: Row) -> list[str]:
    ways = directions_of_lanes(row.scene.facts)
    return [lane for lane, way in ways.items() if way == _in_condition(row)["direction"]]


def _joint_spacing(row: Row) -> Fact:
    state = _in_condition(row)
    return Fact("layers", "joint_spacing", int(section_layers(row.scene.facts, state.to_frame().T)[0]))


def _saw(output: str) -> Origin:
    return Calculated(saw_depth, {"thickness": Cell("overlay")}, output)


def _drag(length: Source) -> Origin:
    return Calculated(
        steel.drag_steel_area,
        {
            "thickness": Cell("overlay"),
            "length": length,
            "friction": Decided("design.friction"),
            "steel_stress": Decided("design.reinforcement_stress"),
        },
    )


def _longitudinal_steel(row: Row) -> Origin:
    if row.scene.decision("design.reinforcement") == "continuous":
        return Derived("product", (Cell("steel_ratio"), Cell("overlay")), "steel_area")
    spacing: Source = _joint_spacing(row)
    if not np.isfinite(_joint_spacing(row).take(row).number):
        spacing = Fixed(USUAL_LENGTH, "length", where="usual length where none is given")
    return _drag(spacing)


def _transverse_steel(row: Row) -> Origin:
    width = sum(lane_width(row.scene.facts, lane) for lane in _lanes(row))
    return _drag(Fixed(width, "length", where="widths of the lanes"))


TENSILE = Derived(
    "product",
    (
        Decided("design.overlay_strength"),
        Fixed(TENSILE_SHARE, where="tensile strength over modulus of rupture, crcp slides"),
    ),
    "stress",
    "tensile strength of the overlay",
)
THERMAL = Derived(
    "ratio",
    (Fixed(STEEL_EXPANSION, "expansion", "expansion of steel"), Decided("design.thermal_expansion")),
    "number",
    "expansion of steel over that of concrete",
)
NO_WHEEL = Fixed(0.0, "stress", where="the old slab carries the wheel")
BAR, SHRINKAGE, DROP = (Decided(f"design.{name}") for name in ("bar_diameter", "shrinkage", "temperature_drop"))
CONTINUOUS: dict[str, Source] = {"tensile": TENSILE, "wheel_stress": NO_WHEEL}
LEAST_RATIO = Derived(
    "greatest",
    (
        Calculated(
            steel.continuous_steel_for_spacing,
            {
                **CONTINUOUS,
                "spacing": Fixed(WIDEST_SPACING, "length", where="widest crack spacing"),
                "thermal_ratio": THERMAL,
                "bar": BAR,
                "shrinkage": SHRINKAGE,
            },
        ),
        Calculated(
            steel.continuous_steel_for_width,
            {
                **CONTINUOUS,
                "crack_width": Fixed(WIDEST_CRACK, "width", where="widest crack"),
                "bar": BAR,
            },
        ),
        Calculated(
            steel.continuous_steel_for_stress,
            {
                **CONTINUOUS,
                "steel_stress": Fixed(ALLOWABLE_STRESS, "stress", where="allowable stress"),
                "temperature_drop": DROP,
                "shrinkage": SHRINKAGE,
            },
        ),
        Fixed(LEAST_STEEL, "share", "least steel"),
    ),
    "share",
    "steel that spacing, width and stress ask for",
)
RATIO_BUILT = Cell("steel_ratio")


def _bars(row: Row) -> Origin:
    facts = row.scene.facts
    outer = design_lane(facts, _in_condition(row)["direction"])
    width = Fixed(lane_width(facts, outer), "length", where="width of the outermost lane")
    return Calculated(
        steel.bar_count_per_width,
        {"steel": RATIO_BUILT, "width": width, "thickness": Cell("overlay"), "bar": BAR},
        "count",
    )


# Bond, clearances and quantities ----------------------------------------------------------------------------

SPREAD = Derived(
    "sum",
    (
        Fixed(CONTACT, "thickness", "contact of the wheel", "common practice, no source"),
        Derived(
            "product",
            (
                Fixed(2.0, "count", "both sides"),
                Derived("sum", (Cell("overlay"), LEFT), meaning="both layers"),
            ),
            "thickness",
            "spread at 45°",
        ),
    ),
)


def _shear(output: str) -> Origin:
    return Calculated(
        interface_shear,
        {
            "load": Decided("design.wheel_load"),
            "spread_width": Cell("spread"),
            "overlay": Cell("overlay"),
            "slab": LEFT,
            "ratio": RATIO,
        },
        output,
    )


def _lane_width(row: Row) -> Origin:
    lane = np.flatnonzero((row.scene.facts.lanes["lane"] == row["lane"]).to_numpy())
    if not len(lane):
        return Method("Usual width of a lane, because the table of lanes does not give this one.")
    return Copied(Fact("lanes", "width", int(lane[0])))


def _ground(row: Row) -> Derived:
    """Length of the section, without the decks in it."""
    length = Derived("difference", (state("end"), state("begin")), "length", "length of the section")
    here = _in_condition(row)
    ground = float(off_deck_length(here["begin"], here["end"], decks(row.scene.facts)))
    if held := here["end"] - here["begin"] - ground:
        on_decks = Fixed(held, "length", "decks in the section", "bridges that carry the road")
        return Derived("difference", (length, on_decks), "length", "length off the decks")
    return length


def _area(row: Row) -> Origin:
    width = sum(lane_width(row.scene.facts, lane) for lane in _lanes(row))
    lanes = Fixed(width, "length", "width of all lanes of the direction", "lanes.width")
    return Derived("product", (_ground(row), lanes), "paved_area")


ORIGINS: Origins = {
    "thicknesses": {
        "begin": Copied(state("begin")),
        "end": Copied(state("end")),
        "future_axles": Copied(state("future_axles")),
        "required_slab": Calculated(
            rigid_required_thickness, {"axles": Cell("future_axles"), "reliability": RELIABILITY, **TERMS}
        ),
        "effective_condition": partial(effective_left, "effective_condition"),
        "effective_life": partial(effective_left, "effective_life"),
        "effective": _effective,
        "bonded": _subtracted(bonded_overlay_thickness),
        "partly_bonded": _subtracted(partly_bonded_overlay_thickness),
        "unbonded": _subtracted(unbonded_overlay_thickness),
        "rounded": _rounded,
        **BUILT,
        "years": _built_years(),
        "years_gained": _years_gained(),
        "reduction": _reduced(interior_deflection_westergaard),
    },
    "lives": {
        "overlay": Method("One of the thicknesses for which lives are computed."),
        "reliability": Method("One of the reliabilities for which lives are computed."),
        "axles": _carried(
            Derived(
                "sum", (Of("thicknesses", "effective"), Cell("overlay")), meaning="effective slab with the overlay"
            ),
            Cell("reliability"),
        ),
        "years": _years(Cell("axles")),
    },
    "deflection_changes": {
        "overlay": Method("One of the thicknesses for which deflections are computed."),
        "before": _moved(interior_deflection_westergaard, OLD),
        "bonded": _moved(interior_deflection_westergaard, _new("bonded")),
        "unbonded": _moved(interior_deflection_westergaard, _new("unbonded")),
        "interior": Derived("reduction", (Cell("bonded"), Cell("before")), "share"),
        "edge": _reduced(edge_deflection_circle),
        "corner": _reduced(corner_deflection_ioannides),
        "unbonded_reduction": Derived("reduction", (Cell("unbonded"), Cell("before")), "share"),
    },
    "sensitivities": {
        "at_low": _varied_end("low"),
        "at_high": _varied_end("high"),
        "swing": Derived("size of the difference", (Cell("at_high"), Cell("at_low"))),
    },
    "steel": {
        "overlay": Copied(Of("thicknesses", "overlay")),
        "joint_spacing": lambda row: Copied(_joint_spacing(row)),
        "transverse_saw": _saw("transverse"),
        "longitudinal_saw": _saw("longitudinal"),
        "longitudinal_steel": _longitudinal_steel,
        "transverse_steel": _transverse_steel,
        "steel_ratio": Derived("least", (LEAST_RATIO, Fixed(MOST_STEEL, "share", "most steel")), "share"),
        "bars": _bars,
        "crack_spacing": Calculated(
            steel.continuous_crack_spacing,
            {
                **CONTINUOUS,
                "thermal_ratio": THERMAL,
                "bar": BAR,
                "steel": RATIO_BUILT,
                "shrinkage": SHRINKAGE,
            },
        ),
        "crack_width": Calculated(steel.continuous_crack_width, {**CONTINUOUS, "bar": BAR, "steel": RATIO_BUILT}),
        "steel_stress": Calculated(
            steel.continuous_steel_stress,
            {
                **CONTINUOUS,
                "temperature_drop": DROP,
                "shrinkage": SHRINKAGE,
                "steel": RATIO_BUILT,
            },
        ),
    },
    "bond": {
        "overlay": Copied(Of("thicknesses", "overlay")),
        "spread": SPREAD,
        "first_moment": _shear("first_moment"),
        "inertia": _shear("inertia"),
        "shear": _shear("stress"),
        "strength": Copied(Decided("design.bond_strength")),
        "factor": Derived("ratio", (Cell("strength"), Cell("shear")), "number"),
    },
    **STRETCHES,
    **LAID_OUT,
    "refused_ways": {**LAID_OUT["refused_ways"], "area": _area},
    **BRIDGES,
    **ASSUMED,
    "overlay_quantities": {
        "area": _area,
        "overlay": Copied(Of("thicknesses", "overlay")),
        "volume": Derived("product", (Cell("area"), Cell("overlay")), "volume"),
    },
    "lane_quantities": {
        "length": _ground,
        "width": _lane_width,
        "area": Derived("product", (Cell("length"), Cell("width")), "paved_area"),
        "overlay": Copied(Of("thicknesses", "overlay")),
        "volume": Derived("product", (Cell("area"), Cell("overlay")), "volume"),
        "milled": Derived("product", (Cell("area"), Decided("design.milling_depth")), "volume"),
    },
}

SHEETS = (
    Sheet("thicknesses", ("required_slab", "bonded", "years", "reduction")),
    Sheet("bond", ("shear",)),
)
