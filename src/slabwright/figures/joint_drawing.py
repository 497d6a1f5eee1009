"""The overlay on the old slab cut at a transverse joint and across the lanes, to scale, with its dimensions.

Each cut is a drawing of its own: no axis runs under both, and every length that is shown is written where it is.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from slabwright.figures.design import of_section
from slabwright.figures.record import Axis, Figure, Line, Points, Series, Spans, Words
from slabwright.figures.shown import short_name
from slabwright.records.facts import Facts
from slabwright.records.results import StageResult

__all__ = ["joint_drawing"]

HALF, GAP = 0.5, 0.8  # m: half a cut's width, and the room between the two cuts for what holds in both
ABOVE, UNDER = 0.05, 0.06  # m: from a cut to the words over and under it
SAWN = {"along the lane": "transverse_saw", "across the lanes": "longitudinal_saw"}  # the depth that each cut shows
BARS = 5  # drawn along a cut
DEFAULT_BASE = 0.1  # m, drawn where the thickness of the base is not known


def joint_drawing(facts: Facts, results: Mapping[str, StageResult], section: str) -> Figure | None:
    """Both cuts side by side; None where the section has no overlay."""
    steel = of_section(results, "design", "steel", section)
    if steel.empty:
        return None
    row = next(steel.itertuples(index=False))
    slab = float(of_section(results, "evaluation", "condition", section)["thickness"].iloc[0])
    base = _base(facts, results, section)
    overlay = float(row.overlay)
    depths = {
        "overlay": (0.0, overlay),
        "old slab": (overlay, overlay + slab),
        "base": (overlay + slab, overlay + slab + base),
    }
    cuts = {"along the lane": 0.0, "across the lanes": 2 * HALF + GAP}
    return Figure(
        f"Section {section}: joints and steel, cut along the lane and across it",
        Axis("", "words", (-HALF - 0.05, cuts["across the lanes"] + HALF + 0.05)),
        Axis("", "words", (-2 * ABOVE, depths["base"][1] + 2 * UNDER), reversed=True),
        (*_layers(depths, cuts), *_saws(row, cuts), *_bars(row, cuts)),
        words=(*_headings(cuts), *_dimensions(row, depths, cuts), *_under(row, depths, cuts)),
        subject=short_name(section, "section"),
        equal=True,
        description=f"The overlay of section {section} on the old slab and its base, cut along the lane at a transverse joint and"
        " across the lanes at a longitudinal one, with saw cuts, steel and dimensions.",
    )


def _base(facts: Facts, results: Mapping[str, StageResult], section: str) -> float:
    """Thickness of the base under the middle of a section [m]."""
    row = of_section(results, "survey", "sections", section).iloc[0]
    middle = (float(row["begin"]) + float(row["end"])) / 2
    here = facts.layers[(facts.layers["begin"] <= middle) & (facts.layers["end"] >= middle)]
    known = here["base_thickness"].dropna()
    return float(known.iloc[0]) if len(known) and known.iloc[0] > 0 else DEFAULT_BASE


def _layers(depths: Mapping[str, tuple[float, float]], cuts: Mapping[str, float]) -> list[Series]:
    middle = np.array(list(cuts.values()))
    return [
        Spans("", name, middle - HALF, middle + HALF, np.full(2, low), np.full(2, high))
        for name, (low, high) in depths.items()
    ]


def _saws(row: Any, cuts: Mapping[str, float]) -> list[Series]:
    """A line from the top down at each joint that is sawn."""
    made: list[Series] = []
    for cut, name in SAWN.items():
        depth = float(getattr(row, name))
        if np.isfinite(depth) and depth > 0:
            made.append(Line("", "cut", np.full(2, cuts[cut]), np.array([0.0, depth])))
    return made


def _bars(row: Any, cuts: Mapping[str, float]) -> list[Series]:
    """Bars seen end on across the lanes, and from the side along it, at half the depth of the overlay."""
    if not float(row.longitudinal_steel) > 0:  # NaN too
        return []
    depth = float(row.overlay) / 2
    x, along = cuts["across the lanes"], cuts["along the lane"]
    places = x + np.linspace(-0.85 * HALF, 0.85 * HALF, BARS)
    return [
        Points("", "bar", places, np.full(BARS, depth)),
        Line("", "bar", np.array([along - HALF, along + HALF]), np.full(2, depth)),
    ]


def _headings(cuts: Mapping[str, float]) -> tuple[Words, ...]:
    return tuple(Words(name, x, -ABOVE, strong=True) for name, x in cuts.items())


def _dimensions(row: Any, depths: Mapping[str, tuple[float, float]], cuts: Mapping[str, float]) -> tuple[Words, ...]:
    """Thickness of each layer and depth of each cut, in the reader's units."""
    between = sum(cuts.values()) / len(cuts)
    made = []
    for name, (low, high) in depths.items():
        middle = (low + high) / 2
        made += [Words(f"{name} {{value}}", between, middle, value=high - low, kind="thickness")]
    for (cut, name), side in zip(SAWN.items(), (-1, 1), strict=True):  # on the side away from the other cut
        depth = float(getattr(row, name))
        if np.isfinite(depth) and depth > 0:
            made.append(
                Words(
                    "cut {value}",
                    cuts[cut] + side * 0.27,
                    min(depth, depths["overlay"][1]) * 0.55,
                    value=depth,
                    kind="thickness",
                )
            )
    return tuple(made)


def _under(row: Any, depths: Mapping[str, tuple[float, float]], cuts: Mapping[str, float]) -> tuple[Words, ...]:
    """Under each cut what no drawing of a joint can show to scale: how far joints are apart, and how much steel there is."""
    line = depths["base"][1] + UNDER
    made = (
        ("along the lane", "← joints every {value} →", float(row.joint_spacing), "length"),
        ("across the lanes", "steel {value}", float(row.longitudinal_steel), "steel_area"),
    )
    return tuple(Words(said, cuts[cut], line, value=size, kind=kind) for cut, said, size, kind in made if size > 0)
