"""A response surface of a stress model: asked for a few hundred pavements, it answers a hundred thousand.

The pavements are a scrambled Sobol design within stated ranges; each stress of the grid is a polynomial in the
logarithms of thickness, moduli and k and in the delaminated share. What the surface misses is measured twice, on
each sample left out in turn and on pavements that it has not seen, and is passed on as scatter of the stresses.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from concurrent.futures import Executor
from dataclasses import astuple, dataclass
from functools import partial
from itertools import chain

import numpy as np
import numpy.typing as npt
import pandas as pd
from scipy.stats import qmc

from slabwright import units
from slabwright.calculation import Array
from slabwright.errors import InputError, NotConverged, SlabwrightError, StoreError
from slabwright.plate.stresses import PavementState, Point, StressGrid, StressModel
from slabwright.records.outcomes.life import STRESS_SURFACE
from slabwright.records.table import table
from slabwright.statistics.polynomial import Polynomial, Scale, fit

__all__ = ["StressSurface", "build", "from_table", "plates_table", "power_of_two", "to_table"]

Progress = Callable[[float], None]
Ranges = tuple[PavementState, PavementState]

# Thicknesses and stiffnesses act by their ratios; a share acts by itself.
ON_LOGARITHM = np.array([name != "delaminated" for name in PavementState.names()])
KINDS = ("thickness", "thickness", "modulus", "modulus", "foundation", "share")
HELD_OUT = 8  # one unseen pavement for every eight fitted


@dataclass(frozen=True)
class StressSurface:
    """Stresses over pavements within ``low`` to ``high``; ask ``stresses``.

    left_out, held_out: (points,) root mean square of what the surface misses over that of the stresses themselves,
    for each sample fitted without it and for unseen pavements.
    """

    low: PavementState
    high: PavementState
    grid: StressGrid
    polynomial: Polynomial
    samples: int
    seed: int
    left_out: Array
    held_out: Array

    @property
    def error(self) -> Array:
        """(points,) the greater of the two errors, as a share of the stresses."""
        return np.maximum(self.left_out, self.held_out)

    def stresses(self, states: Array) -> Array:
        """Stresses (n, *grid.shape) [Pa] of pavements (n, 6) in the order of ``PavementState.names``.

        A pavement beyond the ranges is taken at their ends; ``outside`` says which are.
        """
        found = self.polynomial(_scale(self.low, self.high).unit(states))
        return found.reshape(len(states), *self.grid.shape)

    def outside(self, states: Array) -> npt.NDArray[np.bool_]:
        """Which pavements (n,) lie beyond the ranges."""
        return _scale(self.low, self.high).outside(states)


def _scale(low: PavementState, high: PavementState) -> Scale:
    return Scale(np.array(astuple(low)), np.array(astuple(high)), ON_LOGARITHM)


def power_of_two(value: float, what: str) -> int:
    """The exponent of a power of two; InputError for anything else, since a Sobol design is balanced only then."""
    exponent = int(value).bit_length() - 1
    if value < 1 or value != 2**exponent:
        raise InputError(f"the number of {what} is a power of two", given=value, allowed="for example 128 or 16384")
    return exponent


def build(
    model: StressModel,
    ranges: Ranges,
    grid: StressGrid,
    samples: int,
    seed: int,
    executor: Executor | None = None,
    progress: Progress | None = None,
) -> StressSurface:
    """Ask the model over a Sobol design of ``samples`` (a power of two) pavements and fit the surface.

    The numbers are the same with any executor and without one. Raises InputError for impossible ranges, and
    NotConverged naming the pavement when the model has no answer for one: none is skipped.
    """
    low, high = ranges
    _check_ranges(low, high)
    scale = _scale(low, high)
    designs = [_design(scale, samples, seed), _design(scale, max(samples // HELD_OUT, 1), seed + 1)]
    states = [PavementState(*map(float, row)) for row in np.concatenate(designs)]
    answers = _answers(model, states, grid, executor, progress)
    values, unseen = answers[: len(designs[0])], answers[len(designs[0]) :]
    found = fit(scale.unit(designs[0]), values)
    missed = unseen - found.polynomial(scale.unit(designs[1]))
    return StressSurface(
        low,
        high,
        grid,
        found.polynomial,
        samples,
        seed,
        _relative(found.left_out, values, grid),
        _relative(missed, unseen, grid),
    )


def _check_ranges(low: PavementState, high: PavementState) -> None:
    for name, kind, least, most in zip(PavementState.names(), KINDS, astuple(low), astuple(high), strict=True):
        may_be_none = name in ("overlay", "delaminated")
        if not (np.isfinite([least, most]).all() and least <= most and (least > 0 or (may_be_none and least == 0))):
            shown = " to ".join(units.format_quantity(v, kind) for v in (least, most))
            raise InputError(f"the range of {name} for the response surface is not one", given=shown)
    if low.overlay == 0 < high.overlay:
        raise InputError(
            "a response surface is for overlays or for the old slab alone, not for both",
            given=f"overlays from 0 to {units.format_quantity(high.overlay, 'thickness')}",
        )


def _design(scale: Scale, samples: int, seed: int) -> Array:
    """Pavements (samples, 6) spread evenly over the ranges."""
    exponent = power_of_two(samples, "pavements of a response surface")
    if not len(scale.varied):
        return np.tile(scale.low, (samples, 1))
    unit = qmc.Sobol(len(scale.varied), rng=seed).random_base2(exponent)
    return scale.inputs(2 * unit - 1)


def _answers(
    model: StressModel,
    states: list[PavementState],
    grid: StressGrid,
    executor: Executor | None,
    progress: Progress | None,
) -> Array:
    """(states, stresses of the grid) in the order of the states, telling the share done after each."""
    ask = partial(_ask, model, grid, len(states))
    found: Iterator[Array] = (executor.map if executor else map)(ask, range(len(states)), states)
    rows = []
    for done, row in enumerate(found, start=1):
        rows.append(row.ravel())
        if progress:
            progress(done / len(states))
    return np.stack(rows)


def _ask(model: StressModel, grid: StressGrid, total: int, number: int, state: PavementState) -> Array:
    """The model's answer for one pavement; a refusal names the pavement."""
    where = f"pavement {number + 1} of {total} of the response surface ({_words(state)})"
    try:
        found = np.asarray(model(state, grid), dtype=np.float64)
    except SlabwrightError as problem:
        raise NotConverged(
            f"the model of the pavement has no answer: {problem}", where=where, remedy="No surface was built."
        ) from problem
    if found.shape != grid.shape or not np.isfinite(found).all():
        raise NotConverged(
            "the model of the pavement gave no finite stresses", where=where, remedy="No surface was built."
        )
    return found


