"""The overlay stage by AASHTO 1993: thickness, life, deflection, steel, joints, bond, clearance, quantities."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

import numpy as np
import pandas as pd

from slabwright.calculation import Array
from slabwright.design.assumptions import assumption_effects
from slabwright.design.built import BuiltThickness, built_thickness
from slabwright.design.details import specification, steel_and_joints
from slabwright.design.effects import (
    VARIED,
    DeflectionChange,
    DesignInputs,
    deflection_change,
    varied_overlays,
)
from slabwright.design.fits import design_fits
from slabwright.design.left import milled_states
from slabwright.design.rebuilt import rebuilt
from slabwright.design.sides import levels, raised_sections, side_areas, side_notes, taper_notes, tapers
from slabwright.design.stretches import stretch_notes, stretches
from slabwright.design.structures import clearances, structures
from slabwright.design.thickness import (
    bonded_overlay_thickness,
    built_step,
    curve_thicknesses,
    least_built,
    partly_bonded_overlay_thickness,
    rounded_thickness,
    unbonded_overlay_thickness,
)
from slabwright.design.ways import refused_ways, way_notes
from slabwright.evaluation.loading import growth_ratio, opening_year
from slabwright.interface.composite import interface_shear
from slabwright.records.decisions import Decisions
from slabwright.records.facts import Facts
from slabwright.records.outcomes.design import (
    BOND,
    DEFLECTION_CHANGES,
    LANE_QUANTITIES,
    LIVES,
    OVERLAY_QUANTITIES,
    SENSITIVITIES,
    THICKNESSES,
)
from slabwright.records.remarks import Remark, remark
from slabwright.records.results import StageResult
from slabwright.records.stage import Given
from slabwright.records.table import table
from slabwright.records.words import NOT_JUDGED, NOT_SUITED, listed
from slabwright.roadway.areas import lane_areas, section_areas
from slabwright.roadway.places import by_section, directions_in_order, section_layers
from slabwright.terms import LONGEST_LIFE
from slabwright.traffic.axles import years_of_growing_traffic
from slabwright.units import INCH

__all__ = ["REFUSED", "run", "stationing_of"]

RELIABILITIES = np.array([0.5, 0.75, 0.9, 0.95])
REFUSED = (NOT_SUITED, NOT_JUDGED)  # verdicts on sections where no bonded overlay is designed
PRACTICE_YEARS = 25  # gained on a sound slab (common practice, no source)
THINNEST_SLAB = 4 * INCH  # below, the thickness equation is not used
CONTACT = 12 * INCH  # of a wheel


def run(given: Given) -> StageResult:
    """Design the overlay of every section that is not refused: thickness [m], lives [years], steel, joints, quantities.

    Tables in SI units by the schemas of ``records.outcomes.design``. Raises OutOfRange for a step of thickness finer than is
    built, and for a single value outside the bounds of a calculation.
    """
    facts, decisions = given.facts, given.decisions
    evaluation = given.results["evaluation"]
    condition = evaluation.tables["condition"]
    whole = repaired_states(condition, given.tables("repair")["after_repair"])
    whole["verdict"] = evaluation.tables["verdicts"]["verdict"].to_numpy()
    states = milled_states(whole, decisions.design.milling_depth)
    designed = states[~states["verdict"].isin(REFUSED)].reset_index(drop=True)
    inputs = design_inputs(designed, decisions)
    required = inputs.required()
    stationing = stationing_of(facts)
    rounded = _rounded(required, inputs, stationing, decisions)
    areas = section_areas(states, facts)
    built = built_thickness(designed, rounded, designed["section"].map(areas).to_numpy(dtype=float), decisions.design)
    overlay = built.built
    first_year = opening_year(evaluation.tables["traffic"], "axles", decisions.traffic)
    thicknesses = _thicknesses(states, designed, inputs, required, rounded, built, first_year, decisions)
    ways = _ways(whole, areas, facts, decisions)
    raised = raised_sections(thicknesses, ways, decisions.design)
    cleared, pieces = clearances(facts, raised), levels(raised, facts)
    tapered = rebuilt(tapers(pieces, cleared, facts, decisions.design), thicknesses, states)
    sides = side_areas(pieces, tapered, facts, decisions.design)
    curve = curve_thicknesses(stationing)
    steel = steel_and_joints(designed, overlay, facts, decisions)
    tables = {
        "thicknesses": thicknesses,
        "stretches": stretches(
            thicknesses, dict(zip(designed["section"], built.decided_by, strict=True)), areas, decisions.design
        ),
        "refused_ways": ways,
        "tapers": tapered,
        "side_areas": sides,
        "lives": _lives(designed, inputs, curve, first_year, decisions),
        "deflection_changes": _deflection_changes(designed, curve, decisions),
        "sensitivities": _sensitivities(designed, inputs),
        "design_fits": design_fits(designed, required, inputs.axles, _layers(designed, facts)),
        "steel": steel,
        "bond": _bond(designed, overlay, decisions),
        "clearances": cleared,
        "structures": structures(facts, thicknesses, decisions.design),
        "assumption_effects": assumption_effects(
            whole[~whole["verdict"].isin(REFUSED)].reset_index(drop=True),
            evaluation.tables["assumptions"],
            decisions.evaluation.initial_serviceability,
            partial(growth_ratio, evaluation.tables["traffic"], decisions.traffic),
            lambda rows: design_inputs(milled_states(rows, decisions.design.milling_depth), decisions).overlay(),
        ),
        "specifications": specification(decisions.design),
        "overlay_quantities": _quantities(thicknesses, areas),
        "lane_quantities": _by_lane(thicknesses, facts, decisions.design.milling_depth),
    }
    notes = (
        *_notes(thicknesses),
        *stretch_notes(tables["stretches"]),
        *way_notes(ways),
        *taper_notes(tapered),
        *side_notes(sides),
    )
    return StageResult("design", tables, notes)


def _ways(states: pd.DataFrame, areas: dict[str, float], facts: Facts, decisions: Decisions) -> pd.DataFrame:
    """The table ``refused_ways`` of the sections without a bonded overlay."""
    refused = states[states["verdict"].isin(REFUSED)].reset_index(drop=True)
    every, choice = np.ones(len(refused)), decisions.design
    # The slab that is built there is new concrete: the strength and stiffness of the old say nothing of it.
    inputs = replace(
        design_inputs(refused, decisions),
        rupture=every * choice.overlay_strength,
        modulus=every * choice.overlay_modulus,
    )
    step = built_step(decisions.design.round_to, stationing_of(facts))
    least = least_built(decisions.design.thinnest, step)
    effective = refused["effective_condition"].to_numpy(dtype=float)
    return refused_ways(refused, inputs.required(), effective, areas, facts, decisions.design, (least, step))


def _layers(designed: pd.DataFrame, facts: Facts) -> pd.DataFrame:
    """The row of the layers table of each section's middle, in its design lane; empty where there is none."""
    found = facts.layers[["joint_spacing", "dowelled"]].reindex(section_layers(facts, designed))
    return found.assign(dowelled=found["dowelled"].fillna("").astype(object))


