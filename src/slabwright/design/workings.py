"""The printed calculations that govern the overlay of each section."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from slabwright.calculation import Array, Working
from slabwright.design.effects import DesignInputs
from slabwright.design.thickness import bonded_overlay_thickness
from slabwright.interface.composite import composite_section, interface_shear
from slabwright.records.decisions import Decisions
from slabwright.slab.closed_forms import relative_stiffness
from slabwright.slab.serviceability import rigid_required_thickness
from slabwright.units import INCH

__all__ = ["design_workings", "spread_width"]

CONTACT = 12 * INCH


def spread_width(overlay: Array, slab: Array) -> Array:
    """Width over which a wheel's shear spreads: its contact, and 45 degrees through both layers on each side.

    Common practice, no source. [m]
    """
    return CONTACT + 2 * (overlay + slab)


def design_workings(
    designed: pd.DataFrame, inputs: DesignInputs, required: Array, overlay: Array, decisions: Decisions
) -> tuple[Working, ...]:
    """Required slab, overlay, composite section, stiffness and interface shear of every section that has an answer."""
    return tuple(
        working
        for row in range(len(designed))
        if np.isfinite(required[row])
        for working in _section(designed.iloc[row], row, inputs, float(required[row]), float(overlay[row]), decisions)
    )


def _section(
    state: pd.Series, row: int, inputs: DesignInputs, required: float, overlay: float, decisions: Decisions
) -> tuple[Working, ...]:
    label, choice, slab = f"section {state['section']}", decisions.design, float(state["thickness"])
    ratio = float(state["modulus"]) / choice.overlay_modulus
    section = composite_section(overlay, slab, ratio)
    terms: dict[str, Any] = {name: float(values[row]) for name, values in inputs.terms().items()}
    return (
        rigid_required_thickness.working(
            label, axles=float(inputs.axles[row]), reliability=float(inputs.reliability[row]), **terms
        ),
        bonded_overlay_thickness.working(label, required=required, effective=float(inputs.effective[row])),
        composite_section.working(label, thickness=overlay, other_thickness=slab, ratio=ratio),
        relative_stiffness.working(
            f"{label}, with the overlay", modulus=choice.overlay_modulus, thickness=float(section.bonded),
            foundation=float(state["dynamic_foundation"]), poisson=decisions.evaluation.poisson,
        ),
        interface_shear.working(
            label, load=choice.wheel_load, spread_width=spread_width(np.asarray(overlay), np.asarray(slab)),
            overlay=overlay, slab=slab, ratio=ratio,
        ),
    )  # fmt: skip
