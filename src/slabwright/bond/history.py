"""The overlay from its first day to its twentieth year: shrinkage, relief by creep, and the bond that grows meanwhile.

One model gives all that depends on age. What is marched is the force between overlay and old slab, both of which creep
(``pair``): free to curl, as edges and corners of a slab are, and held flat as the other end. A plate whose overlay has the
modulus decided is then given that strain which brings the same force in a strip supported alike.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from slabwright.bond.pair import CURLED, FLAT, Pair, marched_pair, old_concrete
from slabwright.calculation import Array
from slabwright.interface.bond_growth import bond_strength_at_age, shear_bond_from_tension
from slabwright.interface.strips import pair_compliance
from slabwright.materials.ageing_stress import Kernel
from slabwright.materials.creep import (
    compliance_b3,
    compliance_from_creep,
    creep_coefficient_en1992,
)
from slabwright.materials.growth import (
    modulus_ratio_en1992,
    root_strength_ratio_aci209,
    strength_ratio_aci209,
    strength_ratio_en1992,
)
from slabwright.materials.relaxation import age_adjusted_modulus
from slabwright.materials.shrinkage import drying_shrinkage_b3, shrinkage_en1992
from slabwright.materials.terms import DAY, YEAR
from slabwright.records.decisions.bond import MODELS, BondDecisions
from slabwright.records.decisions.design import DesignDecisions

__all__ = ["AGES", "Concrete", "History", "Slab", "concrete_of", "equivalent_strain", "history", "rival"]

# Ages at which the bond is asked, in steps that grow: one day to twenty years.
AGES: Array = np.concatenate([
    np.array([1, 2, 3, 5, 7, 10, 14, 21, 28, 42, 60, 90, 120, 180, 270]) * DAY,
    np.array([1, 1.5, 2, 3, 5, 7, 10, 15, 20]) * YEAR,
])
STEPS, DRYING_STEPS, FIRST = 45, 30, 0.02 * DAY
TANGENT = 1.05  # tangent modulus at 28 days over the secant one, EN 1992-1-1, Annex B
B3_CEMENTS = {"slow": "type II", "normal": "type I", "rapid": "type III"}
ACI_CEMENTS = {"slow": "type I, moist", "normal": "type I, moist", "rapid": "type III, moist"}


@dataclass(frozen=True)
class Concrete:
    """The overlay's concrete, its curing and its air; SI. ``scale`` is measured over predicted shrinkage."""

    thickness: float
    modulus: float
    strength: float
    humidity: float
    curing_age: float
    cement: str = "normal"
    scale: float = 1.0
    cement_content: float = 350.0
    water_content: float = 160.0
    aggregate_ratio: float = 5.2


@dataclass(frozen=True)
class Slab:
    """The old slab: thickness [m], modulus [Pa], and its creep coefficient after 20 years of one stress [1]."""

    thickness: float
    modulus: float
    creep: float = 0.0


@dataclass(frozen=True)
class History:
    """Of one section by one model, at each of ``ages`` (n,) [s].

    ``free``: shrinkage of the overlay since it was placed [1]; ``strain``: that which brings the marched force, free to
    curl, in a plate of the modulus decided [1]; ``held``: the same held flat; ``short_cut``: free to curl by the
    age-adjusted modulus; ``pull``: the overlay's greatest tension by the march, both ways at once needs 1 / (1 - nu) more, and
    ``pull_held`` where it is held flat [Pa]; ``modulus`` and ``strength``: ratios to 28 days; ``tension`` and ``shear``:
    strength of the bond [Pa].
    """

    model: str
    ages: Array
    free: Array
    strain: Array
    held: Array
    short_cut: Array
    pull: Array
    pull_held: Array
    modulus: Array
    strength: Array
    tension: Array
    shear: Array


def concrete_of(overlay: float, humidity: float, bond: BondDecisions, design: DesignDecisions) -> Concrete:
    """The concrete of an overlay of that thickness [m] in air of that humidity [1]. Raises nothing."""
    return Concrete(
        overlay,
        design.overlay_modulus,
        bond.concrete_strength,
        humidity,
        bond.curing_age,
        bond.cement,
        bond.measured_shrinkage,
        bond.cement_content,
        bond.water_content,
        bond.aggregate_ratio,
    )


def rival(model: str) -> str:
    """The other model. Raises nothing."""
    return next(name for name in MODELS if name != model)


def history(
    model: str,
    concrete: Concrete,
    slab: Slab,
    bond: BondDecisions,
    design: DesignDecisions,
    ages: Array = AGES,
) -> History:
    """Everything that depends on age, by one model; ``ages`` (n,) [s], first 1 day.

    Raises OutOfRange for a value outside what the model takes.
    """
    times = _times(ages, concrete.curing_age)
    free, at = shrinkage(model, concrete, times), np.searchsorted(times, ages)
    kernels = compliance(model, concrete), old_concrete(slab.modulus, slab.creep)
    curled, held = (marched_pair(times, free, concrete.thickness, slab.thickness, kernels, s) for s in (CURLED, FLAT))
    modulus, strength, at_test = (_growth(model, concrete, t) for t in (ages, ages, np.asarray(bond.test_age)))
    tension, shear = _bond(strength[1], at_test[1], bond, design)
    return History(
        model,
        ages,
        free[at],
        equivalent_strain(curled.force[at], concrete, slab, CURLED),
        equivalent_strain(held.force[at], concrete, slab, FLAT),
        equivalent_strain(
            _short_cut(kernels, concrete, slab, ages, free[at], bond.ageing_coefficient), concrete, slab, CURLED
        ),
        _greatest(curled)[at],
        held.top[at],
        modulus[0],
        strength[1],
        tension,
        shear,
    )


