"""How near the bond is to failure under shear and peel together, by the criterion decided and by its rival."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from slabwright.calculation import Array
from slabwright.interface.mixed_mode import mixed_mode_coulomb, mixed_mode_elliptic, mixed_mode_hyperbolic
from slabwright.materials.growth import tensile_ratio_en1992
from slabwright.records.decisions.bond import CRITERIA

__all__ = ["PEEL", "SHEAR", "TOGETHER", "Bond", "concrete_tension", "mode", "rival_criterion"]

SHEAR, PEEL, TOGETHER = "shear", "peel", "shear and peel together"
MPA = 1e6
ALONE = 3.0  # times the other's share of its strength: then one of the two is named alone


@dataclass(frozen=True)
class Bond:
    """A criterion with its friction [1], and strengths of the bond in tension and shear (ages,) [Pa]."""

    criterion: str
    friction: float
    tension: Array
    shear: Array

    def factor(self, shear: Array, peel: Array) -> Array:
        """Strength over demand (..., ages) of shear and peel (..., ages) [Pa]. Pressure on the face earns nothing.

        Raises OutOfRange for a scalar, gives NaN for an element, outside the bounds of the criterion.
        """
        pull = np.maximum(peel, 0.0)
        if self.criterion == "ellipse":
            return np.asarray(mixed_mode_elliptic(pull, shear, self.tension, self.shear).factor)
        rubbing = mixed_mode_hyperbolic if self.criterion == "hyperbola" else mixed_mode_coulomb
        return np.asarray(rubbing(pull, shear, self.tension, self.shear, self.friction).factor)


def rival_criterion(criterion: str) -> str:
    """The criterion that is shown beside: the ellipse, or beside it the hyperbola. Raises nothing."""
    return CRITERIA[1] if criterion != CRITERIA[1] else CRITERIA[0]


def concrete_tension(strength: float, ages: Array, cement: str) -> Array:
    """Mean tensile strength of the overlay's concrete (ages,) [Pa] from its mean cylinder strength at 28 days [Pa].

    0.3 fck^(2/3) up to C50, above 2.12 ln(1 + fcm / 10), in MPa, fck = fcm - 8, times its growth. Source: EN 1992-1-1,
    Table 3.1, from memory. Raises nothing.
    """
    mean = strength / MPA
    at_28_days = 0.3 * (mean - 8) ** (2 / 3) if mean <= 58 else 2.12 * np.log(1 + mean / 10)
    return np.asarray(at_28_days * MPA * np.asarray(tensile_ratio_en1992(ages, cement)))


def mode(shear: float, peel: float, tension: float, shear_strength: float) -> str:
    """Which of the two governs, by their shares of their own strengths [Pa]. Raises nothing."""
    by_shear, by_peel = shear / shear_strength, max(peel, 0.0) / tension
    if by_shear >= ALONE * by_peel:
        return SHEAR
    return PEEL if by_peel >= ALONE * by_shear else TOGETHER