def repaired_states(condition: pd.DataFrame, after: pd.DataFrame) -> pd.DataFrame:
    """The table ``condition`` with what the repairs change: joints and cracks factor, effective thickness by condition, and
    ``load_transfer_used``, J of the design beside the one found, and the cracks left ``unrepaired`` [1/m]; one row for each section of both tables."""
    return condition.assign(
        joints_factor=after["joints_factor"].to_numpy(),
        effective_condition=after["effective_condition"].to_numpy(),
        load_transfer_used=after["coefficient"].to_numpy(),
        unrepaired=after["unrepaired"].to_numpy(),
    )


def design_inputs(states: pd.DataFrame, decisions: Decisions) -> DesignInputs:
    """The inputs of the thickness equation of each section."""
    by = decisions.design.effective_by
    condition, life = (states[c].to_numpy(dtype=float) for c in ("effective_condition", "effective_life"))
    effective = {"condition": condition, "remaining life": life, "lower of both": np.fmin(condition, life)}[by]
    every = np.ones(len(states))
    names = {
        "axles": "future_axles",
        "rupture": "rupture",
        "modulus": "modulus",
        "foundation": "foundation",
        "load_transfer": "load_transfer_used",
        "drainage": "drainage_coefficient",
    }
    return DesignInputs(
        **{k: states[v].to_numpy(dtype=float) for k, v in names.items()},
        reliability=every * decisions.design.reliability,
        standard_deviation=every * decisions.design.standard_deviation,
        initial_serviceability=every * decisions.evaluation.initial_serviceability,
        terminal_serviceability=every * decisions.evaluation.terminal_serviceability,
        effective=effective,
    )


def stationing_of(facts: Facts) -> str:
    """Whether the road counts in "feet" or "metres"; "" where it does not say."""
    return str(facts.road["stationing"].iloc[0]) if len(facts.road) else ""


def _rounded(required: Array, inputs: DesignInputs, stationing: str, decisions: Decisions) -> Array:
    """What each section needs, rounded up to what is built. [m]"""
    bonded = bonded_overlay_thickness(required, inputs.effective)
    step = built_step(decisions.design.round_to, stationing)
    return np.asarray(rounded_thickness(bonded, least_built(decisions.design.thinnest, step), step))


