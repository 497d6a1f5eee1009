"""What an overlay does: deflection before and after, life at a reliability, and what the thickness depends on.

Everything is an array over sections (n,), with thickness, reliability or varied inputs as further leading axes.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np

from slabwright.calculation import Array
from slabwright.design.thickness import bonded_overlay_thickness
from slabwright.interface.composite import composite_section
from slabwright.slab.closed_forms import (
    corner_deflection_ioannides,
    edge_deflection_circle,
    interior_deflection_westergaard,
    relative_stiffness,
)
from slabwright.slab.serviceability import rigid_allowable_axles, rigid_required_thickness
from slabwright.terms import PLATE_RADIUS

__all__ = [
    "VARIED",
    "DeflectionChange",
    "DesignInputs",
    "Varied",
    "deflection_change",
    "varied_overlays",
]


@dataclass(frozen=True)
class DesignInputs:
    """What the thickness equation needs, each (n,) over sections, in SI."""

    axles: Array
    rupture: Array
    modulus: Array
    foundation: Array
    load_transfer: Array
    drainage: Array
    reliability: Array
    standard_deviation: Array
    initial_serviceability: Array
    terminal_serviceability: Array
    effective: Array

    def terms(self) -> dict[str, Array]:
        """The inputs of the equation by name, without those that an overlay or a forecast changes."""
        return {
            f.name: getattr(self, f.name) for f in fields(self) if f.name not in ("axles", "reliability", "effective")
        }

    def required(self) -> Array:
        """Slab thickness for the design axles [m]; NaN where the equation has no answer."""
        return np.asarray(rigid_required_thickness(self.axles, reliability=self.reliability, **self.terms()))

    def allowable(self, thickness: Array, reliability: Array) -> Array:
        """Equivalent axles for slab thicknesses at reliabilities, broadcast against (n,)."""
        return np.asarray(rigid_allowable_axles(thickness, reliability=reliability, **self.terms()).axles)

    def overlay(self) -> Array:
        """Bonded overlay for the design axles [m]."""
        return np.asarray(bonded_overlay_thickness(self.required(), self.effective))


@dataclass(frozen=True)
class DeflectionChange:
    """Deflection of a slab before and after an overlay [m], and the falls as ratios; broadcast shapes."""

    before: Array
    bonded: Array
    unbonded: Array
    interior: Array
    edge: Array
    corner: Array
    unbonded_reduction: Array


def deflection_change(
    overlay: Array,
    slab: Array,
    modulus: Array,
    overlay_modulus: float,
    dynamic_foundation: Array,
    load: float,
    poisson: float,
) -> DeflectionChange:
    """Plate-test deflections before and after by composite section theory and the closed forms of the slab.

    The section is taken on the modulus of the overlay.
    """
    section = composite_section(overlay, slab, modulus / overlay_modulus)
    a, k, nu = PLATE_RADIUS, dynamic_foundation, poisson
    old = relative_stiffness(modulus, slab, k, nu) + 0 * overlay
    glued, loose = (relative_stiffness(overlay_modulus, h, k, nu) for h in (section.bonded, section.unbonded))
    before, bonded, unbonded = (np.asarray(interior_deflection_westergaard(load, k, l, a)) for l in (old, glued, loose))
    edge = [np.asarray(edge_deflection_circle(load, k, l, a, nu)) for l in (old, glued)]
    corner = [np.asarray(corner_deflection_ioannides(load, k, l, a)) for l in (old, glued)]
    return DeflectionChange(
        before,
        bonded,
        unbonded,
        1 - bonded / before,
        1 - edge[1] / edge[0],
        1 - corner[1] / corner[0],
        1 - unbonded / before,
    )


@dataclass(frozen=True)
class Varied:
    """One input of the sensitivity study: its two values are ``low`` and ``high`` times, plus, or equal to the input."""

    name: str
    meaning: str
    kind: str
    how: str
    low: float
    high: float

    def ends(self, value: Array) -> tuple[Array, Array]:
        if self.how == "times":
            return value * self.low, value * self.high
        if self.how == "plus":
            return value + self.low, value + self.high
        return 0 * value + self.low, 0 * value + self.high


# Ranges: coefficients of variation published for design inputs (AASHTO 1993 App. EE, NCHRP 1-26; from memory).
VARIED = (
    Varied("axles", "equivalent axles to come", "count", "times", 0.7, 1.3),
    Varied("rupture", "modulus of rupture", "stress", "times", 0.88, 1.12),
    Varied("modulus", "modulus of the old slab", "modulus", "times", 0.8, 1.2),
    Varied("foundation", "static k", "foundation", "times", 0.6, 1.4),
    Varied("effective", "effective thickness of the old slab", "thickness", "times", 0.95, 1.05),
    Varied("load_transfer", "load transfer coefficient J", "number", "plus", -0.2, 0.2),
    Varied("drainage", "drainage coefficient", "number", "plus", -0.1, 0.1),
    Varied("standard_deviation", "overall standard deviation", "number", "plus", -0.05, 0.05),
    Varied("reliability", "reliability", "share", "equal", 0.8, 0.99),
)


def varied_overlays(inputs: DesignInputs) -> Array:
    """Overlay thickness with one input at a time at the two ends of its range: (inputs, 2, n) [m], in one solve."""
    shape = (len(VARIED), 2, *inputs.axles.shape)
    stacked = {f.name: np.broadcast_to(getattr(inputs, f.name), shape).copy() for f in fields(inputs)}
    for row, varied in enumerate(VARIED):
        stacked[varied.name][row] = np.stack(varied.ends(getattr(inputs, varied.name)))
    return replace(inputs, **stacked).overlay()
