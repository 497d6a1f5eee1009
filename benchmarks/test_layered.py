"""A thousand axle positions on three slabs of two layers, against assembling and solving each anew in scikit-fem, and against
one factorisation by scipy for all of them.

The baseline builds the same stiffness for every position and calls the library's own ``solve``. Its load vector is ours,
because the library's quadrature at fixed points would miss part of a wheel that does not follow the mesh. It is timed
on a few positions and scaled to the thousand. The rival beside it is what one writes who knows that the stiffness does not
change: assembled once, factorised once by SuperLU in its symmetric mode, solved in blocks. Against that we are level; what the
program saves is the knowing.
"""

from __future__ import annotations

import time
import tracemalloc

import numpy as np
import pytest
from scipy import sparse
from scipy.sparse.linalg import splu
from skfem import solve

from slabwright.calculation import Array
from slabwright.plate.assembly import joint_stiffness, plate_stiffness, support_points
from slabwright.plate.grid import Fields, Grid, grid, make_fields
from slabwright.plate.loads import axle_patches, patch_load
from slabwright.plate.pavement import DenseLiquid, Layer, LayeredPavement
from slabwright.plate.plate import layered_plate
from slabwright.plate.response import deflection
from slabwright.plate.rows import deflection_rows

PAVEMENT = LayeredPavement(
    (0.0, 4.6, 9.2, 13.8), (0.0, 3.66), (Layer(0.09, 31e9), Layer(0.23, 28e9)), DenseLiquid(54e6), transverse=1e8
)
POSITIONS = np.linspace(0.3, 13.5, 1000)
ANEW = 4
SIZES = {"coarse": 0.6, "middle": 0.4, "fine": 0.25}


def all_positions(size: float) -> Array:
    """Deflection under every position: one assembly, one factorisation."""
    plate = layered_plate(PAVEMENT, size)
    found = []
    for some in np.array_split(POSITIONS, 10):  # a block of cases at a time: memory does not grow with their number
        solution = plate.solve(plate.load(axle_patches("single", 80e3, some, np.full(len(some), 0.3))))
        found.append(np.diagonal(deflection(solution, np.column_stack([some, np.full(len(some), 0.3)]))))
    return np.concatenate(found)


def one_anew(size: float, position: float) -> float:
    """The same for one position with nothing kept, the load by the library's own quadrature."""
    lines, fields, stiffness = _assembled(size)
    load = np.zeros(fields.unknowns)
    wheels = axle_patches("single", 80e3, [position], [0.3])
    load[: fields.deflection.size] = patch_load(lines, fields, wheels, 1.0)[:, 0]
    found = solve(stiffness.tocsr(), load)
    return float((deflection_rows(fields, lines, lines.places([[position, 0.3]])) @ found)[0])


def _assembled(size: float) -> tuple[Grid, Fields, sparse.csr_matrix]:
    """Lines, fields and the whole stiffness, foundation and joints in it."""
    lines = grid(PAVEMENT, size)
    fields = make_fields(PAVEMENT, lines)
    points = support_points(lines)
    rows = deflection_rows(fields, lines, points.places)
    stiffness = plate_stiffness(PAVEMENT, fields) + joint_stiffness(PAVEMENT, lines, fields)
    return lines, fields, stiffness + rows.T @ (rows * (54e6 * points.area)[:, None])


def factorised_once(size: float) -> Array:
    """Every position by one SuperLU factorisation of a symmetric matrix, in blocks of a hundred."""
    lines, fields, stiffness = _assembled(size)
    factors = splu(
        stiffness.tocsc(), permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True}
    )
    found = []
    for some in np.array_split(POSITIONS, 10):
        across = np.full(len(some), 0.3)
        loads = np.zeros((fields.unknowns, len(some)))
        loads[: fields.deflection.size] = patch_load(lines, fields, axle_patches("single", 80e3, some, across), 1.0)
        under = deflection_rows(fields, lines, lines.places(np.column_stack([some, across])))
        found.append(np.asarray(under.multiply(factors.solve(loads).T).sum(axis=1)).ravel())
    return np.concatenate(found)


@pytest.mark.parametrize("name", SIZES)
def test_thousand_axle_positions(benchmark, name: str) -> None:  # type: ignore[no-untyped-def]
    size = SIZES[name]
    begun = time.perf_counter()
    anew = [one_anew(size, x) for x in POSITIONS[:: len(POSITIONS) // ANEW]]
    baseline = (time.perf_counter() - begun) / len(anew) * len(POSITIONS)
    found = benchmark.pedantic(all_positions, args=(size,), rounds=2, warmup_rounds=1)
    tracemalloc.start()
    all_positions(size)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    np.testing.assert_allclose(found[:: len(POSITIONS) // ANEW], anew, rtol=1e-6)  # the same answer twice
    begun = time.perf_counter()
    rival = factorised_once(size)
    once = time.perf_counter() - begun
    np.testing.assert_allclose(found, rival, rtol=1e-6)
    benchmark.extra_info.update(
        rival="assembling once and one SuperLU factorisation for all positions",
        rival_seconds=round(once, 2),
        rival_ratio=round(once / benchmark.stats.stats.median, 2),
        baseline="assembling and solving each position anew with scikit-fem",
        baseline_seconds=round(baseline, 1),
        ratio=round(baseline / benchmark.stats.stats.median),
        unknowns=layered_plate(PAVEMENT, size).unknowns,
        bytes_per_unknown=round(peak / layered_plate(PAVEMENT, size).unknowns),
    )
