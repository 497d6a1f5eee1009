"""Where the scatter of a result comes from: variance shares of independent inputs, by the Sobol method of SALib."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from slabwright.calculation import Array
from slabwright.errors import InputError

__all__ = ["Indices", "variance_shares"]


@dataclass(frozen=True)
class Indices:
    """For each input (d,): share of the variance by itself, with interactions, and half the 95 % interval of the first."""

    first_order: Array
    total: Array
    confidence: Array


def variance_shares(function: Callable[[Array], Array], names: Sequence[str], samples: int, seed: int) -> Indices:
    """Shares [1] of the variance of ``function`` over inputs (n, d) that are uniform between 0 and 1.

    It is asked for samples x (inputs + 2) rows, ``samples`` a power of two. A result that does not vary has shares
    of zero. Raises InputError when the function gives anything that is not finite.
    """
    from SALib.analyze import sobol as analysis
    from SALib.sample import sobol as sampling

    problem = {"num_vars": len(names), "names": list(names), "bounds": [[0.0, 1.0]] * len(names)}
    rows = sampling.sample(problem, samples, calc_second_order=False, seed=seed)
    values = np.asarray(function(rows), dtype=np.float64)
    if not np.isfinite(values).all():
        raise InputError("a sensitivity needs finite values", given=int((~np.isfinite(values)).sum()))
    if np.ptp(values) == 0:
        none = np.zeros(len(names))
        return Indices(none, none, none)
    # Centred, since the estimators lose digits to a mean that is large beside the spread.
    found = analysis.analyze(problem, values - values.mean(), calc_second_order=False, seed=seed)
    return Indices(np.asarray(found["S1"]), np.asarray(found["ST"]), np.asarray(found["S1_conf"]))
