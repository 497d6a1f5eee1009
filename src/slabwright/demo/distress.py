"""The distress survey: six hundred records that agree with the truth of each stretch.

A crack or spall has a severity from which its measurements are drawn, inside the limits of the federal
distress manual (from memory): cracks moderate from 3 mm opening, high from 6 mm (transverse) or 13 mm
(longitudinal); corner breaks moderate with any faulting, high from 13 mm; joint spalls moderate from 75 mm width,
high from 150 mm. The crew rated some by eye and left the
severity of the others empty, to be rated from the measurements.
"""

from __future__ import annotations

import numpy as np
import pandas as pd

from slabwright.demo.truth import TRUTH, Stretch

__all__ = ["distress_survey"]

RECORDS: tuple[dict[str, int], ...] = (
    {
        "transverse crack": 30,
        "longitudinal crack": 10,
        "corner break": 5,
        "joint spalling": 30,
        "joint seal damage": 10,
        "faulting": 10,
        "patch": 5,
    },
    {
        "transverse crack": 90,
        "longitudinal crack": 12,
        "corner break": 30,
        "joint spalling": 20,
        "faulting": 25,
        "pumping": 8,
        "patch": 10,
    },
    {
        "transverse crack": 28,
        "corner break": 22,
        "joint spalling": 18,
        "joint seal damage": 10,
        "faulting": 20,
        "pumping": 12,
    },
    {"transverse crack": 12, "durability cracking": 100, "joint spalling": 20, "map cracking": 6, "patch": 6},
    {"transverse crack": 25, "longitudinal crack": 6, "punchout": 14, "patch": 6},
)
AT_JOINT = ("corner break", "durability cracking", "joint spalling", "joint seal damage", "faulting", "pumping")
SEVERITIES = ("low", "moderate", "high")
SHARES = {"weak support": (0.35, 0.40, 0.25), "durability cracking": (0.30, 0.45, 0.25)}
USUAL_SHARES = (0.60, 0.30, 0.10)
LANES = ("NB1", "NB2", "NB3", "SB1", "SB2", "SB3")
LANE_SHARES = (0.07, 0.13, 0.30, 0.07, 0.13, 0.30)
EMPTY_SEVERITY = 0.4

# Extent by kind, (low, high) in m.
EXTENTS: dict[str, dict[str, tuple[float, float]]] = {
    "transverse crack": {"length": (2.4, 3.6)},
    "longitudinal crack": {"length": (1.5, 4.5)},
    "corner break": {"length": (0.5, 1.5), "width": (0.5, 1.5)},
    "durability cracking": {"length": (2.4, 3.6), "width": (0.3, 0.9)},
    "joint spalling": {"length": (0.2, 1.8), "depth": (0.025, 0.065)},
    "joint seal damage": {"length": (3.6, 3.66)},
    "patch": {"length": (1.8, 3.0), "width": (3.4, 3.66)},
    "punchout": {"length": (0.6, 1.5), "width": (0.6, 1.2)},
    "map cracking": {"length": (3.0, 4.5), "width": (2.4, 3.6)},
}
BY_AREA = ("durability cracking", "patch", "punchout", "map cracking")
# Measurements by kind, (low, high) in m for low, moderate and high severity.
Ranges = tuple[tuple[float, float], tuple[float, float], tuple[float, float]]
CRACK: dict[str, Ranges] = {
    "crack_width": ((0.0004, 0.0027), (0.0033, 0.0057), (0.0065, 0.0110)),
    "spall_width": ((0.0, 0.0), (0.010, 0.070), (0.080, 0.140)),
    "faulting": ((0.0, 0.0), (0.0005, 0.0030), (0.0010, 0.0050)),
}
MEASUREMENTS: dict[str, dict[str, Ranges]] = {
    "transverse crack": CRACK,
    "corner break": CRACK | {"faulting": ((0.0, 0.0), (0.001, 0.010), (0.0135, 0.0160))},
    "longitudinal crack": CRACK | {"crack_width": ((0.0004, 0.0027), (0.0033, 0.0120), (0.0140, 0.0180))},
    "joint spalling": {"spall_width": ((0.020, 0.070), (0.080, 0.145), (0.155, 0.260))},
}
UNRATED = ("faulting", "pumping", "map cracking")
JOINT_FAULTING = {"weak support": (0.002, 0.005)}
USUAL_FAULTING = (0.001, 0.003)
NOTES = {"pumping": "fines on the shoulder", "map cracking": "fine pattern, light brown", "patch": "concrete patch"}
COLUMNS = (
    "station",
    "lane",
    "kind",
    "severity",
    "length",
    "width",
    "area",
    "crack_width",
    "spall_width",
    "faulting",
    "depth",
    "note",
)


def _stations(stretch: Stretch, kind: str, count: int, rng: np.random.Generator) -> np.ndarray:
    slabs = round((stretch.end - stretch.begin) / TRUTH.slab_length)
    slab = rng.integers(0, slabs, count)
    within = np.zeros(count) if kind in AT_JOINT else rng.uniform(0.25, 0.75, count)
    return stretch.begin + (slab + within) * TRUTH.slab_length


def _records(stretch: Stretch, kind: str, count: int, rng: np.random.Generator) -> pd.DataFrame:
    """``count`` records of one kind in one stretch (SI)."""
    level = rng.choice(3, count, p=SHARES.get(stretch.name, USUAL_SHARES))
    made: dict[str, object] = {
        "station": _stations(stretch, kind, count, rng),
        "lane": rng.choice(LANES, count, p=LANE_SHARES),
        "kind": kind,
        "severity": np.array(SEVERITIES, dtype=object)[level] if kind not in UNRATED else "",
        "note": NOTES.get(kind, ""),
    }
    made |= {name: rng.uniform(*limits, count) for name, limits in EXTENTS.get(kind, {}).items()}
    for name, ranges in MEASUREMENTS.get(kind, {}).items():
        low, high = np.array(ranges)[level].T
        made[name] = rng.uniform(low, high)
    if kind == "faulting":
        made["faulting"] = rng.uniform(*JOINT_FAULTING.get(stretch.name, USUAL_FAULTING), count)
    frame = pd.DataFrame(made)
    if kind in BY_AREA:
        frame["area"] = frame["length"] * frame["width"]
    if kind in MEASUREMENTS:
        frame["severity"] = frame["severity"].mask(rng.random(count) < EMPTY_SEVERITY, "")
    return frame


def distress_survey(rng: np.random.Generator) -> pd.DataFrame:
    """All records in order of station (SI); a missing number is NaN, a missing word is empty."""
    blocks = [
        _records(stretch, kind, count, rng)
        for stretch, kinds in zip(TRUTH.stretches, RECORDS, strict=True)
        for kind, count in kinds.items()
    ]
    survey = pd.concat(blocks, ignore_index=True).reindex(columns=list(COLUMNS))
    return survey.sort_values("station", kind="stable", ignore_index=True)
