"""The table ``stretches``: thickness as built from station to station, against what each section requires."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pandas as pd

from slabwright.design.built import TOUCHING, runs
from slabwright.records.decisions.design import DesignDecisions
from slabwright.records.outcomes.design import STRETCHES
from slabwright.records.remarks import Remark, remark
from slabwright.records.table import empty, table
from slabwright.records.words import listed

__all__ = ["stretch_notes", "stretches"]

EQUAL = 1e-6  # m: thicknesses no farther apart are one
SHORT = "shorter than the least length of {least}"


def stretches(
    thicknesses: pd.DataFrame,
    decided_by: Mapping[str, str],
    areas: Mapping[str, float],
    choice: DesignDecisions,
) -> pd.DataFrame:
    """The table ``stretches`` from the table ``thicknesses``; the decision behind each section and areas [m2], by section.

    Sections that follow each other in a direction with one thickness are one stretch. Raises nothing.
    """
    there = (thicknesses["overlay"] > 0).to_numpy()
    rows = []
    for run in runs(thicknesses, there):
        overlay = thicknesses["overlay"].to_numpy(dtype=float)[run]
        parts = np.split(run, np.flatnonzero(np.abs(np.diff(overlay)) > EQUAL) + 1)
        rows += [_stretch(thicknesses.iloc[part], decided_by, areas, choice) for part in parts]
    return table(STRETCHES, pd.DataFrame(rows)) if rows else empty(STRETCHES)


def _stretch(
    here: pd.DataFrame, by: Mapping[str, str], areas: Mapping[str, float], choice: DesignDecisions
) -> dict[str, object]:
    area = here["section"].map(areas).to_numpy(dtype=float)
    overlay, length = float(here["overlay"].iloc[0]), float(here["end"].iloc[-1] - here["begin"].iloc[0])
    short = length < choice.least_stretch - TOUCHING
    return {
        "direction": here["direction"].iloc[0],
        "begin": here["begin"].iloc[0],
        "end": here["end"].iloc[-1],
        "sections": ", ".join(here["section"]),
        "length": length,
        "needed": here["bonded"].max(),
        "overlay": overlay,
        "least_surplus": here["surplus"].min(),
        "most_surplus": here["surplus"].max(),
        "area": area.sum(),
        "volume": area.sum() * overlay,
        "by_sections": float((area * here["rounded"].to_numpy(dtype=float)).sum()),
        "decided_by": listed(dict.fromkeys(b for b in (by.get(s, "") for s in here["section"]) if b)),
        "note": remark(SHORT, least=("length", choice.least_stretch)) if short else "",
    }


def stretch_notes(made: pd.DataFrame) -> list[Remark]:
    """What is built in each direction, and what it takes beyond each section's own thickness."""
    found = []
    for direction, here in made.groupby("direction", sort=False):
        values: dict[str, tuple[str, float | str]] = {}
        parts = []
        for i, s in enumerate(here.itertuples(index=False)):
            values |= {f"t{i}": ("thickness", s.overlay), f"a{i}": ("station", s.begin), f"b{i}": ("station", s.end)}
            parts.append(f"{{t{i}}} from {{a{i}}} to {{b{i}}}")
        where = str(direction).capitalize() or "In the direction surveyed"
        found.append(remark(f"{where}, the overlay is built {'; '.join(parts)}.", "", **values))
    more = float((made["volume"] - made["by_sections"]).sum())
    if np.isfinite(more) and more > 0.05:
        said = "That takes {more} more concrete than each section's own rounded thickness."
        found.append(remark(said, more=("volume", more)))
    return found
