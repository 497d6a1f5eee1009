"""What the bond and the overlay's own tension say against an overlay, for page one and for the first page of the workspace."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING

from slabwright import units
from slabwright.bond.verdict import NO, OPEN, YES
from slabwright.materials.terms import YEAR

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["aged", "bond_said"]


def aged(seconds: float) -> str:
    """An age in days, from two years on in years."""
    years = seconds / YEAR
    return units.format_quantity(seconds, "age") if years < 2 else units.format_quantity(years, "years")


def bond_said(
    verdicts: pd.DataFrame, value: Callable[[float, str], str], names: Callable[[Sequence[str]], str]
) -> Iterator[str]:
    """Sentences on the sections of the table ``bond_verdicts`` whose bond does not pass, or whose overlay cracks by itself.

    ``value(number, kind)`` writes a quantity in SI for the reader, ``names(sections)`` a list of sections. Nothing where
    nothing stands against the bond. Raises nothing.
    """
    weak = verdicts[verdicts["passes"] != YES]
    if len(weak):
        said = [
            f"{words} in {names(list(weak.loc[weak['passes'] == passes, 'section']))}"
            for passes, words in ((OPEN, "is open"), (NO, "fails"))
            if (weak["passes"] == passes).any()
        ]
        yield (
            f"The bond is shown to hold in {len(verdicts) - len(weak)} of {len(verdicts)}"
            f" section{'' if len(verdicts) == 1 else 's'}; it"
            f" {', '.join(said)}, and open is no pass: the least factor of stress is {value(float(weak['factor'].min()), 'number')}"
            f" where {value(float(weak['least_factor'].max()), 'number')} is required, and the most energy released is"
            f" {value(float(weak['energy'].max()), 'energy_release')} of"
            f" {value(float(weak['fracture_energy'].max()), 'energy_release')} that the bond is taken to bear, taken without a"
            " factor."
        )
    beyond = verdicts[verdicts[["pull", "pull_held"]].max(axis=1) > verdicts["tensile"]]
    if len(beyond):
        yield (
            f"In {names(list(beyond['section']))} the overlay's own tension from shrinkage exceeds its tensile strength: by these"
            " numbers it cracks between joints."
        )
