"""Creep that relieves a restrained strain: the age-adjusted effective modulus."""

from __future__ import annotations

from typing import Annotated

import numpy as np

from slabwright.calculation import Array, Quantity, calculation
from slabwright.units import PSI

__all__ = ["age_adjusted_modulus", "relieved_stress"]

Modulus = Annotated[Array, Quantity("modulus", "elastic modulus when the strain begins", 1e4 * PSI, 2e7 * PSI, "E")]
Creep = Annotated[Array, Quantity("number", "creep coefficient over the time that the strain acts", 0.0, 10.0, "phi")]
Ageing = Annotated[Array, Quantity("number", "ageing coefficient", 0.5, 1.0, "chi")]
USUAL_AGEING: Array = np.asarray(0.8)


@calculation(source="bazant1972", equation="E' = E / (1 + chi phi)")
def age_adjusted_modulus(
    modulus: Modulus, creep: Creep, ageing: Ageing = USUAL_AGEING
) -> Annotated[Array, Quantity("modulus", "age-adjusted modulus", symbol="E'")]:
    """Modulus that stands for elasticity and creep together under a strain that grows with time. [Pa]"""
    return modulus / (1 + ageing * creep)


@calculation(source="bazant1972", equation="s = E e / (1 + chi phi)")
def relieved_stress(
    modulus: Modulus,
    strain: Annotated[Array, Quantity("strain", "restrained strain", 0.0, 0.01, "e")],
    creep: Creep,
    ageing: Ageing = USUAL_AGEING,
) -> Annotated[Array, Quantity("stress", "stress that remains", symbol="s")]:
    """Stress that remains of a restrained strain after creep. [Pa]"""
    return modulus * strain / (1 + ageing * creep)