def _thicknesses(
    states: pd.DataFrame,
    designed: pd.DataFrame,
    inputs: DesignInputs,
    required: Array,
    rounded: Array,
    built: BuiltThickness,
    first_year: float,
    decisions: Decisions,
) -> pd.DataFrame:
    """One row for each section; refused ones keep their verdict and a note instead of numbers."""
    choice, effective, overlay = decisions.design, inputs.effective, built.built
    bonded = np.asarray(bonded_overlay_thickness(required, effective))
    enough = overlay >= bonded - 1e-6
    slabs = np.maximum(effective + np.stack([0 * overlay, overlay]), THINNEST_SLAB)
    axles = inputs.allowable(slabs, inputs.reliability)
    without, years = years_of_growing_traffic(axles, first_year, decisions.traffic.growth, LONGEST_LIFE)
    made = pd.DataFrame({
        "section": designed["section"],
        "required_slab": required,
        "effective": effective,
        "bonded": bonded,
        "partly_bonded": partly_bonded_overlay_thickness(required, effective),
        "unbonded": unbonded_overlay_thickness(required, effective),
        "rounded": rounded,
        "proposed": built.proposed,
        "overlay": overlay,
        "surplus": overlay - bonded,
        "enough": np.where(enough, "yes", "no"),
        "years": years,
        "years_gained": years - without,
        "reduction": _change(designed, overlay, decisions).interior,
        "note": [
            _remark(b, t, a, choice.thinnest, choice.thickest)
            for b, t, a in zip(bonded, overlay, designed["future_axles"], strict=True)
        ],
    })
    kept = ["section", "direction", "begin", "end", "verdict", "future_axles", "effective_condition", "effective_life"]
    joined = states[kept].merge(made, on="section", how="left")
    refused = joined["overlay"].isna() & ~joined["section"].isin(designed["section"])
    words = joined["verdict"] + ": no bonded overlay is designed here"
    return table(THICKNESSES, joined.assign(note=joined["note"].astype(object).where(~refused, words)))


def _remark(bonded: float, overlay: float, axles: float, thinnest: float, thickest: float) -> str:
    if axles == 0:
        return "no truck is counted in the design lane: traffic asks for no thickness"
    if not np.isfinite(bonded):
        return "the thickness equation has no answer for these inputs"
    if bonded > thickest:
        return "thicker than a bonded overlay is considered for: compare an unbonded overlay"
    if overlay < bonded - 1e-6:
        return "thinner than required at the design reliability"
    return "thinner than the practical minimum decided" if overlay < thinnest - 1e-6 else ""


def _change(designed: pd.DataFrame, overlay: Array, decisions: Decisions) -> DeflectionChange:
    h, e, k = (designed[c].to_numpy(dtype=float) for c in ("thickness", "modulus", "dynamic_foundation"))
    return deflection_change(
        overlay,
        h,
        e,
        decisions.design.overlay_modulus,
        k,
        decisions.survey.standard_load,
        decisions.evaluation.poisson,
    )


def _lives(
    designed: pd.DataFrame, inputs: DesignInputs, curve: Array, first_year: float, decisions: Decisions
) -> pd.DataFrame:
    """Life over the grid of thickness and reliability: axes section, thickness, reliability."""
    section, overlay, reliability = np.meshgrid(np.arange(len(designed)), curve, RELIABILITIES, indexing="ij")
    axles = inputs.allowable(inputs.effective + overlay.T, reliability.T).T
    years = years_of_growing_traffic(axles, first_year, decisions.traffic.growth, LONGEST_LIFE)
    return table(
        LIVES,
        pd.DataFrame({
            "section": designed["section"].to_numpy()[section.ravel()],
            "overlay": overlay.ravel(),
            "reliability": reliability.ravel(),
            "axles": axles.ravel(),
            "years": years.ravel(),
        }),
    )


def _deflection_changes(designed: pd.DataFrame, curve: Array, decisions: Decisions) -> pd.DataFrame:
    section, overlay = np.meshgrid(np.arange(len(designed)), curve, indexing="ij")
    change = vars(_change(designed, overlay.T, decisions))
    return table(
        DEFLECTION_CHANGES,
        pd.DataFrame({
            "section": designed["section"].to_numpy()[section.ravel()],
            "overlay": overlay.ravel(),
            **{name: values.T.ravel() for name, values in change.items()},
        }),
    )


