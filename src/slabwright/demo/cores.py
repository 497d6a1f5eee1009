"""The core log: forty cores with thickness, one strength each, and what the petrographer saw."""

from __future__ import annotations

import numpy as np
import pandas as pd

from slabwright.demo.truth import TRUTH, Stretch
from slabwright.units import INCH

__all__ = ["core_log"]

CORES = (11, 8, 8, 7, 6)
DIAMETER = 4.0 * INCH
# Tested strength over that of a core twice as long as wide; ASTM C42 length factors, from memory.
LENGTH_RATIO = (1.0, 1.25, 1.5, 1.75, 2.0)
LENGTH_FACTOR = (0.87, 0.93, 0.96, 0.98, 1.0)
EVERY_SPLIT = 4


def _stretch_cores(stretch: Stretch, count: int, rng: np.random.Generator) -> pd.DataFrame:
    edges = np.linspace(stretch.begin, stretch.end, count + 1)
    ill = np.arange(count) < round(stretch.durability_share * count)
    spread = TRUTH.scatter
    return pd.DataFrame({
        "station": edges[:-1] + np.diff(edges) * rng.uniform(0.1, 0.9, count),
        "thickness": stretch.thickness * (1 + spread.core_thickness * rng.standard_normal(count)),
        "compressive_strength": stretch.compressive_strength * (1 + spread.core_strength * rng.standard_normal(count)),
        "split_strength": stretch.split_strength * (1 + spread.core_strength * rng.standard_normal(count)),
        "material_distress": np.where(rng.permutation(ill), "durability cracking", "none"),
    })


def core_log(rng: np.random.Generator) -> pd.DataFrame:
    """One row a core (SI); a core is tested in compression or by splitting, the delaminated one not at all."""
    log = pd.concat([_stretch_cores(s, n, rng) for s, n in zip(TRUTH.stretches, CORES, strict=True)], ignore_index=True)
    number = np.arange(1, len(log) + 1)
    core = np.array([f"C-{i:02d}" for i in number])
    parted = core == TRUTH.delaminated_core
    split = (number % EVERY_SPLIT == 0) & ~parted
    specimen = (log["thickness"] - rng.uniform(0.8, 2.2, len(log)) * INCH).clip(upper=2 * DIAMETER)
    factor = np.interp(specimen / DIAMETER, LENGTH_RATIO, LENGTH_FACTOR)
    return log.assign(
        core=core,
        lane=np.where(number % 2 == 1, "NB3", "SB3"),
        diameter=DIAMETER,
        specimen_length=specimen.mask(parted | split),
        compressive_strength=(log["compressive_strength"] / factor).mask(parted | split),
        split_strength=log["split_strength"].where(split),
        moisture=np.where(parted, "", "standard"),
        delamination_depth=np.where(parted, TRUTH.delamination_depth, np.nan),
    )
