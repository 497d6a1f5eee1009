"""Percent within limits and what is paid for it, thickness lots, and where to drill."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

import numpy as np
from scipy import special, stats

from slabwright.calculation import Array, Quantity, calculation
from slabwright.units import INCH

__all__ = [
    "acceptance_probability",
    "core_lots",
    "pay_factor_linear",
    "percent_within_limits",
    "quality_index_lower",
    "quality_index_upper",
    "stratified_station",
    "thickness_average_capped",
    "within_both_limits",
]

Mean = Annotated[Array, Quantity("number", "mean of the lot", -1e12, 1e12, "m")]
Spread = Annotated[Array, Quantity("number", "standard deviation of the lot", 1e-12, 1e12, "s")]
Limit = Annotated[Array, Quantity("number", "specification limit", -1e12, 1e12, "L")]
Tests = Annotated[Array, Quantity("count", "number of tests", 3, 10000, "n")]
Within = Annotated[Array, Quantity("share", "share within limits", 0.0, 1.0, "PWL")]
QualityIndex = Annotated[Array, Quantity("number", "quality index", symbol="Q")]


@calculation(source="normal", equation="Q = (m - L) / s")
def quality_index_lower(mean: Mean, spread: Spread, limit: Limit) -> QualityIndex:
    """Quality index against a lower limit."""
    return (mean - limit) / spread


@calculation(source="normal", equation="Q = (L - m) / s")
def quality_index_upper(mean: Mean, spread: Spread, limit: Limit) -> QualityIndex:
    """Quality index against an upper limit."""
    return (limit - mean) / spread


@calculation(
    source="normal",
    equation="PWL = 100 [1 - Ix(A, A)], A = n / 2 - 1, x = max(0, 1/2 - Q sqrt(n) / (2 (n - 1)))",
)
def percent_within_limits(
    quality_index: Annotated[Array, Quantity("number", "quality index", -50, 50, "Q")], tests: Tests
) -> Annotated[Array, Quantity("share", "estimated share within the limit")]:
    """Share of a lot within one limit, estimated with unknown variability (standard-deviation method)."""
    half = tests / 2 - 1
    x = np.clip(0.5 - quality_index * np.sqrt(tests) / (2 * (tests - 1)), 0, 1)
    return np.asarray(1 - special.betainc(half, half, x), dtype=np.float64)


@calculation(source="normal", equation="PWL = PU + PL - 100")
def within_both_limits(
    upper: Annotated[Array, Quantity("share", "share within the upper limit", 0, 1, "PU")],
    lower: Annotated[Array, Quantity("share", "share within the lower limit", 0, 1, "PL")],
) -> Annotated[Array, Quantity("share", "share within both limits")]:
    """Share within two limits from the shares within each."""
    return np.maximum(upper + lower - 1, 0)


@calculation(source="practice", where="Florida 334-8.2.2.2", tag="looked up", equation="PF = 55 + 0.5 PWL")
def pay_factor_linear(within: Within) -> Annotated[Array, Quantity("share", "pay factor", symbol="PF")]:
    """Pay factor on the usual straight line: 100 per cent at 90 per cent within limits."""
    return 0.55 + 0.5 * within


@calculation(source="normal", equation="P(PWL >= c) from the noncentral t distribution of sqrt(n) Q")
def acceptance_probability(
    true_within: Annotated[Array, Quantity("share", "true share within the limit", 0.001, 0.999)],
    least_estimated: Annotated[Array, Quantity("share", "least estimated share that is accepted", 0.01, 0.99, "c")],
    tests: Tests,
) -> Annotated[Array, Quantity("number", "probability of acceptance")]:
    """Probability that a lot is accepted, one-sided limit (operating characteristic)."""
    half = tests / 2 - 1
    x = special.betaincinv(half, half, 1 - least_estimated)
    critical = (0.5 - x) * 2 * (tests - 1) / np.sqrt(tests)
    shift = np.sqrt(tests) * stats.norm.ppf(true_within)
    return np.asarray(stats.nct.sf(np.sqrt(tests) * critical, tests - 1, shift))


@dataclass(frozen=True)
class ThicknessLot:
    """The average that pay is based on, and how far it falls short."""

    average: Annotated[Array, Quantity("thickness", "average thickness, thick cores capped")]
    deficiency: Annotated[Array, Quantity("thickness", "deficiency below plan")]


CAP: Array = np.asarray(0.2 * INCH)


@calculation(
    source="practice",
    where="a highway specification section 501.24 in a digitized book, issuing agency not visible",
    tag="looked up",
    equation="average of min(t, plan + cap); deficiency = max(0, plan - average)",
)
def thickness_average_capped(
    cores: Annotated[Array, Quantity("thickness", "core thicknesses", 0.5 * INCH, 40 * INCH, "t", vector=True)],
    plan: Annotated[Array, Quantity("thickness", "plan thickness", 0.5 * INCH, 40 * INCH)],
    cap: Annotated[Array, Quantity("thickness", "excess that counts at the most", 0, 2 * INCH)] = CAP,
) -> ThicknessLot:
    """Average thickness of cores along the last axis, with no credit beyond the cap. [m]"""
    average = np.minimum(cores, (plan + cap)[..., None]).mean(axis=-1)
    return ThicknessLot(average, np.maximum(plan - average, 0))


LOT: Array = np.asarray(2000 * 0.83612736)
LEAST_CORES: Array = np.asarray(3.0)


@calculation(
    source="practice",
    where="Ohio 451.17",
    tag="looked up",
    equation="n = max(least, round(A / lot)), a major fraction counts",
)
def core_lots(
    area: Annotated[Array, Quantity("paved_area", "area placed", 1, 1e8, "A")],
    lot: Annotated[Array, Quantity("paved_area", "area of a lot", 10, 1e6)] = LOT,
    least: Annotated[Array, Quantity("count", "least number of cores", 0, 100)] = LEAST_CORES,
) -> Annotated[Array, Quantity("count", "number of cores", symbol="n")]:
    """Number of thickness cores: one for each lot, a major fraction counting as a lot."""
    return np.maximum(np.floor(area / lot + 0.5), least)


@calculation(
    source="practice",
    where="ASTM D3665",
    tag="from memory",
    equation="station = start + (i + r) length",
)
def stratified_station(
    start: Annotated[Array, Quantity("length", "start of the first sublot", -1e6, 1e7)],
    length: Annotated[Array, Quantity("length", "length of a sublot", 1, 1e5)],
    sublot: Annotated[Array, Quantity("count", "sublots before this one", 0, 1e5, "i")],
    random: Annotated[Array, Quantity("number", "random number", 0, 1, "r")],
) -> Annotated[Array, Quantity("length", "station of the test")]:
    """Station of the one random test of a sublot. [m]"""
    return start + (sublot + random) * length
