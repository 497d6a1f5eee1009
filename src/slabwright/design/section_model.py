"""Sections as the plate model sees them: slab size, joints, k and moduli, from what the earlier stages found."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from slabwright.calculation import Array
from slabwright.errors import MissingFact
from slabwright.evaluation.restored import transfer_after_repair
from slabwright.evaluation.state import ASSUMED_TRANSFER
from slabwright.plate.plate_stresses import PlateStresses
from slabwright.plate.stresses import PavementState
from slabwright.records.decisions import Decisions
from slabwright.records.facts import Facts
from slabwright.roadway.places import design_lane, section_layers
from slabwright.slab.load_transfer import joint_stiffness_from_efficiency
from slabwright.units import INCH

__all__ = ["ModelledSection", "modelled_sections"]

# Load transfer is taken at the lower end of a class, so that like sections share one model.
CLASSES = np.array([0.05, 0.3, 0.5, 0.7, 0.9])
USUAL_STIFFNESS = 1.0  # m: radius of relative stiffness for which a class's joint stiffness is worked out
WHEEL_RADIUS = 6 * INCH
LONG_STEP = 0.1  # m, to which slab sizes are rounded


@dataclass(frozen=True)
class ModelledSection:
    """One section with an overlay: its model, its state with that overlay, and the row it comes from.

    ``transfer`` is the load transfer used (a class), ``measured`` what was measured (NaN where nothing was).
    """

    name: str
    pavement: str
    model: PlateStresses
    state: PavementState
    transfer: float
    measured: float
    condition: pd.Series


def modelled_sections(
    facts: Facts, condition: pd.DataFrame, thicknesses: pd.DataFrame, decisions: Decisions
) -> tuple[ModelledSection, ...]:
    """Every section that gets an overlay. Raises MissingFact where a slab's size is not known."""
    overlays = dict(zip(thicknesses["section"], thicknesses["overlay"], strict=True))
    designed = [row for _, row in condition.iterrows() if overlays.get(row["section"], np.nan) > 0]
    return tuple(_section(row, float(overlays[row["section"]]), facts, decisions) for row in designed)


def _section(row: pd.Series, overlay: float, facts: Facts, decisions: Decisions) -> ModelledSection:
    length, width = _size(row, facts, decisions)
    measured = float(row["transfer"])
    used = _transfer(measured, str(row["pavement"]), decisions)
    k = float(row["dynamic_foundation"])
    joint = float(joint_stiffness_from_efficiency(used, k, USUAL_STIFFNESS, WHEEL_RADIUS)) / (k * USUAL_STIFFNESS)
    model = PlateStresses(
        length,
        width,
        float(f"{joint:.4g}"),
        decisions.evaluation.poisson,
        decisions.design.thermal_expansion,
    )
    state = PavementState(
        overlay,
        float(row["thickness"]) - decisions.design.milling_depth,
        decisions.design.overlay_modulus,
        float(row["modulus"]),
        k,
    )
    return ModelledSection(str(row["section"]), str(row["pavement"]), model, state, used, measured, row)


def _size(row: pd.Series, facts: Facts, decisions: Decisions) -> tuple[float, float]:
    lane, layer = design_lane(facts, row["direction"]), int(section_layers(facts, row.to_frame().T)[0])
    spacing = float(facts.layers["joint_spacing"].iloc[layer]) if layer >= 0 else np.nan
    if row["pavement"] == "CRCP":
        spacing = decisions.plate.slab_length
    width = float(facts.lanes.set_index("lane")["width"].get(lane, np.nan))
    if not np.isfinite([spacing, width]).all():
        raise MissingFact(
            "the plate model needs the length and width of the slabs",
            where=f"section {row['section']}",
            remedy="Give joint_spacing in the table layers and width in the table lanes.",
        )
    return tuple(float(np.round(v / LONG_STEP) * LONG_STEP) for v in (spacing, width))  # type: ignore[return-value]


def _transfer(measured: float, pavement: str, decisions: Decisions) -> float:
    """Load transfer after repairs, at the lower end of its class.

    Where no joint was tested, it is the one assumed by name for J, so that AASHTO 1993 and the plate speak of one road; of
    the cracks of continuously reinforced pavement, and where nothing is assumed by name, that of the plate's decisions.
    """
    value = float(transfer_after_repair(np.asarray(measured), decisions))
    if not np.isfinite(value):
        unmeasured = decisions.plate.unmeasured_transfer
        by_name = ASSUMED_TRANSFER.get(decisions.evaluation.assume_without_joint_tests, unmeasured)
        value = unmeasured if pavement == "CRCP" else by_name
    below: Array = CLASSES[value + 1e-9 >= CLASSES]
    return float(below[-1]) if len(below) else float(CLASSES[0])