def _sensitivities(designed: pd.DataFrame, inputs: DesignInputs) -> pd.DataFrame:
    """Every varied input of every section, the greatest swing of a section first."""
    ends = varied_overlays(inputs)
    rows = []
    for row, varied in enumerate(VARIED):  # nine inputs; texts cannot be made as arrays
        low, high = varied.ends(getattr(inputs, varied.name))
        rows.append(
            pd.DataFrame({
                "section": designed["section"],
                "input": varied.meaning,
                "low": [remark("{end}", end=(varied.kind, v)) for v in low],
                "high": [remark("{end}", end=(varied.kind, v)) for v in high],
                "at_low": ends[row, 0],
                "at_high": ends[row, 1],
                "swing": np.abs(ends[row, 1] - ends[row, 0]),
            })
        )
    frame = pd.concat(rows, ignore_index=True)
    frame = frame.sort_values("swing", ascending=False, kind="stable")
    return table(SENSITIVITIES, by_section(frame, designed["section"]))


def spread_width(overlay: Array, slab: Array) -> Array:
    """Width over which a wheel's shear spreads: its contact, and 45 degrees through both layers on each side.

    Common practice, no source. [m]
    """
    return CONTACT + 2 * (overlay + slab)


def _bond(designed: pd.DataFrame, overlay: Array, decisions: Decisions) -> pd.DataFrame:
    choice = decisions.design
    slab, modulus = designed["thickness"].to_numpy(dtype=float), designed["modulus"].to_numpy(dtype=float)
    spread = spread_width(overlay, slab)
    found = interface_shear(choice.wheel_load, spread, overlay, slab, modulus / choice.overlay_modulus)
    factor = choice.bond_strength / np.asarray(found.stress)
    return table(
        BOND,
        pd.DataFrame({
            "section": designed["section"],
            "overlay": overlay,
            "spread": spread,
            "first_moment": found.first_moment,
            "inertia": found.inertia,
            "shear": found.stress,
            "strength": choice.bond_strength,
            "factor": factor,
            "passes": np.where(np.isnan(factor), "", np.where(factor >= choice.bond_factor, "yes", "no")),
        }),
    )


def _quantities(thicknesses: pd.DataFrame, areas: dict[str, float]) -> pd.DataFrame:
    """Area [m2], thickness [m] and volume [m3] of the overlay of every section that takes one."""
    designed = thicknesses[thicknesses["overlay"] > 0]
    area = designed["section"].map(areas).to_numpy(dtype=float)
    overlay = designed["overlay"].to_numpy()
    return table(
        OVERLAY_QUANTITIES,
        pd.DataFrame({
            "section": designed["section"].to_numpy(),
            "area": area,
            "overlay": overlay,
            "volume": area * overlay,
        }),
    )


def _by_lane(thicknesses: pd.DataFrame, facts: Facts, milled: float) -> pd.DataFrame:
    """The same by lane, in the order of directions and lanes."""
    designed = thicknesses[thicknesses["overlay"] > 0]
    areas = lane_areas(designed, facts)
    overlay = areas["section"].map(designed.set_index("section")["overlay"]).to_numpy(dtype=float)
    area = areas["area"].to_numpy(dtype=float)
    made = areas.assign(overlay=overlay, volume=area * overlay, milled=area * milled)
    place = {way: number for number, way in enumerate(directions_in_order(made["direction"]))}
    made = made.iloc[np.lexsort([made["lane"].to_numpy(dtype=str), made["direction"].map(place).to_numpy()])]
    return table(LANE_QUANTITIES, made[list(LANE_QUANTITIES.names)])


def _notes(thicknesses: pd.DataFrame) -> list[Remark]:
    notes = []
    refused = thicknesses[~(thicknesses["overlay"] > 0)]
    if len(refused):
        template = f"No bonded overlay is designed in section{'s' if len(refused) > 1 else ''} {{names}}."
        notes.append(remark(template, names=("text", listed(refused["section"]))))
    designed = thicknesses[thicknesses["overlay"] > 0]
    away = designed[(designed["reduction"] < 0.30) | (designed["reduction"] > 0.50)]
    notes += [
        remark(
            "interior deflection is predicted to fall by {reduction}, outside the 30 to 50 % that practice reports; the"
            " overlay is {overlay}.",
            s.section,
            reduction=("share", s.reduction),
            overlay=("thickness", s.overlay),
        )
        for s in away.itertuples(index=False)
    ]
    far = designed[(designed["years_gained"] - PRACTICE_YEARS).abs() > 10]
    notes += [
        remark(
            "{gained} are gained against about 25 that practice reports on a sound slab: the overlay is {overlay} for a"
            " requirement of {needed}, and the old slab alone is worth {alone} of the traffic to come.",
            s.section,
            gained=("years", s.years_gained),
            overlay=("thickness", s.overlay),
            needed=("thickness", s.bonded),
            alone=("years", s.years - s.years_gained),
        )
        for s in far.itertuples(index=False)
    ]
    return notes
