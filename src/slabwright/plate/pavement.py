"""What is modelled: layers, interface, foundation, joints, cuts, voids. SI; x along the road, y across, z down."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Literal

import numpy as np

from slabwright.errors import InputError
from slabwright.interface.strips import shear_compliance

__all__ = [
    "Cut",
    "DenseLiquid",
    "ElasticSolid",
    "Interface",
    "Layer",
    "LayeredPavement",
    "Rectangle",
    "Void",
    "sound_stiffness",
]

THINNEST, THICKEST = 0.02, 0.8
LONGEST = 60.0  # m: farther from the middle the element functions lose digits
STIFFEST = 1e14  # N/m3: a stiffer interface locks the mesh (a sound one has about 1e11)
STEEL = 250e9  # no slab is stiffer


@dataclass(frozen=True)
class Rectangle:
    """A rectangle of the pavement [m]."""

    x0: float
    x1: float
    y0: float
    y1: float

    def __post_init__(self) -> None:
        if not (self.x1 > self.x0 and self.y1 > self.y0):
            raise InputError(
                "a rectangle needs a length and a width",
                given=f"x {self.x0:g} to {self.x1:g} m, y {self.y0:g} to {self.y1:g} m",
            )

    @property
    def area(self) -> float:
        return (self.x1 - self.x0) * (self.y1 - self.y0)


@dataclass(frozen=True)
class Layer:
    """One layer of concrete: thickness [m], modulus [Pa], Poisson's ratio, expansion [1/K], density [kg/m3]."""

    thickness: float
    modulus: float
    poisson: float = 0.15
    expansion: float = 9.5e-6
    density: float = 2350.0

    def __post_init__(self) -> None:
        _between("layer thickness", self.thickness, THINNEST, THICKEST, "m")
        _between("elastic modulus of a layer", self.modulus, 1e8, STEEL, "Pa")
        _between("Poisson's ratio of a layer", self.poisson, 0.0, 0.45, "")
        _between("thermal expansion of a layer", self.expansion, 0.0, 3e-5, "1/K")
        _between("density of a layer", self.density, 0.0, 5000.0, "kg/m3")

    @property
    def bending(self) -> float:
        """Bending stiffness D [N m]."""
        return self.modulus * self.thickness**3 / (12 * (1 - self.poisson**2))

    @property
    def membrane(self) -> float:
        """Extensional stiffness E h / (1 - nu^2) [N/m]."""
        return self.modulus * self.thickness / (1 - self.poisson**2)

    @property
    def shear_modulus(self) -> float:
        return self.modulus / (2 * (1 + self.poisson))


def sound_stiffness(overlay: Layer, slab: Layer) -> float:
    """Shear stiffness of a sound interface from the shear compliance of both layers [N/m3], scalar.

    k_s = 1 / (h1 / (3 G1) + h2 / (3 G2)), the compliance of Suhir (1986). Raises nothing.
    """
    return 1 / sum(shear_compliance(layer.thickness, layer.modulus, layer.poisson) for layer in (overlay, slab))


@dataclass(frozen=True)
class Interface:
    """Shear stiffness [N/m3], None for the sound value; patches without bond."""

    stiffness: float | None = None
    delaminated: tuple[Rectangle, ...] = ()

    def __post_init__(self) -> None:
        if self.stiffness is not None:
            _between("shear stiffness of the interface", self.stiffness, 0.0, STIFFEST, "N/m3")


@dataclass(frozen=True)
class DenseLiquid:
    """Foundation whose pressure at a point follows the deflection there: k [N/m3]."""

    stiffness: float

    def __post_init__(self) -> None:
        _between("modulus of foundation reaction", self.stiffness, 1e5, 1e10, "N/m3")


@dataclass(frozen=True)
class ElasticSolid:
    """Elastic half-space: modulus [Pa], Poisson's ratio."""

    modulus: float
    poisson: float = 0.4

    def __post_init__(self) -> None:
        _between("modulus of the elastic solid", self.modulus, 1e5, 1e11, "Pa")
        _between("Poisson's ratio of the elastic solid", self.poisson, 0.0, 0.5, "")


