"""Overlay and old slab as quadratic hexahedra on a dense liquid: the rival that the plate and the ratios are held against.

The layers have unknowns of their own on the face between them and are tied where they are bonded, so that they part over a
patch. Tractions of the bond are the forces of the tie, projected on the face. SI; z downwards.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse import bmat, csc_array, csr_matrix
from scipy.sparse.linalg import splu
from skfem import Basis, BilinearForm, ElementHex2, ElementVector, FacetBasis, LinearForm, MeshHex
from skfem.helpers import ddot, sym_grad

POISSON = 0.15
OVERLAY = np.array([0.0, 0.3, 0.7, 1.0])  # shares of its thickness, finest at the face
SLAB = np.array([0.0, 0.07, 0.3, 1.0])


def _trace(a):
    return a[0, 0] + a[1, 1] + a[2, 2]


@BilinearForm
def _elastic(u, v, w):
    a, b = sym_grad(u), sym_grad(v)
    lame = w.modulus * POISSON / (1 + POISSON) / (1 - 2 * POISSON)
    return lame * _trace(a) * _trace(b) + w.modulus / (1 + POISSON) * ddot(a, b)


@LinearForm
def _shortening(v, w):
    return -w.modulus / (1 - 2 * POISSON) * w.strain * _trace(v.grad)


@BilinearForm
def _support(u, v, w):
    return w.k * u[2] * v[2]


@BilinearForm
def _mass(u, v, _):
    return u * v


@dataclass(frozen=True)
class Face:
    """Forces (3, facets) [N] of the bond on the overlay, by the middles (2, facets) [m] of its facets; opening at the corner."""

    middle: np.ndarray
    force: np.ndarray
    opening: float

    def mean(self, x: tuple[float, float], y: tuple[float, float]) -> tuple[float, float]:
        """Mean shear and mean peel [Pa] over a rectangle between lines of the mesh."""
        inside = (self.middle[0] > x[0]) & (self.middle[0] < x[1]) & (self.middle[1] > y[0]) & (self.middle[1] < y[1])
        force = self.force[:, inside].sum(axis=1) / ((x[1] - x[0]) * (y[1] - y[0]))
        return float(np.hypot(force[0], force[1])), float(force[2])


def shrunk(
    x: np.ndarray,
    y: np.ndarray,
    *,
    overlay: float,
    slab: float,
    moduli: tuple[float, float],
    k: float,
    strain: float,
    patch: tuple[float, float] = (0.0, 0.0),
    symmetric: bool = False,
) -> Face:
    """A quarter of a slab whose overlay shrinks: free at x = 0 and, unless symmetric, at y = 0; mirrored at the far ends.

    ``patch``: no bond from x = 0 and y = 0 up to these.
    """
    element = ElementVector(ElementHex2())
    levels = (overlay * (1 - OVERLAY[::-1]), overlay + slab * SLAB)
    bases = [Basis(MeshHex.init_tensor(x, y, z), element, intorder=4) for z in levels]
    stiff = [_elastic.assemble(b, modulus=np.full_like(b.dx, e)) for b, e in zip(bases, moduli, strict=True)]
    below = bases[1].mesh.facets_satisfying(lambda p: np.isclose(p[2], overlay + slab))
    bottom = FacetBasis(bases[1].mesh, element, facets=below)
    stiff[1] = stiff[1] + _support.assemble(bottom, k=np.full_like(bottom.dx, k))
    load = _shortening.assemble(
        bases[0], modulus=np.full_like(bases[0].dx, moduli[0]), strain=np.full_like(bases[0].dx, strain)
    )
    total = bmat([[stiff[0], None], [None, stiff[1]]]).tocsr()
    force = np.concatenate([load, np.zeros(bases[1].N)])
    places, component = np.hstack([b.doflocs for b in bases]), np.concatenate([_components(b) for b in bases])
    body = np.repeat([0, 1], [b.N for b in bases])
    loose = (places[0] < patch[0] - 1e-7) & (places[1] < patch[1] - 1e-7)
    held = np.isclose(places[0], x[-1]) & (component == 0) | np.isclose(places[1], y[-1]) & (component == 1)
    if symmetric:
        held |= np.isclose(places[1], 0.0) & (component == 1)
    face = np.isclose(places[2], overlay)
    number = np.arange(len(body))
    order = [_sorted(face & ~loose & (body == i), places, component) for i in (0, 1)]
    number[order[1]] = order[0]
    _, short = np.unique(number, return_inverse=True)
    tie = csr_matrix((np.ones(len(body)), (np.arange(len(body)), short)))
    free = np.setdiff1d(np.arange(tie.shape[1]), short[held])
    small = (tie.T @ total @ tie).tocsc()
    found = np.zeros(tie.shape[1])
    factor = splu(
        csc_array(small[free][:, free]),
        permc_spec="MMD_AT_PLUS_A",
        diag_pivot_thresh=0.0,
        options={"SymmetricMode": True},
    )
    found[free] = factor.solve((tie.T @ force)[free])
    moved = tie @ found
    corner = [np.flatnonzero(face & (body == i) & (component == 2)) for i in (0, 1)]
    ends = [moved[c[np.argmin(places[0, c] + places[1, c])]] for c in corner]
    return _projected(bases[0], overlay, patch, (total @ moved - force)[: bases[0].N], ends[1] - ends[0])


def _components(basis) -> np.ndarray:
    found = np.zeros(basis.N, dtype=int)
    for dofs in (basis.nodal_dofs, basis.facet_dofs, basis.edge_dofs, basis.interior_dofs):
        for c in (1, 2):
            found[dofs[c::3]] = c
    return found


def _sorted(chosen: np.ndarray, places: np.ndarray, component: np.ndarray) -> np.ndarray:
    at = np.flatnonzero(chosen)
    return at[np.lexsort((component[at], np.round(places[1, at], 7), np.round(places[0, at], 7)))]


def _projected(basis, overlay: float, patch: tuple[float, float], forces: np.ndarray, opening: float) -> Face:
    """Nodal forces as a traction on the bonded facets (L2), summed over each facet."""
    mesh = basis.mesh
    middle = mesh.p[:, mesh.facets].mean(axis=1)
    bonded = np.isclose(middle[2], overlay) & ~((middle[0] < patch[0]) & (middle[1] < patch[1]))
    facets = np.flatnonzero(bonded)
    scalar = FacetBasis(mesh, ElementHex2(), facets=facets, intorder=4)
    matrix = _mass.assemble(scalar).tocsr()
    places = Basis(mesh, ElementHex2()).doflocs
    weight = matrix.diagonal()
    nodes = np.flatnonzero((weight > 1e-9 * weight.max()) & np.isclose(places[2], overlay))
    at = np.round(places[:, nodes], 6)
    component = _components(basis)
    where = {
        (*np.round(basis.doflocs[:2, i], 6), component[i]): i
        for i in np.flatnonzero(np.isclose(basis.doflocs[2], overlay))
    }
    given = np.array([[forces[where[a, b, c]] for c in range(3)] for a, b in at[:2].T])
    traction = np.zeros((scalar.N, 3))
    traction[nodes] = splu(csc_array(matrix[nodes][:, nodes])).solve(given)
    force = np.stack([(scalar.interpolate(traction[:, c]) * scalar.dx).sum(axis=-1) for c in range(3)])
    return Face(middle[:2, facets], np.asarray(force), float(opening))
