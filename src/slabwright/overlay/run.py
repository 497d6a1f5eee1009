"""The overlay stage by the handbook methods: thickness, life, deflection, steel, joints, bond, clearance, cost."""

from __future__ import annotations

import numpy as np
import pandas as pd

from slabwright import units
from slabwright.calculation import Array, Working
from slabwright.evaluation.suitability import NOT_JUDGED, NOT_SUITED
from slabwright.mechanics.composite import composite_section, interface_shear
from slabwright.mechanics.serviceability import rigid_required_thickness
from slabwright.mechanics.slab import relative_stiffness
from slabwright.overlay.details import clearances, specification, steel_and_joints
from slabwright.overlay.effects import DesignInputs, deflection_change, sensitivity, years_of_traffic
from slabwright.overlay.thickness import (
    bonded_overlay_thickness,
    partly_bonded_overlay_thickness,
    rounded_thickness,
    unbonded_overlay_thickness,
)
from slabwright.records.decisions import Decisions
from slabwright.records.facts import Facts
from slabwright.records.outcomes import (
    BOND,
    DEFLECTION_CHANGES,
    LIVES,
    OVERLAY_QUANTITIES,
    SENSITIVITIES,
    THICKNESSES,
)
from slabwright.records.results import StageResult
from slabwright.records.table import Schema, empty, table
from slabwright.repair.run import section_areas
from slabwright.units import INCH

__all__ = ["LONGEST_LIFE", "METHOD_VERSION", "run"]

METHOD_VERSION = 1
CURVE = np.arange(2.0, 6.01, 0.5) * INCH
RELIABILITIES = np.array([0.5, 0.75, 0.9, 0.95])
PRACTICE_YEARS = 25  # gained on a sound slab (common practice, no source)
LONGEST_LIFE = 60.0  # years: beyond, no forecast of traffic means anything; tables show this value


def run(
    facts: Facts, evaluation: StageResult, repair: StageResult, decisions: Decisions
) -> StageResult:
    """Design the overlay of every section that is not refused. SI throughout; schemas in ``records.outcomes``."""
    condition, verdicts = evaluation.tables["condition"], evaluation.tables["verdicts"]
    states = condition.assign(verdict=verdicts["verdict"].to_numpy())
    first_year = _first_year_axles(evaluation, decisions)
    thicknesses = table(THICKNESSES, pd.DataFrame([_thickness(s, decisions, first_year) for _, s in states.iterrows()]))
    designed = states[thicknesses["overlay"].gt(0).to_numpy()]
    overlay = dict(zip(thicknesses["section"], thicknesses["overlay"], strict=True))
    quantities = _quantities(thicknesses, repair, facts, decisions)
    tables = {
        "thicknesses": thicknesses,
        "lives": _concat(LIVES, [_lives(s, decisions, first_year) for _, s in designed.iterrows()]),
        "deflection_changes": _concat(DEFLECTION_CHANGES, [_deflections(s, decisions) for _, s in designed.iterrows()]),
        "sensitivities": _concat(SENSITIVITIES, [_sensitivities(s, decisions) for _, s in designed.iterrows()]),
        "steel": steel_and_joints(designed, overlay, facts, decisions),
        "bond": _concat(BOND, [_bond(s, overlay[s["section"]], decisions) for _, s in designed.iterrows()]),
        "clearances": clearances(facts, thicknesses, decisions.overlay),
        "specifications": specification(decisions.overlay),
        "overlay_quantities": quantities,
    }
    workings = tuple(w for _, s in designed.iterrows() for w in _workings(s, overlay[s["section"]], decisions))
    return StageResult("overlay", tables, workings, tuple(_notes(thicknesses)))


def design_inputs(state: pd.Series, decisions: Decisions) -> DesignInputs:
    """The inputs of the thickness equation for one section."""
    effective = {
        "condition": state["effective_condition"], "remaining life": state["effective_life"],
        "lower of both": np.fmin(state["effective_condition"], state["effective_life"]),
    }[decisions.overlay.effective_by]  # fmt: skip
    return DesignInputs(
        axles=state["future_axles"], rupture=state["rupture"], modulus=state["modulus"], foundation=state["foundation"],
        load_transfer=state["load_transfer_coefficient"], drainage=state["drainage_coefficient"],
        reliability=decisions.overlay.reliability, standard_deviation=decisions.overlay.standard_deviation,
        initial_serviceability=decisions.evaluation.initial_serviceability,
        terminal_serviceability=decisions.evaluation.terminal_serviceability, effective=float(effective),
    )  # fmt: skip