@dataclass(frozen=True)
class Void:
    """Loss of support: the foundation lies this much below the slab there [m]; infinite for no support at all."""

    area: Rectangle
    gap: float = math.inf

    def __post_init__(self) -> None:
        if not self.gap > 0:
            raise InputError("the gap of a void is a positive depth", given=f"{self.gap:g} m")


@dataclass(frozen=True)
class Cut:
    """A joint or crack through one layer alone: layer 0 is the overlay, 1 the old slab; a line x or y = at."""

    layer: int
    axis: Literal["x", "y"]
    at: float


@dataclass(frozen=True)
class LayeredPavement:
    """Slabs in rows and columns between joint lines ``x`` and ``y``, ends included; one or two layers, top first.

    ``transverse`` and ``longitudinal``: shear stiffness of the joints on lines x and y [N/m2], 0 for none.
    Neither moment nor tension crosses a joint. Raises InputError with a sentence for what cannot be built.
    """

    x: tuple[float, ...]
    y: tuple[float, ...]
    layers: tuple[Layer, ...]
    foundation: DenseLiquid | ElasticSolid
    interface: Interface = field(default_factory=Interface)
    transverse: float = 0.0
    longitudinal: float = 0.0
    cuts: tuple[Cut, ...] = ()
    voids: tuple[Void, ...] = ()

    def __post_init__(self) -> None:
        if len(self.layers) not in (1, 2):
            raise InputError("the model has one layer or two", given=len(self.layers))
        for name, lines in (("x", self.x), ("y", self.y)):
            if len(lines) < 2 or not np.all(np.isfinite(lines)) or np.any(np.diff(lines) <= 0):
                raise InputError(f"joint lines {name} rise from one end of the pavement to the other", given=str(lines))
            if lines[-1] - lines[0] > LONGEST:
                raise InputError(
                    "the model takes a few slabs, not a road: cut the pavement shorter",
                    given=f"{lines[-1] - lines[0]:g} m",
                    allowed=f"up to {LONGEST:g} m",
                )
        for name, stiffness in (("transverse", self.transverse), ("longitudinal", self.longitudinal)):
            _between(f"shear stiffness of {name} joints", stiffness, 0.0, 1e13, "N/m2")
        for cut in self.cuts:
            self._check_cut(cut)
        for area in (*self.interface.delaminated, *(v.area for v in self.voids)):
            self._check_inside(area)

    @property
    def composite(self) -> bool:
        return len(self.layers) == 2

    @property
    def interface_stiffness(self) -> float:
        """Shear stiffness where the layers are bonded [N/m3]."""
        given = self.interface.stiffness
        return sound_stiffness(*self.layers) if given is None else given

    @property
    def weight(self) -> float:
        """Weight of the layers [Pa]."""
        return 9.81 * sum(layer.density * layer.thickness for layer in self.layers)

    def _check_cut(self, cut: Cut) -> None:
        lines = self.x if cut.axis == "x" else self.y
        if not self.composite or cut.layer not in (0, 1):
            raise InputError("a cut through one layer needs two layers, 0 the overlay and 1 the old slab")
        if not lines[0] < cut.at < lines[-1] or min(abs(cut.at - line) for line in lines) < 0.05:
            raise InputError(
                "a cut lies inside the pavement, 50 mm or more from a joint", given=f"{cut.axis} = {cut.at:g} m"
            )

    def _check_inside(self, area: Rectangle) -> None:
        if area.x0 < self.x[0] or area.x1 > self.x[-1] or area.y0 < self.y[0] or area.y1 > self.y[-1]:
            raise InputError(
                "a delaminated patch or a void lies outside the pavement",
                given=f"x {area.x0:g} to {area.x1:g} m, y {area.y0:g} to {area.y1:g} m",
                allowed=f"x {self.x[0]:g} to {self.x[-1]:g} m, y {self.y[0]:g} to {self.y[-1]:g} m",
            )


def _between(what: str, value: float, low: float, high: float, unit: str) -> None:
    if not low <= value <= high:  # NaN too
        raise InputError(
            f"{what} is outside what the model takes",
            given=f"{value:g} {unit}".rstrip(),
            allowed=f"{low:g} to {high:g} {unit}".rstrip(),
        )
