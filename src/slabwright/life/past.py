"""The road's own past: what the model would have predicted of the old slab, beside what the survey found.

The bare slab is computed at four places, bottom and top, at mid-slab and at a quarter, with the strength and modulus
that it had at each age. Where a section is calibrated, one multiplier on damage makes the prediction agree with the
survey; its uncertainty comes from the inputs, the number of slabs, and a prior about one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.special import betaincinv, ndtr

from slabwright.calculation import Array
from slabwright.life.cracking import Causes, cracked_share, multiplier_for, share_per_multiplier
from slabwright.life.damage_surface import DamageSurface
from slabwright.life.exposure import SLAB_MODULUS, Pavements
from slabwright.materials.fatigue import cracking_standard_error
from slabwright.plate.stresses import StressGrid
from slabwright.statistics.samples import binomial_interval

__all__ = ["Calibration", "Past", "PastCheck", "SURE", "Surveyed", "check_past", "quantiles"]

SURE = 0.95  # of the intervals
BAND = 1.645  # standard errors either way, beyond which the past refutes a prediction: one road in ten
FEWEST, MOST = 1e-12, 1 - 1e-9  # shares nearer to none and all of the slabs


def quantiles(values: Array, chances: Sequence[float] | Array, weight: Array) -> Array:
    """Quantiles of a weighted sample (n,) at chances (m,)."""
    return np.quantile(values, chances, weights=weight, method="inverted_cdf")


@dataclass(frozen=True)
class Surveyed:
    """What the survey found: slabs looked at, and how many of them were cracked."""

    slabs: int
    cracked: int

    @property
    def share(self) -> float:
        return self.cracked / self.slabs

    def interval(self) -> tuple[float, float]:
        """Exact interval of the share, by Clopper and Pearson."""
        found = binomial_interval(self.cracked, self.slabs, SURE)
        return float(found.lower), float(found.upper)


@dataclass(frozen=True)
class Past:
    """Damage so far of the old slab alone; call ``damage``.

    stress_error: (points,); trucks: (ages,) of the design lane at each age of the slab; ratio: (ages,) strength and
    modulus then over those of today.
    """

    surface: DamageSurface
    grid: StressGrid
    stress_error: Array
    trucks: Array
    ratio: Array

    @property
    def causes(self) -> Causes:
        return Causes.of(self.grid.points)

    def damage(self, pavements: Pavements, errors: tuple[Array, Array]) -> Array:
        """Damage so far (n, points) of pavements as they are today, with their numbers of the two errors, each (n,)."""
        error = errors[0][:, None] * self.stress_error + errors[1][:, None] * self.surface.error
        total = np.zeros((len(pavements.states), len(self.grid.points)))
        for trucks, ratio in zip(self.trucks, self.ratio, strict=True):  # a handful of ages
            states = pavements.states.copy()
            states[:, SLAB_MODULUS] *= ratio
            then = Pavements(states, pavements.temperature, pavements.strength * ratio)
            total += trucks * self.surface(then, error)
        return total

    def bottom(self, damage: Array) -> Array:
        """Damage (n,) at the worst place of the bottom, which an overlay keeps in tension, from that of the points."""
        return self.causes.worst(damage)[:, self.causes.faces.index(3)]


@dataclass(frozen=True)
class Calibration:
    """A section's survey, and the prior of the multiplier: lognormal about one, ``spread`` the factor at one deviation."""

    surveyed: Surveyed
    spread: float

    def multipliers(self, damage: Array, normal: Array, exponent: float) -> tuple[Array, Array]:
        """Multiplier (n,) and weight (n,), sum 1, of samples with damage so far (n, two causes).

        Shares cracked are drawn near the survey's (a beta distribution with half a slab more of each) by the standard
        normal numbers (n,); the multiplier that makes a sample predict one follows. The sample's weight is the prior of
        that multiplier times the binomial likelihood, over the density with which it was drawn. Together they are a
        sample of the posterior of inputs and multiplier (importance sampling). Raises nothing.
        """
        k, n = self.surveyed.cracked, self.surveyed.slabs
        share = np.clip(betaincinv(k + 0.5, n - k + 0.5, ndtr(normal)), FEWEST, MOST)
        multiplier = multiplier_for(share, damage, exponent)
        prior = -((np.log(multiplier) / np.log(self.spread)) ** 2) / 2
        slope = np.maximum(share_per_multiplier(multiplier[:, None] * damage, exponent), 1e-300)
        weight = np.exp(prior - prior.max()) * np.sqrt(share * (1 - share)) / slope
        return multiplier, weight / weight.sum()


@dataclass(frozen=True)
class PastCheck:
    """What the model predicts of the old slab so far beside what the survey found.

    damage: (points,) median, without multiplier; bottom_up, top_down, predicted: median shares of slabs cracked; low,
    high: 90 % of roads like this, by the standard error published with the curve, which holds the scatter of inputs;
    factor, factor_low, factor_high: the multiplier on damage with which the section's past is predicted, its median and
    95 %; NaN without a survey; allowed: by what factor damage may be off and the past still count as agreeing.
    """

    damage: Array
    bottom_up: float
    top_down: float
    predicted: float
    low: float
    high: float
    surveyed: Surveyed | None
    factor: float = np.nan
    factor_low: float = np.nan
    factor_high: float = np.nan
    allowed: float = np.inf

    @property
    def refuted(self) -> bool:
        """Whether damage would have to change by more than the factor allowed, either way."""
        return self.surveyed is not None and not 1 / self.allowed <= self.factor <= self.allowed


def check_past(
    past: Past, damage: Array, normal: Array, exponent: float, surveyed: Surveyed | None, spread: float, allowed: float
) -> PastCheck:
    """The comparison from damage so far (n, points) without a multiplier and standard normal numbers (n,) of their own."""
    worst = past.causes.worst(damage)
    each = {face: float(np.median(cracked_share(worst[:, [i]], exponent))) for i, face in enumerate(past.causes.faces)}
    predicted = float(np.median(cracked_share(worst, exponent)))
    reach = BAND * float(cracking_standard_error(predicted))
    low, high = max(predicted - reach, 0.0), min(predicted + reach, 1.0)
    found = PastCheck(np.median(damage, axis=0), each[3], each[2], predicted, low, high, surveyed)
    if surveyed is None:
        return found
    multiplier, weight = Calibration(surveyed, spread).multipliers(worst, normal, exponent)
    least, middle, most = quantiles(multiplier, [(1 - SURE) / 2, 0.5, (1 + SURE) / 2], weight)
    return replace(found, factor=float(middle), factor_low=float(least), factor_high=float(most), allowed=allowed)
