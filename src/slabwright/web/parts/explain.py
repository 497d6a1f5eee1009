"""How a number was found: its equation with the row's own values, what it rests on, and what it feeds. No page here."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from slabwright import catalogue, units
from slabwright.calculation import Working
from slabwright.errors import SlabwrightError
from slabwright.records.decisions import Decisions, entries
from slabwright.records.display import cell, heading
from slabwright.records.results import StageResult
from slabwright.stages import outcomes, stage_named, used_by
from slabwright.web.parts.methods import BESIDE, METHODS

__all__ = ["Explanation", "explain"]


@dataclass(frozen=True)
class Explanation:
    """What the drawer shows for one number."""

    title: str
    value: str
    meaning: str
    workings: tuple[Working, ...]
    decisions: tuple[tuple[str, str], ...]
    facts: tuple[str, ...]
    feeds: tuple[str, ...]
    method: str = ""  # how a number came about that no single equation gives

    def text(self) -> str:
        """Everything as plain text, for copying."""
        parts = [
            f"{self.title}: {self.value}",
            *([self.method] if self.method else []),
            *(w.text() for w in self.workings),
        ]
        parts += ["Facts: " + ", ".join(self.facts), "Feeds: " + (", ".join(self.feeds) or "nothing further")]
        return "\n\n".join(parts)


# Column of a result: the calculation behind it and, for each of its inputs, the column of the same row.
RULES: dict[tuple[str, str], tuple[str, dict[str, str]]] = {
    ("thicknesses", "bonded"): ("bonded_overlay_thickness", {"required": "required_slab", "effective": "effective"}),
    ("thicknesses", "partly_bonded"): ("partly_bonded_overlay_thickness", {"required": "required_slab", "effective": "effective"}),
    ("thicknesses", "unbonded"): ("unbonded_overlay_thickness", {"required": "required_slab", "effective": "effective"}),
    ("moduli", "modulus_area"): (
        "modulus_from_relative_stiffness", {"foundation": "foundation_area", "relative_stiffness": "stiffness_area", "thickness": "thickness"}),
    ("moduli", "modulus_fit"): (
        "modulus_from_relative_stiffness", {"foundation": "foundation_fit", "relative_stiffness": "stiffness_fit", "thickness": "thickness"}),
    ("transfers", "efficiency"): ("load_transfer_efficiency", {"loaded": "loaded", "unloaded": "unloaded", "bending": "bending"}),
    ("condition", "remaining_life"): ("remaining_life", {"past_axles": "past_axles", "failure_axles": "failure_axles"}),
    ("condition", "condition_factor"): ("condition_factor", {"remaining_life": "remaining_life"}),
    ("condition", "effective_life"): ("effective_thickness_remaining_life", {"thickness": "thickness", "factor": "condition_factor"}),
    ("condition", "effective_condition"): ("effective_thickness_condition", {
        "thickness": "thickness", "joints_and_cracks": "joints_factor", "durability": "durability_factor", "fatigue": "fatigue_factor"}),
    ("condition", "rupture_cores"): ("rupture_from_strength", {"strength": "core_strength"}),
    ("condition", "rupture_modulus"): ("rupture_from_modulus", {"modulus": "modulus"}),
    ("steel", "transverse_saw"): ("saw_depth", {"thickness": "overlay"}),
    ("steel", "longitudinal_saw"): ("saw_depth", {"thickness": "overlay"}),
}  # fmt: skip
# Columns whose working the stage itself has printed for the section.
PRINTED = {
    "required_slab": "rigid_required_thickness", "foundation": "static_foundation", "failure_axles": "rigid_allowable_axles",
    "shear": "interface_shear", "reduction": "relative_stiffness", "years": "rigid_required_thickness",
    "years_gained": "rigid_required_thickness", "overlay": "bonded_overlay_thickness", "rounded": "bonded_overlay_thickness",
}  # fmt: skip


def explain(
    stage: str,
    table: str,
    row: int,
    column: str,
    results: Mapping[str, StageResult],
    decisions: Decisions,
    system: units.System,
) -> Explanation:
    """How the number in that row and column of a result table came about."""
    about, record = outcomes()[table][column], results[stage].tables[table].loc[row]
    groups = stage_named(stage).decisions
    return Explanation(
        title=heading(about, system),
        value=_with_unit(record[column], about.unit_kind, system)
        if about.unit_kind
        else cell(record[column], about, system),
        meaning=f"{outcomes()[table].title}: {about.meaning}",
        workings=_workings(results[stage], table, column, record, system),
        decisions=tuple((e.name, e.text(system)) for e in entries(decisions) if e.name.partition(".")[0] in groups),
        facts=stage_named(stage).facts,
        feeds=tuple(later.name for later in used_by(stage)),
        method=METHODS.get(table, ""),
    )


def _with_unit(value: Any, kind: str, system: units.System) -> str:
    return units.format_quantity(float(value), kind, system)


def _workings(result: StageResult, table: str, column: str, record: Any, system: units.System) -> tuple[Working, ...]:
    rule = RULES.get((table, column))
    if rule is not None:
        made = _own(rule, record, system)
        return (made,) if made else ()
    section = f"section {record['section']}" if "section" in record else ""
    here = [w for w in result.workings if section and (w.context == section or w.context.startswith(section + ","))]
    names = BESIDE.get((table, column), ()) if table in METHODS else (PRINTED.get(column),)
    return tuple(w for w in here if w.name in names)


def _own(rule: tuple[str, dict[str, str]], record: Any, system: units.System) -> Working | None:
    """The calculation with the values of the record; None where one of them is missing or out of range."""
    name, columns = rule
    inputs: dict[str, Any] = {key: float(record[source]) for key, source in columns.items()}
    if not np.isfinite(list(inputs.values())).all():
        return None
    try:
        return catalogue.find(name).working(system=system, **inputs)
    except SlabwrightError:
        return None
