"""Growth of bond with the overlay's age.

Published tests say that bond follows the overlay's compressive strength (Beushausen & Alexander 2008) and can be
predicted by maturity for one concrete under good curing (Delatte, Williamson & Fowler 2000). Neither abstract gives a
law: the exponent here is a choice, and a trial section tested at two ages is worth more.
"""

from __future__ import annotations

from typing import Annotated

import numpy as np

from slabwright.calculation import Array, Choice, Quantity, calculation

__all__ = ["bond_strength_at_age", "shear_bond_from_tension"]

MPA = 1e6
FOLLOWS = {"compressive strength": 1.0, "root of compressive strength": 0.5}
Bond = Annotated[Array, Quantity("stress", "bond strength found by test", 0.01 * MPA, 20 * MPA, "ft")]
Ratio = Quantity("number", "compressive strength over that at 28 days, at the age asked for", 0.0, 2.0, "r")
RatioAtTest = Quantity("number", "compressive strength over that at 28 days, at the age of the test", 0.02, 2.0, "rt")
TWICE: Array = np.asarray(2.0)


@calculation(
    source="beushausen2008",
    tag="common practice",
    equation="f = ft (r / rt)^n, at most ft; n = 1 with compressive strength, 0.5 with its root",
)
def bond_strength_at_age(
    strength: Bond,
    ratio: Annotated[Array, Ratio],
    ratio_at_test: Annotated[Array, RatioAtTest],
    follows: Annotated[str, Choice("what the bond grows with", tuple(FOLLOWS))] = "compressive strength",
) -> Annotated[Array, Quantity("stress", "bond strength at the age asked for", symbol="f")]:
    """Bond strength at another age than that of its test, in step with the overlay's strength.

    Before the test's age the first power is the careful one (and EN 1992-1-1 lets tension grow so up to 28 days); the
    root is ACI 209's for tension. After the test there is no credit for further growth, which no source here shows.
    The ratios come from a growth curve, at the equivalent age where temperature is not 20 degrees C.
    ``strength`` [Pa], ratios [1], any shapes that broadcast; returns [Pa]. Scalars outside the bounds raise OutOfRange,
    array elements give NaN. Source: that it follows compressive strength, Beushausen & Alexander 2008 (abstract looked
    up); the power is common practice.
    """
    return strength * np.minimum(ratio / ratio_at_test, 1.0) ** FOLLOWS[follows]


@calculation(source="delatte2000", equation="fs = m ft")
def shear_bond_from_tension(
    strength: Bond,
    multiple: Annotated[Array, Quantity("number", "shear bond over tension bond", 1.0, 4.0, "m")] = TWICE,
) -> Annotated[Array, Quantity("stress", "strength of the bond in pure shear", symbol="fs")]:
    """Shear strength of the bond from its pull-off strength: about twice.

    ``strength`` [Pa], ``multiple`` [1], any shapes that broadcast; returns [Pa]. Scalars outside the bounds raise
    OutOfRange, array elements give NaN. Source: Delatte, Williamson & Fowler 2000 (abstract): "approximately twice".
    """
    return strength * multiple
