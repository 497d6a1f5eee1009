"""Curves: cumulative differences, traffic, life and deflection against thickness, and what the thickness depends on."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import numpy as np

from slabwright import units
from slabwright.design.run import LONGEST_LIFE
from slabwright.report.figures import (
    BLUE,
    BRICK,
    INK,
    LINES,
    OCHRE,
    PALE,
    SOFT,
    margins,
    station_axis,
    svg,
    titled,
    unit,
)
from slabwright.report.given import Report
from slabwright.report.text import short_name

if TYPE_CHECKING:
    import pandas as pd
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

__all__ = [
    "cumulative_differences",
    "deflection_falls",
    "lives",
    "sections_in_pages",
    "small_curves",
    "tornadoes",
    "traffic",
]

PRACTICE_BAND = (30.0, 50.0)  # per cent: reported by practice (common practice, no source)
IN_A_PAGE = 12  # small curves on one page
ACROSS = 3


def cumulative_differences(report: Report) -> str:
    """For each direction the cumulative difference of deflection, with the borders that each method finds."""
    directions = report.directions

    def draw(figure: Figure) -> None:
        axes = figure.subplots(len(directions), 1, squeeze=False)[:, 0]
        for panel, direction in zip(axes, directions, strict=True):
            _difference(panel, report, direction)
        axes[-1].set_xlabel("station")
        handles, labels = axes[0].get_legend_handles_labels()
        figure.legend(handles, labels, loc="upper center", ncols=3, borderpad=0.2)
        margins(figure, top=0.5, between=0.5)

    return svg(draw, 2.2 * len(directions) + 0.2)


def _difference(axes: Axes, report: Report, direction: str) -> None:
    frames = [report.table("survey", name) for name in ("differences", "borders", "sections")]
    curve, borders, sections = (f[f["direction"] == direction] for f in frames)
    along = units.FOOT if report.system == "us" else 1.0
    shown = units.convert(curve["difference"].to_numpy(dtype=float) / along, "deflection", report.system)
    axes.plot(curve["station"], shown, "-o", color=BLUE, markersize=2.2)
    low, high = axes.get_ylim()
    axes.set_ylim(low, high + 0.28 * (high - low))
    marks = (("cumulative difference", "v", OCHRE, 0.97), ("optimal change points", "D", BRICK, 0.89))
    for method, marker, color, height in marks:
        found = borders.loc[(borders["method"] == method) & (borders["used"] != "yes"), "station"]
        axes.plot(
            found, np.full(len(found), height), marker, color=color, markersize=5, transform=axes.get_xaxis_transform(),
            label=f"border by {method}",
        )  # fmt: skip
    used = borders.loc[borders["used"] == "yes", "station"]
    for i, station in enumerate(used):
        axes.axvline(station, color=INK, linewidth=0.9, label="border used" if i == 0 else None)
    station_axis(axes, (float(sections["begin"].min()), float(sections["end"].max())), report.system)
    product = "mil·ft" if report.system == "us" else "µm·m"
    way = direction.capitalize() if direction in ("with stationing", "against stationing") else "Cumulative difference"
    titled(axes, f"{way} [{product}]")


def traffic(report: Report) -> str:
    """Equivalent axles in the design lane: each year and accumulated, past and to come."""
    return svg(lambda figure: _traffic(figure, report), 2.5)


def _traffic(figure: Figure, report: Report) -> None:
    frame = report.table("evaluation", "traffic")
    years = frame["year"].astype(float).to_numpy()
    base = report.decisions.traffic.base_year
    each, total = figure.subplots(1, 2)
    past = years < base
    for here, look, label in ((past, LINES[0], "to date"), (~past, LINES[1], "to come")):
        values = frame["axles"].to_numpy(dtype=float)[here] / 1e6
        each.bar(
            years[here], values, 0.8, facecolor="#dbe8f1" if label == "to date" else "#f1dfb4", edgecolor=look.color,
            hatch="" if label == "to date" else "////", linewidth=0.4, label=label,
        )  # fmt: skip
    total.plot(years, frame["accumulated"].to_numpy(dtype=float) / 1e6, color=BLUE)
    total.axvline(base, color=INK, linewidth=0.8, linestyle=(0, (5, 2)))
    total.annotate(
        f"overlay {base:.0f} ", (base, 0.96), xycoords=("data", "axes fraction"), ha="right", va="top", fontsize=7.5
    )
    end = base + report.decisions.traffic.design_period
    total.axvspan(base, end, facecolor="#f1dfb4", alpha=0.6, linewidth=0)
    for axes in (each, total):
        axes.set_ylim(bottom=0)
        axes.set_xlabel("year")
    each.legend(loc="upper left", borderpad=0)
    margins(figure, left=0.4)
    titled(each, "Equivalent axles in the year, design lane [million]")
    titled(total, "Accumulated; design period shaded [million]")


def sections_in_pages(names: list[str]) -> list[list[str]]:
    """The names of designed sections in lots that one drawing can hold."""
    return [names[i : i + IN_A_PAGE] for i in range(0, len(names), IN_A_PAGE)]


def lives(report: Report, names: list[str]) -> str:
    """Years against thickness at each reliability, one small drawing for a section."""
    return small_curves(report, names, _life)


def deflection_falls(report: Report, names: list[str]) -> str:
    """Fall of the deflection against thickness, one small drawing for a section."""
    return small_curves(report, names, _fall)


def small_curves(report: Report, names: list[str], draw_one: Callable[[Axes, Report, str], None]) -> str:
    rows = -(-len(names) // ACROSS)

    def draw(figure: Figure) -> None:
        axes = figure.subplots(rows, ACROSS, sharex=True, sharey=True, squeeze=False)
        for i, name in enumerate(names):
            draw_one(axes.flat[i], report, name)
            axes.flat[i].tick_params(labelbottom=True)
        for empty in axes.flat[len(names) :]:
            empty.set_visible(False)
        handles, labels = axes.flat[0].get_legend_handles_labels()
        figure.legend(handles, labels, loc="upper center", ncols=5, borderpad=0.2)
        margins(figure, left=0.35, top=0.5, bottom=0.25, between=0.45, beside=0.25)

    return svg(draw, 1.6 * rows + 0.5)


def _here(report: Report, name: str, table: str) -> pd.DataFrame:
    frame = report.table("design", table)
    return frame[frame["section"] == name]


def _chosen(report: Report, name: str) -> float:
    return float(units.convert(_here(report, name, "thicknesses")["overlay"].iloc[0], "thickness", report.system))


def _shown(values: Any, kind: str, report: Report) -> Any:
    return units.convert(np.asarray(values, dtype=float), kind, report.system)


def _life(axes: Axes, report: Report, name: str) -> None:
    curves = _here(report, name, "lives")
    for look, (level, curve) in zip(LINES, curves.groupby("reliability"), strict=False):
        axes.plot(
            _shown(curve["overlay"], "thickness", report), curve["years"], color=look.color, linestyle=look.linestyle,
            marker=look.marker, label=f"reliability {level:.0%}",
        )  # fmt: skip
    axes.axvline(_chosen(report, name), color=INK, linewidth=0.9, label="overlay chosen")
    axes.axhline(report.decisions.traffic.design_period, color=SOFT, linewidth=0.8, linestyle=(0, (5, 2)))
    axes.set_ylim(0, LONGEST_LIFE * 1.04)
    titled(axes, f"{short_name(name, 'section')}: years on thickness{unit('thickness', report.system)}")


def _fall(axes: Axes, report: Report, name: str) -> None:
    curves = _here(report, name, "deflection_changes")
    axes.axhspan(*PRACTICE_BAND, facecolor=PALE, alpha=0.55, linewidth=0, label="practice, 30 to 50 %")
    places = (
        ("interior", "interior, bonded"),
        ("edge", "edge, bonded"),
        ("corner", "corner, bonded"),
        ("unbonded_fall", "interior, unbonded"),
    )
    for look, (column, label) in zip(LINES, places, strict=False):
        axes.plot(
            _shown(curves["overlay"], "thickness", report), curves[column] * 100, color=look.color, linestyle=look.linestyle,
            marker=look.marker, markersize=2.6, label=label,
        )  # fmt: skip
    axes.axvline(_chosen(report, name), color=INK, linewidth=0.9)
    axes.set_ylim(0, 80)
    titled(axes, f"{short_name(name, 'section')}: fall [%] on thickness{unit('thickness', report.system)}")


def tornadoes(report: Report, names: list[str]) -> str:
    """How the required thickness moves with each input, widest first, for one section of each direction."""

    def draw(figure: Figure) -> None:
        axes = figure.subplots(1, len(names), squeeze=False)[0]
        for panel, name in zip(axes, names, strict=True):
            _tornado(panel, report, name)
        margins(figure, left=1.75, beside=1.85, bottom=0.45)

    return svg(draw, 2.9)


def _tornado(axes: Axes, report: Report, name: str) -> None:
    swings = _here(report, name, "sensitivities").sort_values("swing", ascending=False, kind="stable")
    required = float(_shown(_here(report, name, "thicknesses")["bonded"], "thickness", report)[0])
    low, high = (_shown(swings[c], "thickness", report) for c in ("at_low", "at_high"))
    places = np.arange(len(swings))
    axes.barh(
        places,
        low - required,
        0.62,
        required,
        facecolor="#dbe8f1",
        edgecolor=BLUE,
        linewidth=0.6,
        label="at the lower value",
    )
    axes.barh(
        places, high - required, 0.62, required, facecolor="#f1dfb4", edgecolor=OCHRE, hatch="////", linewidth=0.6,
        label="at the upper value",
    )  # fmt: skip
    axes.axvline(required, color=INK, linewidth=0.9)
    axes.set_yticks(places, swings["input"], fontsize=6.8, va="bottom")
    edge = axes.get_yaxis_transform()
    for place, s in zip(places, swings.itertuples(index=False), strict=True):
        words = f"{report.said(s.low)} to {report.said(s.high)}"
        axes.text(-0.035, place + 0.04, words, ha="right", va="top", fontsize=6, color=SOFT, transform=edge)
    axes.invert_yaxis()
    titled(axes, f"{short_name(name, 'section')}: overlay required{unit('thickness', report.system)}")
    axes.legend(loc="upper center", bbox_to_anchor=(0.3, -0.08), ncols=2, fontsize=6.8, borderpad=0)
