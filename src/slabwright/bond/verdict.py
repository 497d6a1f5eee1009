"""Whether the bond holds, by stress and energy together.

Coupled criterion (Leguillon 2002, from memory): a crack begins only where stress reaches the strength and the energy that is
released reaches the fracture energy. Where one alone does, neither failure nor safety is shown.
"""

from __future__ import annotations

import math

__all__ = ["BOTH", "NO", "OPEN", "YES", "growth", "outcome", "remedy"]

YES, OPEN, NO = "yes", "open", "no"
BOTH = (
    "A crack begins only where stress and energy both reach their limits (coupled criterion, Leguillon 2002, from memory): the"
    " verdict is no where both do, open where one alone does, yes where neither. The energy is held against the fracture"
    " energy without a factor, so open is no pass."
)
BY_STRESS = "stress reaches its limit, the energy released does not"
BY_ENERGY = "the energy released reaches its limit, stress does not"
BY_BOTH = "stress and the energy released both reach their limits"
SETTLED = "a shrinkage test of the mix, bond tests on trial areas, and records of overlays that were laid like this would settle it"
SHRINKAGE = (
    "shrinkage governs: lower the shrinkage of the mix and prove it by a test, cure longer, cut joints early, or ask for a"
    " stronger bond"
)
OTHERS = "ask for a stronger bond, or a thinner or thicker overlay"


def growth(energy: float, limit: float, factor: float) -> str:
    """Whether a patch grows that releases an energy [N/m], by the fracture energy [N/m] and the factor required of the load.

    Energy goes with the square of the load: a patch is safe only where the factor squared leaves it so. An energy of NaN is
    that of an even strain, which releases none. Raises nothing.
    """
    if math.isnan(energy):
        return "no energy from an even strain"
    if energy > limit:
        return "may grow"
    return "may grow with the factor required" if energy * factor**2 > limit else "does not grow"


def outcome(stress: bool, energy: bool) -> str:
    """The verdict when stress, and when energy, reach their limits. Raises nothing."""
    return NO if stress and energy else OPEN if stress or energy else YES


def remedy(passes: str, stress: bool, cause: str) -> str:
    """Which limit is reached under that cause, what settles an open verdict, and what helps; "" where none is reached."""
    if passes == YES:
        return ""
    helped = SHRINKAGE if "shrinkage" in cause else OTHERS
    if passes == NO:
        return f"{BY_BOTH}; {helped}"
    return f"{BY_STRESS if stress else BY_ENERGY}; {SETTLED}; {helped}"