def _greatest(pair: Pair) -> Array:
    return np.maximum(pair.top, pair.bottom)


def equivalent_strain(force: Array, concrete: Concrete, slab: Slab, support: str) -> Array:
    """Strain [1] that brings that force [N/m] in an elastic pair whose overlay has the modulus decided. Raises nothing."""
    given = concrete.thickness, slab.thickness, concrete.modulus, slab.modulus
    return np.asarray(force * pair_compliance(*given, support))


def shrinkage(model: str, concrete: Concrete, times: Array) -> Array:
    """Free shortening (n,) [1] since placing at times (n,) [s]; autogenous too where the model has it."""
    given = (times, concrete.curing_age, concrete.humidity, concrete.thickness, concrete.strength)
    if model == "EN 1992-1-1":
        found = shrinkage_en1992(*given, concrete.cement)
        return concrete.scale * (np.asarray(found.drying) + np.asarray(found.autogenous))
    dried = drying_shrinkage_b3(*given, concrete.water_content, B3_CEMENTS[concrete.cement])
    return concrete.scale * np.asarray(dried.shrinkage)


def compliance(model: str, concrete: Concrete) -> Kernel:
    """J(t, t') [1/Pa] of the overlay by a model."""
    if model == "EN 1992-1-1":
        reference = TANGENT * concrete.modulus

        def by_en(age: Array, loading: Array) -> Array:
            creep = creep_coefficient_en1992(
                age, loading, concrete.humidity, concrete.thickness, concrete.strength, concrete.cement
            ).coefficient
            young = concrete.modulus * modulus_ratio_en1992(loading, concrete.cement)
            return np.asarray(compliance_from_creep(young, creep, reference))

        return by_en

    def by_b3(age: Array, loading: Array) -> Array:
        found = compliance_b3(
            age,
            loading,
            concrete.curing_age,
            concrete.humidity,
            concrete.thickness,
            concrete.strength,
            concrete.cement_content,
            concrete.water_content,
            concrete.aggregate_ratio,
            B3_CEMENTS[concrete.cement],
        )
        return np.asarray(found.compliance)

    return by_b3


def _times(ages: Array, curing_age: float) -> Array:
    """Times of the march: short steps after the first day and after drying begins, the ages asked for among them."""
    first, last = float(ages[0]), float(ages[-1])
    beginnings = [first + np.geomspace(FIRST, last - first, STEPS)]
    if curing_age < last:
        beginnings.append(curing_age + np.append(0.0, np.geomspace(FIRST, last - curing_age, DRYING_STEPS)))
    every = np.unique(np.concatenate([ages, *beginnings]))
    every = every[(every >= first) & (every <= last)]
    # Of two times within half of the first step, the age asked for is kept.
    asked = np.isin(every, ages)
    near = np.array([not a and np.min(np.abs(ages - t)) < FIRST / 2 for t, a in zip(every, asked, strict=True)])
    return np.asarray(every[~near])


def _growth(model: str, concrete: Concrete, ages: Array) -> tuple[Array, Array]:
    """Ratios of modulus and of compressive strength to those at 28 days."""
    if model == "EN 1992-1-1":
        return (
            np.asarray(modulus_ratio_en1992(ages, concrete.cement)),
            np.asarray(strength_ratio_en1992(ages, concrete.cement)),
        )
    cement = ACI_CEMENTS[concrete.cement]
    return np.asarray(root_strength_ratio_aci209(ages, cement)), np.asarray(strength_ratio_aci209(ages, cement))


def _bond(ratio: Array, at_test: Array, bond: BondDecisions, design: DesignDecisions) -> tuple[Array, Array]:
    """Strengths of the bond in tension and in shear [Pa] at every age, from the test that is required."""
    required = np.asarray(bond_strength_at_age(design.bond_strength, ratio, at_test, bond.bond_growth))
    if design.bond_test == "direct shear":
        return required / bond.shear_ratio, required
    return required, np.asarray(shear_bond_from_tension(required, bond.shear_ratio))


def _short_cut(
    kernels: tuple[Kernel, Kernel], concrete: Concrete, slab: Slab, ages: Array, free: Array, ageing: float
) -> Array:
    """Force by the age-adjusted moduli, all strain counted from the end of curing (before it, elastic) [N/m]."""
    start = np.minimum(concrete.curing_age, ages)

    def adjusted(kernel: Kernel) -> Array:
        young = 1 / np.asarray(kernel(start, start))
        creep = np.asarray(kernel(ages, start)) * young - 1
        return np.asarray(age_adjusted_modulus(young, np.clip(creep, 0.0, 10.0), ageing))

    upper, lower = (adjusted(kernel) for kernel in kernels)
    return np.asarray(free / pair_compliance(concrete.thickness, slab.thickness, upper, lower, CURLED))
