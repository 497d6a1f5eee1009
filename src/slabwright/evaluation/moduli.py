"""Backcalculated moduli of every mid-slab test, by basin area and by plate fit."""

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

__all__ = ["backcalculate"]


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
    size = _slab_sizes(facts, mid)
    radius = mid["plate_radius"].fillna(float(PLATE_RADIUS)).to_numpy()
    d0 = mid["deflection_1"].to_numpy()
    area = relative_stiffness_area_36(mid["area_36"].to_numpy())
    fitted, fitted_k, misfit = _plate_fits(mid, radius, standard_load)
    area_k = foundation_from_deflection(standard_load, d0, deflection_coefficient(area), area)
    by_area = _finite(area, area_k, size, thickness, decisions)
    by_fit = _finite(fitted, fitted_k, size, thickness, decisions)
    chosen = by_area if decisions.moduli_from == "basin area" else by_fit
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
            "excluded": _reasons(mid, chosen, section[rows]),
        }),
    )


def _slab_sizes(facts: Facts, tests: pd.DataFrame) -> Array:
    """Effective slab size at each test [m]; a continuously reinforced slab is long against its width."""
    layer = layer_rows(facts, tests["station"].to_numpy(), tests["lane"])
    spacing = facts.layers["joint_spacing"].to_numpy()[layer]
    continuous = facts.layers["pavement"].to_numpy()[layer] == "CRCP"
    width = np.array([lane_width(facts, lane) for lane in tests["lane"]])
    length = np.where(continuous, 30.0, spacing)
    return np.asarray(slab_size(np.where(layer >= 0, length, np.nan), width))


def _finite(
    l: Array, k: Array, size: Array, thickness: Array, decisions: EvaluationDecisions
) -> tuple[Array, Array, Array]:
    """l, dynamic k and E after the slab-size correction (if wanted), from infinite-plate values."""
    if decisions.slab_size_correction == "yes":
        factors = slab_size_factors(size, l)
        l, k = l * factors.radius, k / (factors.radius**2 * factors.deflection)
    return l, k, np.asarray(modulus_from_relative_stiffness(k, l, thickness, decisions.poisson))


def _plate_fits(mid: pd.DataFrame, radius: Array, load: float) -> tuple[Array, Array, Array]:
    """Plate fit of each row with the sensors that it has, rows of one sensor layout together."""
    offsets, deflections = mid[OFFSETS].to_numpy(), mid[DEFLECTIONS].to_numpy()
    use = np.isfinite(offsets) & np.isfinite(deflections) & (offsets >= 0)
    found = np.full((3, len(mid)), np.nan)
    layout = np.where(use, np.round(offsets, 4), -1.0)
    keys, group = np.unique(np.column_stack([layout, np.round(radius, 5)]), axis=0, return_inverse=True)
    for number, key in enumerate(keys):
        columns = np.flatnonzero(key[:-1] >= 0)
        if len(columns) < 3:
            continue
        rows = np.flatnonzero(group.ravel() == number)
        fit = fit_plate(deflections[np.ix_(rows, columns)], tuple(key[columns]), float(key[-1]))
        found[:, rows] = fit.relative_stiffness, fit.foundation(np.asarray(load)), fit.misfit
    return found[0], found[1], found[2]


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
    mid: pd.DataFrame, chosen: tuple[Array, Array, Array], section: npt.NDArray[np.int64]
) -> npt.NDArray[np.object_]:
    reason = np.full(len(mid), "", dtype=object)
    reason[~np.isfinite(chosen[2])] = "modulus outside the range of the method"
    reason[~np.isfinite(chosen[0])] = "basin outside the range of the method"
    reason[~np.isfinite(mid["area_36"].to_numpy()) & ~np.isfinite(chosen[0])] = "a sensor of the basin is missing"
    reason[section < 0] = "outside all sections"
    return reason
