"""Decisions on thickness, steel, joints and surface preparation."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from slabwright.calculation import Choice, Quantity
from slabwright.units import INCH, KIP, LBF, PSI

__all__ = ["DesignDecisions"]


@dataclass(frozen=True)
class DesignDecisions:
    """Thickness, steel, joints and surface preparation of the overlay."""

    thickness: Annotated[float, Quantity("thickness", "overlay thickness; 0 for the required one", 0.0, 8 * INCH)] = 0.0
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
    bond_strength: Annotated[float, Quantity("stress", "required bond strength by pull-off", 50 * PSI, 400 * PSI)] = (
        200 * PSI
    )
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
        float, Quantity("number", "length of the taper at a deck over its rise (common practice, no source)", 50, 1000)
    ] = 300.0
