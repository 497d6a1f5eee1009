"""Curves of the design stage: life and deflection reduction against thickness, and what the thickness depends on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

import numpy as np

from slabwright.figures.looks import group
from slabwright.figures.record import Axis, Band, Bars, Figure, Line, Rule
from slabwright.figures.shown import short_name
from slabwright.records.decisions import Decisions
from slabwright.records.remarks import reads
from slabwright.records.results import StageResult
from slabwright.terms import LONGEST_LIFE
from slabwright.units import System

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["deflection_reductions", "life_curves", "lives", "longest", "of_section", "swings", "years_axis"]

PRACTICE_BAND = (0.30, 0.50)  # reported by practice (common practice, no source)
GREATEST_REDUCTION = 0.8
PLACES = {
    "interior": "interior, bonded",
    "edge": "edge, bonded",
    "corner": "corner, bonded",
    "unbonded_reduction": "interior, unbonded",
}


def of_section(results: Mapping[str, StageResult], stage: str, table: str, section: str) -> pd.DataFrame:
    """The rows of a result table that are about a section."""
    frame = results[stage].tables[table]
    return frame[frame["section"] == section]


def lives(
    results: Mapping[str, StageResult],
    decisions: Decisions,
    section: str,
    beside: Mapping[str, float] | None = None,
) -> Figure:
    """Years to terminal serviceability against overlay thickness at each reliability, with design period and present choice.

    ``beside`` are other thicknesses [m] to mark, by name: those of rival methods, or what stood before a change.
    """
    curves = of_section(results, "design", "lives", section)
    chosen = _chosen(results, section)
    target = decisions.traffic.design_period
    return Figure(
        f"Section {section}: life against overlay thickness",
        _thickness_axis(curves, chosen, *(beside or {}).values()),
        years_axis(),
        life_curves(curves),
        (
            *longest(curves["years"]),
            *_rule("overlay chosen", "found", chosen),
            *(mark for name, place in (beside or {}).items() for mark in _rule(name, "second", place)),
            Rule("design period", "target", "y", (target,)),
        ),
        subject=short_name(section, "section"),
        description=f"Years to terminal serviceability against overlay thickness for section {section}, a curve for each"
        " reliability. Lines mark the overlay chosen and the design period.",
    )


def life_curves(lives: pd.DataFrame) -> tuple[Line, ...]:
    """A curve of ``years`` against ``overlay`` for each ``reliability``."""
    return tuple(
        Line(
            f"reliability {level:.0%}",
            group(i),
            curve["overlay"].to_numpy(dtype=float),
            curve["years"].to_numpy(dtype=float),
        )
        for i, (level, curve) in enumerate(lives.groupby("reliability"))
    )


def years_axis() -> Axis:
    """Years up to the longest life that is shown."""
    return Axis("life", "years", (0.0, LONGEST_LIFE * 1.04))


def deflection_reductions(results: Mapping[str, StageResult], section: str) -> Figure:
    """Reduction of the deflection at the standard load against overlay thickness, with the band that practice reports."""
    changes = of_section(results, "design", "deflection_changes", section)
    overlay = changes["overlay"].to_numpy(dtype=float)
    return Figure(
        f"Section {section}: deflection reduction against overlay thickness",
        _thickness_axis(changes, _chosen(results, section)),
        Axis("deflection reduction", "share", (0.0, GREATEST_REDUCTION)),
        tuple(
            Line(name, group(i), overlay, changes[column].to_numpy(dtype=float))
            for i, (column, name) in enumerate(PLACES.items())
        ),
        (
            Band("common practice, no source", "shade", "y", *PRACTICE_BAND),
            *_rule("overlay chosen", "found", _chosen(results, section)),
        ),
        subject=short_name(section, "section"),
        description=f"Reduction of the deflection at the standard load against overlay thickness for section {section}: interior,"
        " edge and corner with the overlay bonded, and interior with it unbonded.",
    )


def ranges(rows: pd.DataFrame, shown: System) -> list[str]:
    """The two values that each row of ``sensitivities`` gives its input, in words."""
    return [f"{reads(low, shown)} to {reads(high, shown)}" for low, high in zip(rows["low"], rows["high"], strict=True)]


def swings(results: Mapping[str, StageResult], section: str, ranges: Sequence[str]) -> Figure:
    """The overlay required at both ends of each input's range, the widest on top.

    ``ranges`` are the two values of each input in words, in the order of the rows of the section.
    """
    rows = of_section(results, "design", "sensitivities", section)
    order = np.argsort(-rows["swing"].to_numpy(dtype=float), kind="stable")
    rows, words = rows.iloc[order], [ranges[i] for i in order]
    required = _number(of_section(results, "design", "thicknesses", section), "bonded")
    place = np.arange(len(rows), dtype=float)
    ends = {
        name: rows[column].to_numpy(dtype=float)
        for name, column in (("at the lower value", "at_low"), ("at the upper value", "at_high"))
    }
    reach = [v for v in (required, *np.concatenate([*ends.values()])) if np.isfinite(v)]
    spare = 0.04 * (max(reach) - min(reach)) if reach else 0.0
    return Figure(
        f"Section {section}: what the thickness depends on",
        Axis("bonded overlay required", "thickness", (min(reach) - spare, max(reach) + spare) if spare else None),
        Axis(
            "", "words", (-0.6, len(rows) - 0.4), tuple(place), tuple(rows["input"]), under=tuple(words), reversed=True
        ),
        tuple(
            Bars(name, group(i), place - 0.31, place + 0.31, np.full(len(place), required), end, "y")
            for i, (name, end) in enumerate(ends.items())
        ),
        _rule("required", "found", required),
        subject=short_name(section, "section"),
        description=f"The bonded overlay required for section {section} when one input at a time takes its lower and its upper"
        " value, the input that moves it most on top.",
    )


def longest(years: pd.Series) -> tuple[Rule, ...]:
    """A name for the flat tops of curves that reach the longest life that is computed."""
    if not (years >= LONGEST_LIFE - 0.05).any():
        return ()
    return (Rule(f"{LONGEST_LIFE:.0f} years or more", "boundary", "y", (LONGEST_LIFE,)),)


def _thickness_axis(frame: pd.DataFrame, *marked: float) -> Axis:
    """Over the curves and every thickness that is marked."""
    overlay = np.array([*frame["overlay"].to_numpy(dtype=float), *(m for m in marked if np.isfinite(m))])
    low, high = float(np.min(overlay, initial=np.inf)), float(np.max(overlay, initial=-np.inf))
    spare = 0.04 * (high - low)
    return Axis("overlay", "thickness", (low - spare, high + spare) if spare > 0 else None)


def _number(frame: pd.DataFrame, column: str) -> float:
    """The value of a column in the first row, NaN without rows."""
    return float(frame[column].iloc[0]) if len(frame) else float("nan")


def _chosen(results: Mapping[str, StageResult], section: str) -> float:
    return _number(of_section(results, "design", "thicknesses", section), "overlay")


def _rule(name: str, role: str, place: float) -> tuple[Rule, ...]:
    """A line at a thickness, none where there is no thickness."""
    return (Rule(name, role, "x", (place,)),) if np.isfinite(place) else ()
