"""Decisions on how the old slab is judged."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Annotated

from slabwright.calculation import Choice, Quantity, Words
from slabwright.records.decisions.words import YES_NO
from slabwright.units import FOOT, INCH, MIL, MILE

__all__ = ["EVERY_LANE", "TRANSFER_CLASSES", "EvaluationDecisions", "names_in"]

TRANSFER_CLASSES = ("above 70 %", "50 to 70 %", "below 50 %")  # as the load transfer coefficient distinguishes


EVERY_LANE = "all"  # said of the lanes walked whole


def names_in(words: str) -> list[str]:
    """The names in ``settled_cores`` or ``lanes_walked_whole``, split at semicolons and commas."""
    return [name.strip() for name in re.split(r"[;,]", words) if name.strip()]


@dataclass(frozen=True)
class EvaluationDecisions:
    """How the old slab is judged."""

    poisson: Annotated[float, Quantity("number", "Poisson's ratio of concrete", 0.1, 0.25)] = 0.15
    moduli_from: Annotated[str, Choice("which backcalculation the design uses", ("plate fit", "basin area"))] = (
        "plate fit"
    )
    slab_size_correction: Annotated[str, Choice("correct backcalculation for the size of the slab", YES_NO)] = "yes"
    static_ratio: Annotated[float, Quantity("number", "static over dynamic foundation modulus", 0.3, 1.0)] = 0.5
    base_bond: Annotated[
        str, Choice("slab and base for the partition of stiffness", ("unbonded", "bonded", "no partition"))
    ] = "no partition"
    modular_ratio: Annotated[float, Quantity("number", "base modulus over slab modulus", 0.001, 2.0)] = 0.02
    strength_from: Annotated[
        str, Choice("which estimate of flexural strength is used", ("lower of both", "cores", "modulus"))
    ] = "lower of both"
    initial_serviceability: Annotated[float, Quantity("number", "serviceability when new", 3.5, 5.0)] = 4.5
    terminal_serviceability: Annotated[
        float, Quantity("number", "serviceability at which the road is renewed", 1.5, 3.5)
    ] = 2.5
    drainage_coefficient: Annotated[
        float, Quantity("number", "drainage coefficient; 0 takes it from the drainage quality", 0, 1.25)
    ] = 0.0
    load_transfer_coefficient: Annotated[
        float, Quantity("number", "load transfer coefficient J; 0 takes it from measured load transfer", 0, 4.4)
    ] = 0.0
    durability_factor: Annotated[
        float, Quantity("number", "durability factor; 0 takes it from distress and cores", 0, 1)
    ] = 0.0
    void_intercept: Annotated[
        float, Quantity("deflection", "deflection at zero load that points to a void", 0.5 * MIL, 10 * MIL)
    ] = 2 * MIL
    unrepaired: Annotated[
        float,
        Quantity(
            "frequency",
            "deteriorated joints and cracks left unrepaired; 0 takes it from the marking of repairs",
            0.0,
            200 / MILE,
        ),
    ] = 0.0
    least_raise: Annotated[
        float, Quantity("thickness", "grade raise that the thinnest overlay needs", 1 * INCH, 4 * INCH)
    ] = 2 * INCH
    lowest_load_transfer: Annotated[float, Quantity("share", "load transfer below which it is restored", 0.3, 0.95)] = (
        0.7
    )
    most_full_depth: Annotated[
        float, Quantity("share", "share of area in full-depth repair that still suits a bonded overlay", 0.01, 0.5)
    ] = 0.1
    most_durability_cores: Annotated[
        float, Quantity("share", "share of cores with materials-related distress that still suits", 0.0, 0.5)
    ] = 0.1
    most_delaminated_cores: Annotated[
        float, Quantity("share", "share of cores delaminated that still suits", 0.0, 0.5)
    ] = 0.1
    most_void_corners: Annotated[
        float, Quantity("share", "share of tested corners with voids that still suits after repair", 0.0, 1.0)
    ] = 0.5
    least_samples: Annotated[
        float,
        Quantity("count", "cores or corners of a section, of fewer of which nothing sound is concluded", 1, 100),
    ] = 2
    samples_judged_by: Annotated[
        str,
        Choice(
            "what a share of cores or corners is judged by: the share found, or its exact limits, which few samples"
            " never satisfy",
            ("share found", "limits of the share"),
        ),
    ] = "share found"
    sample_confidence: Annotated[
        float, Quantity("share", "confidence of the limits of a share of cores or corners", 0.5, 0.99)
    ] = 0.95
    assume_without_cores: Annotated[str, Choice("assume sound concrete where no core was examined", YES_NO)] = "no"
    assume_without_survey: Annotated[str, Choice("assume no distress where none was surveyed", YES_NO)] = "no"
    lanes_walked_whole: Annotated[
        str,
        Words("lanes that the distress survey walked whole, by name; or: all"),
    ] = ""
    survey_reach: Annotated[
        float,
        Quantity("length", "length on either side of a row of the distress survey that was walked", 5.0, 1000.0),
    ] = 400 * FOOT
    least_walked: Annotated[
        float,
        Quantity("share", "share of a lane walked below which what was found is counted over what was walked", 0, 1),
    ] = 0.5
    assume_without_joint_tests: Annotated[
        str, Choice("load transfer assumed where no joint was tested; no leaves it open", ("no", *TRANSFER_CLASSES))
    ] = "no"
    assume_without_corner_tests: Annotated[
        str, Choice("assume no voids where no corner of a jointed slab was tested", YES_NO)
    ] = "no"
    reason_to_assume: Annotated[str, Words("why what was not examined is assumed")] = ""
    settled_cores: Annotated[
        str, Words("cores whose code stands against their remark, as core numbers separated by semicolons or commas")
    ] = ""
