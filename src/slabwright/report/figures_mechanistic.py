"""Drawings of the bond as a field and of the life at a reliability."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.colors import LinearSegmentedColormap

from slabwright import units
from slabwright.bond.map import worst_places
from slabwright.life.tables import LONGEST_LIFE
from slabwright.report.figures import INK, LINES, SOFT, margins, svg, titled, unit
from slabwright.report.figures_curves import small_curves
from slabwright.report.given import Report
from slabwright.report.text import short_name

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

__all__ = ["fatigue_lives", "slab_map"]

SHADES = LinearSegmentedColormap.from_list("stress", ["#f7fafc", "#b9d3e4", "#5b93bb", "#12324d"])
LEVELS = 24
LINES_OF_EQUAL = 5


def fatigue_lives(report: Report, names: list[str]) -> str:
    """Years against thickness at each reliability, with the thickness found, one small drawing for a section."""
    return small_curves(report, names, _life)


def _life(axes: Axes, report: Report, name: str) -> None:
    tables = report.results["life"].tables
    lives, row = (tables[n][tables[n]["section"] == name] for n in ("fatigue_lives", "fatigue_thickness"))
    for look, (level, curve) in zip(LINES, lives.groupby("reliability"), strict=False):
        axes.plot(
            _shown(curve["overlay"], "thickness", report), curve["years"], color=look.color, linestyle=look.linestyle,
            marker=look.marker, markersize=2.4, label=f"reliability {level:.0%}",
        )  # fmt: skip
    found = float(_shown(row["found"], "thickness", report)[0])
    axes.axvline(found if np.isfinite(found) else -1.0, color=INK, linewidth=0.9, label="thickness found")
    axes.axhline(float(row["target"].iloc[0]), color=SOFT, linewidth=0.8, linestyle=(0, (5, 2)))
    low, high = (float(f(_shown(lives["overlay"], "thickness", report))) for f in (np.min, np.max))
    axes.set_xlim(low - 0.04 * (high - low), high + 0.04 * (high - low))
    axes.set_ylim(0, LONGEST_LIFE * 1.04)
    titled(axes, f"{short_name(name, 'section')}: years on thickness{unit('thickness', report.system)}")


def slab_map(report: Report, name: str) -> str:
    """Shear between the layers over one slab from all causes together, with the worst places numbered."""

    def draw(figure: Figure) -> None:
        axes = figure.subplots(1, 1)
        _map(figure, axes, report, name)
        margins(figure, left=0.45, right=1.0, top=0.3)

    return svg(draw, 3.4)


def _map(figure: Figure, axes: Axes, report: Report, name: str) -> None:
    places = report.table("bond", "bond_map")
    places = places[places["section"] == name]
    grid = places.pivot(index="across", columns="along", values="together")
    along, across = (_shown(axis, "length", report) for axis in (grid.columns, grid.index))
    stress = _shown(grid, "stress", report)
    shade = axes.contourf(along, across, stress, LEVELS, cmap=SHADES)
    lines = axes.contour(along, across, stress, LINES_OF_EQUAL, colors=INK, linewidths=0.5)
    axes.clabel(lines, fontsize=6, fmt="%.4g")
    worst = worst_places(places, "together")
    spots = zip(_shown(worst["along"], "length", report), _shown(worst["across"], "length", report), strict=True)
    for number, (x, y) in enumerate(spots, start=1):
        axes.text(
            x, y, str(number), fontsize=6.5, ha="center", va="center", clip_on=False,
            bbox={"boxstyle": "circle,pad=0.2", "facecolor": "white", "edgecolor": INK, "linewidth": 0.6},
        )  # fmt: skip
    axes.set_aspect("equal")
    axes.set_xlabel(f"from the transverse joint{unit('length', report.system)}")
    axes.set_ylabel(f"from the free edge{unit('length', report.system)}")
    titled(axes, f"{short_name(name, 'section')}: shear between the layers{unit('stress', report.system)}")
    figure.colorbar(shade, ax=axes, shrink=0.9, pad=0.03)


def _shown(values: Any, kind: str, report: Report) -> Any:
    return units.convert(np.asarray(values, dtype=float), kind, report.system)
