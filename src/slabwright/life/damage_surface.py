"""A response surface of fatigue damage by an average truck, for a hundred thousand lives in a second or two.

Damage spans many powers of ten and no polynomial follows it. What is fitted is its *equivalent stress ratio*: the
ratio at which one pass would do as much. It is nearly a product of powers of the inputs, so on logarithms a low
polynomial follows it closely, and what that misses is an error of stress, told as a share.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from slabwright.calculation import Array
from slabwright.life.damage import HARDEST_RATIO, LOWEST_RATIO, Law, pass_damage
from slabwright.life.exposure import Pavements
from slabwright.statistics.polynomial import Polynomial, Scale, fit_each

__all__ = ["DamageSurface", "Equivalence", "fit_damage"]

# Overlay, slab, two moduli, k and strength act by ratios; the delaminated share and the temperature by themselves.
ON_LOGARITHM = np.array([True, True, True, True, True, False, False, True])
MATTERS = 1e-11  # damage by a truck below which a hundred million trucks do not show
# Damage below a floor is taken at it. A low floor keeps the surface smooth where damage matters throughout; a high one
# keeps a point that is mostly in compression from bending the surface where it is not. The better one is kept.
FLOORS = (1e-250, 1e-40, 1e-25, 1e-11)
LEAST_COUNTED = 20  # samples that matter, fewer than which cannot tell a floor from another
NODES = 4000
SPREAD = 0.35  # of the logarithm of stress, either way
SPREAD_NODES = 71


@dataclass(frozen=True)
class Equivalence:
    """A fatigue law as pairs of damage and stress ratio, both on logarithms and rising."""

    damage: Array
    ratio: Array

    @classmethod
    def of(cls, law: Law) -> Equivalence:
        """Pairs for stresses spread about the ratio as those of a truck are, from no damage to failure in one pass.

        Without the spread a law that jumps, at its endurance limit or at failure, would have damages without a ratio.
        Of ratios with equal damage the highest is kept.
        """
        ratio = np.geomspace(LOWEST_RATIO / 2, 2 * HARDEST_RATIO, NODES)
        spread = np.exp(np.linspace(-SPREAD, SPREAD, SPREAD_NODES))
        with np.errstate(all="ignore"):
            damage = pass_damage(law, ratio[:, None] * spread).mean(axis=1)
        rising = np.diff(np.maximum.accumulate(np.log(np.maximum(damage, FLOORS[0]))), append=np.inf) > 1e-12
        return cls(np.log(np.maximum(damage, FLOORS[0]))[rising], np.log(ratio[rising]))

    def to_ratio(self, damage: Array) -> Array:
        """Logarithm of the equivalent ratio; damage too small for the law is taken at its lowest."""
        return np.interp(np.log(np.maximum(damage, FLOORS[0])), self.damage, self.ratio)

    def to_damage(self, ratio: Array) -> Array:
        return np.exp(np.interp(ratio, self.ratio, self.damage))


@dataclass(frozen=True)
class DamageSurface:
    """Damage by an average truck at each point; call with pavements.

    error: (points,) root mean square of what the surface misses of left-out samples, as a share of stress.
    matters: (points,) whether damage shows in enough samples; where it does not, no scatter can make it.
    """

    equivalence: Equivalence
    scales: tuple[Scale, ...]
    polynomials: tuple[Polynomial, ...]
    error: Array
    matters: npt.NDArray[np.bool_]

    def __call__(self, pavements: Pavements, stress: Array | float = 0.0) -> Array:
        """Damage (n, points); ``stress`` (n, points) is added to the logarithm of the stress, as scatter."""
        ratios = [
            polynomial(scale.unit(_inputs(pavements, point)))[:, 0]
            for point, (scale, polynomial) in enumerate(zip(self.scales, self.polynomials, strict=True))
        ]  # a handful of points, each with its own strength
        return self.equivalence.to_damage(np.stack(ratios, axis=1) + self.matters * stress)


def _inputs(pavements: Pavements, point: int) -> Array:
    return np.column_stack([pavements.states, pavements.temperature, pavements.strength[:, point]])


def fit_damage(law: Law, pavements: Pavements, damage: Array) -> DamageSurface:
    """The surface through exact damage (n, points) of pavements spread over what will be asked.

    Its ends are the extremes of those pavements. Raises InputError when they are too few.
    """
    equivalence = Equivalence.of(law)
    ratios = equivalence.to_ratio(np.maximum(damage[..., None], np.array(FLOORS)))
    matters = (damage > MATTERS).sum(axis=0) >= LEAST_COUNTED
    scales, polynomials, errors = [], [], []
    for point in range(damage.shape[1]):
        inputs = _inputs(pavements, point)
        scale = Scale(inputs.min(axis=0), inputs.max(axis=0), ON_LOGARITHM)
        counted = damage[:, point] > MATTERS
        polynomial, error = _best(scale.unit(inputs), ratios[:, point], counted)
        scales.append(scale)
        polynomials.append(polynomial)
        errors.append(error)
    return DamageSurface(equivalence, tuple(scales), tuple(polynomials), np.array(errors), matters)


def _best(unit: Array, ratios: Array, counted: npt.NDArray[np.bool_]) -> tuple[Polynomial, float]:
    """The polynomial of the floor (columns of ``ratios``) that misses the counted samples least, and by how much."""
    fits = fit_each(unit, ratios)
    if counted.sum() < LEAST_COUNTED:
        kept = fits[-1]
        return kept.polynomial, float(np.sqrt((kept.left_out**2).mean()))
    errors = [float(np.sqrt((f.left_out[counted] ** 2).mean())) for f in fits]
    best = int(np.argmin(errors))
    return fits[best].polynomial, errors[best]
