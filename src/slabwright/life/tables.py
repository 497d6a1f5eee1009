"""The lives of all sections as tables of results."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

import numpy as np
import pandas as pd

from slabwright.calculation import UNCONFIRMED
from slabwright.life.effects import Effect
from slabwright.life.reliability import INPUTS
from slabwright.life.section_life import LONGEST_SLAB, SHOWN_YEARS, SectionLife
from slabwright.life.stage import STAGE
from slabwright.materials.fatigue import FATIGUE_LAWS
from slabwright.plate.stresses import Point
from slabwright.records.decisions.life import FATIGUE_WORDS, LAW_BASIS
from slabwright.records.fits import Among, Fit, fits_table
from slabwright.records.table import empty, table
from slabwright.terms import LONGEST_LIFE
from slabwright.units import INCH

__all__ = ["governing_point", "life_tables"]

KNOWN = (
    "new plain slabs, which it gives half to one and a third of the 1993 equation's axles, and the federal record of cracked"
    " slabs, examples new_slabs and federal_overlays; the new slabs with one E, one dynamic k and dowelled joints, assumed"
)
ANALYSIS = "mechanistic analysis of cracking"
THICKNESS = Fit(ANALYSIS, "slab and overlay", "thickness", 7 * INCH, 12 * INCH, KNOWN)
KIND = Among(
    ANALYSIS,
    "kind of pavement",
    "JPCP",
    "jointed plain concrete, as the published curve of cracked slabs: of other kinds nothing is computed, and the 1993 equation"
    " speaks alone",
)
LENGTH = Fit(ANALYSIS, "length of slabs", "length", 0.0, LONGEST_SLAB, KNOWN)
# Errors of the surfaces have their spread from the fits, the multiplier from the section's past.
UNSPREAD = ("multiplier", "stress_error", "damage_error")


def life_tables(
    found: Sequence[SectionLife], effects: Sequence[Sequence[Effect]] = (), others: Mapping[str, str] | None = None
) -> dict[str, pd.DataFrame]:
    """``fatigue_lives``, ``fatigue_thickness``, ``fatigue_laws``, ``fatigue_sensitivities``, ``fatigue_damage``, ``fatigue_past``, ``fatigue_cracking``, ``fatigue_fits`` and, of the sections' ``effects``, ``fatigue_effects``.

    ``others``: kind of pavement of the sections of which no fatigue life is computed.
    """
    makers = {
        "fatigue_lives": _lives,
        "fatigue_thickness": _thickness,
        "fatigue_laws": _laws,
        "fatigue_sensitivities": _sensitivities,
        "fatigue_damage": _damage,
        "fatigue_past": _past,
        "fatigue_cracking": _cracking,
    }
    made = {name: _table(name, map(make, found)) for name, make in makers.items()}
    made["fatigue_effects"] = _table("fatigue_effects", map(_effects, found, effects))
    return {**made, "fatigue_fits": _fits(found, others or {})}


def _table(name: str, frames: Iterable[pd.DataFrame]) -> pd.DataFrame:
    made = list(frames)
    schema = STAGE.outcome(name)
    return table(schema, pd.concat(made, ignore_index=True)) if made else empty(schema)


def _fits(found: Sequence[SectionLife], others: Mapping[str, str]) -> pd.DataFrame:
    """Whether each section lies where the analysis agrees with known roads; ``others``: kind of those it leaves out."""
    thickness, length = (
        np.array(values)
        for values in ([life.state.slab + life.overlay for life in found], [life.state.length for life in found])
    )
    schema, names = STAGE.outcome("fatigue_fits"), [life.state.name for life in found]
    known = fits_table(schema, names, [(KIND, ["JPCP"] * len(names)), (THICKNESS, thickness), (LENGTH, length)])
    left = fits_table(schema, list(others), [(KIND, list(others.values()))])
    return table(schema, pd.concat([frame for frame in (known, left) if len(frame)] or [known], ignore_index=True))


def _shown(years: np.ndarray | float) -> np.ndarray:
    return np.minimum(years, LONGEST_LIFE)


def _lives(life: SectionLife) -> pd.DataFrame:
    overlay, reliability = np.meshgrid(life.overlays, life.reliabilities, indexing="ij")
    return pd.DataFrame({
        "section": life.state.name,
        "overlay": overlay.ravel(),
        "reliability": reliability.ravel(),
        "years": _shown(life.years).ravel(),
        "curve_years": _shown(life.curve_years).ravel(),
    })


def _thickness(life: SectionLife) -> pd.DataFrame:
    detail, model = life.detail, life.model
    point = governing_point(life)
    return pd.DataFrame([
        {
            "section": life.state.name,
            "target": life.target,
            "reliability": life.reliability,
            "found": life.found,
            "aashto": life.state.aashto,
            "overlay": life.overlay,
            "overlay_years": float(_shown(life.overlay_years)),
            "overlay_curve_years": float(_shown(life.overlay_curve_years)),
            "median_years": float(_shown(detail.quantiles([0.5])[0])),
            "promised": life.promised,
            "point": model.grid.points[point].name,
            "level": model.level,
            "reflected": life.state.reflected,
            "all_cracked": life.state.reflected + (1 - life.state.reflected) * model.level,
            "past_damage": float(detail.median(detail.past.max(axis=1))),
            "surface_error": model.stress_error[point],
            "damage_error": model.damage.error[point],
            "outside": life.outside,
            "note": life.remark,
        }
    ])


def _cracking(life: SectionLife) -> pd.DataFrame:
    median, low, high = life.cracking.T
    return pd.DataFrame({
        "section": life.state.name,
        "overlay": life.overlay,
        "year": SHOWN_YEARS,
        "median": median,
        "low": low,
        "high": high,
    })


def governing_point(life: SectionLife) -> int:
    """The point of the cause that has the greatest part in the cracking, over all samples."""
    detail, causes = life.detail, life.model.causes
    cause = int((detail.weight @ detail.part).argmax())
    return causes.place(cause, detail.median(detail.per_truck))


def _past(life: SectionLife) -> pd.DataFrame:
    past, points, found = life.past, life.model.past.grid.points if life.model.past else (), life.past.surveyed
    low, high = found.interval() if found else (np.nan, np.nan)
    damage = {f"damage_{_short(p)}": d for p, d in zip(points, past.damage, strict=True)}
    return pd.DataFrame([
        {
            "section": life.state.name,
            "trucks": sum(trucks for _, trucks in life.state.past),
            **damage,
            "bottom_up": past.bottom_up,
            "top_down": past.top_down,
            "predicted": past.predicted,
            "predicted_low": past.low,
            "predicted_high": past.high,
            "slabs": found.slabs if found else np.nan,
            "cracked": found.cracked if found else np.nan,
            "surveyed": found.share if found else np.nan,
            "surveyed_low": low,
            "surveyed_high": high,
            "factor": past.factor,
            "factor_low": past.factor_low,
            "factor_high": past.factor_high,
            "agrees": past.standing,
            "used": "calibrated" if life.model.calibration else "as published",
        }
    ])


def _short(point: Point) -> str:
    return f"{'bottom' if point.face % 2 else 'top'}_{'middle' if point.along == 0.5 else 'quarter'}"


def _laws(life: SectionLife) -> pd.DataFrame:
    return pd.DataFrame({
        "section": life.state.name,
        "overlay": life.overlay,
        "law": [law.law for law in life.laws],
        "basis": [LAW_BASIS[law.law] + _unconfirmed(law.law) for law in life.laws],
        "chosen": ["yes" if law.law == life.law else "" for law in life.laws],
        "years": _shown(np.array([law.years for law in life.laws])),
        "ratio": [law.ratio for law in life.laws],
    })


def _unconfirmed(law: str) -> str:
    known = FATIGUE_LAWS[FATIGUE_WORDS[law]].known
    return f"; {known}" if known == UNCONFIRMED else ""


def _sensitivities(life: SectionLife) -> pd.DataFrame:
    shares = life.sensitivities
    frame = pd.DataFrame({
        "section": life.state.name,
        "overlay": life.overlay,
        "input": list(INPUTS.values()),
        "single": [life.model.inputs[name].single for name in INPUTS],
        "tests": [life.model.inputs[name].tests for name in INPUTS],
        "variation": [np.nan if name in UNSPREAD else life.model.inputs[name].variation for name in INPUTS],
        "first_order": shares.first_order,
        "total": shares.total,
        "confidence": shares.confidence,
    })
    return frame.sort_values("total", ascending=False, kind="stable")


def _damage(life: SectionLife) -> pd.DataFrame:
    detail, model = life.detail, life.model
    points, causes = model.grid.points, model.causes
    per_truck = detail.median(detail.per_truck)
    part, past = detail.weight @ detail.part, detail.median(detail.past)
    share, so_far = np.zeros(len(points)), np.zeros(len(points))
    for cause, members in enumerate(causes.members):
        share[causes.place(cause, per_truck)] = part[cause]
        so_far[list(members)] = past[cause]
    return pd.DataFrame({
        "section": life.state.name,
        "overlay": life.overlay,
        "point": [p.name for p in points],
        "per_truck": per_truck,
        "per_year": per_truck * model.trucks.first_year,
        "past": so_far,
        "governs": share,
        "stress_error": model.stress_error,
        "damage_error": model.damage.error,
    })


def _effects(life: SectionLife, effects: Sequence[Effect]) -> pd.DataFrame:
    return pd.DataFrame({
        "section": life.state.name,
        "overlay": life.overlay,
        "change": pd.Series([e.change for e in effects], dtype=object),
        "years": _shown(np.array([e.years for e in effects])),
        "ratio": [e.ratio for e in effects],
        "point": [e.place for e in effects],
    })
