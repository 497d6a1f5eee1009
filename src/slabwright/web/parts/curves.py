"""Charts of results as plotly figures, each with the same numbers as a table for those who cannot see it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pandas as pd

from slabwright import units
from slabwright.records.remarks import reads
from slabwright.stages import outcomes
from slabwright.web.parts.chart import Chart
from slabwright.web.parts.html import element, text
from slabwright.web.parts.live import folded, piece
from slabwright.web.parts.tables import data_table
from slabwright.web.view import View

__all__ = [
    "INKS", "LINES", "chart", "fall_figure", "figure_of", "life_figure", "line_trace", "shown", "swing_figure", "traffic_figure",
    "unit_of",
]  # fmt: skip

INKS = {True: ("#e8edf1", "#46555f"), False: ("#16232e", "#b9c2c9")}
# Distinct in hue, lightness, dash and marker: no curve is told by its colour alone.
LINES = {
    False: (("#1f5f8b", "solid", "circle"), ("#b3541e", "dash", "square"), ("#1b7a4b", "dot", "diamond"), ("#6b3fa0", "dashdot", "cross")),
    True: (("#8ec7ee", "solid", "circle"), ("#f0a36d", "dash", "square"), ("#7fd3a6", "dot", "diamond"), ("#c9a6f2", "dashdot", "cross")),
}  # fmt: skip


def chart(
    view: View,
    title: str,
    table: str,
    read: Callable[[], pd.DataFrame],
    figure: Callable[[pd.DataFrame], dict[str, Any]],
) -> None:
    """A figure of some rows with its title, and its numbers folded below."""

    def draw(frame: pd.DataFrame) -> Callable[[pd.DataFrame], None]:
        with element("div", cls="panel"):
            text("h2", title)
            with element("div", cls="chart", role="img", aria_label=f"{title}; the numbers are in the table below"):
                drawn = Chart(figure(frame)).style("width: 100%; height: 100%")
            folded(view, "The numbers", lambda: piece(view, read, numbers))
        return lambda now: drawn.show(figure(now))

    def numbers(frame: pd.DataFrame) -> Callable[[pd.DataFrame], None]:
        return data_table(outcomes()[table], frame, view.system, caption=title)

    piece(view, read, draw)


def figure_of(traces: list[dict[str, Any]], x: str, y: str, dark: bool, **layout: Any) -> dict[str, Any]:
    ink, line = INKS[dark]
    axis = {"gridcolor": line, "linecolor": ink, "zerolinecolor": line, "automargin": True}
    return {
        "data": traces,
        "layout": {
            "xaxis": {**axis, "title": {"text": x}}, "yaxis": {**axis, "title": {"text": y}}, "font": {"color": ink, "size": 13},
            "paper_bgcolor": "rgba(0,0,0,0)", "plot_bgcolor": "rgba(0,0,0,0)", "margin": {"l": 60, "r": 15, "t": 15, "b": 50},
            "legend": {"orientation": "h", "y": 1.12}, **layout,
        },
        "config": {"displaylogo": False, "displayModeBar": False},
    }  # fmt: skip


def line_trace(name: str, x: np.ndarray, y: np.ndarray, style: tuple[str, str, str]) -> dict[str, Any]:
    colour, dash, symbol = style
    return {"type": "scatter", "mode": "lines+markers", "name": name, "x": x.tolist(), "y": y.tolist(),
            "line": {"color": colour, "dash": dash}, "marker": {"symbol": symbol, "size": 7, "color": colour}}  # fmt: skip


def life_figure(lives: pd.DataFrame, system: units.System, dark: bool) -> dict[str, Any]:
    """Years against overlay thickness, one curve for each reliability."""
    traces = [
        line_trace(
            f"{reliability:.0%}",
            shown(curve["overlay"], "thickness", system),
            curve["years"].to_numpy(),
            LINES[dark][i % 4],
        )
        for i, (reliability, curve) in enumerate(lives.groupby("reliability"))
    ]
    return figure_of(traces, f"overlay [{unit_of('thickness', system)}]", "years", dark)


def fall_figure(changes: pd.DataFrame, system: units.System, dark: bool) -> dict[str, Any]:
    """Fall of deflection against thickness, with the band that practice reports (common practice, no source)."""
    x = shown(changes["overlay"], "thickness", system)
    names = {
        "interior": "interior, bonded",
        "edge": "edge, bonded",
        "corner": "corner, bonded",
        "unbonded_fall": "interior, unbonded",
    }
    traces = [line_trace(n, x, 100 * changes[c].to_numpy(), LINES[dark][i]) for i, (c, n) in enumerate(names.items())]
    band = {
        "type": "rect",
        "xref": "paper",
        "x0": 0,
        "x1": 1,
        "y0": 30,
        "y1": 50,
        "line": {"width": 0},
        "fillcolor": LINES[dark][0][0],
        "opacity": 0.12,
    }
    words = {
        "xref": "paper",
        "x": 1,
        "y": 50,
        "yanchor": "bottom",
        "xanchor": "right",
        "showarrow": False,
        "text": "reported by practice, no source",
    }
    return figure_of(
        traces,
        f"overlay [{unit_of('thickness', system)}]",
        "deflection falls by [%]",
        dark,
        shapes=[band],
        annotations=[words],
    )


def swing_figure(swings: pd.DataFrame, system: units.System, dark: bool) -> dict[str, Any]:
    """Required overlay at both ends of each input's range, the widest on top."""
    ordered = swings.iloc[::-1]
    low, high = (shown(ordered[c], "thickness", system) for c in ("at_low", "at_high"))
    names = ordered["input"].tolist()
    ends = [reads(c, system) for c in ordered["low"]], low, [reads(c, system) for c in ordered["high"]], high
    bars = [
        {"type": "bar", "orientation": "h", "y": names, "base": np.minimum(low, high).tolist(), "x": np.abs(high - low).tolist(),
         "marker": {"color": LINES[dark][0][0], "pattern": {"shape": "/"}},
         "hovertext": [f"{a}: {x:.2f}; {b}: {y:.2f}" for a, x, b, y in zip(*ends, strict=True)], "hoverinfo": "text"}
    ]  # fmt: skip
    return figure_of(bars, f"bonded overlay required [{unit_of('thickness', system)}]", "", dark, showlegend=False)


def traffic_figure(traffic: pd.DataFrame, dark: bool) -> dict[str, Any]:
    """Equivalent axles in the design lane since construction, counted years marked."""
    years, total = traffic["year"].astype(float).to_numpy(), traffic["accumulated"].to_numpy() / 1e6
    past = ~traffic["basis"].eq("projected").to_numpy()
    traces = [
        line_trace("to date", years[past], total[past], LINES[dark][0]),
        line_trace("projected", years[~past], total[~past], LINES[dark][1]),
    ]
    return figure_of(traces, "year", "equivalent axles since construction [million]", dark)


def unit_of(kind: str, system: units.System) -> str:
    return units.label(units.unit_of(kind, system))


def shown(values: pd.Series, kind: str, system: units.System) -> np.ndarray:
    return np.round(np.asarray(units.convert(values.to_numpy(dtype=float), kind, system)), 4)
