"""Results of the long stages for tests of pages and documents: numbers made by plain formulas, computed in no time.

They are no forecast of anything; a test that needs the numbers reads them from the formulas here. Shear on the map falls
off from the corner, so that the worst place is known.
"""

from __future__ import annotations

import numpy as np
import pandas as pd

from slabwright.project import Project
from slabwright.records.remarks import Remark, remark
from slabwright.records.results import StageResult
from slabwright.records.table import table
from slabwright.stages import outcomes
from slabwright.workflow import Computation

__all__ = ["LAWS", "bond_result", "life_result", "save_field_results"]

PLACES, CAUSES = ("under the wheels", "free edge", "joint", "corner"), ("wheels", "shrinkage")
LAWS = ("NCHRP 1-37A, 2004", "PCA 1984", "Vesic and Saxena 1969")
STRENGTH = 1.4e6
CONTINUOUS = ("A5", "W5")  # of the demo road: no slabs between joints, so no share of them
DAY = 86400.0
YEAR = 365.25 * DAY
NOTE = "Peak shears at edges are elastic indices for comparing designs."


def bond_result(overlays: dict[str, float]) -> StageResult:
    """Of sections with their overlay thickness [m]; every other one passes, of the rest the first is open and the next fails."""
    frames = [
        _bond(name, overlay, ("yes", "open", "yes", "no")[i % 4]) for i, (name, overlay) in enumerate(overlays.items())
    ]
    return _result("bond", frames, (remark(NOTE),))


def _bond(name: str, overlay: float, passes: str) -> dict[str, pd.DataFrame]:
    factor = 2.5 if passes == "yes" else 1.2
    head = {"section": name, "overlay": overlay}
    verdict = {
        "place": "corner",
        "cause": "shrinkage",
        "age": 3 * YEAR,
        "mode": "shear and peel together",
        "factor": factor,
        "least_factor": 1.5,
        "passes": passes,
        "required": STRENGTH / factor,
        "strength": STRENGTH,
        "test": "pull-off",
        "test_age": 28 * DAY,
        "averaging": 0.05,
        "other_criterion": 1.1 * factor,
        "other_model": 1.05 * factor,
        "other_support": 0.9 * factor,
        "day": 16.6,
        "night": -11.5,
        "differences_from": "the loaded year of weather",
        "humidity": 0.645,
        "humidity_from": "the loaded year of weather",
        "free": 4.0e-4,
        "strain": 1.4e-4,
        "held": 1.2e-4,
        "short_cut": 1.3e-4,
        "energy_age": 10 * YEAR,
        "energy_strain": 1.5e-4,
        "energy_held": 1.3e-4,
        "energy": 60.0 if passes == "no" else 17.0,
        "fracture_energy": 50.0,
        "pull": 2.0e6,
        "pull_held": 2.5e6,
        "pull_age": 3 * YEAR,
        "tensile": 2.7e6,
        "note": "" if passes == "yes" else "ask for a stronger bond",
    }
    places = pd.DataFrame([
        {
            "place": place,
            "cause": cause,
            "age": 3 * YEAR,
            "peak_shear": 3e6 / (i + 1),
            "mean_shear": 2e6 / (i + 1),
            "mean_peel": 1e5,
            "tension": STRENGTH,
            "shear_strength": 2 * STRENGTH,
            "mode": "shear",
            "required": 1e6 / (i + 1),
            "strength": STRENGTH,
            "factor": 1.4 * (i + 1),
            "passes": "no" if i == 0 else "yes",
        }
        for i, (place, cause) in enumerate((p, c) for p in reversed(PLACES) for c in reversed(CAUSES))
    ])
    before = np.array([1e-4, 2.5e-4, 1.5e-4, 3.4e-4])
    tests = pd.DataFrame({
        "position": ["mid-slab", "edge", "joint", "corner"],
        "before": before,
        "bonded": 0.7 * before,
        "part_delaminated": 0.71 * before,
        "unbonded": 0.98 * before,
        "fall": 0.3,
        "unbonded_reduction": 0.02,
        "warning_above": 0.84 * before,
    })
    return {
        "bond_verdicts": pd.DataFrame([head | verdict]),
        "bond_places": places.assign(**head),
        "bond_ages": _ages(name, factor),
        "bond_patches": _patches(factor).assign(**head),
        "bond_map": _map(name),
        "bond_deflections": tests.assign(**head),
    }


