"""Decisions on what the bond must bear."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from slabwright.calculation import Choice, Quantity
from slabwright.units import INCH, KIP, PSI

__all__ = ["BOND_GROWTH", "CRITERIA", "MODELS", "BondDecisions"]

MODELS = ("EN 1992-1-1", "Model B3")
CRITERIA = ("hyperbola", "ellipse", "Mohr-Coulomb line")
BOND_GROWTH = ("compressive strength", "root of compressive strength")
DAY = 86400.0


@dataclass(frozen=True)
class BondDecisions:
    """What the bond must bear.

    The default model is EN 1992-1-1: one document gives shrinkage by size, creep, and the growth of strength and modulus
    from a strength alone, and young overlays dry faster by it than by Model B3.
    """

    axle_load: Annotated[float, Quantity("force", "single axle that stresses the bond", 4 * KIP, 60 * KIP)] = 18 * KIP
    least_factor: Annotated[
        float,
        Quantity(
            "number", "least bond strength over demand (partial factor of concrete, EN 1992-1-1, from memory)", 1.0, 5.0
        ),
    ] = 1.5
    averaging_length: Annotated[
        float, Quantity("thickness", "length over which bond stress is averaged (a pull-off core)", 0.02, 0.2)
    ] = 0.05
    test_age: Annotated[
        float, Quantity("age", "age at which the required bond strength is tested (common practice)", 1 * DAY, 90 * DAY)
    ] = 28 * DAY
    shear_ratio: Annotated[
        float,
        Quantity(
            "number", "shear bond strength over pull-off strength (about twice, Delatte and others 2000)", 1.0, 3.0
        ),
    ] = 2.0
    bond_growth: Annotated[str, Choice("what the bond grows with, up to its test", BOND_GROWTH)] = (
        "compressive strength"
    )
    criterion: Annotated[str, Choice("strength where shear and peel act together, by", CRITERIA)] = "hyperbola"
    interface_friction: Annotated[
        float,
        Quantity("number", "friction of the hyperbola and the line (rough face, EN 1992-1-1, from memory)", 0.1, 1.0),
    ] = 0.7
    model: Annotated[str, Choice("shrinkage, creep and growth of the overlay by", MODELS)] = "EN 1992-1-1"
    concrete_strength: Annotated[
        float,
        Quantity("stress", "mean cylinder strength of the overlay concrete at 28 days", 18e6, 70e6),
    ] = 5000 * PSI
    cement: Annotated[str, Choice("speed of the cement", ("slow", "normal", "rapid"))] = "normal"
    curing_age: Annotated[
        float, Quantity("age", "age at which curing ends and drying begins (common practice)", 1 * DAY, 28 * DAY)
    ] = 7 * DAY
    humidity: Annotated[
        float, Quantity("share", "mean relative humidity of the air where no weather is loaded", 0.4, 1.0)
    ] = 0.6
    measured_shrinkage: Annotated[
        float, Quantity("number", "measured over predicted shrinkage, from a test of the mix", 0.3, 2.0)
    ] = 1.0
    cement_content: Annotated[float, Quantity("density", "cement content of the overlay (B3)", 160.0, 720.0)] = 350.0
    water_content: Annotated[float, Quantity("density", "water content of the overlay (B3)", 80.0, 300.0)] = 160.0
    aggregate_ratio: Annotated[float, Quantity("number", "aggregate over cement by weight (B3)", 2.5, 13.5)] = 5.2
    ageing_coefficient: Annotated[
        float, Quantity("number", "ageing coefficient of the age-adjusted modulus, the check beside", 0.5, 1.0)
    ] = 0.8
    slab_creep: Annotated[
        float,
        Quantity(
            "number",
            "creep coefficient of the old slab under 20 years of one stress (EN 1992-1-1 gives 0.35 to 0.45 for moist"
            " concrete loaded at 20 to 40 years; 0 is careful)",
            0.0,
            2.0,
        ),
    ] = 0.4
    expansion_difference: Annotated[
        float,
        Quantity("expansion", "thermal expansion of overlay and old slab, by how much they differ", 0.0, 8e-6),
    ] = 0.0
    yearly_change: Annotated[
        float,
        Quantity(
            "temperature_change",
            "change of the pavement's mean temperature from placing to the season in which unlike expansion shortens the"
            " overlay (common practice, no source)",
            0.0,
            60.0,
        ),
    ] = 25.0
    opening_age: Annotated[float, Quantity("age", "age from which wheels act (common practice)", 1 * DAY, 28 * DAY)] = (
        3 * DAY
    )
    fracture_energy: Annotated[
        float, Quantity("energy_release", "fracture energy of the bonded face (common practice, no source)", 5.0, 300.0)
    ] = 50.0
    day_gradient: Annotated[
        float, Quantity("temperature_gradient", "day gradient where no weather is loaded", 0.0, 150.0)
    ] = 3 / 1.8 / INCH
    night_gradient: Annotated[
        float, Quantity("temperature_gradient", "night gradient where no weather is loaded", 0.0, 150.0)
    ] = 1 / 1.8 / INCH
