"""Growth of strength and modulus with age, as ratios to the value at 28 days.

Every ratio is one for a concrete of 28 days (the regression of 2004 exactly at 0.0767 years, the hyperbola of ACI 209
within one per cent). A value measured at another age is carried over by the quotient of two ratios. The ages are those
at 20 degrees C: in the first weeks put the equivalent age from a maturity function in their place.
"""

from __future__ import annotations

from typing import Annotated

import numpy as np

from slabwright.calculation import Array, Choice, Quantity, calculation
from slabwright.materials.terms import DAY, OLDEST, YEAR, Age, CementClass

__all__ = [
    "flexural_ratio_2004",
    "modulus_ratio_2004",
    "modulus_ratio_en1992",
    "modulus_ratio_mc2010",
    "root_strength_ratio_aci209",
    "strength_ratio_2004",
    "strength_ratio_aci209",
    "strength_ratio_en1992",
    "tensile_ratio_en1992",
]

Ratio = Annotated[Array, Quantity("number", "ratio to the value at 28 days", symbol="r")]
# Constants a [days] and b of ACI 209R-92, Table 2.2.1.
ACI_CEMENTS = {
    "type I, moist": (4.0, 0.85),
    "type III, moist": (2.3, 0.92),
    "type I, steam": (1.0, 0.95),
    "type III, steam": (0.70, 0.98),
}
AciCement = Annotated[str, Choice("cement and curing", tuple(ACI_CEMENTS))]
SPEED = {"slow": 0.38, "normal": 0.25, "rapid": 0.20}
ACI_EQUATION = "a, b = 4, 0.85 type I moist; 2.3, 0.92 type III moist; 1, 0.95 type I steam; 0.70, 0.98 type III steam"
BETA_CC = "b = exp{s [1 - (28 / t)^0.5]}, s = 0.38 slow, 0.25 normal, 0.20 rapid cement"
LongAge = Annotated[Array, Quantity("age", "age of the concrete", 7 * DAY, OLDEST, "t")]
LONG_EQUATION = "x = log10(t / 365.25 / 0.0767), t in days"


@calculation(source="aci209", where="section 2.2", equation=f"r = t / (a + b t), t in days; {ACI_EQUATION}")
def strength_ratio_aci209(age: Age, cement: AciCement = "type I, moist") -> Ratio:
    """Growth of compressive strength by ACI 209R-92.

    ``age`` [s], any shape, 0.25 days to 100 years; returns the ratio [1] in the same shape, levelling off at 1 / b.
    A scalar outside the bounds raises OutOfRange, an array element gives NaN. Source: ACI 209R-92, from memory.
    """
    a, b = ACI_CEMENTS[cement]
    days = age / DAY
    return days / (a + b * days)


@calculation(source="aci209", where="section 2.2", equation=f"r = [t / (a + b t)]^0.5, t in days; {ACI_EQUATION}")
def root_strength_ratio_aci209(age: Age, cement: AciCement = "type I, moist") -> Ratio:
    """Growth of modulus of rupture, direct tension and elastic modulus by ACI 209R-92, all as the root of strength.

    ``age`` [s], any shape, 0.25 days to 100 years; returns the ratio [1] in the same shape. Errors as for the strength.
    Source: ACI 209R-92, from memory.
    """
    a, b = ACI_CEMENTS[cement]
    days = age / DAY
    return np.sqrt(days / (a + b * days))


def _gain_2004(age: Array) -> Array:
    """Ratio of the modulus of rupture by the regression of 2004."""
    x = np.log10(age / YEAR / 0.0767)
    return 1.0 + 0.12 * x - 0.01566 * x**2


@calculation(
    source="nchrp1_37a",
    where="Part 2, Chapter 2, modulus of rupture from its 28-day value alone",
    equation=f"r = 1 + 0.12 x - 0.01566 x^2, {LONG_EQUATION}",
)
def flexural_ratio_2004(age: LongAge) -> Ratio:
    """Growth of the modulus of rupture by the curve with which the cracking law of 2004 was calibrated.

    About 1.20 at 20 years. A regression on long records: before 28 days it runs above tests and other curves.
    ``age`` [s], any shape, 7 days to 100 years (it would turn down only after 500 years); returns the ratio [1].
    A scalar outside the bounds raises OutOfRange, an array element gives NaN. Source: NCHRP 1-37A, from memory.
    """
    return _gain_2004(age)


