"""Loading by year: equivalent axles in the design lane in each year, and accumulated."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from slabwright.figures.looks import group
from slabwright.figures.record import Axis, Band, Bars, Figure, Line, Rule
from slabwright.records.decisions import Decisions
from slabwright.records.results import StageResult

__all__ = ["accumulated_axles", "axles_by_year"]

PARTS = ("to date", "to come")


def axles_by_year(results: Mapping[str, StageResult], decisions: Decisions) -> Figure:
    """Equivalent axles in each year, to date and to come."""
    years, axles, past = _columns(results, decisions, "axles")
    return Figure(
        "Equivalent axles in each year, design lane",
        _years(years),
        Axis("equivalent axles in the year", "million_axles", _range(axles)),
        tuple(
            Bars(name, group(i), years[here] - 0.4, years[here] + 0.4, np.zeros(int(here.sum())), axles[here])
            for i, (name, here) in enumerate(zip(PARTS, (past, ~past), strict=True))
            if here.any()
        ),
        subject="design lane",
        description="Equivalent axles in the design lane in each year, to date and to come.",
    )


def accumulated_axles(results: Mapping[str, StageResult], decisions: Decisions) -> Figure:
    """Equivalent axles since construction; the year of the overlay and the design period are marked."""
    years, axles, past = _columns(results, decisions, "accumulated")
    base = float(decisions.traffic.base_year)
    return Figure(
        "Equivalent axles since construction, design lane",
        _years(years),
        Axis("equivalent axles since construction", "million_axles", _range(axles)),
        tuple(
            Line(name, group(i), years[here], axles[here])
            for i, (name, here) in enumerate(zip(PARTS, (past, ~past), strict=True))
            if here.any()
        ),
        (
            Band("design period", "shade", "x", base, base + decisions.traffic.design_period),
            Rule(f"overlay {base:.0f}", "target", "x", (base,)),
        ),
        subject="design lane",
        description=f"Equivalent axles in the design lane added up since construction. The overlay is laid in {base:.0f}; the"
        " design period after it is shaded.",
    )


def _columns(
    results: Mapping[str, StageResult], decisions: Decisions, column: str
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Years, values of a column, and which years lie before the overlay; each (n,)."""
    frame = results["evaluation"].tables["traffic"]
    years = frame["year"].astype(float).to_numpy()
    return years, frame[column].to_numpy(dtype=float), years < decisions.traffic.base_year


def _years(years: np.ndarray) -> Axis:
    return Axis("year", "calendar_year", (float(years.min()) - 1, float(years.max()) + 1) if len(years) else None)


def _range(values: np.ndarray) -> tuple[float, float]:
    return 0.0, 1.06 * float(np.nanmax(values, initial=1.0))