def _ages(name: str, factor: float) -> pd.DataFrame:
    """Strength rises to its test; the demand at the corner rises to what the factor says, elsewhere to half of it."""
    ages = np.array([1, 7, 28, 365, 1095, 7300]) * DAY
    grown = np.minimum(ages / (28 * DAY), 1.0) ** 0.2
    frames = []
    for place in PLACES:
        demand = STRENGTH / factor * (ages / ages[-1]) ** 0.3 * (1.0 if place == "corner" else 0.5)
        frames.append(
            pd.DataFrame({
                "section": name,
                "place": place,
                "age": ages,
                "cause": "wheels, night and shrinkage",
                "free": 4e-4 * (ages / ages[-1]) ** 0.3,
                "strain": 1.6e-4 * (ages / ages[-1]) ** 0.3,
                "held": 1.3e-4 * (ages / ages[-1]) ** 0.3,
                "short_cut": 1.5e-4 * (ages / ages[-1]) ** 0.3,
                "other_strain": 1.4e-4 * (ages / ages[-1]) ** 0.3,
                "mean_shear": 2 * demand,
                "mean_peel": 0.1 * demand,
                "tension": STRENGTH * grown,
                "shear_strength": 2 * STRENGTH * grown,
                "demand": demand,
                "factor": STRENGTH * grown / demand,
                "other_criterion": 1.1 * STRENGTH * grown / demand,
                "other_model": 1.05 * STRENGTH * grown / demand,
                "other_support": 0.9 * STRENGTH * grown / demand,
            })
        )
    return pd.concat(frames, ignore_index=True)


def _patches(factor: float) -> pd.DataFrame:
    """The larger the patch, the less the factor beside it."""
    return pd.DataFrame([
        {
            "place": place,
            "size": size,
            "age": 3 * YEAR,
            "mean_shear": 1e6 * (1 + size),
            "mean_peel": 1e5 * (1 + size),
            "factor": factor / (1 + size),
            "sound": factor,
            "passes": "no",
            "opening": 1e-5 * size,
            "energy_age": 10 * YEAR,
            "energy_strain": 1.5e-4,
            "energy_held": 1.3e-4,
            "energy": np.nan if place == "under the wheels" else 17.0,
            "fracture_energy": 50.0,
            "growth": "does not grow",
            "trust": "inside the range of the elements",
        }
        for place in PLACES
        for size in (0.3, 0.6, 1.0)
    ])


def _map(name: str) -> pd.DataFrame:
    """Shear of 2 MPa in the corner that falls off by e for each metre."""
    along, across = (v.ravel() for v in np.meshgrid(np.linspace(0, 4.6, 41), np.linspace(0, 3.6, 41), indexing="ij"))
    shear = 2e6 * np.exp(-np.hypot(along, across))
    return pd.DataFrame({
        "section": name,
        "along": along,
        "across": across,
        "wheels": 0.1 * shear,
        "day": 0.2 * shear,
        "night": 0.3 * shear,
        "shrinkage": 0.4 * shear,
        "together": shear,
        "when": "night",
    })


def life_result(aashto: dict[str, float]) -> StageResult:
    """Of sections with AASHTO 1993's overlay thickness [m]; the last one finds no thickness."""
    frames = [_life(name, h, found=i < len(aashto) - 1) for i, (name, h) in enumerate(aashto.items())]
    return _result(
        "life", frames, (remark("{outside} of samples lie beyond the stress surface.", "A1", outside=("share", 0.03)),)
    )


