"""The model made ready: assembled and factorised once, then solved for any number of loads."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
from scipy.sparse import csc_array, csr_array
from scipy.sparse.linalg import splu

from slabwright.calculation import Array
from slabwright.errors import InputError, NotConverged
from slabwright.plate.assembly import (
    Strain,
    SupportPoints,
    joint_stiffness,
    plate_stiffness,
    strain_load,
    support_points,
    weight_load,
)
from slabwright.plate.contact import (
    BLOCK,
    Compliance,
    LiftedSystem,
    Support,
    liquid_contact,
    solid_contact,
    solid_flexibility,
)
from slabwright.plate.grid import Fields, Grid, grid, make_fields
from slabwright.plate.loads import Patches, patch_load
from slabwright.plate.pavement import DenseLiquid, ElasticSolid, LayeredPavement
from slabwright.plate.rows import deflection_rows

__all__ = ["LayeredPlate", "Solution", "layered_plate"]


@dataclass(frozen=True)
class LayeredPlate:
    """A pavement on its mesh, factorised on a foundation in full contact; see ``layered_plate``."""

    pavement: LayeredPavement
    lines: Grid
    fields: Fields
    stiffness: csc_array
    factor: Any
    support_rows: csr_array
    support: Support
    relative_stiffness: float
    flexibility: Array | None
    compliance: Compliance

    @property
    def unknowns(self) -> int:
        return self.fields.unknowns

    def load(self, patches: Patches) -> Array:
        """Load vectors of patches of pressure: (unknowns, cases)."""
        found = np.zeros((self.unknowns, patches.cases))
        found[: self.fields.deflection.size] = patch_load(self.lines, self.fields, patches, self.relative_stiffness)
        return found

    def free_strain(self, strains: Sequence[Strain]) -> Array:
        """Load vector of one free strain for each layer: (unknowns, 1)."""
        if len(strains) != len(self.pavement.layers):
            raise InputError(
                "one free strain for each layer", given=len(strains), allowed=str(len(self.pavement.layers))
            )
        return strain_load(self.pavement, self.fields, tuple(strains))[:, None]

    def weight(self) -> Array:
        """Load vector of the slabs' own weight: (unknowns, 1)."""
        return weight_load(self.pavement, self.fields)[:, None]

    def solve(self, loads: Array, *, strains: Sequence[Strain] | None = None) -> Solution:
        """Full contact: the foundation pulls as well as it pushes. loads: (unknowns, cases)."""
        gap = self.support.gap
        if np.any((gap > 0) & (np.isfinite(gap) | (self.flexibility is not None))):
            raise InputError(
                "a void whose gap may close, or one in an elastic solid, has no answer with a foundation that pulls",
                remedy="Use solve_contact.",
            )
        if self.flexibility is not None or np.any(gap > 0):
            return self._settled(loads, strains, pull=True)
        total = loads if strains is None else loads + self.free_strain(strains)
        return Solution(self, self._solved(total), None if strains is None else tuple(strains), None)

    def solve_contact(self, loads: Array, *, strains: Sequence[Strain] | None = None) -> Solution:
        """No tension between slab and foundation, own weight included. Raises NotConverged, never a number then."""
        return self._settled(loads + self.weight(), strains, pull=False)

    def _solved(self, loads: Array) -> Array:
        found = np.empty_like(loads)
        for start in range(0, loads.shape[1], BLOCK):
            found[:, start : start + BLOCK] = self.factor.solve(np.ascontiguousarray(loads[:, start : start + BLOCK]))
        return found

    def _settled(self, loads: Array, strains: Sequence[Strain] | None, *, pull: bool) -> Solution:
        """Case by case, each beginning from the contact of the one before."""
        total = loads if strains is None else loads + self.free_strain(strains)
        first = self._solved(total)
        free = self.support_rows @ first
        added = np.zeros_like(free)
        lifted, system = np.isinf(self.support.gap), LiftedSystem.of(self.compliance, self.support.stiffness)
        for case in range(free.shape[1]):
            added[:, case], lifted = self._contact(free[:, case], lifted, pull, system)
        dofs = first + self._solved(self.support_rows.T @ added) if added.any() else first
        return Solution(self, dofs, None if strains is None else tuple(strains), added)

    def _contact(
        self, free: Array, lifted: npt.NDArray[np.bool_], pull: bool, system: LiftedSystem
    ) -> tuple[Array, npt.NDArray[np.bool_]]:
        gap = self.support.gap
        if self.flexibility is None:
            if pull:  # voids alone part: they stay as they are whatever the deflection
                void = np.isinf(gap)
                q = np.zeros(len(gap))
                q[void] = system.solve(np.flatnonzero(void), free)
                return q, void
            return liquid_contact(free, self.compliance, self.support, lifted, system)
        every = self.compliance(slice(None), np.arange(len(gap)))
        if pull:
            inverse = np.linalg.inv(self.flexibility)
            deflection = np.linalg.solve(np.eye(len(gap)) - every @ (np.diag(self.support.stiffness) - inverse), free)
            return self.support.stiffness * deflection - inverse @ deflection, lifted
        return solid_contact(free, every, self.flexibility, self.support, lifted)


