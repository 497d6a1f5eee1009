"""A thousand axle positions on three slabs of two layers, against assembling and solving each anew in scikit-fem.

The baseline builds the same stiffness for every position and calls the library's own ``solve``. Its load vector is ours,
because the library's quadrature at fixed points would miss part of a wheel that does not follow the mesh. It is timed
on a few positions and scaled to the thousand.
"""

from __future__ import annotations

import time
import tracemalloc

import numpy as np
import pytest
from skfem import solve

from slabwright.calculation import Array
from slabwright.plate.assembly import joint_stiffness, plate_stiffness, support_points
from slabwright.plate.grid import grid, make_fields
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
    lines = grid(PAVEMENT, size)
    fields = make_fields(PAVEMENT, lines)
    points = support_points(lines)
    rows = deflection_rows(fields, lines, points.places)
    stiffness = plate_stiffness(PAVEMENT, fields) + joint_stiffness(PAVEMENT, lines, fields)
    stiffness = stiffness + rows.T @ (rows * (54e6 * points.area)[:, None])
    load = np.zeros(fields.unknowns)
    wheels = axle_patches("single", 80e3, [position], [0.3])
    load[: fields.deflection.size] = patch_load(lines, fields, wheels, 1.0)[:, 0]
    found = solve(stiffness.tocsr(), load)
    return float((deflection_rows(fields, lines, lines.places([[position, 0.3]])) @ found)[0])


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
    benchmark.extra_info.update(
        baseline="assembling and solving each position anew with scikit-fem",
        baseline_seconds=round(baseline, 1),
        ratio=round(baseline / benchmark.stats.stats.median),
        unknowns=layered_plate(PAVEMENT, size).unknowns,
        bytes_per_unknown=round(peak / layered_plate(PAVEMENT, size).unknowns),
    )
