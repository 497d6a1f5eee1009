"""Decisions on thickness, steel, joints and surface preparation."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from slabwright.calculation import Choice, Quantity, Words
from slabwright.units import FOOT, INCH, KIP, LBF, PSI

__all__ = [
    "BY_DIRECTION",
    "BY_KIND",
    "BY_SECTION",
    "BY_STRETCH",
    "INLAY",
    "LEFT_OUT",
    "NO_SHOULDER",
    "SHOULDER_ASPHALT",
    "SHOULDER_CONCRETE",
    "UNBONDED",
    "UNDECIDED",
    "WAYS",
    "DesignDecisions",
]

BY_STRETCH, BY_DIRECTION, BY_SECTION = "a stretch of a least length", "a whole direction", "each section"
# What is built on the shoulders, and where no bonded overlay is designed.
BY_KIND, SHOULDER_CONCRETE, SHOULDER_ASPHALT, NO_SHOULDER = "by their kind", "overlay concrete", "asphalt", "nothing"
UNDECIDED, INLAY, UNBONDED, LEFT_OUT = "not decided", "mill and inlay", "unbonded overlay", "leave out"
WAYS = (INLAY, UNBONDED, LEFT_OUT)


@dataclass(frozen=True)
class DesignDecisions:
    """Thickness, steel, joints and surface preparation of the overlay."""

    thickness: Annotated[
        float, Quantity("thickness", "overlay thickness; 0 for the required one", 0.0, 8 * INCH, least=1 * INCH)
    ] = 0.0
    one_thickness_over: Annotated[
        str, Choice("over what one thickness is built", (BY_STRETCH, BY_DIRECTION, BY_SECTION))
    ] = BY_STRETCH
    least_stretch: Annotated[
        float, Quantity("length", "least length of a stretch of one thickness (common practice, no source)", 0.0, 1e5)
    ] = 1500 * FOOT
    thickness_by_hand: Annotated[
        str,
        Words("thickness by hand, each section or direction with its own: names, a colon, a thickness with its unit"),
    ] = ""
    thinnest: Annotated[
        float, Quantity("thickness", "practical minimum, rounded up to the built step", 1 * INCH, 4 * INCH)
    ] = 0.05
    thickest: Annotated[
        float,
        Quantity("thickness", "greatest thickness at which a bonded overlay is still considered", 3 * INCH, 8 * INCH),
    ] = 6 * INCH
    round_to: Annotated[
        float,
        Quantity(
            "thickness",
            "step to which thickness is rounded up; 0 takes the usual one of the road's units",
            0.0,
            1 * INCH,
        ),
    ] = 0.0
    reliability: Annotated[float, Quantity("share", "design reliability", 0.5, 0.999)] = 0.95
    standard_deviation: Annotated[
        float, Quantity("number", "overall standard deviation S0 of the design equation", 0.2, 0.6)
    ] = 0.39
    effective_by: Annotated[
        str, Choice("which effective thickness governs", ("condition", "remaining life", "lower of both"))
    ] = "condition"
    reinforcement: Annotated[str, Choice("reinforcement of the overlay", ("none", "fabric", "continuous"))] = "none"
    reinforcement_stress: Annotated[
        float, Quantity("stress", "working stress of the steel", 20000 * PSI, 60000 * PSI)
    ] = 45000 * PSI
    friction: Annotated[float, Quantity("number", "friction of the slab on its base", 0.5, 3.0)] = 1.5
    bar_diameter: Annotated[float, Quantity("width", "diameter of continuous bars", 0.25 * INCH, 1.25 * INCH)] = (
        0.625 * INCH
    )
    temperature_drop: Annotated[
        float, Quantity("temperature_change", "design temperature drop for continuous steel", 5.0, 80.0)
    ] = 41.7
    shrinkage: Annotated[float, Quantity("strain", "drying shrinkage at 28 days", 1e-5, 1.5e-3)] = 0.0004
    thermal_expansion: Annotated[float, Quantity("expansion", "thermal expansion of the concrete", 4e-6, 1.5e-5)] = (
        9.5e-6
    )
    bond_strength: Annotated[
        float, Quantity("stress", "required bond strength, by the test named", 50 * PSI, 400 * PSI)
    ] = 200 * PSI
    bond_test: Annotated[str, Choice("test of the required bond strength", ("pull-off", "direct shear"))] = "pull-off"
    bond_factor: Annotated[
        float, Quantity("number", "least ratio of bond strength to interface shear from wheels", 1.0, 10.0)
    ] = 2.0
    wheel_load: Annotated[float, Quantity("force", "wheel load for interface shear", 2 * KIP, 40 * KIP)] = 9000 * LBF
    milling_depth: Annotated[float, Quantity("thickness", "depth milled off the old slab", 0.0, 2 * INCH)] = 0.0
    preparation: Annotated[
        str, Choice("surface preparation", ("shot blasting", "milling and shot blasting", "water blasting"))
    ] = "shot blasting"
    texture_depth: Annotated[
        float, Quantity("width", "mean texture depth required of the prepared surface", 0.0003, 0.005)
    ] = 0.0008
    grout: Annotated[str, Choice("bonding grout", ("none", "cement grout"))] = "none"
    overlay_modulus: Annotated[
        float, Quantity("modulus", "elastic modulus of the overlay concrete", 2e6 * PSI, 7e6 * PSI)
    ] = 4.5e6 * PSI
    overlay_density: Annotated[
        float, Quantity("density", "density of the overlay concrete, for its dead load on a deck", 1800.0, 2800.0)
    ] = 2400.0
    taper_ratio: Annotated[
        float, Quantity("number", "length of a taper in the lanes over its rise (common practice, no source)", 50, 1000)
    ] = 300.0
    ramp_taper_ratio: Annotated[
        float, Quantity("number", "length of a taper on a ramp over its rise (common practice, no source)", 10, 1000)
    ] = 100.0
    ramp_width: Annotated[
        float, Quantity("length", "width of a ramp at its nose; 0 where it is not known", 0.0, 20.0)
    ] = 0.0
    inside_shoulder: Annotated[
        float, Quantity("length", "width of the shoulder next to the median; 0 where it is not known", 0.0, 8.0)
    ] = 0.0
    outside_shoulder: Annotated[
        float, Quantity("length", "width of the outer shoulder; 0 where it is not known", 0.0, 8.0)
    ] = 0.0
    shoulders: Annotated[
        str,
        Choice(
            "what raises the shoulders beside the overlay", (BY_KIND, SHOULDER_CONCRETE, SHOULDER_ASPHALT, NO_SHOULDER)
        ),
    ] = BY_KIND
    refused: Annotated[str, Choice("what is built where no bonded overlay is designed", (UNDECIDED, *WAYS))] = UNDECIDED
    refused_by_hand: Annotated[
        str, Words("the same by section or direction, as in: A4: mill and inlay; with stationing: leave out")
    ] = ""
    inlay_depth: Annotated[
        float, Quantity("thickness", "depth milled for an inlay; 0 for the whole slab", 0.0, 24 * INCH)
    ] = 0.0
    overlay_strength: Annotated[
        float, Quantity("stress", "flexural strength of the overlay concrete", 400 * PSI, 1100 * PSI)
    ] = 650 * PSI
