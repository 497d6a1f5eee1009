"""Strength, condition factors, remaining life and effective thickness of the old slab."""

from __future__ import annotations

from typing import Annotated, Any

import numpy as np

from slabwright.calculation import Array, Choice, Quantity, calculation
from slabwright.units import INCH, MILE, PSI

__all__ = [
    "DRAINAGE_COEFFICIENTS",
    "condition_factor",
    "durability_factor",
    "effective_thickness_condition",
    "effective_thickness_remaining_life",
    "fatigue_factor",
    "foundation_from_resilient_modulus",
    "joints_and_cracks_factor",
    "modulus_from_strength",
    "remaining_life",
    "rupture_from_modulus",
    "rupture_from_split",
    "rupture_from_strength",
]

Rupture = Annotated[Array, Quantity("stress", "modulus of rupture", symbol="S'c")]
# Middle of the published ranges by quality of drainage, saturated 5 to 25 % of the time (from memory, Table 2.5).
DRAINAGE_COEFFICIENTS = {"excellent": 1.10, "good": 1.00, "fair": 0.90, "poor": 0.80, "very poor": 0.70}


@calculation(source="guide1993", where="Part III, section 5.8.5", equation="S'c = 43.5 (E / 10^6) + 488.5")
def rupture_from_modulus(
    modulus: Annotated[Array, Quantity("modulus", "elastic modulus", 1e6 * PSI, 10e6 * PSI, "E")],
) -> Rupture:
    """Modulus of rupture from the backcalculated elastic modulus. [Pa]"""
    return (43.5 * modulus / PSI / 1e6 + 488.5) * PSI


@calculation(source="guide1993", where="Part III, section 5.8.5", equation="S'c = 210 + 1.02 IT")
def rupture_from_split(
    split_strength: Annotated[Array, Quantity("stress", "split tensile strength", 100 * PSI, 1200 * PSI, "IT")],
) -> Rupture:
    """Modulus of rupture from the split tensile strength of cores. [Pa]"""
    return (210 + 1.02 * split_strength / PSI) * PSI


@calculation(
    source="practice",
    where="ACI 330 range of 8 to 10; 9 taken",
    tag="from memory",
    equation="S'c = 9 sqrt(fc)",
)
def rupture_from_strength(
    strength: Annotated[Array, Quantity("stress", "compressive strength", 1000 * PSI, 15000 * PSI, "fc")],
) -> Rupture:
    """Modulus of rupture from compressive strength. [Pa]"""
    return 9 * np.sqrt(strength / PSI) * PSI


@calculation(source="guide1993", where="Part II, section 2.3.3 (ACI 318)", equation="Ec = 57000 sqrt(fc)")
def modulus_from_strength(
    strength: Annotated[Array, Quantity("stress", "compressive strength", 1000 * PSI, 15000 * PSI, "fc")],
) -> Annotated[Array, Quantity("modulus", "elastic modulus", symbol="Ec")]:
    """Elastic modulus of concrete from compressive strength. [Pa]"""
    return 57000 * np.sqrt(strength / PSI) * PSI


@calculation(source="guide1993", where="Part II, section 3.2", tag="looked up", equation="k = MR / 19.4")
def foundation_from_resilient_modulus(
    resilient_modulus: Annotated[
        Array, Quantity("modulus", "resilient modulus of the subgrade", 500 * PSI, 60000 * PSI, "MR")
    ],
) -> Annotated[Array, Quantity("foundation", "static modulus of foundation reaction", symbol="k")]:
    """Foundation modulus of a slab on the subgrade from its resilient modulus. [Pa/m]"""
    return resilient_modulus / PSI / 19.4 * PSI / INCH


@calculation(source="guide1993", where="Part III, section 5.8", equation="RL = 100 (1 - Np / N1.5)")
def remaining_life(
    past_axles: Annotated[Array, Quantity("count", "equivalent axles to date", 0, 1e12, "Np")],
    failure_axles: Annotated[
        Array, Quantity("count", "equivalent axles to serviceability 1.5 at 50 % reliability", 1, 1e13, "N1.5")
    ],
) -> Annotated[Array, Quantity("share", "remaining life", symbol="RL")]:
    """Remaining life of the old slab; zero when the past has used it up."""
    return np.maximum(1 - past_axles / failure_axles, 0)


