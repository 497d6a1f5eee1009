"""Heat in an overlay that has just been placed: many places or hours of placing at once, each with its own weather.

The columns are those of the year of weather, the overlay's cells set free heat as they hydrate. A step sets free what the degree
of hydration gains in it, so that the heat of hydration is kept to the last joule whatever the step.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from slabwright.calculation import Array
from slabwright.climate.heat_year import Columns, Forcing, conduct
from slabwright.errors import InputError
from slabwright.materials.hydration import HYDRATION_REFERENCE, degree_of_hydration
from slabwright.materials.maturity import rate_factor

__all__ = ["Mix", "YoungHeat", "node_volumes", "young_heat"]

OLDEST_STEP = 3600.0  # s: a longer step misses the rise of the first hours


@dataclass(frozen=True)
class Mix:
    """What sets heat free in the overlay.

    binder [kg/m3], heat of the binder wholly hydrated [J/kg], degree in the end [1], time [s] and slope [1] of its curve, and
    activation energy [J/mol], as ``hydration_parameters`` gives them; age: equivalent age [s] that the concrete has when placed.
    """

    binder: float
    heat: float
    ultimate: float
    time: float
    slope: float
    activation_energy: float
    age: float = 0.0

    def degree(self, age: Array) -> Array:
        """Degree of hydration [1] at equivalent ages [s] of any shape, 0 at age 0. Raises nothing."""
        return np.asarray(degree_of_hydration.function(age, self.ultimate, self.time, self.slope))

    def rate(self, temperature: Array) -> Array:
        """How much faster it matures at temperatures [deg C] of any shape than at 21.1 deg C. Raises nothing."""
        return np.asarray(rate_factor.function(temperature, self.activation_energy, HYDRATION_REFERENCE))


@dataclass(frozen=True)
class YoungHeat:
    """What was found at the end of each step kept.

    depths: (n, nodes) m; temperature: (kept, n, nodes) deg C; age: (kept, n, overlay nodes) s, the equivalent age at 21.1 deg C;
    flux: (kept, n) W/m2 into the surface.
    """

    depths: Array
    temperature: Array
    age: Array
    flux: Array


def node_volumes(columns: Columns, cells: int) -> Array:
    """Thickness [m] of the concrete of the first ``cells`` cells that each of their nodes holds.

    columns: those of ``young_heat`` (n, cells); gives (n, cells + 1) [m]. Raises nothing.
    """
    half = columns.size[:, :cells] / 2
    return np.pad(half, ((0, 0), (0, 1))) + np.pad(half, ((0, 0), (1, 0)))


def young_heat(
    columns: Columns, cells: int, start: Array, mix: Mix, forcing: Forcing, step: float, stride: int = 1
) -> YoungHeat:
    """Temperatures and equivalent ages from the moment of placing on.

    columns: from the top down, the first ``cells`` cells are the overlay; start: (n, nodes) deg C, the old slab as it is and the
    overlay as placed; forcing: (steps,) or (steps, n); step [s]; every ``stride``-th step is kept. The base of the columns lets no
    heat through. Raises InputError for a step over an hour and for a start that is missing or not of the columns' nodes,
    NotConverged where the system cannot be factored.
    """
    nodes = columns.depths.shape
    if not 0 < step <= OLDEST_STEP:
        raise InputError("the step is too long for fresh concrete", given=step, allowed="up to 3600 s")
    if np.shape(start) != nodes or not np.isfinite(start).all():
        raise InputError("a temperature is needed for each node", given=np.shape(start), allowed=f"{nodes}, all finite")
    ages = _Ages(mix, node_volumes(columns, cells), step, nodes, stride)
    temperature, flux, _ = conduct(columns, start, start, forcing, step, stride, ages.heat)
    return YoungHeat(columns.depths, temperature, np.stack(ages.kept), flux)


class _Ages:
    """The one thing that changes along the way: the equivalent age of the overlay's nodes."""

    def __init__(self, mix: Mix, volumes: Array, step: float, nodes: tuple[int, int], stride: int) -> None:
        self.mix, self.volumes, self.step, self.stride = mix, volumes, step, stride
        self.source = np.zeros(nodes)
        self.age = np.full(volumes.shape, mix.age)
        self.degree = mix.degree(self.age)
        self.gain = np.zeros(volumes.shape)
        self.warm: Array | None = None
        self.kept: list[Array] = []
        self.steps = 0

    def heat(self, foreseen: Array) -> Array:
        """Heat set free in a step (n, nodes) [W/m2], with the temperature in its middle as foreseen."""
        cells = self.volumes.shape[1]
        end = foreseen[:, :cells]
        middle = end if self.warm is None else (end + self.warm) / 2
        self.warm = end
        self.age = self.age + self.mix.rate(middle) * self.step
        degree = self.mix.degree(self.age)
        gain = degree - self.degree
        power = self.mix.heat * self.mix.binder / self.step
        # The same backward difference over two steps as that of the temperatures: second order, and nothing is lost.
        self.source[:, :cells] = power * (1.5 * gain - 0.5 * self.gain) * self.volumes
        self.degree, self.gain = degree, gain
        self.steps += 1
        if self.steps % self.stride == 0:
            self.kept.append(self.age)
        return self.source
