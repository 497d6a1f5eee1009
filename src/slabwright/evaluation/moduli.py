"""Backcalculated moduli of every mid-slab test, by plate fit and, as a rival, by basin area."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pandas as pd

from slabwright.calculation import Array
from slabwright.evaluation.backcalculation import (
    deflection_coefficient,
    foundation_from_deflection,
    modulus_from_relative_stiffness,
    partition_bonded,
    partition_unbonded,
    relative_stiffness_area_36,
    relative_stiffness_area_36_solid,
    slab_size,
    slab_size_factors,
    solid_modulus_from_deflection,
)
from slabwright.evaluation.finite_slab import slab_correction
from slabwright.evaluation.plate_fit import fit_plate
from slabwright.records.decisions.evaluation import EvaluationDecisions
from slabwright.records.facts import Facts
from slabwright.records.outcomes.evaluation import MODULI
from slabwright.records.table import table
from slabwright.roadway.places import lane_width, layer_rows
from slabwright.roadway.slabs import slab_thickness
from slabwright.slab.infinite_plate import plate_coefficient_elastic_solid
from slabwright.survey.basins import DEFLECTIONS, OFFSETS
from slabwright.terms import PLATE_RADIUS

__all__ = ["CONTINUOUS_LENGTH", "backcalculate"]

CONTINUOUS_LENGTH = 30.0  # m: a slab without joints, long against its width
FEWEST_SENSORS = 3
FARTHEST_SENSOR = 2.0  # m: farther out a deflection is smaller than what sensors resolve (common practice, no source)


def backcalculate(
    facts: Facts,
    basins: pd.DataFrame,
    section: npt.NDArray[np.int64],
    standard_load: float,
    decisions: EvaluationDecisions,
) -> pd.DataFrame:
    """Moduli of the mid-slab rows of ``basins``; ``section`` is the section row of each basin. Schema ``moduli``."""
    rows = np.flatnonzero((basins["position"] == "mid-slab").to_numpy())
    mid = basins.iloc[rows].reset_index(drop=True)
    thickness, origin = slab_thickness(facts, mid)
    length, width = _slab_sides(facts, mid)
    radius = mid["plate_radius"].fillna(float(PLATE_RADIUS)).to_numpy()
    d0 = mid["deflection_1"].to_numpy()
    area = relative_stiffness_area_36(mid["area_36"].to_numpy())
    area_k = foundation_from_deflection(standard_load, d0, deflection_coefficient(area), area)
    by_area = _by_area(area, area_k, np.asarray(slab_size(length, width)), thickness, decisions)
    l, k, misfit, why_not = _plate_fits(mid, np.column_stack([length, width, radius]), standard_load, decisions)
    by_fit = l, k, np.asarray(modulus_from_relative_stiffness(k, l, thickness, decisions.poisson))
    why_no_area = _why_no_area(mid, by_area[0])
    area_chosen = decisions.moduli_from == "basin area"
    chosen = by_area if area_chosen else by_fit
    solid = solid_modulus_from_deflection(standard_load, d0, _solid_coefficient(mid, radius), _solid_stiffness(mid))
    layers = _partition(facts, mid, chosen[2], thickness, decisions)
    return table(
        MODULI,
        pd.DataFrame({
            **{k: mid[k] for k in ("station", "lane", "point")},
            "section": section[rows].astype(str),
            "thickness": thickness,
            "thickness_from": origin,
            "stiffness_area": by_area[0],
            "foundation_area": by_area[1],
            "modulus_area": by_area[2],
            "stiffness_fit": by_fit[0],
            "foundation_fit": by_fit[1],
            "modulus_fit": by_fit[2],
            "misfit": misfit,
            "solid_modulus": solid,
            "slab_modulus": layers[0],
            "base_modulus": layers[1],
            "no_area": why_no_area,
            "excluded": _reasons(chosen, why_no_area if area_chosen else why_not, section[rows]),
        }),
    )


def _slab_sides(facts: Facts, tests: pd.DataFrame) -> tuple[Array, Array]:
    """Length and width of the slab at each test [m]; a continuously reinforced slab is long against its width."""
    layer = layer_rows(facts, tests["station"].to_numpy(), tests["lane"])
    spacing = facts.layers["joint_spacing"].to_numpy()[layer]
    continuous = facts.layers["pavement"].to_numpy()[layer] == "CRCP"
    width = np.array([lane_width(facts, lane) for lane in tests["lane"]])
    length = np.where(continuous, CONTINUOUS_LENGTH, spacing)
    return np.where(layer >= 0, length, np.nan), width


def _by_area(
    l: Array, k: Array, size: Array, thickness: Array, decisions: EvaluationDecisions
) -> tuple[Array, Array, Array]:
    """l, dynamic k and E by basin area after the published slab-size correction (if wanted), from infinite-plate values."""
    if decisions.slab_size_correction == "yes":
        factors = slab_size_factors(size, l)
        l, k = l * factors.radius, k / (factors.radius**2 * factors.deflection)
    return l, k, np.asarray(modulus_from_relative_stiffness(k, l, thickness, decisions.poisson))


def _plate_fits(
    mid: pd.DataFrame, slabs: Array, load: float, decisions: EvaluationDecisions
) -> tuple[Array, Array, Array, npt.NDArray[np.object_]]:
    """l, dynamic k, misfit and why there is none, of the plate fit to the sensors that each row has, wherever they stand.

    ``slabs`` (n, 3): length and width of the slab and radius of the plate [m]. Rows of one sensor layout and slab go together;
    the correction for the size of the slab, if wanted, is computed for that slab and those sensors.
    """
    offsets, deflections = mid[OFFSETS].to_numpy(), mid[DEFLECTIONS].to_numpy()
    reach = np.fmin(slabs[:, :1] / 2, FARTHEST_SENSOR)  # a sensor beyond the joint stands on another slab
    use = np.isfinite(offsets) & np.isfinite(deflections) & (offsets >= 0) & (offsets <= reach)
    found, why = np.full((3, len(mid)), np.nan), np.full(len(mid), "", dtype=object)
    layout = np.where(use, np.round(offsets, 4), -1.0)
    keys, group = np.unique(np.column_stack([layout, np.round(slabs, 5)]), axis=0, return_inverse=True)
    for number, key in enumerate(keys):
        columns = np.flatnonzero(key[:-3] >= 0)
        rows = np.flatnonzero(group.ravel() == number)
        if len(columns) < FEWEST_SENSORS:
            why[rows] = f"fewer than {FEWEST_SENSORS} sensors read within reach of the plate fit"
            continue
        sensors, (length, width, radius) = tuple(key[columns]), (float(v) for v in key[-3:])
        fit = fit_plate(deflections[np.ix_(rows, columns)], sensors, radius)
        l, k = fit.relative_stiffness, fit.foundation(np.asarray(load))
        why[rows[~np.isfinite(l)]] = "basin outside the range of the plate fit"
        if decisions.slab_size_correction == "yes":
            known = np.isfinite(l)
            l, k = _corrected(l, k, (length, width, sensors, radius, decisions.poisson))
            why[rows[known & ~np.isfinite(l)]] = (
                "no slab of this size reads so" if np.isfinite(length * width) else "size of the slab not known"
            )
        found[:, rows] = l, k, fit.misfit
    return found[0], found[1], found[2], why


def _corrected(l: Array, k: Array, slab: tuple[float, float, tuple[float, ...], float, float]) -> tuple[Array, Array]:
    if not np.isfinite(slab[0] * slab[1]):
        return np.full_like(l, np.nan), np.full_like(k, np.nan)
    return slab_correction(*slab)(l, k)


def _why_no_area(mid: pd.DataFrame, l: Array) -> npt.NDArray[np.object_]:
    """Why a test has no basin area, "" where it has one."""
    why = np.where(np.isfinite(l), "", "basin outside the range of the basin area").astype(object)
    why[~np.isfinite(mid["area_36"].to_numpy())] = "no sensor near one of those of the basin area"
    return why


def _solid_stiffness(mid: pd.DataFrame) -> Array:
    return np.asarray(relative_stiffness_area_36_solid(mid["area_36"].to_numpy()))


def _solid_coefficient(mid: pd.DataFrame, radius: Array) -> Array:
    return np.asarray(plate_coefficient_elastic_solid(np.zeros(len(mid)), _solid_stiffness(mid), radius))


def _partition(
    facts: Facts, mid: pd.DataFrame, modulus: Array, thickness: Array, decisions: EvaluationDecisions
) -> tuple[Array, Array]:
    if decisions.base_bond == "no partition":
        return modulus, np.full(len(mid), np.nan)
    layer = layer_rows(facts, mid["station"].to_numpy(), mid["lane"])
    base = np.where(layer >= 0, facts.layers["base_thickness"].to_numpy()[layer], np.nan)
    split = partition_bonded if decisions.base_bond == "bonded" else partition_unbonded
    moduli = split(modulus, thickness, base, decisions.modular_ratio)
    return np.asarray(moduli.slab), np.asarray(moduli.base)


def _reasons(
    chosen: tuple[Array, Array, Array], why: npt.NDArray[np.object_], section: npt.NDArray[np.int64]
) -> npt.NDArray[np.object_]:
    reason = np.full(len(section), "", dtype=object)
    reason[~np.isfinite(chosen[2])] = "modulus outside the range of the method"
    reason = np.where(np.isfinite(chosen[0]), reason, why)
    reason[section < 0] = "outside all sections"
    return reason
