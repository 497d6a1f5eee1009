"""Distress: severity by the thresholds of the public federal manual, quantities per lane."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from slabwright.calculation import Array
from slabwright.records.facts import NO_DISTRESS
from slabwright.records.outcomes.survey import DISTRESS_QUANTITIES, RATED_DISTRESSES
from slabwright.records.table import table

__all__ = ["DETERIORATING", "LEVELS", "deteriorated", "distress_quantities", "rate_distresses", "severity"]

SLACK = 1e-9  # m: a limit met exactly in millimetres may miss it in the last bit after conversion
LEVELS = ("none", "low", "moderate", "high")
# Joints, working cracks and punchouts of the joints-and-cracks factor (AASHTO 1993 Part III section 5.8, from memory).
DETERIORATING = ("transverse crack", "corner break", "punchout", "joint spalling", "durability cracking")


def deteriorated(rated: pd.DataFrame) -> npt.NDArray[np.bool_]:
    """Which rated distresses (n rows) are deteriorated joints or cracks: of moderate or high severity, or rated by nobody.

    One that nobody rated is not taken for a slight one. (n,)
    """
    return np.asarray(rated["kind"].isin(DETERIORATING) & (rated["severity"] != "low"), dtype=bool)


@dataclass(frozen=True)
class Threshold:
    """A measure rates at least moderate from one value and high from another; ``inclusive`` says which side the
    limit itself falls on for each."""

    measure: str
    moderate: float
    high: float
    moderate_inclusive: bool = True
    high_inclusive: bool = True


# Federal distress manual (FHWA-RD-03-031, revised FHWA-HRT-13-092), from memory; metres.
THRESHOLDS: dict[str, tuple[Threshold, ...]] = {
    "transverse crack": (
        Threshold("crack_width", 0.003, 0.006, high_inclusive=False),
        Threshold("spall_width", 0.0, 0.075, moderate_inclusive=False),
        Threshold("faulting", 0.0, 0.006, moderate_inclusive=False, high_inclusive=False),
    ),
    "longitudinal crack": (
        Threshold("crack_width", 0.003, 0.013, high_inclusive=False),
        Threshold("spall_width", 0.0, 0.075, moderate_inclusive=False),
        Threshold("faulting", 0.0, 0.013, moderate_inclusive=False),
    ),
    "corner break": (Threshold("faulting", 0.0, 0.013, moderate_inclusive=False),),
    "joint spalling": (Threshold("spall_width", 0.075, 0.150, high_inclusive=False),),
    "patch": (Threshold("faulting", 0.0, 0.006, moderate_inclusive=False, high_inclusive=False),),
    "punchout": (
        Threshold("spall_width", 0.075, 0.150, high_inclusive=False),
        Threshold("faulting", 0.006, 0.013),
    ),
}


def severity(kind: str, **measures: npt.ArrayLike) -> npt.NDArray[np.int64]:
    """Severity level by measurement for distresses of one kind: 0 not measured, 1 low, 2 moderate, 3 high.

    ``measures`` are crack_width, spall_width and faulting in m, NaN where not taken; arrays broadcast. The worst
    measure governs.
    """
    arrays = [np.asarray(v, dtype=float) for v in measures.values()]
    level = np.zeros(np.broadcast_shapes(*(a.shape for a in arrays)), dtype=np.int64)
    given = dict(zip(measures, arrays, strict=True))
    for rule in THRESHOLDS.get(kind, ()):
        if rule.measure in given:
            level = np.maximum(level, _level(np.abs(given[rule.measure]), rule))
    return level


def _level(value: Array, rule: Threshold) -> npt.NDArray[np.int64]:
    at_moderate = rule.moderate - SLACK if rule.moderate_inclusive else rule.moderate + SLACK
    at_high = rule.high - SLACK if rule.high_inclusive else rule.high + SLACK
    moderate, high = value >= at_moderate, value >= at_high
    return np.where(np.isnan(value), 0, 1 + moderate.astype(np.int64) + high.astype(np.int64))


def rate_distresses(distresses: pd.DataFrame) -> pd.DataFrame:
    """The distress table with the severity that later stages use.

    A field rating stands; where it is blank, the measurements rate. ``measured_severity`` shows the latter, so that a
    disagreement is seen. What has neither is rated ``none`` and counted as such. Rows that only say that a place was
    looked at are no distresses and left out.
    """
    distresses = distresses[distresses["kind"] != NO_DISTRESS].reset_index(drop=True)
    level = np.zeros(len(distresses), dtype=np.int64)
    for kind in distresses["kind"].unique():
        rows = (distresses["kind"] == kind).to_numpy()
        part = distresses[rows]
        level[rows] = severity(kind, **{m: part[m].to_numpy() for m in ("crack_width", "spall_width", "faulting")})
    measured = np.array(LEVELS, dtype=object)[level]
    field = distresses["severity"].to_numpy()
    frame = distresses.assign(
        measured_severity=np.where(level > 0, measured, ""), severity=np.where(field == "", measured, field)
    )
    return table(RATED_DISTRESSES, frame[list(RATED_DISTRESSES.names)])


def distress_quantities(rated: pd.DataFrame, lane_lengths: dict[str, float]) -> pd.DataFrame:
    """Number, length and area of each kind and severity in each lane, and per length of lane.

    ``lane_lengths`` in m by lane. [1/m for the densities]
    """
    frame = rated.assign(crack_length=rated["length"].where(rated["kind"].str.contains("crack")))
    grouped = frame.groupby(["lane", "kind", "severity"], sort=True)
    counted = grouped.agg(number=("station", "size"), length=("length", "sum"), area=("area", "sum")).reset_index()
    lengths = counted["lane"].map(lane_lengths).to_numpy(dtype=float)
    counted["number_density"] = counted["number"].to_numpy() / lengths
    counted["length_share"] = counted["length"].to_numpy() / lengths
    return table(DISTRESS_QUANTITIES, counted)
