"""The lives of all sections as tables of results."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
import pandas as pd

from slabwright.life.reliability import INPUTS
from slabwright.life.section_life import SectionLife
from slabwright.life.stage import STAGE
from slabwright.records.decisions.life import LAW_BASIS
from slabwright.records.table import empty, table
from slabwright.terms import LONGEST_LIFE

__all__ = ["life_tables"]

# Inputs that have a spread of their own; the errors of the surfaces have theirs from the fits.
ERRORS = ("stress_error", "damage_error")


def life_tables(found: Sequence[SectionLife]) -> dict[str, pd.DataFrame]:
    """``fatigue_lives``, ``fatigue_thickness``, ``fatigue_laws``, ``fatigue_sensitivities`` and ``fatigue_damage``."""
    makers = {
        "fatigue_lives": _lives,
        "fatigue_thickness": _thickness,
        "fatigue_laws": _laws,
        "fatigue_sensitivities": _sensitivities,
        "fatigue_damage": _damage,
    }
    return {name: _table(name, map(make, found)) for name, make in makers.items()}


def _table(name: str, frames: Iterable[pd.DataFrame]) -> pd.DataFrame:
    made = list(frames)
    schema = STAGE.outcome(name)
    return table(schema, pd.concat(made, ignore_index=True)) if made else empty(schema)


def _shown(years: np.ndarray | float) -> np.ndarray:
    return np.minimum(years, LONGEST_LIFE)


def _lives(life: SectionLife) -> pd.DataFrame:
    overlay, reliability = np.meshgrid(life.overlays, life.reliabilities, indexing="ij")
    return pd.DataFrame({
        "section": life.state.name,
        "overlay": overlay.ravel(),
        "reliability": reliability.ravel(),
        "years": _shown(life.years).ravel(),
    })


def _thickness(life: SectionLife) -> pd.DataFrame:
    detail, model = life.detail, life.model
    governs = int(np.bincount(detail.point, minlength=len(model.grid.points)).argmax())
    return pd.DataFrame([
        {
            "section": life.state.name,
            "target": life.target,
            "reliability": life.reliability,
            "found": life.found,
            "aashto": life.state.aashto,
            "aashto_years": float(_shown(life.overlay_years)),
            "median_years": float(_shown(np.median(detail.years))),
            "point": model.grid.points[governs].name,
            "limit": model.limit,
            "past_damage": float(np.median(detail.past.max(axis=1))),
            "surface_error": model.stress_error[governs],
            "damage_error": model.damage.error[governs],
            "outside": life.outside,
            "note": life.remark,
        }
    ])


def _laws(life: SectionLife) -> pd.DataFrame:
    return pd.DataFrame({
        "section": life.state.name,
        "overlay": life.overlay,
        "law": [law.law for law in life.laws],
        "basis": [LAW_BASIS[law.law] for law in life.laws],
        "chosen": ["yes" if law.law == life.law else "" for law in life.laws],
        "years": _shown(np.array([law.years for law in life.laws])),
        "ratio": [law.ratio for law in life.laws],
    })


def _sensitivities(life: SectionLife) -> pd.DataFrame:
    shares = life.sensitivities
    frame = pd.DataFrame({
        "section": life.state.name,
        "overlay": life.overlay,
        "input": list(INPUTS.values()),
        "variation": [np.nan if name in ERRORS else life.model.inputs[name].variation for name in INPUTS],
        "first_order": shares.first_order,
        "total": shares.total,
        "confidence": shares.confidence,
    })
    return frame.sort_values("total", ascending=False, kind="stable")


def _damage(life: SectionLife) -> pd.DataFrame:
    detail, model = life.detail, life.model
    points = model.grid.points
    per_truck = np.median(detail.per_truck, axis=0)
    return pd.DataFrame({
        "section": life.state.name,
        "overlay": life.overlay,
        "point": [p.name for p in points],
        "per_truck": per_truck,
        "per_year": per_truck * model.trucks.first_year,
        "past": np.median(detail.past, axis=0),
        "governs": np.bincount(detail.point, minlength=len(points)) / len(detail.point),
        "stress_error": model.stress_error,
        "damage_error": model.damage.error,
    })
