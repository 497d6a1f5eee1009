"""Heat in overlay, old slab and ground through a year of weather, many overlay thicknesses at once.

Vertical columns of nodes, one under another; a node holds the heat of half the cell above and half the cell below
(finite volumes), so that there are nodes on the very faces of the layers. Steps are implicit, of second order
(backward differences over two steps). The columns stand side by side in one symmetric tridiagonal system, factored
once: the surface is met afterwards, column by column, because a unit of heat put in there raises it by a known step.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt
from scipy.linalg import lapack

from slabwright.calculation import Array
from slabwright.climate.heat import BLACK_BODY, surface_coefficient_barber, surface_coefficient_nist
from slabwright.errors import InputError, NotConverged
from slabwright.units import HOUR, KELVIN

__all__ = [
    "Columns",
    "Convection",
    "Forcing",
    "HeatSettings",
    "HeatYear",
    "Material",
    "conduct",
    "heat_year",
    "layered_columns",
]

Convection = Literal["NISTIR 6551", "Barber 1957"]
START_WEIGHT = 1.5  # of the newest temperature in a backward difference over two steps
SURFACE_ROUNDS = 2  # Newton's steps on the fourth power, from the last surface temperature: the third is under 1e-6 K
FEWEST_YEARS = 2


@dataclass(frozen=True)
class Material:
    """Conductivity [W/(m K)], density [kg/m3] and specific heat [J/(kg K)]."""

    conductivity: float
    density: float
    specific_heat: float


# NCHRP 1-37A's defaults for concrete (from memory): 1.25 BTU/(h ft °F), 0.28 BTU/(lb °F); ground as in NISTIR 6551,
# Table 1 (looked up).
CONCRETE = Material(2.16, 2350.0, 1170.0)
GROUND = Material(0.3, 1600.0, 800.0)


@dataclass(frozen=True)
class HeatSettings:
    """Materials and surface. Absorptivity is NCHRP 1-37A's, emissivity NISTIR 6551's (both from memory).

    Barber's coefficient holds the average loss to the sky, so that with it two thirds of the absorbed sun count and
    the sky's long waves do not.
    """

    overlay: Material = CONCRETE
    slab: Material = CONCRETE
    ground: Material = GROUND
    absorptivity: float = 0.85
    emissivity: float = 0.90
    convection: Convection = "NISTIR 6551"
    ground_depth: float = 3.0
    tolerance: float = 0.05  # K, by which no pavement temperature of two years in turn may differ
    most_years: int = 10
    steps_per_hour: int = 1


@dataclass(frozen=True)
class Columns:
    """Cells of n columns from the top down: thickness [m], conductivity, heat per volume and degree; each (n, cells)."""

    size: Array
    conductivity: Array
    capacity: Array

    @property
    def depths(self) -> Array:
        """Depth of each node [m], (n, cells + 1)."""
        return np.concatenate([np.zeros((len(self.size), 1)), np.cumsum(self.size, axis=1)], axis=1)


@dataclass(frozen=True)
class Forcing:
    """What the surface meets at the end of each step, (steps,) or scalar.

    air [°C]; coefficient [W/(m2 K)]; absorbed: sun taken up, and long waves of the sky taken up [W/m2]; emissivity
    of the surface, 0 when its loss is in the coefficient.
    """

    air: Array
    coefficient: Array
    absorbed: Array
    emissivity: float = 0.0


@dataclass(frozen=True)
class HeatYear:
    """Temperatures of the pavement through the last of the years run, at the end of every hour.

    depths: (columns, nodes) m; temperature: (hours, columns, nodes) °C; flux: (hours, columns) W/m2 into the
    surface; years: run until no pavement temperature changed by more than ``change`` K from year to year.
    """

    depths: Array
    temperature: Array
    flux: Array
    years: int
    change: float


@dataclass(frozen=True)
class _System:
    """The factored system of a step length, and the rise of every node by a unit of flux into the surface."""

    diagonal: Array
    below: Array
    stored: Array  # (n, nodes) heat per degree and second
    rise: Array  # (n, nodes)

    def solve(self, right: Array) -> Array:
        found, _ = lapack.dpttrs(self.diagonal, self.below, right.reshape(-1, 1))
        return found.reshape(right.shape)


def layered_columns(layers: Sequence[tuple[Material, Array, int]]) -> Columns:
    """Columns of layers from the top down: material, thickness (n,) [m], and number of equal cells; gives (n, cells).

    Raises InputError unless thickness and every property of a material are finite and greater than zero.
    """
    size, conductivity, capacity = [], [], []
    for material, thickness, cells in layers:
        one = np.repeat(np.asarray(thickness, dtype=np.float64)[:, None] / cells, cells, axis=1)
        size.append(one)
        conductivity.append(np.full(one.shape, material.conductivity))
        capacity.append(np.full(one.shape, material.density * material.specific_heat))
    made = Columns(*(np.concatenate(part, axis=1) for part in (size, conductivity, capacity)))
    for part in (made.size, made.conductivity, made.capacity):
        if not (np.isfinite(part).all() and (part > 0).all()):
            raise InputError(
                "thickness, conductivity, density and specific heat of every layer must be greater than zero",
                given=float(part.min()),
            )
    return made


def _system(columns: Columns, step: float) -> _System:
    half = columns.size * columns.capacity / 2
    held = np.pad(half, ((0, 0), (0, 1))) + np.pad(half, ((0, 0), (1, 0)))
    passed = columns.conductivity / columns.size
    diagonal = START_WEIGHT * held / step + np.pad(passed, ((0, 0), (0, 1))) + np.pad(passed, ((0, 0), (1, 0)))
    below = np.pad(-passed, ((0, 0), (0, 1))).ravel()[:-1]  # zero from column to column
    factor, lower, failed = lapack.dpttrf(diagonal.ravel(), below)
    if failed:
        raise NotConverged("the heat of the pavement has no solution", remedy="Check thicknesses and materials.")
    unit = np.zeros(diagonal.shape)
    unit[:, 0] = 1.0
    bare = _System(factor, lower, held / step, unit)
    return _System(factor, lower, held / step, bare.solve(unit))


Source = Callable[[Array], Array]


def conduct(
    columns: Columns,
    start: Array,
    before: Array,
    forcing: Forcing,
    step: float,
    stride: int = 1,
    source: Source | None = None,
) -> tuple[Array, Array, Array]:
    """March through the steps of a forcing with an insulated base.

    start and before: (n, nodes) temperatures [°C] now and a step [s] ago. The forcing is that of all columns (steps,), or of
    each (steps, n). source(temperatures foreseen (n, nodes) at the end of a step) gives the heat set free in that step (n, nodes)
    [W/m2] at each node. Gives the temperatures (steps / stride, n, nodes) and the mean surface flux (steps / stride, n) [W/m2]
    of every ``stride`` steps, and the last ``before``. Raises NotConverged where the system of the columns cannot be factored.
    """
    system = _system(columns, step)
    air, coefficient, absorbed = (
        np.broadcast_to(v, np.shape(forcing.air)) for v in (forcing.air, forcing.coefficient, forcing.absorbed)
    )
    now, last = np.array(start, dtype=np.float64), np.array(before, dtype=np.float64)
    found = np.empty((len(air) // stride, *now.shape))
    flux = np.zeros((len(air) // stride, len(now)))
    surface_rise = system.rise[:, 0]
    for at in range(len(air)):  # time is one step after another
        held = system.stored * (2 * now - 0.5 * last)
        free = system.solve(held if source is None else held + source(2 * now - last))
        top = 2 * now[:, 0] - last[:, 0]
        for _ in range(SURFACE_ROUNDS):
            heat, slope = _surface(top, air[at], coefficient[at], absorbed[at], forcing.emissivity)
            top = top - (top - free[:, 0] - surface_rise * heat) / (1 - surface_rise * slope)
        taken = (top - free[:, 0]) / surface_rise
        last, now = now, free + system.rise * taken[:, None]
        flux[at // stride] += taken / stride
        if (at + 1) % stride == 0:
            found[at // stride] = now
    return found, flux, last


def _surface(top: Array, air: float, coefficient: float, absorbed: float, emissivity: float) -> tuple[Array, Array]:
    """Heat into the surface [W/m2] and its slope on the surface temperature."""
    warm = top + KELVIN
    loss = emissivity * BLACK_BODY * warm**3
    return absorbed + coefficient * (air - top) - loss * warm, -coefficient - 4 * loss


def heat_year(
    air: Array, wind: Array, sun: Array, sky: Array, overlays: Array, slab: float, settings: HeatSettings | None = None
) -> HeatYear:
    """Temperatures under each overlay thickness through a year that repeats.

    air [°C] and wind [m/s] at the end of each hour, sun and sky: mean radiation of the hour [W/m2], all (hours,);
    overlays (n,) m, 0 for the old slab alone; slab m. The year is run again until it repeats. Raises InputError for
    values that are missing or impossible, NotConverged when the year does not repeat.
    """
    settings = settings or HeatSettings()
    overlays = np.atleast_1d(np.asarray(overlays, dtype=np.float64))
    _check(air, wind, sun, sky, overlays, slab)
    columns, pavement = _pavement(overlays, slab, settings)
    forcing = _forcing(air, wind, sun, sky, settings)
    step, stride = HOUR / settings.steps_per_hour, settings.steps_per_hour
    now = np.full(columns.depths.shape, _balance(forcing))
    before, held, change = now, np.zeros(0), np.inf
    for year in range(1, settings.most_years + 1):
        found, flux, before = conduct(columns, now, before, forcing, step, stride)
        now, kept = found[-1], found[:, :, :pavement].copy()
        if year >= FEWEST_YEARS:
            change = float(np.abs(kept - held).max())
            if change <= settings.tolerance:
                return HeatYear(columns.depths[:, :pavement], kept, flux, year, change)
        held = kept
    raise NotConverged(
        "the pavement's temperatures do not repeat from year to year",
        given=f"{change:.3g} K after {settings.most_years} years",
        allowed=f"up to {settings.tolerance:g} K",
        remedy="Check the weather, or allow more years.",
    )


OVERLAY_CELLS, SLAB_CELLS, GROUND_CELLS = 6, 10, 22
FIRST_GROUND_CELL = 0.02


def _pavement(overlays: Array, slab: float, settings: HeatSettings) -> tuple[Columns, int]:
    """The columns and how many of their nodes lie in the pavement; without overlay the old slab has all cells."""
    cells = OVERLAY_CELLS + SLAB_CELLS
    none = overlays == 0
    upper = np.where(none, slab * OVERLAY_CELLS / cells, overlays)
    lower = np.where(none, slab * SLAB_CELLS / cells, slab)
    made = layered_columns([(settings.overlay, upper, OVERLAY_CELLS), (settings.slab, lower, SLAB_CELLS)])
    top = none[:, None] & (np.arange(cells) < OVERLAY_CELLS)[None, :]  # cells that are old slab after all
    heat = settings.slab.density * settings.slab.specific_heat
    ground = _growing(settings.ground_depth)
    wide = (len(overlays), len(ground))
    return Columns(
        np.concatenate([made.size, np.broadcast_to(ground, wide)], axis=1),
        np.concatenate(
            [np.where(top, settings.slab.conductivity, made.conductivity), np.full(wide, settings.ground.conductivity)],
            axis=1,
        ),
        np.concatenate(
            [
                np.where(top, heat, made.capacity),
                np.full(wide, settings.ground.density * settings.ground.specific_heat),
            ],
            axis=1,
        ),
    ), cells + 1


def _growing(depth: float) -> Array:
    """Cells that grow downward by one ratio from 20 mm to fill a depth."""
    from scipy.optimize import brentq

    if depth <= GROUND_CELLS * FIRST_GROUND_CELL:
        return np.full(GROUND_CELLS, depth / GROUND_CELLS)
    powers = np.arange(GROUND_CELLS)
    ratio = float(brentq(lambda r: FIRST_GROUND_CELL * (r**powers).sum() - depth, 1.0, 10.0))
    return np.asarray(FIRST_GROUND_CELL * ratio**powers, dtype=np.float64)


def _forcing(air: Array, wind: Array, sun: Array, sky: Array, settings: HeatSettings) -> Forcing:
    """The forcing at the end of each step; half of an hour's radiation goes to each of its ends."""
    by_barber = settings.convection == "Barber 1957"
    coefficient = (surface_coefficient_barber if by_barber else surface_coefficient_nist)(wind)
    taken = settings.absorptivity * sun * (2 / 3 if by_barber else 1.0) + (
        0.0 if by_barber else settings.emissivity * sky
    )
    ends = (taken + np.roll(taken, -1)) / 2
    emissivity = 0.0 if by_barber else settings.emissivity
    air, coefficient, ends = (_between(v, settings.steps_per_hour) for v in (air, coefficient, ends))
    return Forcing(air, coefficient, ends, emissivity)


