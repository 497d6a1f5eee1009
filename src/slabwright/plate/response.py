"""Fields read from a solution: deflection, stress in both layers, shear on the interface. z downwards, tension positive."""

from __future__ import annotations

from typing import Literal

import numpy as np
from scipy.sparse import csr_array

from slabwright.calculation import Array
from slabwright.errors import InputError
from slabwright.plate.plate import LayeredPlate, Solution
from slabwright.plate.rows import deflection_rows, displacement_rows

__all__ = ["deflection", "interface_shear", "stress", "stress_rows"]

Face = Literal["top", "bottom"]


def deflection(solution: Solution, points: Array) -> Array:
    """Deflection (points, cases) [m], downwards positive, at points (n, 2) [m].

    Raises InputError for a point outside the pavement.
    """
    plate = solution.plate
    return deflection_rows(plate.fields, plate.lines, plate.lines.places(points)) @ solution.dofs


def stress_rows(plate: LayeredPlate, layer: int, face: Face, points: Array) -> tuple[csr_array, csr_array, csr_array]:
    """Rows whose products with the unknowns are sigma x, sigma y and tau xy without free strains [Pa].

    Three sparse matrices (points, unknowns), at points (n, 2) [m]. Raises InputError for a layer that is not there and for
    a point outside the pavement.
    """
    if not 0 <= layer < len(plate.pavement.layers):
        raise InputError("the model has no such layer", given=layer, allowed=f"0 to {len(plate.pavement.layers) - 1}")
    kind = plate.pavement.layers[layer]
    at = plate.lines.places(points)
    z = kind.thickness / 2 * (-1 if face == "top" else 1)
    xx, yy, xy = (-z * deflection_rows(plate.fields, plate.lines, at, *d) for d in ((2, 0), (0, 2), (1, 1)))
    shear = 2 * xy
    if plate.pavement.composite:
        parts = [
            displacement_rows(plate.fields, plate.lines, at, layer, component, *d)
            for component, d in ((0, (1, 0)), (1, (0, 1)), (0, (0, 1)), (1, (1, 0)))
        ]
        xx, yy, shear = xx + parts[0], yy + parts[1], shear + parts[2] + parts[3]
    stiff = kind.modulus / (1 - kind.poisson**2)
    return stiff * (xx + kind.poisson * yy), stiff * (yy + kind.poisson * xx), kind.shear_modulus * shear


def stress(solution: Solution, layer: int, face: Face, points: Array) -> Array:
    """Stress (points, cases, 3) [Pa]: sigma x, sigma y, tau xy at a face of a layer (0 the upper one), tension positive.

    ``points`` (n, 2) [m]. Raises InputError for a layer that is not there and for a point outside the pavement.
    """
    rows = stress_rows(solution.plate, layer, face, points)
    found = np.stack([r @ solution.dofs for r in rows], axis=-1)
    if solution.strains is not None:
        kind, strain = solution.plate.pavement.layers[layer], solution.strains[layer]
        free = strain.top if face == "top" else strain.bottom
        found[..., :2] -= kind.modulus / (1 - kind.poisson) * free
        if not solution.plate.pavement.composite:  # a single layer stretches freely
            found[..., :2] += kind.modulus / (1 - kind.poisson) * strain.mean
    return found


def interface_shear(solution: Solution, points: Array) -> Array:
    """Shear (points, cases, 2) [Pa] with which the interface drags the overlay along x and y; 0 without bond.

    ``points`` (n, 2) [m]. Raises InputError for a single layer and for a point outside the pavement.
    """
    plate = solution.plate
    pavement = plate.pavement
    if not pavement.composite:
        raise InputError("a single layer has no interface")
    at = plate.lines.places(points)
    arm = sum(layer.thickness for layer in pavement.layers) / 2
    slips = [
        displacement_rows(plate.fields, plate.lines, at, 1, component)
        - displacement_rows(plate.fields, plate.lines, at, 0, component)
        + arm * deflection_rows(plate.fields, plate.lines, at, *d)
        for component, d in ((0, (1, 0)), (1, (0, 1)))
    ]
    bonded = np.ones(len(np.atleast_2d(points)))
    for area in pavement.interface.delaminated:
        x, y = np.atleast_2d(points).T
        bonded[(x >= area.x0) & (x <= area.x1) & (y >= area.y0) & (y <= area.y1)] = 0.0
    found = np.stack([slip @ solution.dofs for slip in slips], axis=-1)
    return pavement.interface_stiffness * bonded[:, None, None] * found
