"""Fatigue laws of plain concrete: load repetitions to failure against stress ratio, each with its domain.

They differ by more than four orders of magnitude at a stress ratio of 0.5: a result must name its law.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np

from slabwright.calculation import Array, Calculation, Choice, Quantity, calculation
from slabwright.terms import RelativeStiffness, SlabThickness, StressRatio
from slabwright.units import INCH, KIP, PSI

__all__ = [
    "FATIGUE_LAWS",
    "cracked_slabs_2004",
    "cracked_slabs_2008",
    "cracked_slabs_together",
    "cracking_standard_error",
    "equivalent_edge_stress_pca",
    "fatigue_corps",
    "fatigue_darter",
    "fatigue_darter_24_percent",
    "fatigue_majidzadeh",
    "fatigue_nchrp_1_26",
    "fatigue_nchrp_1_37a",
    "fatigue_aashto_2008",
    "fatigue_pca",
    "fatigue_salsilli",
    "fatigue_tepfers",
    "fatigue_titus_glover",
    "fatigue_vesic",
]

Repetitions = Annotated[Array, Quantity("count", "load repetitions to failure", symbol="N")]
Probability = Annotated[Array, Quantity("number", "probability", 0.01, 0.99, "p")]
EVEN_CHANCE: Array = np.asarray(0.5)


@calculation(
    source="packard1985",
    equation="log10(N) = 11.737 - 12.077 SR (SR >= 0.55); N = [4.2577 / (SR - 0.4325)]^3.268 (0.45 < SR < 0.55);"
    " unlimited (SR <= 0.45, given as 1e12)",
)
def fatigue_pca(stress_ratio: StressRatio) -> Repetitions:
    """Fatigue law of Packard & Tayabji (design curve of 1984).

    Unlimited repetitions below a stress ratio of 0.45 are returned as 1e12, far beyond any traffic.
    """
    steep = 10 ** (11.737 - 12.077 * stress_ratio)
    flat = (4.2577 / np.maximum(stress_ratio - 0.4325, 1e-9)) ** 3.268
    return np.where(stress_ratio >= 0.55, steep, np.where(stress_ratio > 0.45, flat, 1e12))


@calculation(source="darter1977", equation="log10(N) = 17.61 - 17.61 SR")
def fatigue_darter(stress_ratio: StressRatio) -> Repetitions:
    """Fatigue law of Darter, 50 per cent failure of laboratory beams."""
    return 10 ** (17.61 - 17.61 * stress_ratio)


@calculation(source="darter1977", equation="log10(N) = 16.61 - 17.61 SR")
def fatigue_darter_24_percent(stress_ratio: StressRatio) -> Repetitions:
    """Fatigue law of Darter, 24 per cent failure of laboratory beams."""
    return 10 ** (16.61 - 17.61 * stress_ratio)


@calculation(source="vesic1969", equation="N = 225000 SR^-4")
def fatigue_vesic(stress_ratio: StressRatio) -> Repetitions:
    """Fatigue law of Vesic & Saxena, Road Test slabs to serviceability 2.5."""
    return 225000 * stress_ratio**-4


@calculation(source="nchrp1_26", equation="log10(N) = 2.8127 SR^-1.2214")
def fatigue_nchrp_1_26(stress_ratio: StressRatio) -> Repetitions:
    """Fatigue law of NCHRP 1-26, field slabs."""
    return _power(2.8127, stress_ratio, -1.2214)


@calculation(source="corps_field", equation="log10(N) = 2.13 SR^-1.2")
def fatigue_corps(stress_ratio: StressRatio) -> Repetitions:
    """Field-calibrated fatigue law for 50 per cent cracked slabs."""
    return _power(2.13, stress_ratio, -1.2)


@calculation(source="nchrp1_37a", equation="log10(N) = 2.0 SR^-1.22 + 0.4371")
def fatigue_nchrp_1_37a(stress_ratio: StressRatio) -> Repetitions:
    """Fatigue law of NCHRP 1-37A (2004)."""
    return _power(2.0, stress_ratio, -1.22, 0.4371)


@calculation(source="nchrp1_37a", equation="log10(N) = 2.0 SR^-1.22")
def fatigue_aashto_2008(stress_ratio: StressRatio) -> Repetitions:
    """Fatigue law of the AASHTO edition of 2008."""
    return _power(2.0, stress_ratio, -1.22)


@calculation(source="salsilli1993", equation="log10(N) = [-SR^-5.367 log10(1 - p) / 0.0032]^0.2276")
def fatigue_salsilli(stress_ratio: StressRatio, probability: Probability = EVEN_CHANCE) -> Repetitions:
    """Fatigue law of Salsilli, Barenberg & Darter, p the probability of failure."""
    return _ten_to((-(stress_ratio**-5.367) * np.log10(1 - probability) / 0.0032) ** 0.2276)


@calculation(source="majidzadeh1983", equation="N = 22209 SR^-4.29")
def fatigue_majidzadeh(stress_ratio: StressRatio) -> Repetitions:
    """Fatigue law of Majidzadeh & Ilves."""
    return 22209 * stress_ratio**-4.29


@calculation(source="tepfers1979", equation="log10(N) = (1 - SR) / 0.0685")
def fatigue_tepfers(stress_ratio: StressRatio) -> Repetitions:
    """Fatigue law of Tepfers & Kutti with zero lower stress."""
    return 10 ** ((1 - stress_ratio) / 0.0685)


@calculation(source="titus2005", equation="log10(N) = [-SR^-10.24 log10(p) / 0.0112]^0.217")
def fatigue_titus_glover(stress_ratio: StressRatio, survival: Probability = EVEN_CHANCE) -> Repetitions:
    """Fatigue law of Titus-Glover et al., p the probability of survival."""
    return _ten_to((-(stress_ratio**-10.24) * np.log10(survival) / 0.0112) ** 0.217)


def _power(factor: float, ratio: Array, exponent: float, shift: float = 0.0) -> Array:
    return _ten_to(factor * ratio**exponent + shift)


def _ten_to(exponent: Array) -> Array:
    """10 to a power, capped at 1e300 where a low stress would overflow: no traffic reaches it."""
    capped: Array = 10.0 ** np.minimum(exponent, 300.0)
    return capped


FATIGUE_LAWS: dict[str, Calculation[Any]] = {
    law.name: law
    for law in (
        fatigue_pca,
        fatigue_darter,
        fatigue_darter_24_percent,
        fatigue_vesic,
        fatigue_nchrp_1_26,
        fatigue_corps,
        fatigue_nchrp_1_37a,
        fatigue_aashto_2008,
        fatigue_salsilli,
        fatigue_majidzadeh,
        fatigue_tepfers,
        fatigue_titus_glover,
    )
}

Damage = Annotated[Array, Quantity("number", "fatigue damage", 0.0, 1e6, "FD")]
Cracked = Annotated[Array, Quantity("share", "share of slabs cracked")]


@calculation(source="nchrp1_37a", equation="cracked % = 100 / (1 + FD^-1.68)")
def cracked_slabs_2004(damage: Damage) -> Cracked:
    """Share of slabs cracked by fatigue damage (2004 calibration)."""
    return damage**1.68 / (1 + damage**1.68)


@calculation(source="nchrp1_37a", equation="cracked % = 100 / (1 + FD^-1.98)")
def cracked_slabs_2008(damage: Damage) -> Cracked:
    """Share of slabs cracked by fatigue damage (2008 calibration)."""
    return damage**1.98 / (1 + damage**1.98)


@calculation(source="nchrp1_37a", equation="c = c_b + c_t - c_b c_t")
def cracked_slabs_together(
    bottom_up: Annotated[Array, Quantity("share", "share of slabs cracked from the bottom", 0.0, 1.0, "c_b")],
    top_down: Annotated[Array, Quantity("share", "share of slabs cracked from the top", 0.0, 1.0, "c_t")],
) -> Cracked:
    """Share of slabs cracked [1] from the bottom or from the top, the two taken as independent; arrays that broadcast.

    A scalar outside the bounds raises OutOfRange, an array element gives NaN. Source: NCHRP 1-37A, from memory.
    """
    return bottom_up + top_down - bottom_up * top_down


@calculation(
    source="nchrp1_37a",
    where="edition of 2008, transverse cracking",
    equation="s = 5.3116 c^0.3903 + 2.99, c and s in per cent of slabs",
)
def cracking_standard_error(
    cracked: Annotated[Array, Quantity("share", "predicted share of slabs cracked", 0.0, 1.0, "c")],
) -> Annotated[Array, Quantity("share", "standard error of the share cracked", symbol="s")]:
    """Standard error [1] of the share of slabs that the calibrated curve predicts, any shape.

    Of sections of road about the curve: inputs, law and cracking curve together. A scalar outside the bounds raises
    OutOfRange, an array element gives NaN. Source: the edition of 2008, from memory; it could not be looked up.
    """
    return (5.3116 * (100 * cracked) ** 0.3903 + 2.99) / 100


@dataclass(frozen=True)
class _Moment:
    """Equivalent moment and load adjustment of one axle group, in lb, in and kip."""

    moment: Callable[[Array], Array]
    load: Callable[[Array], Array]


# Coefficients in inches and pounds as printed; tied-shoulder forms were recalled and could not be checked.
_MOMENTS = {
    "single": _Moment(
        lambda l: -1600 + 2525 * np.log10(l) + 24.42 * l + 0.204 * l**2,
        lambda kip: (24 / kip) ** 0.06 * (kip / 18),
    ),
    "tandem": _Moment(
        lambda l: 3029 - 2966.8 * np.log10(l) + 133.69 * l - 0.0632 * l**2,
        lambda kip: (48 / kip) ** 0.06 * (kip / 36),
    ),
}


@calculation(
    source="pca1984",
    equation="s = 6 Me / h^2 f1 f2 f3 f4, Me from l, f1 = (24 / L)^0.06 (L / 18) single or (48 / L)^0.06 (L / 36)"
    " tandem, f2 = 0.892 + h / 85.71 - h^2 / 3000, f3 = 0.894, f4 = 1 / [1.235 (1 - 0.15)]",
)
def equivalent_edge_stress_pca(
    axle: Annotated[Any, Choice("axle group", ("single", "tandem"))],
    axle_load: Annotated[Array, Quantity("axle_load", "load on the axle group", 1 * KIP, 120 * KIP, "L")],
    thickness: SlabThickness,
    relative_stiffness: RelativeStiffness,
) -> Annotated[Array, Quantity("stress", "equivalent edge stress", symbol="s")]:
    """Equivalent edge stress of the 1984 thickness design, no shoulder support (E 4e6 psi, nu 0.15). [Pa]"""
    h, l = thickness / INCH, relative_stiffness / INCH
    group = _MOMENTS[axle]
    edge = (0.892 + h / 85.71 - h**2 / 3000) * 0.894 / (1.235 * (1 - 0.15))
    return 6 * group.moment(l) / h**2 * group.load(axle_load / KIP) * edge * PSI
