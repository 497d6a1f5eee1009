"""Statistics that several stages use: outliers, tolerance intervals, comparisons, sample sizes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

import numpy as np
from scipy import stats

from slabwright.calculation import Array, Quantity, calculation

__all__ = [
    "binomial_interval",
    "f_test",
    "grubbs_critical",
    "grubbs_statistic",
    "line_fit",
    "mean_from_specified",
    "sample_size",
    "t_test_pooled",
    "tolerance_factor_natrella",
    "tolerance_factor_one_sided",
    "tolerance_factor_two_sided",
]

Sample = Annotated[Array, Quantity("number", "measured values", -1e12, 1e12, vector=True)]
Count = Annotated[Array, Quantity("count", "number of values", 2, 1e7, "n")]
Significance = Annotated[Array, Quantity("share", "level of significance", 0.0001, 0.5, "alpha")]
Coverage = Annotated[Array, Quantity("share", "share of the population that is covered", 0.5, 0.9999, "p")]
Confidence = Annotated[Array, Quantity("share", "confidence", 0.5, 0.9999, "g")]
Spread = Annotated[Array, Quantity("number", "sample standard deviation", 1e-12, 1e12, "s")]
FIVE_PERCENT: Array = np.asarray(0.05)
USUAL_CONFIDENCE: Array = np.asarray(0.95)
THREE: Array = np.asarray(3.0)


@calculation(source="grubbs1969", equation="G = max |x - mean| / s")
def grubbs_statistic(
    values: Sample,
) -> Annotated[Array, Quantity("number", "largest standardised deviation", symbol="G")]:
    """Grubbs' statistic of the most outlying value; values lie along the last axis (at least 3)."""
    deviations = values - values.mean(axis=-1, keepdims=True)
    spread = np.sqrt((deviations**2).sum(axis=-1) / (values.shape[-1] - 1))
    return np.abs(deviations).max(axis=-1) / spread


@calculation(
    source="grubbs1969",
    equation="G = (n - 1) / sqrt(n) sqrt[t^2 / (n - 2 + t^2)], t at alpha / n, n - 2",
)
def grubbs_critical(
    count: Annotated[Array, Quantity("count", "number of values", 3, 1e6, "n")],
    significance: Significance = FIVE_PERCENT,
) -> Annotated[Array, Quantity("number", "critical value, one-sided", symbol="G")]:
    """Critical value of Grubbs' test for one outlier on a stated side; halve the level for two sides."""
    t = stats.t.isf(significance / count, count - 2)
    return (count - 1) / np.sqrt(count) * np.sqrt(t**2 / (count - 2 + t**2))


@calculation(source="normal", equation="k = t(g; n - 1, sqrt(n) z_p) / sqrt(n), noncentral t")
def tolerance_factor_one_sided(
    count: Count, coverage: Coverage, confidence: Confidence = USUAL_CONFIDENCE
) -> Annotated[Array, Quantity("number", "tolerance factor", symbol="k")]:
    """One-sided normal tolerance factor, exact."""
    shift = np.sqrt(count) * stats.norm.ppf(coverage)
    return stats.nct.ppf(confidence, count - 1, shift) / np.sqrt(count)


@calculation(
    source="nist_handbook",
    where="section 7.2.6.3",
    tag="looked up",
    equation="k = [z_p + sqrt(z_p^2 - A B)] / A, A = 1 - z_g^2 / (2 (n - 1)), B = z_p^2 - z_g^2 / n",
)
def tolerance_factor_natrella(
    count: Count, coverage: Coverage, confidence: Confidence = USUAL_CONFIDENCE
) -> Annotated[Array, Quantity("number", "tolerance factor", symbol="k")]:
    """One-sided normal tolerance factor by Natrella's approximation."""
    zp, zg = stats.norm.ppf(coverage), stats.norm.ppf(confidence)
    a = 1 - zg**2 / (2 * (count - 1))
    return (zp + np.sqrt(zp**2 - a * (zp**2 - zg**2 / count))) / a