def _words(state: PavementState) -> str:
    parts = zip(PavementState.names(), KINDS, astuple(state), strict=True)
    return ", ".join(f"{name.replace('_', ' ')} {units.format_quantity(value, kind)}" for name, kind, value in parts)


def _relative(missed: Array, values: Array, grid: StressGrid) -> Array:
    """(points,) root mean square of what is missed over that of the values."""
    size, error = (np.sqrt((v.reshape(-1, len(grid.points)) ** 2).mean(axis=0)) for v in (values, missed))
    return np.where(size > 0, error / np.where(size > 0, size, 1.0), 0.0)


# As a table -------------------------------------------------------------------------------------------------

ARRAYS = ("loads", "offsets", "differences", "degrees", "coefficients", "left_out", "held_out")


def to_table(surface: StressSurface) -> pd.DataFrame:
    """The surface as rows of part, text, row, column and value, every bit kept."""
    arrays = {
        "low": np.array([astuple(surface.low)]),
        "high": np.array([astuple(surface.high)]),
        "design": np.array([[surface.samples, surface.seed]], dtype=np.float64),
        "loads": surface.grid.loads,
        "offsets": surface.grid.offsets[None],
        "differences": surface.grid.differences[None],
        "degrees": surface.polynomial.degrees.astype(np.float64),
        "coefficients": surface.polynomial.coefficients,
        "left_out": surface.left_out[None],
        "held_out": surface.held_out[None],
        "points": np.array([[p.face, p.along] for p in surface.grid.points]),
    }
    blocks = [_block(name, values) for name, values in arrays.items()]
    names = chain.from_iterable((p.name, "") for p in surface.grid.points)
    return table(STRESS_SURFACE, pd.concat([*blocks[:-1], blocks[-1].assign(text=list(names))], ignore_index=True))


def plates_table(stresses: Array) -> pd.DataFrame:
    """Stresses of single plates (plates, values) [Pa] as rows of the same table, every bit kept. Raises nothing."""
    return table(STRESS_SURFACE, _block("plates", stresses))


def _block(name: str, values: Array) -> pd.DataFrame:
    """One array (rows, columns); an array without columns still tells how many rows it has."""
    rows, columns = np.indices(values.shape).reshape(2, -1).astype(np.float64)
    if not values.size:
        rows, columns, values = np.array([float(len(values))]), np.array([0.0]), np.array([np.nan])
    return pd.DataFrame({"part": name, "text": "", "row": rows, "column": columns, "value": values.ravel()})


def from_table(frame: pd.DataFrame) -> StressSurface:
    """The inverse of ``to_table``. Raises StoreError when parts are missing."""
    parts = {str(name): rows for name, rows in frame.groupby("part", sort=False)}
    missing = {"low", "high", "design", "points", *ARRAYS} - set(parts)
    if missing:
        raise StoreError(
            f"a stored response surface lacks {', '.join(sorted(missing))}", remedy="Compute the life again."
        )
    low, high, design, points = (_array(parts[name]) for name in ("low", "high", "design", "points"))
    loads, offsets, differences, degrees, coefficients, left_out, held_out = (_array(parts[name]) for name in ARRAYS)
    names = parts["points"]["text"].to_numpy()[::2]
    places = tuple(Point(str(n), int(face), float(along)) for n, (face, along) in zip(names, points, strict=True))
    return StressSurface(
        PavementState(*map(float, low[0])),
        PavementState(*map(float, high[0])),
        StressGrid(loads, offsets[0], differences[0], places),
        Polynomial(degrees.astype(np.int64), coefficients),
        int(design[0, 0]),
        int(design[0, 1]),
        left_out[0],
        held_out[0],
    )


def _array(rows: pd.DataFrame) -> Array:
    values = rows["value"].to_numpy(dtype=np.float64)
    if len(rows) == 1 and np.isnan(values[0]):
        return np.empty((int(rows["row"].iloc[0]), 0))
    return values.reshape(int(rows["row"].max()) + 1, int(rows["column"].max()) + 1)
