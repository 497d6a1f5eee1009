"""The road strip: one drawing for a direction, stations along, lanes across, and a panel for each layer beneath."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from slabwright import units
from slabwright.report.figures import (
    BLUE,
    BRICK,
    INK,
    OCHRE,
    SOFT,
    TEAL,
    VERDICTS,
    margins,
    spread,
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

__all__ = ["bridge_keys", "lane_keys", "ramp_keys", "road_strip"]

HEIGHT = 8.15  # inches
BIN = {"us": 500 * units.FOOT, "metric": 150.0}
HEIGHTS = (1.9, 1.15, 1.0, 1.0, 1.0, 0.85, 1.0, 1.15, 0.95)
SEVERITIES = (("low", "#d5dde4", ""), ("moderate", "#8fa9bf", "///"), ("high", BLUE, ""), ("none", "#ffffff", "..."))
MARKERS = {
    "full depth": ("s", BRICK), "partial depth": ("D", OCHRE), "crack routed and filled": ("|", INK),
    "slab stabilised": ("v", TEAL), "load transfer restored": ("|", BLUE),
}  # fmt: skip


def bridge_keys(report: Report) -> dict[int, str]:
    """B1, B2 ... for the bridges in the order of the road, by row."""
    order = report.road.bridges.sort_values("begin", kind="stable").index
    return {int(row): f"B{i + 1}" for i, row in enumerate(order)}


def ramp_keys(report: Report, direction: str) -> dict[int, str]:
    """a, b ... for the ramps of a direction, by row."""
    ramps = report.road.ramps
    here = ramps[ramps["lane"].isin(report.lanes_of(direction)["lane"])].sort_values("station", kind="stable")
    return {int(row): chr(97 + i) if i < 26 else f"a{i}" for i, row in enumerate(here.index)}


def lane_keys(report: Report, direction: str) -> dict[str, str]:
    """The name of each lane as the drawing shows it: itself when short and plain, else its place from the median."""
    names = report.lanes_of(direction)["lane"]
    return {name: short_name(name, f"lane {i + 1}") for i, name in enumerate(names)}


def road_strip(report: Report, direction: str) -> str:
    """The strip drawing of one direction as SVG."""
    return svg(lambda figure: _draw(figure, report, direction), HEIGHT)


def _draw(figure: Figure, report: Report, direction: str) -> None:
    axes = figure.subplots(len(HEIGHTS), 1, sharex=True, height_ratios=HEIGHTS)
    sections = _of(report, "evaluation", "condition", direction)
    limits = (float(sections["begin"].min()), float(sections["end"].max()))
    lanes = list(report.lanes_of(direction)["lane"])
    panels = (_plan, _deflection, _foundation, _modulus, _transfer, _voids, _distress, _repairs, _overlay)
    for panel, draw in zip(axes, panels, strict=True):
        draw(panel, report, sections, lanes)
        for border in sections["begin"].iloc[1:]:
            panel.axvline(border, color=SOFT, linewidth=0.5, linestyle=(0, (2, 2)), zorder=0.5)
        panel.tick_params(length=2)
    station_axis(axes[-1], limits, report.system)
    axes[-1].set_xlabel("station")
    margins(figure, left=1.35, top=0.3, between=0.24)


def _of(report: Report, stage: str, name: str, direction: str) -> pd.DataFrame:
    frame = report.table(stage, name)
    return frame[frame["direction"] == direction]


def _plan(axes: Axes, report: Report, sections: pd.DataFrame, lanes: list[str]) -> None:
    direction = str(sections["direction"].iloc[0])
    rows = max(len(lanes), 1)
    keys, verdicts = lane_keys(report, direction), _of(report, "evaluation", "verdicts", direction)
    span = float(sections["end"].max() - sections["begin"].min())
    for s in verdicts.itertuples(index=False):
        look = VERDICTS[s.verdict]
        axes.broken_barh(
            [(s.begin, s.end - s.begin)],
            (0, rows),
            facecolor=look.fill,
            hatch=look.hatch,
            edgecolor=SOFT,
            linewidth=0.5,
        )
        name = short_name(s.section, "·")
        fits = (s.end - s.begin) / span > 0.012 * len(name)
        axes.text(
            (s.begin + s.end) / 2, rows / 2, name, ha="center", va="center", fontweight="bold", fontsize=9,
            rotation=0 if fits else 90, bbox={"facecolor": "white", "edgecolor": "none", "pad": 1.5, "alpha": 0.9},
        )  # fmt: skip
    for line in range(1, rows):
        axes.axhline(line, color="white", linewidth=1.2, linestyle=(0, (6, 4)))
    _bridges(axes, report, rows)
    _ramps(axes, report, direction, rows)
    axes.set_ylim(-0.15, rows + 1.25)
    axes.set_yticks([i + 0.5 for i in range(len(lanes))], [keys[lane] for lane in lanes])
    axes.spines[["left", "bottom"]].set_visible(False)
    arrow = {"with stationing": "travel →", "against stationing": "← travel"}.get(direction, "")
    titled(axes, f"Lanes, median at the foot; {arrow}" if arrow else "Lanes, median at the foot")
    handles = [_patch(v) for v in dict.fromkeys(verdicts["verdict"])]
    axes.legend(handles=handles, loc="lower right", bbox_to_anchor=(1, 0.98), ncols=4, borderpad=0, handlelength=2.2)


def _patch(verdict: str) -> Any:
    from matplotlib.patches import Patch

    look = VERDICTS[verdict]
    return Patch(facecolor=look.fill, hatch=look.hatch, edgecolor=SOFT, linewidth=0.5, label=verdict)


def _bridges(axes: Axes, report: Report, rows: int) -> None:
    for row, key in bridge_keys(report).items():
        bridge = report.road.bridges.loc[row]
        middle = (bridge["begin"] + bridge["end"]) / 2
        axes.plot([bridge["begin"], bridge["begin"]], [-0.15, rows + 0.15], color=INK, linewidth=1.6)
        axes.plot([bridge["end"], bridge["end"]], [-0.15, rows + 0.15], color=INK, linewidth=1.6)
        axes.text(middle, rows + 0.28, key, ha="center", va="bottom", fontsize=7.5)


def _ramps(axes: Axes, report: Report, direction: str, rows: int) -> None:
    for row, key in ramp_keys(report, direction).items():
        ramp = report.road.ramps.loc[row]
        marker = "^" if ramp["kind"] == "off" else "v"
        axes.plot(ramp["station"], rows + 0.25, marker=marker, color=INK, markersize=4.5, linestyle="none")
        axes.text(ramp["station"], rows + 0.55, f" {key}", ha="left", va="bottom", fontsize=7.5)


def _points(
    axes: Axes,
    report: Report,
    stations: Any,
    values: Any,
    kind: str,
    title: str,
    means: tuple[pd.DataFrame, str] | None,
) -> None:
    """Test points, with the mean of each section as a bar across it."""
    shown = units.convert(np.asarray(values, dtype=float), kind, report.system)
    axes.plot(stations, shown, "o", color=BLUE, markersize=2.4, alpha=0.8, markeredgewidth=0)
    if means is not None:
        sections, name = means
        level = units.convert(sections[name].to_numpy(dtype=float), kind, report.system)
        axes.hlines(level, sections["begin"], sections["end"], color=BRICK, linewidth=1.6)
    axes.set_ylim(spread(shown))
    titled(axes, f"{title}{unit(kind, report.system)}")


def _deflection(axes: Axes, report: Report, sections: pd.DataFrame, lanes: list[str]) -> None:
    basins = report.table("survey", "basins")
    mid = basins[(basins["position"] == "mid-slab") & basins["lane"].isin(lanes)]
    means = _of(report, "survey", "sections", str(sections["direction"].iloc[0]))
    load = report.value(report.decisions.survey.standard_load, "force")
    _points(
        axes, report, mid["station"], mid["deflection_1"], "deflection", f"Mid-slab centre deflection at {load}",
        (means, "mean_deflection"),
    )  # fmt: skip


def _moduli(report: Report, lanes: list[str]) -> tuple[pd.DataFrame, str]:
    moduli = report.table("evaluation", "moduli")
    suffix = "area" if report.decisions.evaluation.moduli_from == "basin area" else "fit"
    return moduli[(moduli["excluded"] == "") & moduli["lane"].isin(lanes)], suffix


def _foundation(axes: Axes, report: Report, sections: pd.DataFrame, lanes: list[str]) -> None:
    used, suffix = _moduli(report, lanes)
    _points(
        axes, report, used["station"], used[f"foundation_{suffix}"], "foundation", "Dynamic foundation modulus k",
        (sections, "dynamic_foundation"),
    )  # fmt: skip


def _modulus(axes: Axes, report: Report, sections: pd.DataFrame, lanes: list[str]) -> None:
    used, suffix = _moduli(report, lanes)
    millions = report.system == "us"
    scale = 1e6 if millions else 1e3
    shown = units.convert(used[f"modulus_{suffix}"].to_numpy(dtype=float), "modulus", report.system) / scale
    level = units.convert(sections["modulus"].to_numpy(dtype=float), "modulus", report.system) / scale
    axes.plot(used["station"], shown, "o", color=BLUE, markersize=2.4, alpha=0.8, markeredgewidth=0)
    axes.hlines(level, sections["begin"], sections["end"], color=BRICK, linewidth=1.6)
    axes.set_ylim(spread(shown))
    titled(axes, f"Slab modulus E [{'million psi' if millions else 'GPa'}]")


def _transfer(axes: Axes, report: Report, sections: pd.DataFrame, lanes: list[str]) -> None:
    transfers = report.table("evaluation", "transfers")
    here = transfers[transfers["lane"].isin(lanes)]
    _points(axes, report, here["station"], here["efficiency"], "share", "Load transfer", (sections, "transfer"))
    _limit(axes, report.decisions.evaluation.lowest_load_transfer * 100)
    axes.set_ylim(0, 110)


def _voids(axes: Axes, report: Report, _sections: pd.DataFrame, lanes: list[str]) -> None:
    voids = report.table("evaluation", "voids")
    here = voids[voids["lane"].isin(lanes)]
    shown = units.convert(here["intercept"].to_numpy(dtype=float), "deflection", report.system)
    found = (here["void"] == "yes").to_numpy()
    stations = here["station"].to_numpy()
    axes.plot(
        stations[~found], shown[~found], "o", color=BLUE, markersize=3, markerfacecolor="none", markeredgewidth=0.7
    )
    axes.plot(stations[found], shown[found], "X", color=BRICK, markersize=5)
    _limit(axes, units.convert(report.decisions.evaluation.void_intercept, "deflection", report.system))
    titled(axes, f"Corner deflection at zero load{unit('deflection', report.system)}; crosses: void suspected")
    axes.margins(y=0.15)


def _limit(axes: Axes, level: float) -> None:
    axes.axhline(level, color=INK, linewidth=0.8, linestyle=(0, (5, 2)))


def _distress(axes: Axes, report: Report, sections: pd.DataFrame, lanes: list[str]) -> None:
    rated = report.table("survey", "rated_distresses")
    here = rated[rated["lane"].isin(lanes)]
    width = BIN[report.system]
    edges = np.arange(sections["begin"].min(), sections["end"].max() + width, width)
    floor = np.zeros(len(edges) - 1)
    for name, fill, hatch in SEVERITIES:
        counted = np.histogram(here.loc[here["severity"] == name, "station"], edges)[0] / width
        counted = units.convert(counted, "frequency", report.system)
        if counted.any():
            label = "not rated" if name == "none" else name
            axes.bar(
                edges[:-1], counted, width, floor, align="edge", facecolor=fill, hatch=hatch, edgecolor=SOFT,
                linewidth=0.4, label=label,
            )  # fmt: skip
            floor = floor + counted
    axes.set_ylim(spread(floor))
    titled(axes, f"Distresses, all lanes{unit('frequency', report.system)}")
    if floor.any():
        axes.legend(loc="lower right", bbox_to_anchor=(1, 0.94), ncols=4, borderpad=0, handlelength=1.6)


def _repairs(axes: Axes, report: Report, _sections: pd.DataFrame, lanes: list[str]) -> None:
    repairs = report.table("repair", "repairs")
    here = repairs[repairs["lane"].isin(lanes)]
    kinds = list(MARKERS)
    for row, kind in enumerate(kinds):
        marker, color = MARKERS[kind]
        middle = here.loc[here["kind"] == kind, ["begin", "end"]].mean(axis=1)
        axes.plot(
            middle, np.full(len(middle), row), marker, color=color, markersize=3.6, markeredgewidth=0.8, alpha=0.85
        )
    axes.set_ylim(len(kinds) - 0.4, -0.6)
    axes.set_yticks(range(len(kinds)), kinds)
    titled(axes, "Repairs before the overlay")


def _overlay(axes: Axes, report: Report, sections: pd.DataFrame, _lanes: list[str]) -> None:
    thicknesses = _of(report, "design", "thicknesses", str(sections["direction"].iloc[0]))
    designed = thicknesses[thicknesses["overlay"] > 0]
    shown = units.convert(designed["overlay"].to_numpy(dtype=float), "thickness", report.system)
    axes.bar(
        designed["begin"], shown, designed["end"] - designed["begin"], align="edge", facecolor="#dbe8f1", edgecolor=BLUE,
        linewidth=0.8,
    )  # fmt: skip
    for s, height in zip(designed.itertuples(index=False), shown, strict=True):
        words = units.format_quantity(s.overlay, "thickness", report.system, unit=False)
        axes.text((s.begin + s.end) / 2, height / 2, words, ha="center", va="center", fontsize=8)
    top = spread(shown)[1]
    for s in thicknesses[~(thicknesses["overlay"] > 0)].itertuples(index=False):
        axes.text((s.begin + s.end) / 2, top / 2, "none", ha="center", va="center", fontsize=8, color=BRICK)
    axes.set_ylim(0, top)
    titled(axes, f"Overlay thickness{unit('thickness', report.system)}")