@calculation(
    source="nist_handbook",
    where="section 7.2.6.3, Howe's factor with Guenther's correction",
    tag="looked up",
    equation="k2 = z sqrt[v (1 + 1 / n) / X] sqrt[1 + (n - 3 - X) / (2 (n + 1)^2)], z at (1 + p) / 2, X = chi2(1 - g, v), v = n - 1",
)
def tolerance_factor_two_sided(
    count: Count, coverage: Coverage, confidence: Confidence = USUAL_CONFIDENCE
) -> Annotated[Array, Quantity("number", "tolerance factor", symbol="k2")]:
    """Two-sided normal tolerance factor."""
    chi = stats.chi2.ppf(1 - confidence, count - 1)
    howe = stats.norm.ppf((1 + coverage) / 2) * np.sqrt((count - 1) * (1 + 1 / count) / chi)
    return howe * np.sqrt(1 + (count - 3 - chi) / (2 * (count + 1) ** 2))


@dataclass(frozen=True)
class VarianceComparison:
    """Ratio of two variances with its two-sided limits."""

    ratio: Annotated[Array, Quantity("number", "ratio of variances", symbol="F")]
    lower: Annotated[Array, Quantity("number", "lower limit")]
    upper: Annotated[Array, Quantity("number", "upper limit")]


@calculation(
    source="nist_handbook",
    where="section 1.3.5.9",
    equation="F = s1^2 / s2^2, limits at alpha / 2 with n1 - 1 and n2 - 1 degrees of freedom",
)
def f_test(
    spread_one: Annotated[Array, Quantity("number", "standard deviation of the first sample", 1e-12, 1e12, "s1")],
    count_one: Annotated[Array, Quantity("count", "size of the first sample", 2, 1e7, "n1")],
    spread_two: Annotated[Array, Quantity("number", "standard deviation of the second sample", 1e-12, 1e12, "s2")],
    count_two: Annotated[Array, Quantity("count", "size of the second sample", 2, 1e7, "n2")],
    significance: Significance = FIVE_PERCENT,
) -> VarianceComparison:
    """F-test for equal variances, two-sided."""
    one, two = count_one - 1, count_two - 1
    ratio = (spread_one / spread_two) ** 2
    return VarianceComparison(
        ratio, stats.f.ppf(significance / 2, one, two) + 0 * ratio, stats.f.isf(significance / 2, one, two) + 0 * ratio
    )


@dataclass(frozen=True)
class MeanComparison:
    """Difference of two means in units of its standard error, with the two-sided limit."""

    pooled: Annotated[Array, Quantity("number", "pooled standard deviation", symbol="sp")]
    statistic: Annotated[Array, Quantity("number", "test statistic", symbol="t")]
    degrees: Annotated[Array, Quantity("count", "degrees of freedom")]
    critical: Annotated[Array, Quantity("number", "critical value")]
    probability: Annotated[Array, Quantity("number", "probability of a larger difference by chance")]


@calculation(
    source="nist_handbook",
    where="section 1.3.5.3",
    equation="t = (m1 - m2) / (sp sqrt(1 / n1 + 1 / n2)), sp^2 = [(n1 - 1) s1^2 + (n2 - 1) s2^2] / (n1 + n2 - 2), limit at alpha / 2",
)
def t_test_pooled(
    mean_one: Annotated[Array, Quantity("number", "mean of the first sample", -1e12, 1e12, "m1")],
    spread_one: Annotated[Array, Quantity("number", "standard deviation of the first sample", 1e-12, 1e12, "s1")],
    count_one: Annotated[Array, Quantity("count", "size of the first sample", 2, 1e7, "n1")],
    mean_two: Annotated[Array, Quantity("number", "mean of the second sample", -1e12, 1e12, "m2")],
    spread_two: Annotated[Array, Quantity("number", "standard deviation of the second sample", 1e-12, 1e12, "s2")],
    count_two: Annotated[Array, Quantity("count", "size of the second sample", 2, 1e7, "n2")],
    significance: Significance = FIVE_PERCENT,
) -> MeanComparison:
    """t-test for equal means with a pooled variance, two-sided."""
    degrees = count_one + count_two - 2
    pooled = np.sqrt(((count_one - 1) * spread_one**2 + (count_two - 1) * spread_two**2) / degrees)
    statistic = (mean_one - mean_two) / (pooled * np.sqrt(1 / count_one + 1 / count_two))
    return MeanComparison(
        pooled,
        statistic,
        degrees,
        stats.t.isf(significance / 2, degrees) + 0 * statistic,
        np.asarray(2 * stats.t.sf(np.abs(statistic), degrees)),
    )


