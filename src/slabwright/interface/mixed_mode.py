"""Strength of the bonded face when shear and tension act on it together, by three criteria.

All three are given the two strengths that tests measure: in pure tension across the face (pull-off) and in pure shear.
They part in between. Where both act in equal proportion to their strengths the ellipse bears 1.41 times what a straight
line through the same two strengths bears. The hyperbola lies between these two: at a friction of 0.7 and a shear strength
of twice the tensile one it bears 0.85 to 1 times the ellipse. The line of Mohr and Coulomb that is cut off at the tensile
strength knows no rounding: at its corner it bears 1.19 times the ellipse, and is the most hopeful there.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

import numpy as np

from slabwright.calculation import Array, Quantity, calculation

__all__ = ["MixedMode", "MixedModeHyperbolic", "mixed_mode_coulomb", "mixed_mode_elliptic", "mixed_mode_hyperbolic"]

MPA = 1e6
Normal = Annotated[Array, Quantity("stress", "stress across the face, tension positive", -20 * MPA, 20 * MPA, "sn")]
Shear = Annotated[Array, Quantity("stress", "shear along the face, either sign", -20 * MPA, 20 * MPA, "tau")]
TensileStrength = Annotated[
    Array, Quantity("stress", "strength in pure tension (pull-off)", 0.05 * MPA, 10 * MPA, "ft")
]
ShearStrength = Annotated[Array, Quantity("stress", "strength in pure shear", 0.05 * MPA, 20 * MPA, "fs")]
Friction = Annotated[Array, Quantity("number", "coefficient of friction, tangent of its angle", 0.1, 2.0, "mu")]
Utilisation = Annotated[Array, Quantity("number", "share of its strength that the face is asked for", symbol="u")]
Factor = Annotated[Array, Quantity("number", "multiple of both stresses that reaches the strength")]
# Roughened concrete on concrete: 0.7 in EN 1992-1-1 (rough), 1.0 in ACI 318 (6 mm deep), both from memory.
ROUGH: Array = np.asarray(0.7)
LEAST_UTILISATION = 1e-6


@dataclass(frozen=True)
class MixedMode:
    """How near a face is to failure when both stresses grow in proportion."""

    utilisation: Utilisation
    factor: Factor


@dataclass(frozen=True)
class MixedModeHyperbolic:
    """How near a face is to failure by the hyperbola, and the hyperbola's cohesion."""

    utilisation: Utilisation
    factor: Factor
    cohesion: Annotated[Array, Quantity("stress", "cohesion of the line that the hyperbola nears", symbol="c")]


def _factor(utilisation: Array) -> Array:
    """One over the utilisation; a million stands for a demand that never reaches the strength."""
    return 1 / np.maximum(utilisation, LEAST_UTILISATION)


@calculation(
    source="brewer_lagace1988", equation="u = [(sn / ft)^2 + (tau / fs)^2]^0.5, sn in tension only; factor 1 / u"
)
def mixed_mode_elliptic(
    normal: Normal, shear: Shear, tensile_strength: TensileStrength, shear_strength: ShearStrength
) -> MixedMode:
    """Shear and tension together on a bonded face: the quadratic criterion.

    Compression earns nothing: a pressed face has its strength in pure shear.
    Stresses and strengths [Pa], any shapes that broadcast. Returns numbers [1]: both stresses times the factor reach
    the strength; a factor of a million stands for no demand. Scalars outside the bounds raise OutOfRange, array
    elements give NaN. Source: Brewer & Lagace 1988, from memory (made for laminates; with concrete it is a convention).
    """
    utilisation = np.hypot(np.maximum(normal, 0.0) / tensile_strength, shear / shear_strength)
    return MixedMode(utilisation, _factor(utilisation))


@calculation(
    source="carol1997",
    equation="u = {c mu sn + [fs^2 tau^2 + mu^2 sn^2 (c - mu ft)^2]^0.5} / fs^2, at least 0, c = (fs^2 + mu^2 ft^2) / (2 mu ft), fs >= mu ft: "
    "the root of tau^2 - (c - mu sn)^2 + (c - mu ft)^2 = 0 under proportional growth; factor 1 / u",
)
def mixed_mode_hyperbolic(
    normal: Normal,
    shear: Shear,
    tensile_strength: TensileStrength,
    shear_strength: ShearStrength,
    friction: Friction = ROUGH,
) -> MixedModeHyperbolic:
    """Shear and tension together on a bonded face: the hyperbola of Carol, Prat & Lopez.

    Rounded in tension, friction in compression. Its cohesion is found from the strength in pure shear, which a test
    measures; with fs = mu ft it is the straight line, and below that there is no such hyperbola (OutOfRange, NaN in arrays).
    Compression is credited: count on it only where it is sure to be there.
    Stresses and strengths [Pa], friction [1], any shapes that broadcast. Returns numbers [1] and the cohesion [Pa]; a
    factor of a million stands for no demand, or for shear that friction alone holds. Errors as for the quadratic
    criterion. Source: Carol, Prat & Lopez 1997, from memory.
    """
    slope = friction * tensile_strength
    cohesion = (shear_strength**2 + slope**2) / (2 * slope)
    root = np.hypot(shear_strength * shear, friction * normal * (cohesion - slope))
    utilisation = np.maximum(cohesion * friction * normal + root, 0.0) / shear_strength**2
    exists = shear_strength >= slope * (1 - 1e-12)
    return MixedModeHyperbolic(
        np.where(exists, utilisation, np.nan),
        np.where(exists, _factor(utilisation), np.nan),
        np.where(exists, cohesion, np.nan),
    )


@calculation(source="coulomb", equation="u = largest of sn / ft, (|tau| + mu sn) / fs and 0; factor 1 / u")
def mixed_mode_coulomb(
    normal: Normal,
    shear: Shear,
    tensile_strength: TensileStrength,
    shear_strength: ShearStrength,
    friction: Friction = ROUGH,
) -> MixedMode:
    """Shear and tension together on a bonded face: sliding by Mohr and Coulomb, cut off at the tensile strength.

    With friction times ft above fs the line itself crosses below ft and lowers the strength in pure tension.
    Compression is credited: count on it only where it is sure to be there.
    Stresses and strengths [Pa], friction [1], any shapes that broadcast. Returns numbers [1]; a factor of a million
    stands for no demand. Errors as for the quadratic criterion. Source: common practice.
    """
    sliding = (np.abs(shear) + friction * normal) / shear_strength
    utilisation = np.maximum(np.maximum(sliding, normal / tensile_strength), 0.0)
    return MixedMode(utilisation, _factor(utilisation))