@dataclass(frozen=True)
class Solution:
    """Unknowns (unknowns, cases) of a plate under its loads; ``response`` reads fields from it."""

    plate: LayeredPlate
    dofs: Array
    strains: tuple[Strain, ...] | None
    added: Array | None  # forces (points of support, cases) by which contact departs from full support


def layered_plate(pavement: LayeredPavement, lines: Grid | float) -> LayeredPlate:
    """Assemble and factorise; ``lines`` is a mesh or the size of its elements [m]. Solves loads (unknowns, cases).

    Raises InputError for a size that is not greater than zero, NotConverged where the stiffness cannot be factorised.
    """
    mesh = grid(pavement, lines) if isinstance(lines, (int, float)) else lines
    fields = make_fields(pavement, mesh)
    points = support_points(mesh)
    rows = deflection_rows(fields, mesh, points.places)
    bending = sum(layer.bending for layer in pavement.layers)
    k, flexibility, l = _foundation(pavement, points, bending)
    support = Support(k * points.area, _gaps(pavement, points))
    total = plate_stiffness(pavement, fields) + joint_stiffness(pavement, mesh, fields)
    total = csc_array(total + rows.T @ (rows * support.stiffness[:, None]))
    factor = splu(total, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True})
    if not np.isfinite(factor.U.diagonal()).all():
        raise NotConverged("the model's stiffness cannot be factorised; no stress is given")
    return LayeredPlate(
        pavement, mesh, fields, total, factor, rows, support, l, flexibility, Compliance(rows, factor.solve)
    )


def _foundation(pavement: LayeredPavement, points: SupportPoints, bending: float) -> tuple[float, Array | None, float]:
    """Stiffness that the factorised foundation has, flexibility of an elastic solid, radius of relative stiffness."""
    base = pavement.foundation
    if isinstance(base, DenseLiquid):
        return base.stiffness, None, (bending / base.stiffness) ** 0.25
    assert isinstance(base, ElasticSolid)
    l = (2 * bending * (1 - base.poisson**2) / base.modulus) ** (1 / 3)
    flexibility = solid_flexibility(points.x, points.y, points.width, points.height, base.modulus, base.poisson)
    return bending / l**4, flexibility, l


def _gaps(pavement: LayeredPavement, points: SupportPoints) -> Array:
    """Gap below each point; a void's edges lie on lines of the mesh."""
    gap = np.zeros(len(points.x))
    for void in pavement.voids:
        area = void.area
        inside = (points.x > area.x0) & (points.x < area.x1) & (points.y > area.y0) & (points.y < area.y1)
        gap[inside] = np.maximum(gap[inside], void.gap)
    return gap
