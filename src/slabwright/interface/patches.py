"""Beside a patch without bond: how much more the bond is asked for, how far the layers part, and shear under a wheel.

A plate whose layers share one deflection cannot open. Where shrinkage pulls, a patch at an edge frees the overlay there, and
the bond is most stressed not past its middle, which its sides protect, but where the patch's sides meet the free edge. The
ratios to a sound edge are read from elements of three dimensions (9 mm at the fronts, layers doubled over the patch, the two
free to part): square patches of 0.3 to 1.0 m, overlays of 50 to 115 mm on 200 to 230 mm of old slab, k of 37 to 90 MPa/m.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

import numpy as np

from slabwright.calculation import Array, Choice, Quantity, calculation
from slabwright.terms import CONCRETE_POISSON, Poisson
from slabwright.units import PSI

__all__ = ["LARGEST_PATCH", "SMALLEST_PATCH", "PatchRatios", "patch_opening", "patch_ratios", "patch_under_wheel"]

SMALLEST_PATCH, LARGEST_PATCH = 0.3, 1.0  # m, of the elements of three dimensions
Size = Annotated[Array, Quantity("length", "side of a square patch", 0.05, 2.0, "a", "m")]
WHERE = ("free edge", "corner")
# Coefficient and power of a [m], for shear and for peel.
RISES = {"free edge": ((1.70, 0.44), (1.36, 0.35)), "corner": ((0.96, 0.40), (0.95, 0.48))}


@dataclass(frozen=True)
class PatchRatios:
    """Demand beside a patch over that of the sound edge or corner."""

    shear: Annotated[Array, Quantity("number", "mean shear over that without the patch", symbol="rs")]
    peel: Annotated[Array, Quantity("number", "mean peel over that without the patch", symbol="rp")]


@calculation(
    source="patches_3d",
    equation="rs = 1 + 1.70 a^0.44, rp = 1 + 1.36 a^0.35 free edge; rs = 1 + 0.96 a^0.40, rp = 1 + 0.95 a^0.48 corner; a in m",
)
def patch_ratios(
    size: Size, place: Annotated[str, Choice("where the patch begins", WHERE)] = "free edge"
) -> PatchRatios:
    """How much more a patch without bond at a free edge or corner asks of the bond beside it, under shrinkage.

    Against the means over 50 mm of the sound edge or corner. From 0.3 to 1.0 m shear is within 6 and peel within 15 per cent; nearer to
    nothing it falls to one, beyond it is carried on.
    """
    shear, peel = (1 + factor * size**power for factor, power in RISES[place])
    return PatchRatios(shear, peel)


@calculation(source="newmark1951", tag="derived", equation="r = 1 + a / 2 (1 - exp(-k d)) / d")
def patch_under_wheel(
    size: Size,
    decay: Annotated[Array, Quantity("per_length", "rate at which edge shear dies out", 0.5, 100.0, "k", "1/m")],
    averaging: Annotated[Array, Quantity("thickness", "averaging length", 0.01, 0.5, "d")],
) -> Annotated[Array, Quantity("number", "shear from wheels beside the patch over that without", symbol="r")]:
    """Shear from a wheel beside a closed patch in the wheel path.

    The force that the bond would have passed between the layers over the patch, shear times length, is passed beside it,
    half at either end, and dies out as edge shear does. Layers in contact, one vertical shear force over the whole patch.
    """
    return 1 + size / 2 * -np.expm1(-decay * averaging) / averaging


@calculation(
    source="timoshenko1925",
    tag="derived",
    equation="w = al DT / (h1 + h2) a^2 / 2 - g a^4 / (8 D), at least 0; D = E h1^3 / [12 (1 - nu^2)], g = gamma h1",
)
def patch_opening(
    size: Size,
    difference: Annotated[
        Array, Quantity("temperature_change", "bottom warmer than top, both layers", 0.0, 60.0, "DT")
    ],
    overlay: Annotated[Array, Quantity("thickness", "thickness of the overlay", 0.02, 0.5, "h1")],
    slab: Annotated[Array, Quantity("thickness", "thickness of the old slab", 0.05, 1.0, "h2")],
    modulus: Annotated[Array, Quantity("modulus", "modulus of the overlay", 1e5 * PSI, 2e7 * PSI, "E")],
    expansion: Annotated[Array, Quantity("expansion", "thermal expansion", 1e-6, 3e-5, "al")],
    unit_weight: Annotated[Array, Quantity("unit_weight", "unit weight of the overlay", 15e3, 30e3, "gamma")],
    poisson: Poisson = CONCRETE_POISSON,
) -> Annotated[Array, Quantity("deflection", "opening at the free end", symbol="w")]:
    """Opening between the layers at the free end of a patch: the detached overlay as a cantilever that curls by night.

    Curled by its share of the temperature difference, pressed down by its own weight; it does not sink into the slab.
    Shrinkage adds 0.005 to 0.01 mm at an edge and 0.02 to 0.16 mm at a corner, by elements of three dimensions.
    """
    curl = expansion * difference / (overlay + slab) * size**2 / 2
    rigidity = modulus * overlay**3 / (12 * (1 - poisson**2))
    return np.maximum(curl - unit_weight * overlay * size**4 / (8 * rigidity), 0.0)