def _first_year_axles(evaluation: StageResult, decisions: Decisions) -> float:
    traffic = evaluation.tables["traffic"]
    return float(traffic.loc[traffic["year"] == f"{decisions.traffic.base_year:.0f}", "axles"].iloc[0])


def _thickness(state: pd.Series, decisions: Decisions, first_year: float) -> dict[str, object]:
    row: dict[str, object] = {c: state[c] for c in ("section", "direction", "begin", "end", "verdict", "future_axles",
                                                    "effective_condition", "effective_life")}  # fmt: skip
    if state["verdict"] in (NOT_SUITED, NOT_JUDGED):
        return {**row, "note": f"{state['verdict']}: no bonded overlay is designed here"}
    inputs, choice = design_inputs(state, decisions), decisions.overlay
    needed, effective = np.array([inputs.required()]), np.array([inputs.effective])
    bonded = bonded_overlay_thickness(needed, effective)
    rounded = rounded_thickness(bonded, choice.thinnest, choice.round_to)
    overlay = np.array([choice.thickness]) if choice.thickness > 0 else rounded
    years, gained = _years(inputs, overlay, decisions, first_year)
    fall = deflection_change(overlay, *_slab(state, decisions)).interior
    return {
        **row, "required_slab": needed[0], "effective": inputs.effective, "bonded": bonded[0],
        "partly_bonded": partly_bonded_overlay_thickness(needed, effective)[0],
        "unbonded": unbonded_overlay_thickness(needed, effective)[0], "rounded": rounded[0], "overlay": overlay[0],
        "enough": "yes" if overlay[0] >= bonded[0] - 1e-6 else "no", "years": years, "years_gained": gained,
        "reduction": fall[0], "note": _remark(bonded[0], overlay[0], choice.thickest),
    }  # fmt: skip


def _remark(bonded: float, overlay: float, thickest: float) -> str:
    if not np.isfinite(bonded):
        return "the thickness equation has no answer for these inputs"
    if bonded > thickest:
        return "thicker than a bonded overlay is considered for: compare an unbonded overlay"
    return "" if overlay >= bonded - 1e-6 else "thinner than required at the design reliability"


def _years(inputs: DesignInputs, overlay: Array, decisions: Decisions, first_year: float) -> tuple[float, float]:
    """Years at the design reliability with the overlay, and how many more than without it."""
    slabs = inputs.effective + np.array([0.0, overlay[0]])
    axles = inputs.allowable(np.maximum(slabs, 4 * INCH), np.asarray(inputs.reliability))
    without, years = np.minimum(years_of_traffic(axles, first_year, decisions.traffic.growth), LONGEST_LIFE)
    return float(years), float(years - without)


def _slab(state: pd.Series, decisions: Decisions) -> tuple[float, float, float, float, float, float]:
    return (
        float(state["thickness"]), float(state["modulus"]), decisions.overlay.overlay_modulus,
        float(state["dynamic_foundation"]), decisions.survey.standard_load, decisions.evaluation.poisson,
    )  # fmt: skip


def _lives(state: pd.Series, decisions: Decisions, first_year: float) -> pd.DataFrame:
    inputs = design_inputs(state, decisions)
    t, r = (a.ravel() for a in np.meshgrid(CURVE, RELIABILITIES, indexing="ij"))
    axles = inputs.allowable(inputs.effective + t, r)
    years = np.minimum(years_of_traffic(axles, first_year, decisions.traffic.growth), LONGEST_LIFE)
    return pd.DataFrame({"section": state["section"], "overlay": t, "reliability": r, "axles": axles, "years": years})


def _deflections(state: pd.Series, decisions: Decisions) -> pd.DataFrame:
    change = deflection_change(CURVE, *_slab(state, decisions))
    return pd.DataFrame({"section": state["section"], "overlay": CURVE, **vars(change)})


def _sensitivities(state: pd.Series, decisions: Decisions) -> pd.DataFrame:
    swings = sensitivity(design_inputs(state, decisions))
    frame = pd.DataFrame([vars(s) for s in swings])
    return frame.assign(section=state["section"], swing=(frame["at_high"] - frame["at_low"]).abs())


def _spread_width(overlay: float, slab: float) -> float:
    """The wheel's shear spreads at 45 degrees through both layers from a 12-in contact (common practice, no source)."""
    return 12 * INCH + 2 * (overlay + slab)