def _between(values: Array, steps: int) -> Array:
    """Values at the ends of steps between the ends of hours, the year closed to a ring."""
    count = len(values)
    places = np.arange(1, count * steps + 1) / steps
    return np.interp(places, np.arange(count + 1), np.concatenate([values[-1:], values]))


def _balance(forcing: Forcing) -> float:
    """The surface temperature at which the mean year neither heats nor cools the ground."""
    from scipy.optimize import brentq

    def gain(top: float) -> float:
        heat, _ = _surface(np.asarray(top), forcing.air, forcing.coefficient, forcing.absorbed, forcing.emissivity)  # type: ignore[arg-type]
        return float(np.mean(heat))

    return float(brentq(gain, -100.0, 200.0, xtol=1e-3))


def _check(air: Array, wind: Array, sun: Array, sky: Array, overlays: Array, slab: float) -> None:
    for name, values, low, high in (
        ("air temperature", air, -70, 60),
        ("wind speed", wind, 0, 113),
        ("radiation of sun and sky", sun, 0, 1600),
        ("long-wave radiation of the sky", sky, 0, 700),
        ("overlay thickness", overlays, 0, 1),
        ("slab thickness", slab, 0.02, 2),
    ):
        given: npt.NDArray[np.float64] = np.asarray(values, dtype=np.float64)
        bad = ~((given >= low) & (given <= high))
        if given.size == 0 or bad.any():
            raise InputError(
                f"{name} is missing or out of range for the heat of the pavement",
                given=float(given[bad][0]) if bad.any() and given.ndim else given.tolist(),
                allowed=f"{low} to {high}",
            )
    if len({len(v) for v in (air, wind, sun, sky)}) > 1:
        raise InputError("air, wind, sun and sky must have the same hours")
