"""The road's own past: what the model would have predicted of the old slab, beside what the survey found.

The bare slab is computed at four places, bottom and top, at mid-slab and at a quarter, with the strength and modulus
that it had at each age. Where a section is calibrated, one multiplier on damage makes the prediction agree with the
survey; its uncertainty comes from the inputs, the number of slabs, and a prior about one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy import stats
from scipy.special import betaincinv, ndtr, ndtri

from slabwright.calculation import Array
from slabwright.life.cracking import Causes, cracked_share, multiplier_for, share_per_multiplier
from slabwright.life.damage_surface import DamageSurface
from slabwright.life.exposure import SLAB_MODULUS, Pavements
from slabwright.materials.fatigue import cracking_standard_error
from slabwright.plate.stresses import StressGrid
from slabwright.records.words import NOT_EXAMINED
from slabwright.statistics.samples import binomial_interval

__all__ = [
    "AGREES",
    "REFUTED",
    "UNSETTLED",
    "Calibration",
    "Past",
    "PastCheck",
    "SURE",
    "Surveyed",
    "check_past",
    "quantiles",
]

SURE = 0.95  # of the intervals
AGREES, REFUTED, UNSETTLED = "yes", "no", "not settled"
LEAST_SLABS = 20  # of fewer the share cracked tells nothing of a section (common practice, no source)
FARTHEST = 1e15  # a multiplier
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

        Half of the standard normal numbers (n,) draw multipliers from the prior, half draw shares cracked near the
        survey's (a beta distribution), from which the multiplier that makes a sample predict them follows. The weight is
        prior times binomial likelihood over the density of both ways together. They are a sample of the posterior of
        inputs and multiplier (importance sampling from a mixture), whether the survey tells much or nothing.
        """
        chance = 2 * ndtr(normal)
        of_prior = chance < 1
        part = np.clip(np.where(of_prior, chance, chance - 1), FEWEST, MOST)
        k, left, wide = (
            self.surveyed.cracked + 0.5,
            self.surveyed.slabs - self.surveyed.cracked + 0.5,
            np.log(self.spread),
        )
        surveyed = multiplier_for(np.clip(betaincinv(k, left, part), FEWEST, MOST), damage, exponent)
        drawn = np.clip(np.where(of_prior, np.exp(wide * ndtri(part)), surveyed), 1 / FARTHEST, FARTHEST)
        scaled = drawn[:, None] * damage
        share = np.clip(cracked_share(scaled, exponent), 1e-300, MOST)
        prior = stats.norm.logpdf(np.log(drawn), scale=wide)
        slope = np.log(np.maximum(share_per_multiplier(scaled, exponent), 1e-300))
        density = np.logaddexp(prior, stats.beta.logpdf(share, k, left) + slope)
        likelihood = stats.binom.logpmf(self.surveyed.cracked, self.surveyed.slabs, share)
        cut = ~of_prior & ((drawn <= 1 / FARTHEST) | (drawn >= FARTHEST))  # where no multiplier makes the share
        weight = np.where(cut, -np.inf, prior + likelihood - density)
        made = np.exp(weight - weight.max())
        return drawn, made / made.sum()


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
    def standing(self) -> str:
        """Whether the past agrees: one of ``AGREES``, ``REFUTED``, ``UNSETTLED``, ``NOT_EXAMINED``.

        It agrees where the prediction lies within the survey's interval, or the factor on damage within what is allowed.
        It refutes the model where the whole interval of that factor lies beyond. Between the two it is not settled.
        """
        if self.surveyed is None or self.surveyed.slabs < LEAST_SLABS:
            return NOT_EXAMINED
        low, high = self.surveyed.interval()
        if low <= self.predicted <= high or 1 / self.allowed <= self.factor <= self.allowed:
            return AGREES
        beyond = self.factor_high < 1 / self.allowed or self.factor_low > self.allowed
        return REFUTED if beyond else UNSETTLED

    @property
    def refuted(self) -> bool:
        return self.standing == REFUTED


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
