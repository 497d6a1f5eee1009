"""Pictures of the old slab: its deflection basin measured and fitted, and its moduli along the road with their spread."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

import numpy as np
from scipy.optimize import minimize_scalar

from slabwright.calculation import Array
from slabwright.figures.design import of_section
from slabwright.figures.looks import group
from slabwright.figures.record import Axis, Band, Figure, Line, Points, Rule, Whiskers
from slabwright.figures.shown import short_name
from slabwright.records.results import StageResult
from slabwright.slab.infinite_plate import LONGEST, SHORTEST, plate_coefficient_dense_liquid

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["MODULI", "basin_fit", "mid_slab_basins", "moduli_along"]

POINTS = 25  # of the fitted curve
# Which moduli are drawn along the road: the name of the axis, its kind, and the column of the table by each method.
MODULI = {
    "foundation": ("dynamic k", "foundation", {"plate fit": "foundation_fit", "basin area": "foundation_area"}),
    "modulus": ("elastic modulus", "slab_modulus", {"plate fit": "modulus_fit", "basin area": "modulus_area"}),
}


def mid_slab_basins(results: Mapping[str, StageResult], section: str) -> pd.DataFrame:
    """The basins of the mid-slab tests of a section that its moduli rest on."""
    moduli = of_section(results, "evaluation", "moduli", section)
    used = moduli[moduli["excluded"] == ""]
    basins = results["survey"].tables["basins"]
    here = basins[basins["position"] == "mid-slab"].merge(
        used[["station", "lane", "point"]], on=["station", "lane", "point"]
    )
    return here.drop_duplicates(["station", "lane", "point"])


def basin_fit(results: Mapping[str, StageResult], section: str) -> Figure | None:
    """Deflections at the sensors, lowest to highest, with the basin of the plate that fits their medians; None without tests."""
    basins = mid_slab_basins(results, section)
    found = _sensors(basins)
    if found is None:
        return None
    offsets, deflections = found
    low, middle, high = (f(deflections, axis=0) for f in (np.min, np.median, np.max))
    radius = float(np.median(basins["plate_radius"]))
    stiffness, scale = _plate(offsets, middle, radius)
    curve = np.linspace(0.0, float(offsets.max()) * 1.05, POINTS)
    fitted = scale * plate_coefficient_dense_liquid(curve, np.array(stiffness), np.array(radius))
    missed = float(
        np.sqrt(
            np.mean(
                (scale * plate_coefficient_dense_liquid(offsets, np.array(stiffness), np.array(radius)) / middle - 1)
                ** 2
            )
        )
    )
    return Figure(
        f"Section {section}: deflection basin, measured and fitted",
        Axis("distance from the load", "length", (-0.03 * curve[-1], float(curve[-1]))),
        Axis("deflection at the standard load", "deflection", (0.0, 1.08 * float(high.max())), reversed=True),
        (
            Whiskers("tests: median, lowest to highest", group(0), offsets, low, middle, high),
            Line("plate that fits the medians", group(1), curve, np.asarray(fitted)),
        ),
        notes=(f"{len(deflections)} mid-slab tests; the plate misses the medians by {missed:.1%}",),
        subject=short_name(section, "section"),
        description=f"Deflections of {len(deflections)} mid-slab tests of section {section} at each sensor, brought to the"
        " standard load, and the basin of the endless plate on springs that fits their medians.",
    )


def _sensors(basins: pd.DataFrame) -> tuple[Array, Array] | None:
    """Offsets (s,) [m] from the load outward and deflections (n, s) [m] of the tests with the commonest sensor layout."""
    if basins.empty:
        return None
    names = [c.removeprefix("offset_") for c in basins.columns if c.startswith("offset_")]
    offsets = basins[[f"offset_{n}" for n in names]].to_numpy(dtype=float)
    layouts, which, count = np.unique(
        np.nan_to_num(np.round(offsets, 3), nan=-9.0), axis=0, return_inverse=True, return_counts=True
    )
    commonest = int(count.argmax())
    layout = layouts[commonest]
    deflections = basins[[f"deflection_{n}" for n in names]].to_numpy(dtype=float)[which.ravel() == commonest]
    use = np.flatnonzero((layout >= 0) & np.isfinite(deflections).all(axis=0) & (deflections > 0).all(axis=0))
    return (layout[use], deflections[:, use]) if len(use) >= 3 else None


def _plate(offsets: Array, deflections: Array, radius: float) -> tuple[float, float]:
    """Radius of relative stiffness [m] and scale [m] of the plate on springs that fits a basin, in least squares."""

    def fitted(log_l: float) -> tuple[float, float]:
        shape = plate_coefficient_dense_liquid(offsets, np.exp(log_l), np.array(radius))
        scale = float(deflections @ shape / (shape @ shape))
        return scale, float(np.sum((deflections - scale * shape) ** 2)) * 1e12  # of square micrometres

    found = minimize_scalar(lambda x: fitted(x)[1], bounds=(np.log(SHORTEST), np.log(LONGEST)), options={"xatol": 1e-3})
    return float(np.exp(found.x)), fitted(float(found.x))[0]


def moduli_along(results: Mapping[str, StageResult], which: str, section: str) -> Figure | None:
    """One of ``MODULI`` at each test of a section by either method, with mean and standard deviation of the fit."""
    rows = of_section(results, "evaluation", "moduli", section)
    rows = rows[rows["excluded"] == ""].sort_values("station")
    label, kind, columns = MODULI[which]
    values = {name: rows[column].to_numpy(dtype=float) for name, column in columns.items()}
    fit = values["plate fit"][np.isfinite(values["plate fit"])]
    if not len(fit):
        return None
    mean, deviation = float(fit.mean()), float(fit.std(ddof=1)) if len(fit) > 1 else 0.0
    everything = np.concatenate([v[np.isfinite(v)] for v in values.values()])
    stations = rows["station"].to_numpy(dtype=float)
    spare = max(0.03 * float(np.ptp(stations)), 3.0)
    return Figure(
        f"Section {section}: {label} along the road",
        Axis("station", "station", (float(stations.min()) - spare, float(stations.max()) + spare)),
        Axis(label, kind, (0.0, 1.1 * float(everything.max()))),
        tuple(
            Points(name, group(i), stations[np.isfinite(v)], v[np.isfinite(v)])
            for i, (name, v) in enumerate(values.items())
        ),
        (
            Band("mean and one standard deviation", "shade", "y", mean - deviation, mean + deviation),
            Rule("mean", "found", "y", (mean,)),
        ),
        subject=short_name(section, "section"),
        description=f"{label[:1].upper()}{label[1:]} at each mid-slab test of section {section} by the plate fit and by the basin"
        " area, with the mean of the fit and one standard deviation about it.",
    )
