"""The cumulative difference of deflection along the road, and the section boundaries found on it."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from slabwright.figures.looks import group
from slabwright.figures.record import Axis, Figure, Line, Points, Rule, Series
from slabwright.records.results import StageResult

__all__ = ["cumulative_differences"]


def cumulative_differences(results: Mapping[str, StageResult], direction: str) -> Figure:
    """Of one direction, with the boundaries that each method finds and those that are used."""
    frames = [results["survey"].tables[name] for name in ("differences", "boundaries", "sections")]
    curve, found, sections = (f[f["direction"] == direction] for f in frames)
    station, difference = (curve[c].to_numpy(dtype=float) for c in ("station", "difference"))
    low, high = float(np.nanmin(difference, initial=0.0)), float(np.nanmax(difference, initial=0.0))
    tall = (high - low) or 1e-9
    series: list[Series] = [Line("cumulative difference", group(0), station, difference)]
    for i, (method, at) in enumerate(found[found["used"] != "yes"].groupby("method", sort=False)["station"], start=1):
        height = high + (0.26 - 0.09 * i) * tall
        series.append(Points(f"boundary by {method}", group(i), at.to_numpy(dtype=float), np.full(len(at), height)))
    used = tuple(float(s) for s in found.loc[found["used"] == "yes", "station"])
    way = direction or "direction not given"
    return Figure(
        f"Cumulative difference of the mid-slab deflection, {way}",
        Axis("station", "station", (float(sections["begin"].min()), float(sections["end"].max()))),
        Axis("cumulative difference", "cumulative_difference", (low - 0.05 * tall, high + 0.28 * tall)),
        tuple(series),
        (Rule("boundary used", "boundary used", "x", used),),
        subject=way,
        description=f"Cumulative difference of the mid-slab deflection along the road, {way}. Where its slope changes, the"
        f" response of the road changes. {len(used)} section boundaries are used.",
    )