@calculation(
    source="nchrp1_37a",
    where="Part 2, Chapter 2: E = 33 w^1.5 fc^0.5 and MR = 9.5 fc^0.5",
    tag="derived",
    equation=f"r = 1 + 0.12 x - 0.01566 x^2, {LONG_EQUATION}",
)
def modulus_ratio_2004(age: LongAge) -> Ratio:
    """Growth of the elastic modulus that goes with the rupture curve of 2004.

    Modulus and rupture both follow the root of strength there, so that their ratios are the same.
    ``age`` [s], any shape, 7 days to 100 years; returns the ratio [1]. Errors and source as for the modulus of rupture.
    """
    return _gain_2004(age)


@calculation(
    source="nchrp1_37a",
    where="Part 2, Chapter 2: MR = 9.5 fc^0.5",
    tag="derived",
    equation=f"r = (1 + 0.12 x - 0.01566 x^2)^2, {LONG_EQUATION}",
)
def strength_ratio_2004(age: LongAge) -> Ratio:
    """Growth of compressive strength that goes with the rupture curve of 2004: its square.

    ``age`` [s], any shape, 7 days to 100 years; returns the ratio [1]. Errors and source as for the modulus of rupture.
    """
    return _gain_2004(age) ** 2


def _beta_cc(age: Array, cement: str) -> Array:
    """Ratio of compressive strength by EN 1992-1-1, Eq. 3.2, and the Model Code."""
    return np.exp(SPEED[cement] * (1 - np.sqrt(28 * DAY / age)))


@calculation(source="en1992", where="Eq. 3.1 and 3.2", equation=f"r = b, {BETA_CC}, t in days")
def strength_ratio_en1992(age: Age, cement: CementClass = "normal") -> Ratio:
    """Growth of compressive strength by EN 1992-1-1 and the Model Code 2010.

    ``age`` [s], any shape, 0.25 days to 100 years; returns the ratio [1], levelling off at exp(s).
    A scalar outside the bounds raises OutOfRange, an array element gives NaN. Source: EN 1992-1-1, looked up.
    """
    return _beta_cc(age, cement)


@calculation(
    source="en1992",
    where="Eq. 3.4",
    equation=f"r = b before 28 days, b^(2/3) after, {BETA_CC}, t in days",
)
def tensile_ratio_en1992(age: Age, cement: CementClass = "normal") -> Ratio:
    """Growth of axial and flexural tensile strength by EN 1992-1-1.

    ``age`` [s], any shape, 0.25 days to 100 years; returns the ratio [1], with a kink at 28 days.
    Errors as for the strength. Source: EN 1992-1-1, looked up.
    """
    b = _beta_cc(age, cement)
    return np.where(age < 28 * DAY, b, np.cbrt(b) ** 2)


@calculation(source="en1992", where="Eq. 3.5", equation=f"r = b^0.3, {BETA_CC}, t in days")
def modulus_ratio_en1992(age: Age, cement: CementClass = "normal") -> Ratio:
    """Growth of the elastic modulus by EN 1992-1-1.

    ``age`` [s], any shape, 0.25 days to 100 years; returns the ratio [1]. Errors as for the strength.
    Source: EN 1992-1-1, looked up.
    """
    return _beta_cc(age, cement) ** 0.3


@calculation(source="mc2010", where="section 5.1.9.3", equation=f"r = b^0.5, {BETA_CC}, t in days")
def modulus_ratio_mc2010(age: Age, cement: CementClass = "normal") -> Ratio:
    """Growth of the elastic modulus by the Model Code 2010.

    ``age`` [s], any shape, 0.25 days to 100 years; returns the ratio [1]. Errors as for the strength.
    Source: fib Model Code 2010, from memory.
    """
    return np.sqrt(_beta_cc(age, cement))
