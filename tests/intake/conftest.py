"""Small field files made in the open, so that each test shows what it reads."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from slabwright.intake import Reading, read_bytes

DATA = Path(__file__).parent / "data"
Maker = Callable[..., Reading]


@pytest.fixture
def reading() -> Maker:
    """Read one table from text; options go to intake. Tests without a position are not asked where they stood."""

    def make(text: str, name: str = "day.csv", **options: object) -> Reading:
        (found,) = read_bytes(text.encode(), name, **{"position": "not known", **options})  # type: ignore[arg-type]
        return found

    return make


def drops(
    points: int = 12,
    *,
    basins: Callable[[np.ndarray], np.ndarray] | None = None,
    loads: Callable[[np.ndarray], np.ndarray] | None = None,
    unit: str = "mils",
    load_unit: str = "lbf",
    scale: float = 1.0,
    load_scale: float = 1.0,
) -> str:
    """Three drops at each of ``points`` mid-slab points, five sensors with offsets, as a crew would write them.

    ``basins`` may change the deflections [drop, sensor] in mils, ``loads`` the loads [drop] in lbf.
    """
    load = np.tile([6000.0, 9000.0, 12000.0], points) * (1 + 0.004 * np.sin(np.arange(3 * points)))
    basin = np.outer(load / 9000, [5.0, 4.6, 4.3, 3.6, 2.9])
    load = loads(load) if loads else load
    basin = basins(basin) if basins else basin
    lines = [
        f"Station,Lane,Position,Drop No,Load ({load_unit})," + ",".join(f"D{i} ({unit}),R{i} (in)" for i in range(1, 6))
    ]
    for row in range(3 * points):
        pairs = ",".join(f"{basin[row, i] * scale:.4f},{(0, 8, 12, 24, 36)[i]}" for i in range(5))
        lines.append(f"{row // 3}+50,NB1,mid-slab,{row % 3 + 1},{load[row] * load_scale:.3f},{pairs}")
    return "\n".join(lines) + "\n"


def rules(found: Reading) -> set[str]:
    return {f.rule for f in found.findings if f.weight != "note"}