@calculation(source="nist_handbook", where="ASTM E122", equation="n = (z s / e)^2")
def sample_size(
    spread: Spread,
    error: Annotated[Array, Quantity("number", "tolerable error of the mean", 1e-12, 1e12, "e")],
    deviate: Annotated[Array, Quantity("number", "standard deviations of confidence", 0.5, 6, "z")] = THREE,
) -> Annotated[Array, Quantity("count", "number of tests, rounded up", symbol="n")]:
    """Number of tests for a mean of stated error. Nearly whole numbers are not rounded up a second time."""
    return np.ceil((deviate * spread / error) ** 2 - 1e-9)


@dataclass(frozen=True)
class BinomialInterval:
    """A share of counted items with its exact confidence limits."""

    share: Annotated[Array, Quantity("share", "share found")]
    lower: Annotated[Array, Quantity("share", "lower confidence limit")]
    upper: Annotated[Array, Quantity("share", "upper confidence limit")]


@calculation(
    source="normal",
    equation="Clopper-Pearson limits of f / n at confidence g, from the beta distribution",
)
def binomial_interval(
    found: Annotated[Array, Quantity("count", "items found", 0, 1e9, "f")],
    count: Annotated[Array, Quantity("count", "items tested", 1, 1e9, "n")],
    confidence: Confidence = USUAL_CONFIDENCE,
) -> BinomialInterval:
    """Share of items with its exact (Clopper-Pearson) confidence interval."""
    tail = (1 - confidence) / 2
    low = np.where(found == 0, 0.0, stats.beta.ppf(tail, np.maximum(found, 0.5), count - found + 1))
    high = np.where(found == count, 1.0, stats.beta.isf(tail, found + 1, np.maximum(count - found, 0.5)))
    return BinomialInterval(found / count, low, high)


@dataclass(frozen=True)
class Line:
    """A straight line by least squares."""

    slope: Array
    intercept: Array


def line_fit(x: Array, y: Array) -> Line:
    """Least-squares lines along the last axis of x and y (..., n); NaN pairs are left out. Fewer than two pairs give NaN.

    Slope [y over x] and intercept [y] (...). Raises ValueError unless x and y broadcast.
    """
    both = np.isfinite(x) & np.isfinite(y)
    n = both.sum(axis=-1)
    x, y = np.where(both, x, 0.0), np.where(both, y, 0.0)
    with np.errstate(all="ignore"):
        mean_x, mean_y = x.sum(axis=-1) / n, y.sum(axis=-1) / n
        dx = np.where(both, x - mean_x[..., None], 0.0)
        slope = (dx * y).sum(axis=-1) / (dx**2).sum(axis=-1)
        slope = np.where(n >= 2, slope, np.nan)
        return Line(slope, mean_y - slope * mean_x)


@calculation(
    source="guide1993",
    where="Part II, section 2.3.3",
    equation="mean = specified + z s, z at the share below",
)
def mean_from_specified(
    specified: Annotated[Array, Quantity("stress", "specified strength", 1e5, 1e9)],
    spread: Annotated[Array, Quantity("stress", "standard deviation of strength", 0.0, 1e8, "s")],
    share_below: Annotated[Array, Quantity("share", "share allowed below the specified strength", 0.001, 0.5)],
) -> Annotated[Array, Quantity("stress", "mean strength")]:
    """Mean strength that keeps a stated share of results above the specified one. [Pa]"""
    return specified + stats.norm.isf(share_below) * spread