@calculation(source="guide1993", where="Part III, Fig. 5.2", equation="CF = RL^0.165")
def condition_factor(
    remaining_life: Annotated[Array, Quantity("share", "remaining life", 0, 1, "RL", "1")],
) -> Annotated[Array, Quantity("number", "condition factor", symbol="CF")]:
    """Condition factor by remaining life. The printed curve ends at 0.5; no lower value is given."""
    return np.maximum(remaining_life**0.165, 0.5)


@calculation(source="guide1993", where="Part III, section 5.8", equation="Deff = CF D")
def effective_thickness_remaining_life(
    thickness: Annotated[Array, Quantity("thickness", "slab thickness", 2 * INCH, 24 * INCH, "D")],
    factor: Annotated[Array, Quantity("number", "condition factor", 0.3, 1.0, "CF")],
) -> Annotated[Array, Quantity("thickness", "effective thickness", symbol="Deff")]:
    """Effective thickness of the old slab by remaining life. [m]"""
    return thickness * factor


Factor = Annotated[Array, Quantity("number", "factor", 0.3, 1.0)]


@calculation(source="guide1993", where="Part III, section 5.8", equation="Deff = Fjc Fdur Ffat D")
def effective_thickness_condition(
    thickness: Annotated[Array, Quantity("thickness", "slab thickness", 2 * INCH, 24 * INCH, "D")],
    joints_and_cracks: Annotated[Array, Quantity("number", "joints and cracks factor", 0.3, 1.0, "Fjc")],
    durability: Annotated[Array, Quantity("number", "durability factor", 0.5, 1.0, "Fdur")],
    fatigue: Annotated[Array, Quantity("number", "fatigue damage factor", 0.8, 1.0, "Ffat")],
) -> Annotated[Array, Quantity("thickness", "effective thickness", symbol="Deff")]:
    """Effective thickness of the old slab by its condition. [m]"""
    return joints_and_cracks * durability * fatigue * thickness


@calculation(
    source="guide1993",
    where="Part III, Fig. 5.12, low confidence below 0.8",
    equation="Fjc = 1 - 0.44 n / 200, n the unrepaired deteriorated joints, cracks and punchouts per mile",
)
def joints_and_cracks_factor(
    unrepaired: Annotated[
        Array, Quantity("frequency", "deteriorated joints, cracks and punchouts left unrepaired", 0, 200 / MILE, "n")
    ],
) -> Annotated[Array, Quantity("number", "joints and cracks factor", symbol="Fjc")]:
    """Joints and cracks adjustment factor, the curve taken as a straight line from 1.00 to 0.56."""
    return 1 - 0.44 * unrepaired * MILE / 200


@calculation(
    source="guide1993",
    where="Part III, section 5.8",
    equation="Fdur = 1.00, 0.975 or 0.88 (middle of the published ranges)",
)
def durability_factor(
    state: Annotated[
        Any, Choice("durability of the concrete", ("sound", "cracking, no spalling", "cracking and spalling"))
    ],
) -> Annotated[Array, Quantity("number", "durability factor", symbol="Fdur")]:
    """Durability adjustment factor: 1.00; 0.96 to 0.99; 0.80 to 0.95, where a bonded overlay is not recommended."""
    return np.asarray({"sound": 1.0, "cracking, no spalling": 0.975, "cracking and spalling": 0.88}[state])


FATIGUE_LIMITS = {"JPCP": (0.05, 0.15), "JRCP": (25 / MILE, 75 / MILE), "CRCP": (4 / MILE, 12 / MILE)}


@calculation(
    source="guide1993",
    where="Part III, section 5.8",
    equation="Ffat from 1.00 to 0.97 up to the first limit, to 0.94 up to the second, 0.90 at twice the second and beyond;"
    " limits JPCP 5 and 15 % of slabs, JRCP 25 and 75, CRCP 4 and 12 per mile",
)
def fatigue_factor(
    pavement: Annotated[Any, Choice("kind of pavement", ("JPCP", "JRCP", "CRCP"))],
    cracking: Annotated[
        Array, Quantity("number", "cracked slabs (share) or working cracks or punchouts (per m)", 0, 10)
    ],
) -> Annotated[Array, Quantity("number", "fatigue damage factor", symbol="Ffat")]:
    """Fatigue adjustment factor, interpolated within the published ranges of each class of cracking."""
    first, second = FATIGUE_LIMITS[pavement]
    return np.interp(cracking, (0.0, first, second, 2 * second), (1.0, 0.97, 0.94, 0.90))