def _bond(state: pd.Series, overlay: float, decisions: Decisions) -> pd.DataFrame:
    choice = decisions.overlay
    spread = _spread_width(overlay, state["thickness"])
    found = interface_shear(
        choice.wheel_load, spread, overlay, state["thickness"], state["modulus"] / choice.overlay_modulus
    )
    factor = choice.bond_strength / float(found.stress)
    return pd.DataFrame([{
        "section": state["section"], "overlay": overlay, "spread": spread, "first_moment": float(found.first_moment),
        "inertia": float(found.inertia), "shear": float(found.stress), "strength": choice.bond_strength, "factor": factor,
        "passes": "yes" if factor >= choice.bond_factor else "no",
    }])  # fmt: skip


def _quantities(thicknesses: pd.DataFrame, repair: StageResult, facts: Facts, decisions: Decisions) -> pd.DataFrame:
    designed = thicknesses[thicknesses["overlay"] > 0]
    area = designed["section"].map(section_areas(thicknesses, facts)).to_numpy(dtype=float)
    volume = area * designed["overlay"].to_numpy()
    repairs = repair.tables["repair_quantities"].groupby("section")["cost"].sum()
    mended = designed["section"].map(repairs).fillna(0.0).to_numpy(dtype=float)
    concrete, surface = volume * decisions.overlay.concrete_cost, area * decisions.overlay.surface_cost
    return table(OVERLAY_QUANTITIES, pd.DataFrame({
        "section": designed["section"].to_numpy(), "area": area, "overlay": designed["overlay"].to_numpy(), "volume": volume,
        "concrete_cost": concrete, "surface_cost": surface, "repair_cost": mended, "cost": concrete + surface + mended,
    }))  # fmt: skip


def _concat(schema: Schema, parts: list[pd.DataFrame]) -> pd.DataFrame:
    return table(schema, pd.concat(parts, ignore_index=True)) if parts else empty(schema)


def _workings(state: pd.Series, overlay: float, decisions: Decisions) -> tuple[Working, ...]:
    label, choice, inputs = f"section {state['section']}", decisions.overlay, design_inputs(state, decisions)
    required = inputs.required()
    if not np.isfinite(required):
        return ()
    ratio = state["modulus"] / choice.overlay_modulus
    section = composite_section(overlay, state["thickness"], ratio)
    return (
        rigid_required_thickness.working(
            label, axles=inputs.axles, rupture=inputs.rupture, modulus=inputs.modulus, foundation=inputs.foundation,
            load_transfer=inputs.load_transfer, reliability=inputs.reliability, standard_deviation=inputs.standard_deviation,
            drainage=inputs.drainage, initial_serviceability=inputs.initial_serviceability,
            terminal_serviceability=inputs.terminal_serviceability,
        ),
        bonded_overlay_thickness.working(label, required=required, effective=inputs.effective),
        composite_section.working(label, thickness=overlay, other_thickness=state["thickness"], ratio=ratio),
        relative_stiffness.working(
            f"{label}, with the overlay", modulus=choice.overlay_modulus, thickness=float(section.bonded),
            foundation=state["dynamic_foundation"], poisson=decisions.evaluation.poisson,
        ),
        interface_shear.working(
            label, load=choice.wheel_load, spread_width=_spread_width(overlay, state["thickness"]), overlay=overlay,
            slab=state["thickness"], ratio=ratio,
        ),
    )  # fmt: skip


def _notes(thicknesses: pd.DataFrame) -> list[str]:
    notes = []
    refused = thicknesses[~(thicknesses["overlay"] > 0)]
    if len(refused):
        notes.append(f"No bonded overlay is designed in section {', '.join(refused['section'])}.")
    designed = thicknesses[thicknesses["overlay"] > 0]
    away = designed[(designed["reduction"] < 0.30) | (designed["reduction"] > 0.50)]
    notes += [
        f"Section {s.section}: interior deflection is predicted to fall by {s.reduction:.0%}, outside the 30 to 50 % that"
        f" practice reports; the overlay is {units.format_quantity(s.overlay, 'thickness')}."
        for s in away.itertuples(index=False)
    ]
    far = designed[(designed["years_gained"] - PRACTICE_YEARS).abs() > 10]
    notes += [
        f"Section {s.section}: {s.years_gained:.0f} years are gained against about 25 that practice reports on a sound"
        f" slab: the overlay is {units.format_quantity(s.overlay, 'thickness')} for a requirement of"
        f" {units.format_quantity(s.bonded, 'thickness')}, and the old slab alone is worth"
        f" {s.years - s.years_gained:.0f} years of the traffic to come."
        for s in far.itertuples(index=False)
    ]
    return notes
