"""Homogeneous sections: cumulative differences, optimal change points, and boundaries set by hand."""

from __future__ import annotations

from itertools import pairwise
from typing import Annotated

import numpy as np
import numpy.typing as npt
from scipy import stats

from slabwright.calculation import Array, Quantity, calculation

__all__ = [
    "boundaries_by_change_points",
    "boundaries_by_cumulative_difference",
    "cumulative_difference",
    "cumulative_difference_intervals",
    "drop_weak_boundaries",
]

Response = Annotated[Array, Quantity("number", "pavement response at each point", -1e12, 1e12, "r", vector=True)]
Positions = Annotated[Array, Quantity("length", "position of each point", -1e6, 1e7, "x", vector=True)]
Difference = Annotated[Array, Quantity("number", "cumulative difference", symbol="Z")]


@calculation(
    source="guide1993",
    where="Appendix J, first page",
    tag="looked up",
    equation="Z(i) = sum a - F* sum dx, a = (r(i-1) + r(i)) / 2 dx, dx = x(i) - x(i-1), F* = A / L",
)
def cumulative_difference(positions: Positions, response: Response) -> Difference:
    """Cumulative difference at each point, interval values averaged between points (the printed discrete form).

    The first interval reaches from one spacing before the first point. (n,), (n,) -> (n,)
    """
    dx = np.diff(positions, prepend=2 * positions[..., :1] - positions[..., 1:2])
    before = np.concatenate([response[..., :1], response[..., :-1]], axis=-1)
    return _difference((before + response) / 2 * dx, dx)


@calculation(
    source="guide1993",
    where="Appendix J, first page",
    tag="looked up",
    equation="Z(i) = sum r dx - F* sum dx",
)
def cumulative_difference_intervals(
    lengths: Annotated[Array, Quantity("length", "length of each interval", 1e-6, 1e6, "dx", vector=True)],
    response: Response,
) -> Difference:
    """Cumulative difference at the end of each interval of constant response, without averaging. (n,), (n,) -> (n,)"""
    return _difference(response * lengths, lengths)


def _difference(area: Array, dx: Array) -> Array:
    total, length = area.cumsum(axis=-1), dx.cumsum(axis=-1)
    return total - total[..., -1:] / length[..., -1:] * length


def boundaries_by_cumulative_difference(z: Array) -> npt.NDArray[np.int64]:
    """Points after which the slope of Z changes sign; index of the first point of the next section."""
    slope = np.sign(np.diff(z, prepend=0.0))
    turn = np.flatnonzero(slope[1:] * slope[:-1] < 0) + 1
    return turn.astype(np.int64)


def boundaries_by_change_points(response: Array, least_points: int) -> npt.NDArray[np.int64]:
    """Optimal boundaries of a piecewise constant mean: index of the first point of each next section.

    Exact minimum of the squared error plus 3 s^2 ln(n) for each boundary (pruned search of Killick et al.), with
    s from the differences of neighbours so that steps do not inflate it.
    """
    import ruptures

    n = len(response)
    if n < 2 * least_points:
        return np.array([], dtype=np.int64)
    noise = stats.median_abs_deviation(np.diff(response), scale="normal") / np.sqrt(2)
    if noise == 0:
        noise = float(np.std(response)) or 1.0
    search = ruptures.Pelt(model="l2", min_size=max(least_points, 1), jump=1).fit(response.reshape(-1, 1))
    ends = search.predict(pen=3 * noise**2 * np.log(n))
    return np.array(ends[:-1], dtype=np.int64)


def drop_weak_boundaries(
    positions: Array, response: Array, boundaries: npt.NDArray[np.int64], shortest: float, significance: float = 0.01
) -> npt.NDArray[np.int64]:
    """Boundaries that survive: sections long enough, neighbours different in mean (Welch's test).

    The weakest boundary goes first, one at a time, until all that remain hold. ``positions`` in m, ascending.
    """
    kept = [int(b) for b in np.unique(boundaries) if 0 < b < len(positions)]
    while kept:
        edges = [0, *kept, len(positions)]
        parts = [slice(a, b) for a, b in pairwise(edges)]
        lengths = [_length(positions, p) for p in parts]
        worth = [_difference_worth(response[a], response[b]) for a, b in pairwise(parts)]
        short = [min(lengths[i], lengths[i + 1]) < shortest for i in range(len(kept))]
        weakest = int(np.argmax([w + (2.0 if s else 0.0) for w, s in zip(worth, short, strict=True)]))
        if worth[weakest] <= significance and not short[weakest]:
            break
        del kept[weakest]
    return np.array(kept, dtype=np.int64)


def _length(positions: Array, part: slice) -> float:
    """From half way to the neighbours; the ends of the road count whole."""
    left = positions[part.start] if part.start == 0 else (positions[part.start - 1] + positions[part.start]) / 2
    last = len(positions) - 1
    right = positions[last] if part.stop > last else (positions[part.stop - 1] + positions[part.stop]) / 2
    return float(right - left)


def _difference_worth(one: Array, two: Array) -> float:
    """Probability that two samples with such means come from one population; 1 for samples too small to tell."""
    if len(one) < 3 or len(two) < 3:
        return 1.0
    spread = max(np.ptp(one), np.ptp(two))
    if spread <= 1e-9 * max(np.abs(one).max(), np.abs(two).max()):
        return 0.0 if abs(one.mean() - two.mean()) > spread else 1.0
    found = stats.ttest_ind_from_stats(
        one.mean(), one.std(ddof=1), len(one), two.mean(), two.std(ddof=1), len(two), equal_var=False
    )
    return float(found.pvalue)
