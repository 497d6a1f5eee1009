"""Stress of ageing concrete under a strain that is held back: step by step from a compliance, and by the age-adjusted modulus.

``restrained_stress`` solves the hereditary integral of linear ageing viscoelasticity and is the reference;
``superposed_stress`` needs no solving, since it lays relaxation curves on one another, and is as good as these curves are.
Strain here is what the stress has to supply: the shortening that is held back, tension positive. In shrinkage that a
base restrains only in part it is the restrained part.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated

import numpy as np

from slabwright.calculation import Array, Quantity, calculation
from slabwright.errors import InputError
from slabwright.materials.terms import DAY

__all__ = [
    "age_adjusted_relaxation",
    "age_steps",
    "rate_of_creep_ageing",
    "rate_of_creep_growing",
    "rate_of_creep_relaxation",
    "restrained_stress",
    "superposed_stress",
]

# (age [s], age at loading [s]) -> compliance [1/Pa] or relaxation [Pa]; one age, and ages at loading of shape (m,) or
# (m, 1), in answer to which (m,) or (m, cases) comes back.
Kernel = Callable[[Array, Array], Array]

Modulus = Annotated[Array, Quantity("modulus", "modulus at the age of loading", 1e8, 1e11, "E")]
Creep = Annotated[Array, Quantity("number", "creep coefficient since loading", 0.0, 10.0, "phi")]
Strain = Annotated[Array, Quantity("strain", "strain held back", 0.0, 0.01, "e")]
Ageing = Annotated[Array, Quantity("number", "ageing coefficient", 0.5, 1.0, "chi")]
Stress = Annotated[Array, Quantity("stress", "stress that remains", symbol="s")]
USUAL_AGEING: Array = np.asarray(0.8)


def age_steps(start: float, end: float, count: int, first: float = 0.01 * DAY) -> Array:
    """Ages whose distance from the start grows by one factor at every step, as creep asks for.

    ``start``, ``end`` and the ``first`` step [s], ``count`` of ages; returns (count,) rising from start to end.
    Raises InputError unless 0 < start, start + first < end and count is at least 3.
    """
    if not (start > 0 and first > 0 and start + first < end and count >= 3):
        raise InputError(
            "ages need a start after placing, an end later than the first step, and three steps at least",
            given=f"{start:g} s to {end:g} s in {count}, first step {first:g} s",
        )
    ages = start + np.concatenate([[0.0], np.geomspace(first, end - start, count - 1)])
    ages[-1] = end  # not a bit beyond it
    return ages


def restrained_stress(ages: Array, strain: Array, compliance: Kernel) -> Array:
    """Stress at every age under a strain history, from the compliance of a linear ageing material.

    The hereditary integral  strain(t) = integral of J(t, t') d stress(t'),  step by step, each step's stress put on in
    the middle of its step. The error falls with the square of the step where J is smooth. (Half at each end, the
    trapezoidal rule, is as exact there but swings in the first steps of Model B3, whose J rises steeply at loading:
    0.03 MPa after 0.01 days where 1.5 is right.) Let the first step be short when the strain begins with a jump.

    ``ages`` [s] (n,), rising; ``strain`` [1] (n,) or (n, cases), its first value a jump at the first age;
    ``compliance(age, loading ages)`` [1/Pa], see Kernel. Returns stress [Pa] in the shape of ``strain``. Raises
    InputError when ages do not rise or do not belong to the strain; a case whose compliance or strain is NaN is NaN.
    Source: Bazant, ACI J. 69(4), 1972, from memory; checked against exact solutions of four materials.
    """
    ages, strain = _history(ages, strain)
    loading = _loading_ages(ages, strain)
    steps = np.zeros_like(strain)
    for r, age in enumerate(ages):  # every step needs the stresses before it
        weights = _kernel(compliance, age, loading[: r + 1], strain[: r + 1])
        known = (weights[:r] * steps[:r]).sum(axis=0)
        steps[r] = (strain[r] - known) / weights[r]
    return np.cumsum(steps, axis=0)


def superposed_stress(ages: Array, strain: Array, relaxation: Kernel) -> Array:
    """Stress at every age under a strain history, each step of strain relaxing from the middle of its step.

    With ``age_adjusted_relaxation`` this is the time-stepped effective modulus: for shrinkage it comes within 8 per cent
    of the integral (ACI 209 creep, 0.8), but for a strain put on at once at three days it leaves 0.28 of the stress
    after ten years where the integral leaves 0.05.

    ``ages`` [s] (n,), rising; ``strain`` [1] (n,) or (n, cases), its first value a jump at the first age;
    ``relaxation(age, loading ages)`` [Pa], see Kernel. Returns stress [Pa] in the shape of ``strain``. Raises InputError
    when ages do not rise, or when they or the kernel's cases do not belong to the strain. Source: superposition
    (Boltzmann, Volterra).
    """
    ages, strain = _history(ages, strain)
    loading = _loading_ages(ages, strain)
    steps = np.concatenate([strain[:1], np.diff(strain, axis=0)])
    stress = np.empty_like(strain)
    for r, age in enumerate(ages):
        weights = _kernel(relaxation, age, loading[: r + 1], strain[: r + 1])
        stress[r] = (weights * steps[: r + 1]).sum(axis=0)
    return stress


def _loading_ages(ages: Array, strain: Array) -> Array:
    """The first age and the middle of every step, in a column where there are cases."""
    loading = np.concatenate([ages[:1], (ages[1:] + ages[:-1]) / 2])
    return loading.reshape(-1, *(1,) * (strain.ndim - 1))


def _history(ages: Array, strain: Array) -> tuple[Array, Array]:
    """Both as arrays of floats that belong together."""
    ages, strain = np.asarray(ages, dtype=np.float64), np.asarray(strain, dtype=np.float64)
    if ages.ndim != 1 or not len(ages) or not np.isfinite(ages).all() or (np.diff(ages) <= 0).any():
        raise InputError("ages must be one list that rises", given=np.array2string(ages, threshold=6))
    if strain.ndim not in (1, 2) or strain.shape[0] != len(ages):
        raise InputError(
            "a strain is needed for every age",
            given=f"shape {strain.shape}",
            allowed=f"({len(ages)},) or ({len(ages)}, cases)",
        )
    return ages, strain


def _kernel(kernel: Kernel, age: Array, loading: Array, like: Array) -> Array:
    """The kernel at one age, in the shape of the strains before it."""
    found = np.asarray(kernel(age, loading), dtype=np.float64)
    try:
        return np.broadcast_to(found, like.shape)
    except ValueError:
        raise InputError(
            "the kernel's cases do not belong to the strain's", given=f"shape {found.shape}", allowed=f"{like.shape}"
        ) from None


@calculation(source="bazant1972", equation="R = E [1 - phi / (1 + chi phi)], phi (1 - chi) <= 1")
def age_adjusted_relaxation(
    modulus: Modulus, creep: Creep, ageing: Ageing = USUAL_AGEING
) -> Annotated[Array, Quantity("modulus", "stress that remains of a unit of strain", symbol="R")]:
    """Relaxation of a strain put on at once and kept, by the age-adjusted modulus.

    Beyond a creep coefficient of 1 / (1 - chi), which is 5 at the usual 0.8, tension would turn into compression: there
    is no answer (OutOfRange, NaN in arrays).
    ``modulus`` [Pa], ``creep`` and ``ageing`` [1]; all broadcast. Returns [Pa]. Scalars outside the bounds raise
    OutOfRange, array elements give NaN. Source: Bazant, ACI J. 69(4), 1972, from memory.
    """
    left = 1 - creep / (1 + ageing * creep)
    return modulus * np.where(left >= 0, left, np.nan)


@calculation(source="dischinger", equation="s = E e exp(-phi)")
def rate_of_creep_relaxation(modulus: Modulus, strain: Strain, creep: Creep) -> Stress:
    """Stress that remains of a strain put on at once and kept, in a material whose creep never recovers.

    An exact solution, for J(t, t') = [1 + phi(t) - phi(t')] / E; such a material relaxes more than concrete does.
    ``modulus`` [Pa], ``strain`` and ``creep`` [1]; all broadcast. Returns [Pa]. Scalars outside the bounds raise
    OutOfRange, array elements give NaN. Source: Dischinger 1937; derived anew from d stress = E d strain - stress d phi.
    """
    return modulus * strain * np.exp(-creep)


@calculation(source="dischinger", equation="s = E e [1 - exp(-phi)] / phi")
def rate_of_creep_growing(modulus: Modulus, strain: Strain, creep: Creep) -> Stress:
    """Stress of a strain that grows in step with creep, in a material whose creep never recovers.

    An exact solution, near to restrained shrinkage, which keeps step with creep roughly.
    ``modulus`` [Pa], ``strain`` and ``creep`` at the end [1]; all broadcast. Returns [Pa]. Errors and source as for
    ``rate_of_creep_relaxation``.
    """
    small = creep < 1e-4
    safe = np.where(small, 1.0, creep)
    return modulus * strain * np.where(small, 1 - creep / 2, -np.expm1(-safe) / safe)


@calculation(source="dischinger", equation="chi = 1 / [1 - exp(-phi)] - 1 / phi")
def rate_of_creep_ageing(creep: Creep) -> Annotated[Array, Quantity("number", "ageing coefficient", symbol="chi")]:
    """Ageing coefficient with which the age-adjusted modulus is exact, in a material whose creep never recovers.

    One half without creep, rising to one; concrete is usually given 0.8.
    ``creep`` [1], any shape; returns [1]. Errors and source as for ``rate_of_creep_relaxation``.
    """
    small = creep < 1e-3
    safe = np.where(small, 1.0, creep)
    return np.where(small, 0.5 + creep / 12, -1 / np.expm1(-safe) - 1 / safe)
