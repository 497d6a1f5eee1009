"""What the laws of the design were fitted to, and whether each section lies inside."""

from __future__ import annotations

import numpy as np
import pandas as pd

from slabwright.calculation import Array
from slabwright.records.fits import CONTINUOUS, JOINTED, Among, Fit, fits_table
from slabwright.records.outcomes.design import DESIGN_FITS
from slabwright.traffic.axles import rigid_axle_equivalence
from slabwright.units import FOOT, INCH, KIP, MILE, PCI, PSI

__all__ = ["ROAD_TEST_AXLES", "design_fits"]

ROAD_TEST = "slabs of the AASHO Road Test of 1958 to 1960, HRB Special Report 61E (from memory)"
PASSES = 1_114_000  # of each axle in each lane of the Road Test (Special Report 61E; from memory)
HEAVIEST = 30 * KIP  # single axle of its loop 6
THICKEST = 12.5 * INCH
# The heaviest single axle's passes in 18-kip axles, on the thickest slab and down to the serviceability 2.5, to the million.
ROAD_TEST_AXLES = round(float(np.asarray(PASSES * rigid_axle_equivalence(HEAVIEST, 1.0, THICKEST, 2.5).factor)), -6)
EQUATION = "AASHTO 1993 thickness equation"
SLAB = Fit(EQUATION, "slab required", "thickness", 2.5 * INCH, THICKEST, ROAD_TEST)
AXLES = Fit(EQUATION, "equivalent axles of the design period", "count", 0.0, ROAD_TEST_AXLES, ROAD_TEST)
JOINTS = Fit(EQUATION, "joint spacing", "length", 0.0, 15 * FOOT, f"plain {ROAD_TEST}")
CRACKS = Fit(
    "joints and cracks factor",
    "deteriorated joints and cracks left",
    "frequency",
    0.0,
    200 / MILE,
    "where the published curve ends, AASHTO 1993 Part III Figure 5.12 (from memory)",
)


CHART = (
    "the design chart, AASHTO 1993 Figure 3.7; the Road Test had one weak soil and one concrete, and the rest of the chart is"
    " theory (from memory)"
)
FOUNDATION = Fit(EQUATION, "static k", "foundation", 10 * PCI, 800 * PCI, CHART)
MODULUS = Fit(EQUATION, "E of the old slab", "modulus", 3e6 * PSI, 7e6 * PSI, CHART)
DOWELS = Among(EQUATION, "dowels in the joints", "yes", f"{ROAD_TEST}, all of which had them")
KIND = Among(EQUATION, "kind of pavement", JOINTED, f"{ROAD_TEST}, none of them continuously reinforced")


def design_fits(designed: pd.DataFrame, required: Array, axles: Array, layers: pd.DataFrame) -> pd.DataFrame:
    """The table ``design_fits``: required slab [m], axles (n,) of the sections, and ``layers``, the rows of their pavement.

    A joint spacing that is not known, or of continuously reinforced pavement, is NaN. Raises nothing.
    """
    pavement, plain = designed["pavement"], (designed["pavement"] != "CRCP").to_numpy()
    kinds = [CONTINUOUS if kind == "CRCP" else JOINTED if kind else "" for kind in pavement]
    dowels = [str(has) if jointed else "" for has, jointed in zip(layers["dowelled"], plain, strict=True)]
    spacing, unrepaired, foundation, modulus = (
        np.asarray(frame[name], dtype=float)
        for frame, name in (
            (layers, "joint_spacing"),
            (designed, "unrepaired"),
            (designed, "foundation"),
            (designed, "modulus"),
        )
    )
    return fits_table(
        DESIGN_FITS,
        [str(name) for name in designed["section"]],
        [
            (KIND, kinds),
            (SLAB, required),
            (AXLES, axles),
            (FOUNDATION, foundation),
            (MODULUS, modulus),
            (JOINTS, np.where(plain, spacing, np.nan)),
            (DOWELS, dowels),
            (CRACKS, np.where(plain, unrepaired, np.nan)),
        ],
    )
