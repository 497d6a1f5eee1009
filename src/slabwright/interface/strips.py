"""Two bonded layers of which one shrinks: curling, forces, shear and peel at an edge, and energy of cracks.

Layer 1 is the overlay and shrinks by ``strain`` more than layer 2, the old slab. Forces are per unit width. The
moduli are those of a strip; for a wide plate bent one way put E / (1 - nu^2) in their place.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np

from slabwright.calculation import Array, Choice, Quantity, calculation
from slabwright.terms import Poisson
from slabwright.units import PSI

__all__ = [
    "EdgeShear",
    "JointLayer",
    "StripForces",
    "bilayer_energy_release",
    "bimetal_curvature_timoshenko",
    "bimetal_tip_deflection",
    "crack_energy_release",
    "edge_peel_suhir",
    "edge_shear_suhir",
    "joint_layer_shear",
    "pair_compliance",
    "shear_compliance",
    "strip_forces",
]

Overlay = Annotated[Array, Quantity("thickness", "thickness of the overlay (layer 1)", 0.005, 1.0, "h1")]
Slab = Annotated[Array, Quantity("thickness", "thickness of the old slab (layer 2)", 0.005, 1.0, "h2")]
OverlayModulus = Annotated[Array, Quantity("modulus", "modulus of the overlay", 1e5 * PSI, 2e7 * PSI, "E1")]
SlabModulus = Annotated[Array, Quantity("modulus", "modulus of the old slab", 1e5 * PSI, 2e7 * PSI, "E2")]
Strain = Annotated[Array, Quantity("strain", "free shortening of the overlay beyond that of the slab", 0.0, 0.01, "de")]
HalfLength = Annotated[Array, Quantity("length", "half the length between free edges or joints", 0.05, 500.0, "l")]
SUPPORTS = ("free to curl", "held flat")
Support = Annotated[str, Choice("whether the strip curls or the ground holds it flat", SUPPORTS)]

STRIP_POISSON: Array = np.asarray(0.20)
AT_EDGE: Array = np.asarray(0.0)
LAMBDA = "lambda = 1/(E1 h1) + 1/(E2 h2) + (h1 + h2)^2 / (4 D), D = (E1 h1^3 + E2 h2^3) / 12; held flat without the last term"


def pair_compliance(overlay: Any, slab: Any, overlay_modulus: Any, slab_modulus: Any, support: str) -> Any:
    """Compliance [m/N] of the pair: relative shortening by a unit force in the layers and against it (Suhir 1986).

    Thicknesses [m], moduli [Pa]: scalars, or arrays that broadcast; ``support``: one of SUPPORTS. Raises nothing.
    """
    axial = 1 / (overlay_modulus * overlay) + 1 / (slab_modulus * slab)
    rigidity = (overlay_modulus * overlay**3 + slab_modulus * slab**3) / 12
    return axial + (overlay + slab) ** 2 / (4 * rigidity) if support == "free to curl" else axial


def shear_compliance(thickness: Any, modulus: Any, poisson: Any) -> Any:
    """What a layer's own shear gives to an interface [m^3/N]: a third of its thickness over its shear modulus (Suhir 1986).

    ``thickness`` [m], ``modulus`` [Pa], ``poisson`` [1]: scalars, or arrays that broadcast. Raises nothing.
    """
    return 2 * (1 + poisson) * thickness / (3 * modulus)


def _shear_compliance(overlay: Array, slab: Array, overlay_modulus: Array, slab_modulus: Array, poisson: Array) -> Any:
    """Interface compliance [m^3/N] of both layers."""
    return shear_compliance(overlay, overlay_modulus, poisson) + shear_compliance(slab, slab_modulus, poisson)


@calculation(
    source="timoshenko1925",
    equation="kappa = 6 de (1 + m)^2 / {(h1 + h2) [3 (1 + m)^2 + (1 + m n) (m^2 + 1 / (m n))]}, m = h1 / h2, n = E1 / E2",
)
def bimetal_curvature_timoshenko(
    overlay: Overlay, slab: Slab, overlay_modulus: OverlayModulus, slab_modulus: SlabModulus, strain: Strain
) -> Annotated[Array, Quantity("per_length", "curvature, edges upward", symbol="kappa")]:
    """Curvature of two layers of which one shortens more, free to curl. [1/m]"""
    m, n = overlay / slab, overlay_modulus / slab_modulus
    bracket = 3 * (1 + m) ** 2 + (1 + m * n) * (m**2 + 1 / (m * n))
    return 6 * strain * (1 + m) ** 2 / ((overlay + slab) * bracket)


@calculation(source="timoshenko1925", equation="w = kappa L^2 / 2")
def bimetal_tip_deflection(
    curvature: Annotated[Array, Quantity("per_length", "curvature", 0.0, 1.0, "kappa")],
    length: Annotated[Array, Quantity("length", "length from where it is held", 0.01, 500.0, "L")],
) -> Annotated[Array, Quantity("deflection", "rise of the free end", symbol="w")]:
    """Rise of the free end of a strip that curls evenly. [m]"""
    return curvature * length**2 / 2


@dataclass(frozen=True)
class StripForces:
    """Forces and face stresses away from the edges; tension is positive."""

    axial_force: Annotated[Array, Quantity("line_force", "tension in the overlay, compression in the slab", symbol="N")]
    curvature: Annotated[Array, Quantity("per_length", "curvature, edges upward", symbol="kappa")]
    overlay_top: Annotated[Array, Quantity("stress", "stress at the top of the overlay")]
    overlay_bottom: Annotated[Array, Quantity("stress", "stress at the bottom of the overlay")]
    slab_top: Annotated[Array, Quantity("stress", "stress at the top of the slab")]
    slab_bottom: Annotated[Array, Quantity("stress", "stress at the bottom of the slab")]


@calculation(
    source="timoshenko1925",
    equation=f"N = de / lambda; kappa = N (h1 + h2) / (2 D); {LAMBDA}",
)
def strip_forces(
    overlay: Overlay,
    slab: Slab,
    overlay_modulus: OverlayModulus,
    slab_modulus: SlabModulus,
    strain: Strain,
    support: Support = "free to curl",
) -> StripForces:
    """Forces and stresses of two layers under a difference of free strain, away from edges.

    Stresses relax with time: give the strain that is left, or an age-adjusted modulus. [N/m, 1/m, Pa]
    """
    force = strain / pair_compliance(overlay, slab, overlay_modulus, slab_modulus, support)
    rigidity = (overlay_modulus * overlay**3 + slab_modulus * slab**3) / 12
    curvature = force * (overlay + slab) / (2 * rigidity) * (1.0 if support == "free to curl" else 0.0)
    upper, lower = overlay_modulus * curvature * overlay / 2, slab_modulus * curvature * slab / 2
    return StripForces(
        force, curvature, force / overlay - upper, force / overlay + upper, -force / slab - lower, -force / slab + lower
    )


@dataclass(frozen=True)
class EdgeShear:
    """Interface shear from a difference of free strain near a free edge."""

    shear: Annotated[Array, Quantity("stress", "interface shear at the distance d from the edge", symbol="tau")]
    edge_shear: Annotated[Array, Quantity("stress", "interface shear at the edge")]
    decay: Annotated[Array, Quantity("per_length", "rate at which it dies out", symbol="k", printed="1/in")]
    edge_zone: Annotated[Array, Quantity("length", "width of the edge zone, 3 / k")]


@calculation(
    source="suhir1986",
    equation="tau = de / sqrt(lambda K) sinh[k (l - d)] / cosh(k l), k = sqrt(lambda / K), K = 2 (1 + nu) / 3 (h1 / E1 + h2 / E2); "
    + LAMBDA,
)
def edge_shear_suhir(
    overlay: Overlay,
    slab: Slab,
    overlay_modulus: OverlayModulus,
    slab_modulus: SlabModulus,
    strain: Strain,
    half_length: HalfLength,
    distance: Annotated[Array, Quantity("length", "distance from the edge", 0.0, 500.0, "d")] = AT_EDGE,
    poisson: Annotated[Poisson, Quantity("number", "Poisson's ratio of both layers", 0.05, 0.45, "nu")] = STRIP_POISSON,
    support: Support = "free to curl",
) -> EdgeShear:
    """Interface shear near a free edge, joint or crack of a shrinking overlay.

    An elastic edge value is an index for comparing designs; the exact stress there is singular and must not be held
    against a strength at a point. [Pa]
    """
    compliance = pair_compliance(overlay, slab, overlay_modulus, slab_modulus, support)
    shear = _shear_compliance(overlay, slab, overlay_modulus, slab_modulus, poisson)
    decay = np.sqrt(compliance / shear)
    peak = strain / np.sqrt(compliance * shear)
    reach = decay * half_length
    # sinh over cosh with the growing exponential divided out, so that long strips do not overflow.
    share = (np.exp(-decay * distance) - np.exp(decay * distance - 2 * reach)) / (1 + np.exp(-2 * reach))
    share = np.where(distance <= 2 * half_length, share, np.nan)  # beyond the other edge there is no strip
    return EdgeShear(peak * share, peak * np.tanh(reach), decay, 3 / decay)


@calculation(
    source="suhir1986",
    equation="p = mu de / K, mu = (h1 D2 - h2 D1) / [2 (D1 + D2)], D1 = E1 h1^3 / 12, D2 = E2 h2^3 / 12,"
    " K = 2 (1 + nu) / 3 (h1 / E1 + h2 / E2)",
)
def edge_peel_suhir(
    overlay: Overlay,
    slab: Slab,
    overlay_modulus: OverlayModulus,
    slab_modulus: SlabModulus,
    strain: Strain,
    poisson: Annotated[Poisson, Quantity("number", "Poisson's ratio of both layers", 0.05, 0.45, "nu")] = STRIP_POISSON,
) -> Annotated[Array, Quantity("stress", "peel at the edge, tension positive", symbol="p")]:
    """Peel at the edge of an overlay that shrinks and is free to curl.

    Tension when the more flexible layer shrinks, zero for equal layers; an index, as the shear is. [Pa]
    """
    d1, d2 = overlay_modulus * overlay**3 / 12, slab_modulus * slab**3 / 12
    lever = (overlay * d2 - slab * d1) / (2 * (d1 + d2))
    return lever * strain / _shear_compliance(overlay, slab, overlay_modulus, slab_modulus, poisson)


@dataclass(frozen=True)
class JointLayer:
    """Shear in a thin layer that joins two others."""

    decay: Annotated[Array, Quantity("per_length", "rate at which it dies out", symbol="b")]
    edge_shear: Annotated[Array, Quantity("stress", "shear at the edge", symbol="tau")]


@calculation(
    source="chen_nelson1979",
    equation="b = sqrt{(G / e) [1 / (E1 h1) + 1 / (E2 h2)]}; tau = de G / (b e) tanh(b l)",
)
def joint_layer_shear(
    overlay: Overlay,
    slab: Slab,
    overlay_modulus: OverlayModulus,
    slab_modulus: SlabModulus,
    strain: Strain,
    half_length: HalfLength,
    layer: Annotated[Array, Quantity("thickness", "thickness of the joining layer", 1e-5, 0.05, "e")],
    shear_modulus: Annotated[
        Array, Quantity("modulus", "shear modulus of the joining layer", 100 * PSI, 2e7 * PSI, "G")
    ],
) -> JointLayer:
    """Edge shear in a thin joining layer such as grout (Volkersen; Chen & Nelson), layers held flat.

    A thin stiff layer gives a peak far above any bond strength: it measures the layer, not the danger. [Pa]
    """
    axial = 1 / (overlay_modulus * overlay) + 1 / (slab_modulus * slab)
    decay = np.sqrt(shear_modulus / layer * axial)
    return JointLayer(decay, strain * shear_modulus / (decay * layer) * np.tanh(decay * half_length))


# Energy released over stress^2 thickness / modulus.
CRACK_FACTORS = {"edge delamination": 0.5, "channel crack": 1.976, "surface crack": 3.951, "spall": 0.343}


@calculation(
    source="hutchinson_suo1992",
    equation="G = Z s^2 h / E, Z = 0.5 edge delamination, 1.976 channel crack, 3.951 surface crack, 0.343 spall",
)
def crack_energy_release(
    stress: Annotated[Array, Quantity("stress", "even tension in the overlay before it cracks", 0.0, 5000 * PSI, "s")],
    thickness: Annotated[Array, Quantity("thickness", "thickness of the overlay", 0.005, 1.0, "h")],
    modulus: Annotated[Array, Quantity("modulus", "modulus of the overlay", 1e5 * PSI, 2e7 * PSI, "E")],
    crack: Annotated[str, Choice("kind of crack", tuple(CRACK_FACTORS))] = "edge delamination",
) -> Annotated[Array, Quantity("energy_release", "energy released per area of crack", symbol="G")]:
    """Energy released by a crack in or under an evenly stressed overlay on a thick base.

    The crack runs when this exceeds the toughness, of the order of 50 to 100 N/m for concrete interfaces. [N/m]
    """
    return CRACK_FACTORS[crack] * stress**2 * thickness / modulus


@calculation(source="hutchinson_suo1992", tag="derived", equation="G = (1 + nu) / (1 - nu) N de / 2")
def bilayer_energy_release(
    axial_force: Annotated[Array, Quantity("line_force", "force between strips", 0.0, 1e8, "N")],
    strain: Strain,
    poisson: Annotated[
        float, Quantity("number", "Poisson's ratio of both layers; 0 for strips", 0.0, 0.45, "nu")
    ] = 0.0,
) -> Annotated[Array, Quantity("energy_release", "energy released per area of delamination", symbol="G")]:
    """Energy released where two layers part along their interface and both relax fully behind a long front. [N/m]

    Free strain acts both ways while nothing moves along the front: in plane strain E is over 1 less the ratio squared, and the
    strain times 1 and the ratio.
    """
    return (1 + poisson) / (1 - poisson) * axial_force * strain / 2
