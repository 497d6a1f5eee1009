"""Cores: strength corrected for length, diameter, moisture and drilling; statistics of a set."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

import numpy as np
import numpy.typing as npt
import pandas as pd

from slabwright.calculation import Array, Quantity, calculation
from slabwright.records.outcomes.survey import CORE_STRENGTHS
from slabwright.records.table import table
from slabwright.units import INCH, PSI

__all__ = [
    "CoreStrength",
    "core_length_factor_c42",
    "core_strength_aci",
    "correct_cores",
    "sound_cores",
    "strength_tested",
]

LengthRatio = Annotated[Array, Quantity("number", "length over diameter of the specimen", 0.9, 3.0, "l/d")]
# ASTM C42: factors for length over diameter, from memory; full length needs none.
C42_RATIOS, C42_FACTORS = (1.0, 1.25, 1.5, 1.75, 2.0), (0.87, 0.93, 0.96, 0.98, 1.0)
ALPHA = 3e-6 / PSI  # ACI 214.4R, per psi


@calculation(
    source="astm_c42",
    equation="factor by interpolation of 0.87, 0.93, 0.96, 0.98, 1.00 at l/d = 1, 1.25, 1.5, 1.75, 2",
)
def core_length_factor_c42(
    length_ratio: Annotated[Array, Quantity("number", "length over diameter of the specimen", 1.0, 3.0, "l/d")],
) -> Annotated[Array, Quantity("number", "length correction factor")]:
    """Length correction of core strength (ASTM C42)."""
    return np.interp(length_ratio, C42_RATIOS, C42_FACTORS)


@dataclass(frozen=True)
class CoreStrength:
    """The corrected strength with its factors."""

    length_factor: Annotated[Array, Quantity("number", "length factor", symbol="F_ld")]
    diameter_factor: Annotated[Array, Quantity("number", "diameter factor", symbol="F_dia")]
    strength: Annotated[Array, Quantity("stress", "in-place strength", symbol="fc")]


STANDARD_MOISTURE: Array = np.asarray(1.0)
USUAL_DRILLING: Array = np.asarray(1.06)


@calculation(
    source="aci_214_4",
    equation="fc = F_ld F_dia F_mc F_d f, F_ld = 1 - (0.130 - alpha f) (2 - l/d)^2, alpha = 3e-6 per psi; F_dia = 1.06, 1.00, 0.98 at 2, 4, 6 in",
)
def core_strength_aci(
    strength: Annotated[Array, Quantity("stress", "strength as tested", 500 * PSI, 20000 * PSI, "f")],
    length_ratio: LengthRatio,
    diameter: Annotated[Array, Quantity("thickness", "diameter of the core", 2 * INCH, 6 * INCH, "d")],
    moisture_factor: Annotated[Array, Quantity("number", "moisture factor", 0.9, 1.15, "F_mc")] = STANDARD_MOISTURE,
    drilling_factor: Annotated[
        Array, Quantity("number", "factor for damage by drilling", 1.0, 1.1, "F_d")
    ] = USUAL_DRILLING,
) -> CoreStrength:
    """In-place strength from a core (ACI 214.4R); lengths above two diameters need no length factor. [Pa]"""
    short = np.maximum(2 - length_ratio, 0)
    length_factor = 1 - (0.130 - ALPHA * strength) * short**2
    diameter_factor = np.interp(diameter / INCH, (2.0, 4.0, 6.0), (1.06, 1.00, 0.98))
    result = length_factor * diameter_factor * moisture_factor * drilling_factor * strength
    return CoreStrength(length_factor, diameter_factor + 0 * length_factor, result)


MOISTURE_FACTORS = {"": 1.0, "standard": 1.0, "soaked": 1.09, "dried": 0.96}


def sound_cores(cores: pd.DataFrame) -> npt.NDArray[np.bool_]:
    """Which cores (n,) show no materials distress: only these stand for the strength of the slab. Raises nothing."""
    return cores["material_distress"].isin(["", "none"]).to_numpy()


def strength_tested(cores: pd.DataFrame) -> npt.NDArray[np.bool_]:
    """Which cores (n,) of the table ``cores`` are sound and give a strength, by splitting, or in compression with the diameter and
    the length of the specimen. Raises nothing."""
    crushed = cores[["compressive_strength", "specimen_length", "diameter"]].notna().all(axis=1)
    tested = (crushed | cores["split_strength"].notna()).to_numpy()
    return np.asarray(tested & sound_cores(cores), dtype=bool)


def correct_cores(cores: pd.DataFrame) -> pd.DataFrame:
    """The table of cores with corrected strength; cores without a test keep a missing strength."""
    ratio = (cores["specimen_length"] / cores["diameter"]).to_numpy()
    moisture = cores["moisture"].map(MOISTURE_FACTORS).to_numpy(dtype=float)
    strength = core_strength_aci(
        cores["compressive_strength"].to_numpy(), np.minimum(ratio, 3.0), cores["diameter"].to_numpy(), moisture
    ).strength
    kept = [
        "station",
        "lane",
        "core",
        "thickness",
        "compressive_strength",
        "split_strength",
        "material_distress",
        "delamination_depth",
    ]
    return table(
        CORE_STRENGTHS, pd.DataFrame({**{k: cores[k] for k in kept}, "length_ratio": ratio, "strength": strength})
    )