def _life(name: str, aashto: float, *, found: bool) -> dict[str, pd.DataFrame]:
    """Years are 400 a metre of overlay at 50 %, and less by the reliability above it."""
    head = {"section": name, "overlay": aashto}
    thickness, reliability = np.meshgrid(np.linspace(0.05, 0.15, 9), [0.5, 0.75, 0.9, 0.95], indexing="ij")
    summary = {
        "section": name,
        "target": 20.0,
        "reliability": 0.95,
        "found": 20 / (400 * 0.55) if found else np.nan,
        "aashto": aashto,
        "overlay": aashto,
        "overlay_years": 400 * 0.55 * aashto,
        "overlay_curve_years": 400 * 0.1 * aashto,
        "median_years": 400 * aashto,
        "promised": "yes" if found else "no",
        "point": "edge, bottom of the old slab",
        "level": 0.1,
        "reflected": 0.02 if found and name not in CONTINUOUS else np.nan,
        "all_cracked": 0.118 if found and name not in CONTINUOUS else np.nan,
        "past_damage": 0.05,
        "surface_error": 0.02,
        "damage_error": 0.01,
        "outside": 0.003,
        "note": "" if found else "no thickness lives long enough",
    }
    inputs = ("k of the foundation", "old slab thickness", "traffic to come")
    return {
        "fatigue_lives": pd.DataFrame({
            "section": name,
            "overlay": thickness.ravel(),
            "reliability": reliability.ravel(),
            "years": (400 * thickness * (1.5 - reliability)).ravel(),
            "curve_years": (400 * thickness * (1.05 - reliability)).ravel(),
        }),
        "fatigue_thickness": pd.DataFrame([summary]),
        "fatigue_laws": pd.DataFrame({
            "law": LAWS,
            "basis": "field slabs",
            "chosen": ["yes", "", ""],
            "years": [24.0, 60.0, 3.5],
            "ratio": [1.0, 0.2, 9.0],
        }).assign(**head),
        "fatigue_sensitivities": pd.DataFrame({
            "input": inputs,
            "single": [0.35, 0.03, np.nan],
            "tests": [9.0, 4.0, np.nan],
            "variation": [0.35 / 3, 0.015, 0.3],
            "first_order": [0.5, 0.2, 0.1],
            "total": [0.6, 0.25, 0.12],
            "confidence": 0.03,
        }).assign(**head),
        "fatigue_damage": pd.DataFrame({
            "point": ["edge, bottom of the old slab", "joint, top of the overlay"],
            "per_truck": [1e-9, 2e-10],
            "per_year": [1e-3, 2e-4],
            "past": [0.05, 0.0],
            "governs": [0.9, 0.1],
            "stress_error": 0.02,
            "damage_error": 0.01,
        }).assign(**head),
        "fatigue_effects": pd.DataFrame({
            "change": pd.Series(
                [remark("as computed"), remark("slabs of {length}", length=("length", 6.1))], dtype=object
            ),
            "years": [24.0, 3.0],
            "ratio": [1.0, 0.125],
            "point": "joint, top of the overlay",
        }).assign(**head),
        "fatigue_past": pd.DataFrame([_past(name, found)]),
        "fatigue_cracking": pd.DataFrame({
            "year": [0.0, 10.0, 20.0, 40.0],
            "median": [0.0, 0.02, 0.05, 0.1],
            "low": [0.0, 0.01, 0.02, 0.05],
            "high": [0.0, 0.05, 0.1, 0.3],
        }).assign(**head),
        "fatigue_fits": pd.DataFrame({
            "law": "mechanistic analysis of cracking",
            "quantity": "length of slabs",
            "value": pd.Series([remark("{value}", value=("length", 6.1))], dtype=object),
            "low": pd.Series([remark("{value}", value=("length", 0.0))], dtype=object),
            "high": pd.Series([remark("{value}", value=("length", 5.0))], dtype=object),
            "inside": "no",
            "basis": "known roads",
            "section": name,
        }),
    }


def _past(name: str, agrees: bool) -> dict[str, object]:
    damage = {f"damage_{face}_{at}": 0.05 for face in ("bottom", "top") for at in ("middle", "quarter")}
    return {
        "section": name,
        "trucks": 2e6,
        **damage,
        "bottom_up": 0.01,
        "top_down": 0.03,
        "predicted": 0.04,
        "predicted_low": 0.0,
        "predicted_high": 0.2,
        "slabs": 180,
        "cracked": 5,
        "surveyed": 5 / 180,
        "surveyed_low": 0.009,
        "surveyed_high": 0.064,
        "factor": 0.8 if agrees else 0.1,
        "factor_low": 0.2,
        "factor_high": 3.0,
        "agrees": "yes" if agrees else "no",
        "used": "as published",
    }


def _result(stage: str, frames: list[dict[str, pd.DataFrame]], notes: tuple[Remark, ...]) -> StageResult:
    tables = {n: table(outcomes()[n], pd.concat([f[n] for f in frames], ignore_index=True)) for n in frames[0]}
    return StageResult(stage, tables, notes)


def save_field_results(project: Project) -> None:
    """Keep both as what the long stages found for the road as it is."""
    computation = Computation(project)
    designed = computation.result("design").tables["thicknesses"].dropna(subset=["overlay"])
    overlays = dict(zip(designed["section"], designed["overlay"], strict=True))
    project.save_result("bond", computation.key("bond"), bond_result(overlays))
    project.save_result("life", computation.key("life"), life_result(overlays))
