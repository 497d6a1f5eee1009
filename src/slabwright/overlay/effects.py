"""What an overlay does: deflection before and after, life at a reliability, and what the thickness depends on."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from slabwright import units
from slabwright.calculation import Array
from slabwright.mechanics.composite import composite_section
from slabwright.mechanics.serviceability import rigid_allowable_axles, rigid_required_thickness
from slabwright.mechanics.slab import (
    corner_deflection_ioannides,
    edge_deflection_circle,
    interior_deflection_westergaard,
    relative_stiffness,
)
from slabwright.mechanics.terms import PLATE_RADIUS
from slabwright.overlay.thickness import bonded_overlay_thickness

__all__ = ["DeflectionChange", "DesignInputs", "Swing", "deflection_change", "sensitivity", "years_of_traffic"]


@dataclass(frozen=True)
class DesignInputs:
    """What the thickness equation needs of one section, in SI."""

    axles: float
    rupture: float
    modulus: float
    foundation: float
    load_transfer: float
    drainage: float
    reliability: float
    standard_deviation: float
    initial_serviceability: float
    terminal_serviceability: float
    effective: float

    def _terms(self) -> dict[str, float]:
        return {
            "rupture": self.rupture, "modulus": self.modulus, "foundation": self.foundation,
            "load_transfer": self.load_transfer, "drainage": self.drainage, "standard_deviation": self.standard_deviation,
            "initial_serviceability": self.initial_serviceability, "terminal_serviceability": self.terminal_serviceability,
        }  # fmt: skip

    def required(self) -> float:
        """Slab thickness for the design axles [m]; NaN where the equation has no answer."""
        found = rigid_required_thickness(np.array([self.axles]), reliability=self.reliability, **self._terms())
        return float(found[0])

    def allowable(self, thickness: Array, reliability: Array) -> Array:
        """Equivalent axles for slab thicknesses at reliabilities, broadcast."""
        return np.asarray(
            rigid_allowable_axles(np.atleast_1d(thickness), reliability=reliability, **self._terms()).axles
        )

    def overlay(self) -> float:
        """Bonded overlay for the design axles [m]."""
        needed = self.required()
        return float(bonded_overlay_thickness(np.array([needed]), np.array([self.effective]))[0])


def years_of_traffic(axles: Array, first_year: float, growth: float) -> Array:
    """Years in which growing traffic adds up to the given axles (the growth factor solved for its years)."""
    ratio = np.asarray(axles) / first_year
    if abs(growth) < 1e-9:
        return ratio
    inner = 1 + growth * ratio  # shrinking traffic may never add up to it
    return np.where(inner > 0, np.log(np.where(inner > 0, inner, 1.0)) / np.log1p(growth), np.inf)


@dataclass(frozen=True)
class DeflectionChange:
    """Deflection of a slab before and after an overlay [m], and the falls as ratios; arrays over thickness."""

    before: Array
    bonded: Array
    unbonded: Array
    interior: Array
    edge: Array
    corner: Array
    unbonded_fall: Array


def deflection_change(
    overlay: Array, slab: float, modulus: float, overlay_modulus: float, dynamic_foundation: float, load: float,
    poisson: float,
) -> DeflectionChange:  # fmt: skip
    """Plate-test deflections before and after by composite section theory and the closed forms of the slab.

    The section is taken on the modulus of the overlay; ``overlay`` in m, (n,).
    """
    ratio = modulus / overlay_modulus
    section = composite_section(overlay, slab, ratio)
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
class Swing:
    """How the overlay changes when one input moves between two values."""

    input: str
    low: str
    high: str
    at_low: float
    at_high: float


# Ranges: coefficients of variation published for design inputs (AASHTO 1993 App. EE, NCHRP 1-26; from memory).
RANGES: tuple[tuple[str, str, str, float, float], ...] = (
    ("axles", "equivalent axles to come", "count", 0.7, 1.3),
    ("rupture", "modulus of rupture", "stress", 0.88, 1.12),
    ("modulus", "modulus of the old slab", "modulus", 0.8, 1.2),
    ("foundation", "static k", "foundation", 0.6, 1.4),
    ("effective", "effective thickness of the old slab", "thickness", 0.95, 1.05),
)
STEPS: tuple[tuple[str, str, str, float], ...] = (
    ("load_transfer", "load transfer coefficient J", "number", 0.2),
    ("drainage", "drainage coefficient", "number", 0.1),
    ("standard_deviation", "overall standard deviation", "number", 0.05),
)


def sensitivity(inputs: DesignInputs) -> tuple[Swing, ...]:
    """Overlay thickness with one input at a time at the ends of its range, greatest swing first."""
    swings = []
    for name, text, kind, low, high in RANGES:
        value = getattr(inputs, name)
        swings.append(_swing(inputs, name, text, kind, value * low, value * high))
    for name, text, kind, step in STEPS:
        value = getattr(inputs, name)
        swings.append(_swing(inputs, name, text, kind, value - step, value + step))
    swings.append(_swing(inputs, "reliability", "reliability", "share", 0.8, 0.99))
    return tuple(sorted(swings, key=lambda s: -abs(np.nan_to_num(s.at_high - s.at_low))))


def _swing(inputs: DesignInputs, name: str, text: str, kind: str, low: float, high: float) -> Swing:
    ends = [replace(inputs, **{name: v}).overlay() for v in (low, high)]
    shown = [units.format_quantity(v, kind) for v in (low, high)]
    return Swing(text, shown[0], shown[1], ends[0], ends[1])
