"""Figures of the bond as a field and of the life at a reliability, in the dress of the other charts."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from slabwright import units
from slabwright.bond.map import worst_places
from slabwright.web.parts.curves import INKS, LINES, figure_of, life_figure, shown, unit_of

__all__ = ["found_figure", "map_figure", "shares_figure"]

# From little to much stress in one hue, by steps of lightness that a grey printer and any eye keep apart.
SCALE = {
    False: ((0.0, "#f4f8fb"), (0.35, "#a9cbe2"), (0.7, "#3f83b3"), (1.0, "#0f3552")),
    True: ((0.0, "#14202a"), (0.35, "#234f70"), (0.7, "#5a9cc6"), (1.0, "#e3f2fb")),
}
# Numbers on the map, over the dark end of the scale by light and over its light end by dark.
MARK = {False: ("#ffffff", "#16232e"), True: ("#10181f", "#e8edf1")}


def map_figure(places: pd.DataFrame, cause: str, system: units.System, dark: bool) -> dict[str, Any]:
    """Shear over one slab as a shaded map with lines of equal stress, and numbers at the worst places."""
    grid = places.pivot(index="across", columns="along", values=cause)
    along, across = (shown(axis.to_series(), "length", system) for axis in (grid.columns, grid.index))
    stress, length = unit_of("stress", system), unit_of("length", system)
    shade = {
        "type": "contour", "x": along.tolist(), "y": across.tolist(), "z": _stresses(grid, system).tolist(),
        "colorscale": [list(step) for step in SCALE[dark]], "contours": {"coloring": "heatmap", "showlabels": True},
        "line": {"color": INKS[dark][0], "width": 0.6}, "colorbar": {"title": {"text": stress}, "thickness": 14},
        "hovertemplate": f"%{{x:.1f}} {length} from the joint, %{{y:.1f}} {length} from the free edge:"
                         f" %{{z:,.0f}} {stress}<extra></extra>",
    }  # fmt: skip
    worst = worst_places(places, cause)
    fill, rim = MARK[dark]
    numbers = {
        "type": "scatter", "mode": "markers+text", "x": shown(worst["along"], "length", system).tolist(),
        "y": shown(worst["across"], "length", system).tolist(), "text": [str(i + 1) for i in range(len(worst))],
        "marker": {"color": fill, "size": 17, "line": {"color": rim, "width": 1.5}}, "hoverinfo": "skip",
        "textfont": {"color": rim, "size": 11}, "cliponaxis": False,
    }  # fmt: skip
    made = figure_of(
        [shade, numbers],
        f"from the transverse joint [{length}]",
        f"from the free edge [{length}]",
        dark,
        showlegend=False,
    )
    made["layout"]["xaxis"] |= {"constrain": "domain", "constraintoward": "right", "showgrid": False, "zeroline": False}
    made["layout"]["yaxis"] |= {"scaleanchor": "x", "constrain": "domain", "showgrid": False, "zeroline": False}
    return made


def _stresses(grid: pd.DataFrame, system: units.System) -> np.ndarray:
    return np.round(np.asarray(units.convert(grid.to_numpy(dtype=float), "stress", system)), 3)


def found_figure(lives: pd.DataFrame, system: units.System, dark: bool) -> dict[str, Any]:
    """Life against thickness at each reliability, with the target across and both thicknesses upright.

    ``lives`` has the columns of ``fatigue_lives``, and ``target``, ``found`` and ``handbook`` of the section in each row.
    """
    made = life_figure(lives, system, dark)
    section, ink = lives.iloc[0], INKS[dark][0]
    made["layout"]["shapes"] = [_rule("y", float(section["target"]), ink, "dash")]
    made["layout"]["annotations"] = [_word("y", float(section["target"]), "life to reach")]
    for name, dash in (("found", "solid"), ("handbook", "dot")):
        if np.isfinite(section[name]):
            place = float(shown(pd.Series([section[name]]), "thickness", system)[0])
            made["layout"]["shapes"].append(_rule("x", place, ink, dash))
            made["layout"]["annotations"].append(_word("x", place, name))
    return made


def _rule(axis: str, place: float, ink: str, dash: str) -> dict[str, Any]:
    """A line across the drawing at a place on one axis."""
    other = "x" if axis == "y" else "y"
    return {"type": "line", f"{other}ref": "paper", f"{other}0": 0, f"{other}1": 1, f"{axis}0": place, f"{axis}1": place,
            "line": {"color": ink, "width": 1.2, "dash": dash}}  # fmt: skip


def _word(axis: str, place: float, word: str) -> dict[str, Any]:
    """A word at the beginning of such a line."""
    if axis == "y":
        where = {"xref": "paper", "x": 0, "y": place, "xanchor": "left", "yanchor": "bottom"}
    else:
        where = {"yref": "paper", "y": 1, "x": place, "xanchor": "left", "yanchor": "top", "textangle": -90}
    return {**where, "showarrow": False, "text": word}


def shares_figure(shares: pd.DataFrame, dark: bool) -> dict[str, Any]:
    """What the scatter of life comes from: each input by itself and with its interactions, the greatest on top."""
    ordered = shares.sort_values("total", kind="stable")
    looks = (("total", "with interactions", "/"), ("first_order", "by itself", ""))
    bars = [
        {"type": "bar", "orientation": "h", "name": name, "y": ordered["input"].tolist(),
         "x": (100 * ordered[column]).round(2).tolist(),
         "marker": {"color": LINES[dark][i][0], "pattern": {"shape": pattern}}}
        for i, (column, name, pattern) in enumerate(looks)
    ]  # fmt: skip
    return figure_of(
        bars, "share of the variance [%]", "", dark, barmode="group", legend={"orientation": "h", "y": 1.2}
    )
