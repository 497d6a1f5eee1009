"""The 1993 rigid-pavement equation, forward and solved for thickness.

Printed in inches, pounds and pounds per cubic inch: the first lines convert from SI, the last ones back.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np
from scipy.optimize.elementwise import find_root
from scipy.special import ndtri

from slabwright.calculation import Array, Quantity, calculation
from slabwright.terms import (
    AxleCount,
    Foundation,
    InitialServiceability,
    LoadTransferCoefficient,
    Reliability,
    Rupture,
    SlabModulus,
    StandardDeviation,
    TerminalServiceability,
)
from slabwright.units import INCH, PCI, PSI

__all__ = [
    "RigidAllowance",
    "reliability_factor",
    "rigid_allowable_axles",
    "rigid_required_thickness",
    "seasonal_damage",
    "standard_normal_deviate",
]

EQUATION = (
    "log10(W18) = ZR S0 + 7.35 log10(D + 1) - 0.06 + log10[(p0 - pt) / 3.0] / [1 + 1.624e7 / (D + 1)^8.46]"
    " + (4.22 - 0.32 pt) log10{S'c Cd (D^0.75 - 1.132) / (215.63 J [D^0.75 - 18.42 / (E / k)^0.25])}, ZR the normal deviate of R"
)
Drainage = Annotated[Array, Quantity("number", "drainage coefficient", 0.6, 1.3, "Cd")]
DesignThickness = Annotated[Array, Quantity("thickness", "slab thickness", 4 * INCH, 24 * INCH, "D")]
FULL_DRAINAGE: Array = np.asarray(1.0)
NEW_SERVICEABILITY: Array = np.asarray(4.5)
USUAL_TERMINAL: Array = np.asarray(2.5)
THINNEST, THICKEST = 4.0, 24.0  # in
# The strength bracket is singular where D^0.75 = 18.42 / (E/k)^0.25; close to it the equation promises more traffic
# to a thinner slab. Beyond this ratio of the two it rises with thickness over the whole stated range (tested).
SENSIBLE = 1.45


@calculation(source="normal", equation="ZR = -z(R), z the inverse of the normal distribution")
def standard_normal_deviate(
    reliability: Reliability,
) -> Annotated[Array, Quantity("number", "standard normal deviate", symbol="ZR")]:
    """Standard normal deviate for a reliability, negative above 50 per cent."""
    return -ndtri(reliability)


@calculation(
    source="guide1993",
    where="Part I, section 4.2",
    equation="FR = 10^(-ZR S0), ZR the normal deviate of R",
)
def reliability_factor(
    reliability: Reliability, standard_deviation: StandardDeviation
) -> Annotated[Array, Quantity("number", "reliability factor on traffic", symbol="FR")]:
    """Reliability factor: how many times the forecast traffic a design must carry on average."""
    return 10 ** (ndtri(reliability) * standard_deviation)


@dataclass(frozen=True)
class RigidAllowance:
    """The allowable traffic with the terms that a reviewer adds up."""

    reliability_term: Annotated[Array, Quantity("number", "reliability term", symbol="ZR S0")]
    thickness_term: Annotated[Array, Quantity("number", "thickness term", symbol="7.35 log10(D + 1)")]
    serviceability_term: Annotated[Array, Quantity("number", "serviceability term")]
    strength_term: Annotated[Array, Quantity("number", "strength term")]
    log_axles: Annotated[Array, Quantity("number", "logarithm of the allowable axles", symbol="log10(W18)")]
    axles: Annotated[Array, Quantity("count", "allowable equivalent axles", symbol="W18")]


@calculation(
    source="guide1993",
    where="Part II, Fig. 3.7; coefficients read in a university assignment with full arithmetic",
    tag="looked up",
    equation=EQUATION,
)
def rigid_allowable_axles(
    thickness: DesignThickness,
    rupture: Rupture,
    modulus: SlabModulus,
    foundation: Foundation,
    load_transfer: LoadTransferCoefficient,
    reliability: Reliability,
    standard_deviation: StandardDeviation,
    drainage: Drainage = FULL_DRAINAGE,
    initial_serviceability: InitialServiceability = NEW_SERVICEABILITY,
    terminal_serviceability: TerminalServiceability = USUAL_TERMINAL,
) -> RigidAllowance:
    """Equivalent axles that a concrete slab carries to its terminal serviceability.

    The modulus of rupture is the mean at 28 days by third-point loading; k is static. The Road Test slabs were
    2.5 to 12.5 in thick. Inputs broadcast.
    """
    D, sc, E, k = thickness / INCH, rupture / PSI, modulus / PSI, foundation / PCI
    return _terms(
        D,
        sc,
        E,
        k,
        load_transfer,
        ndtri(reliability) * -standard_deviation,
        drainage,
        initial_serviceability,
        terminal_serviceability,
    )


def _terms(
    D: Array, sc: Array, E: Array, k: Array, J: Array, reliability: Array, cd: Array, p0: Array, pt: Array
) -> RigidAllowance:
    thickness = 7.35 * np.log10(D + 1)
    serviceability = np.log10((p0 - pt) / (4.5 - 1.5)) / (1 + 1.624e7 / (D + 1) ** 8.46)
    singular = 18.42 / (E / k) ** 0.25
    bracket = sc * cd * (D**0.75 - 1.132) / (215.63 * J * (D**0.75 - singular))
    bracket = np.where(SENSIBLE * singular <= D**0.75, bracket, np.nan)
    strength = (4.22 - 0.32 * pt) * np.log10(bracket)
    total = reliability + thickness - 0.06 + serviceability + strength
    return RigidAllowance(
        reliability + 0 * total, thickness + 0 * total, serviceability + 0 * total, strength, total, 10**total
    )


@calculation(
    source="guide1993",
    where="Part II, Fig. 3.7; coefficients read in a university assignment with full arithmetic",
    tag="looked up",
    equation=EQUATION + "; solved for D",
)
def rigid_required_thickness(
    axles: AxleCount,
    rupture: Rupture,
    modulus: SlabModulus,
    foundation: Foundation,
    load_transfer: LoadTransferCoefficient,
    reliability: Reliability,
    standard_deviation: StandardDeviation,
    drainage: Drainage = FULL_DRAINAGE,
    initial_serviceability: InitialServiceability = NEW_SERVICEABILITY,
    terminal_serviceability: TerminalServiceability = USUAL_TERMINAL,
) -> Annotated[Array, Quantity("thickness", "required slab thickness", symbol="D")]:
    """Slab thickness that carries the given equivalent axles, between 4 and 24 in.

    Found by a bracketed root search on all elements at once; where no thickness in that range answers, there is no
    number. [m]
    """
    sc, E, k = rupture / PSI, modulus / PSI, foundation / PCI
    zs = ndtri(reliability) * -standard_deviation
    arguments = np.broadcast_arrays(
        np.log10(axles), sc, E, k, load_transfer, zs, drainage, initial_serviceability, terminal_serviceability
    )

    def shortfall(D: Array, target: Array, *rest: Array) -> Array:
        return _terms(D, *rest).log_axles - target

    least = np.maximum(THINNEST, (SENSIBLE * 18.42 / (E / k) ** 0.25) ** (4 / 3) * (1 + 1e-9))
    search: Any = find_root  # its stubs know neither array brackets nor further arguments
    found = search(shortfall, (least, np.full_like(least, THICKEST)), args=tuple(arguments))
    return np.where(found.success, found.x, np.nan) * INCH


@calculation(source="guide1993", where="Part II, Fig. 3.5", equation="ur = (D^0.75 - 0.39 k^0.25)^3.42 / 100")
def seasonal_damage(
    thickness: DesignThickness, foundation: Foundation
) -> Annotated[Array, Quantity("number", "relative damage", symbol="ur")]:
    """Relative damage of a season with the given foundation modulus, for averaging over the year."""
    return ((thickness / INCH) ** 0.75 - 0.39 * (foundation / PCI) ** 0.25) ** 3.42 / 100
