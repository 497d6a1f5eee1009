"""From damage to cracked slabs: bottom-up and top-down as independent causes, and the years until a share has cracked.

A slab cracks from the bottom of the old concrete, from the bottom of the overlay or from the top. Within a cause the
worst place along the slab counts; the causes are independent, so that the shares of slabs they spare multiply.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.optimize import brentq

from slabwright.calculation import Array
from slabwright.materials.fatigue import cracked_slabs_2004, cracked_slabs_2008, cracking_standard_error
from slabwright.plate.stresses import Point
from slabwright.traffic.axles import years_of_traffic

__all__ = [
    "CRACKING_CURVES",
    "LONGEST",
    "Ageing",
    "Causes",
    "TruckTraffic",
    "cracked_after",
    "cracked_share",
    "cracking_exponent",
    "damage_at_cracking",
    "median_share_at",
    "multiplier_for",
    "share_per_multiplier",
    "years_to_level",
]

CRACKING_CURVES = {"2004 calibration": cracked_slabs_2004, "2008 calibration": cracked_slabs_2008}
LONGEST = 1e6  # years: where damage is none, so that a mean or a quantile stays a number
STEPS = 12  # of Newton's method; it doubles its digits in each
TINY = 1e-300
# Years after opening between which the concrete is taken at one age; the last lasts for ever.
YEARS = np.array([0.0, 0.25, 1.0, 2.0, 4.0, 7.0, 12.0, 20.0, 35.0, 60.0])


def cracking_exponent(curve: str) -> float:
    """The exponent b of a published curve c / (1 - c) = FD^b, read off the curve itself."""
    at_ten = float(CRACKING_CURVES[curve](10.0))
    return float(np.log10(at_ten / (1 - at_ten)))


def damage_at_cracking(share: float, exponent: float) -> float:
    """Damage [1] by one cause that cracks a share of the slabs, 0 <= share < 1: the curve read backwards."""
    return float((share / (1 - share)) ** (1 / exponent))


@dataclass(frozen=True)
class Causes:
    """The points of a grid by cause, which is the face that the crack starts from."""

    faces: tuple[int, ...]
    members: tuple[tuple[int, ...], ...]

    @classmethod
    def of(cls, points: tuple[Point, ...]) -> Causes:
        faces = tuple(sorted({p.face for p in points}))
        return cls(faces, tuple(tuple(i for i, p in enumerate(points) if p.face == face) for face in faces))

    def worst(self, damage: Array) -> Array:
        """Damage (..., points) to that of each cause (..., causes) at its worst place."""
        return np.stack([damage[..., list(members)].max(axis=-1) for members in self.members], axis=-1)

    def place(self, cause: int, damage: Array) -> int:
        """The point of a cause where damage (points,) is greatest."""
        members = list(self.members[cause])
        return members[int(damage[members].argmax())]


def cracked_share(damage: Array, exponent: float) -> Array:
    """Share of slabs cracked (...,) by damage (..., causes), the causes independent."""
    return -np.expm1(-np.log1p(damage**exponent).sum(axis=-1))


def multiplier_for(share: Array, damage: Array, exponent: float) -> Array:
    """Factor (n,) on damage (n, two causes) with which a share (n,) of the slabs has cracked.

    (1 + x B)(1 + x T) = 1 / (1 - share) is a quadratic in x, the factor to the power of the exponent.
    """
    first, second = (np.maximum(d, TINY ** (1 / 4)) ** exponent for d in damage.T)
    odds, both = share / (1 - share), first + second
    return (2 * odds / (both + np.sqrt(both**2 + 4 * first * second * odds))) ** (1 / exponent)


def share_per_multiplier(damage: Array, exponent: float) -> Array:
    """Derivative (n,) of the share cracked by damage (n, causes) with respect to the logarithm of a factor on it."""
    odds = damage**exponent
    return exponent * (odds / (1 + odds)).sum(axis=-1) / np.prod(1 + odds, axis=-1)


def median_share_at(level: float, deviate: float) -> float:
    """The share that may be predicted so that it stays below ``level`` at a standard normal ``deviate``.

    By the standard error published with the cracking curve; 0 where even no predicted cracking is not sure enough.
    """

    def beyond(share: float) -> float:
        return share + deviate * float(cracking_standard_error(share)) - level

    return float(brentq(beyond, 0.0, level)) if beyond(0.0) < 0 < beyond(level) else (0.0 if deviate > 0 else level)


@dataclass(frozen=True)
class TruckTraffic:
    """Trucks of the design lane: in the first year to come, and their yearly growth."""

    first_year: float
    growth: float

    def trucks(self, years: Array) -> Array:
        """Trucks in the years after opening."""
        if abs(self.growth) < 1e-9:
            return self.first_year * years
        return self.first_year * np.expm1(years * np.log1p(self.growth)) / self.growth


@dataclass(frozen=True)
class Ageing:
    """Years after opening (k,) from which the concrete is taken at one age, and the ratios of strength at which damage is asked.

    ratio: (k,) strength and modulus over those at 28 days in each span; nodes: (m,) rising, damage between them being
    straight on its logarithm.
    """

    years: Array
    ratio: Array
    nodes: Array

    def spread(self, damage: Array) -> Array:
        """Damage at the nodes (m, ...) to that of every span (k, ...)."""
        if len(self.nodes) == 1:
            return np.broadcast_to(damage, (len(self.ratio), *damage.shape[1:]))
        weights = np.stack([np.interp(self.ratio, self.nodes, row) for row in np.eye(len(self.nodes))], axis=1)
        return np.exp(np.tensordot(weights, np.log(np.maximum(damage, TINY)), axes=1))


NO_AGEING = Ageing(np.zeros(1), np.ones(1), np.ones(1))


def years_to_level(
    level: float,
    exponent: float,
    past: Array,
    per_truck: Array,
    trucks: TruckTraffic,
    traffic: Array,
    ageing: Ageing = NO_AGEING,
) -> tuple[Array, Array]:
    """Years (n,) until a share of the slabs that were sound under the overlay has cracked, and each cause's part (n, causes).

    past: (n, causes) damage so far; per_truck: (spans, n, causes) in the spans of ``ageing``; traffic: (n,) ratio of the
    traffic to the forecast. Slabs that cracked before are repaired, so that a cause spares of the sound ones
    (1 + past^b) / (1 + FD^b). Where half and more had cracked, the curve would give its survivors more than new slabs
    bear: they are given no more.
    """
    edges = trucks.trucks(ageing.years)[:, None] * traffic
    steps = np.diff(edges, axis=0)[..., None] * per_truck[:-1]
    borne = np.concatenate([np.zeros((1, *past.shape)), np.cumsum(steps, axis=0)])
    left = np.log1p(-level)
    spared = np.stack([_spared(past, one, exponent).sum(axis=-1) for one in borne])
    span = np.maximum((spared > left).sum(axis=0) - 1, 0)
    row = np.arange(len(past))
    begun, rate = borne[span, row], np.maximum(per_truck[span, row], TINY)
    more = _trucks_to(left, past, begun, rate, exponent)
    years = years_of_traffic((edges[span, row] + more) / traffic, trucks.first_year, trucks.growth)
    part = _spared(past, begun + more[:, None] * rate, exponent)
    return np.minimum(years, LONGEST), part / np.minimum(part.sum(axis=-1, keepdims=True), -TINY)


def cracked_after(
    years: Array,
    exponent: float,
    past: Array,
    per_truck: Array,
    trucks: TruckTraffic,
    traffic: Array,
    ageing: Ageing = NO_AGEING,
) -> Array:
    """Share (k, n) of the slabs that were sound under the overlay that has cracked after ``years`` (k,).

    The other inputs are those of ``years_to_level``, which reads it the other way.
    """
    begun, ended = ageing.years, np.append(ageing.years[1:], np.inf)
    passed = trucks.trucks(np.minimum(ended, years[:, None])) - trucks.trucks(np.minimum(begun, years[:, None]))
    borne = np.tensordot(passed, per_truck, axes=1) * traffic[:, None]
    return np.stack([-np.expm1(_spared(past, one, exponent).sum(axis=-1)) for one in borne])


def _spared(past: Array, borne: Array, exponent: float) -> Array:
    """Logarithm of the share of sound slabs that each cause spares."""
    worn = np.log1p(past**exponent) - np.log1p((past + borne) ** exponent)
    return np.minimum(worn, -np.log1p(borne**exponent))


def _trucks_to(left: float, past: Array, begun: Array, rate: Array, exponent: float) -> Array:
    """Trucks (n,) beyond the damage borne at which ``left`` is reached: Newton's method from where one cause alone reaches it."""
    odds = (1 + past**exponent) * np.exp(-left) - 1
    alone = np.minimum(odds ** (1 / exponent) - past, np.expm1(-left) ** (1 / exponent))
    found = np.maximum((alone - begun) / rate, 0.0).min(axis=-1)
    for _ in range(STEPS):
        borne = begun + found[:, None] * rate
        worn, fresh = past + borne, borne
        total = _spared(past, borne, exponent)
        governing = np.where(-np.log1p(fresh**exponent) <= total, fresh, worn)
        slope = -(exponent * governing ** (exponent - 1) * rate / (1 + governing**exponent)).sum(axis=-1)
        found = np.maximum(found - (total.sum(axis=-1) - left) / np.minimum(slope, -TINY), 0.0)
    return found
