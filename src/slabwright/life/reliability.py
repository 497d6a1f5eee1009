"""Lives of a pavement whose inputs scatter: a Sobol sample of the inputs, and the life of each.

Every input is a function of its own standard normal number, so that the same sample serves every thickness: a
curve of life against thickness is then smooth, and a thickness can be found on it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.optimize import brentq
from scipy.special import betaincinv, ndtr, ndtri
from scipy.stats import qmc

from slabwright.calculation import Array
from slabwright.errors import InputError
from slabwright.life.damage_surface import DamageSurface
from slabwright.life.exposure import Pavements, by_layer
from slabwright.life.surface import power_of_two
from slabwright.materials.fatigue import cracked_slabs_2004, cracked_slabs_2008
from slabwright.plate.stresses import PavementState, StressGrid
from slabwright.records.remarks import Remark, remark
from slabwright.traffic.axles import years_of_traffic

__all__ = [
    "CRACKING_CURVES",
    "INPUTS",
    "LONGEST",
    "LifeModel",
    "Lives",
    "TruckTraffic",
    "Uncertain",
    "cracking_exponent",
    "damage_at_cracking",
    "lives",
    "normals",
    "pavements_of",
    "quantiles",
    "thickness_for",
    "values_of",
    "years_to_limit",
]

# The inputs that scatter, in the order of the columns of a sample, with what they are.
INPUTS = {
    "overlay": "overlay thickness",
    "slab": "old slab thickness",
    "overlay_modulus": "overlay modulus",
    "slab_modulus": "old slab modulus",
    "foundation": "dynamic k",
    "delaminated": "share without bond",
    "overlay_strength": "overlay flexural strength",
    "slab_strength": "old slab flexural strength",
    "temperature": "temperature differences",
    "traffic": "traffic to come",
    "stress_error": "error of the stress surface",
    "damage_error": "error of the damage surface",
}
CRACKING_CURVES = {"2004 calibration": cracked_slabs_2004, "2008 calibration": cracked_slabs_2008}
LONGEST = 1e6  # years: where damage is none, so that a mean or a quantile stays a number
FARTHEST = 8.0  # standard deviations: no sample lies beyond
STATES = PavementState.names()
Uncertainties = Mapping[str, "Uncertain"]


@dataclass(frozen=True)
class Uncertain:
    """One input that scatters: lognormal, normal or beta with its mean and coefficient of variation."""

    law: str
    mean: float
    variation: float

    def at(self, normal: Array) -> Array:
        """Values whose probability is that of the standard normal numbers, rising with them."""
        if self.variation == 0 or self.mean == 0:
            return np.full(np.shape(normal), self.mean)
        if self.law == "lognormal":
            spread = np.sqrt(np.log1p(self.variation**2))
            return self.mean * np.exp(spread * normal - spread**2 / 2)
        if self.law == "beta":
            first, second = self._beta()
            return np.asarray(betaincinv(first, second, ndtr(normal)))
        return self.mean * (1 + self.variation * np.asarray(normal))

    def _beta(self) -> tuple[float, float]:
        """The two exponents, by moments; InputError when no beta distribution spreads so far."""
        size = (1 - self.mean) / (self.mean * self.variation**2) - 1
        if not 0 < self.mean < 1 or size <= 0:
            raise InputError(
                "no share between 0 and 1 has this mean and spread",
                given=f"mean {self.mean:.3g}, standard deviation {self.mean * self.variation:.3g}",
                remedy="Give a smaller standard deviation.",
            )
        return self.mean * size, (1 - self.mean) * size


def normals(samples: int, seed: int, columns: int = len(INPUTS)) -> Array:
    """Standard normal numbers (samples, columns) from a scrambled Sobol sequence; ``samples`` is a power of two."""
    unit = qmc.Sobol(columns, rng=seed).random_base2(power_of_two(samples, "lives"))
    return np.clip(ndtri(unit), -FARTHEST, FARTHEST)


def values_of(inputs: Uncertainties, numbers: Array) -> dict[str, Array]:
    """Each input's values (n,) from standard normal numbers (n, inputs)."""
    return {name: inputs[name].at(column) for name, column in zip(INPUTS, numbers.T, strict=True)}


def pavements_of(values: Mapping[str, Array], overlay: Array | float, grid: StressGrid) -> Pavements:
    """Pavements with ``overlay`` as the mean thickness; the value ``overlay`` is the ratio of the built to it."""
    built = np.broadcast_to(np.asarray(overlay) * values["overlay"], values["slab"].shape)
    states = np.column_stack([built, *(values[name] for name in STATES[1:])])
    strength = by_layer(values["overlay_strength"], values["slab_strength"], grid)
    return Pavements(states, values["temperature"], strength)


def damage_at_cracking(share: float, curve: str) -> float:
    """Fatigue damage at which a share of the slabs is cracked: a published curve, read backwards.

    Raises InputError unless 0 <= share < 1.
    """
    if not 0 <= share < 1:
        raise InputError("a share of cracked slabs lies between 0 and 1", given=share)
    return float((share / (1 - share)) ** (1 / cracking_exponent(curve)))


def cracking_exponent(curve: str) -> float:
    """The exponent b of a published curve c / (1 - c) = FD^b, read off the curve itself."""
    at_ten = float(CRACKING_CURVES[curve](10.0))
    return float(np.log10(at_ten / (1 - at_ten)))


@dataclass(frozen=True)
class TruckTraffic:
    """Trucks of the design lane: in the first year to come, their yearly growth, and so far on the old slab."""

    first_year: float
    growth: float
    past: float


@dataclass(frozen=True)
class LifeModel:
    """All that a life depends on but the sample and the thickness.

    stress_error, old_stress_error: shares by which the stress surfaces miss, (points,). ``old`` gives the past damage
    by traffic; without it ``observed`` is the damage of the old slab's points that its cracking tells. Life ends when
    a share of the slabs that are sound under the overlay has cracked: ``limit`` is the damage that cracks this share
    of new slabs, ``exponent`` that of the cracking curve.
    """

    inputs: Uncertainties
    grid: StressGrid
    damage: DamageSurface
    stress_error: Array
    trucks: TruckTraffic
    limit: float
    exponent: float
    observed: float = 0.0
    old: DamageSurface | None = None
    old_grid: StressGrid | None = None
    old_stress_error: Array | None = None

    def observed_past(self, samples: int) -> Array:
        """Damage so far (samples, points) as cracking tells it: the old slab's, none in the overlay."""
        return by_layer(np.zeros(samples), np.full(samples, self.observed), self.grid)

    def placed(self, old: Array) -> Array:
        """Damage (n, points of the old slab alone) at the same points of the overlaid one; none elsewhere."""
        names = [p.name for p in self.old_grid.points] if self.old_grid else []
        found = np.zeros((len(old), len(self.grid.points)))
        for place, point in enumerate(self.grid.points):  # a handful
            if point.name in names:
                found[:, place] = old[:, names.index(point.name)]
        return found


@dataclass(frozen=True)
class Lives:
    """Of each sample: years (n,), which point cracks first (n,), damage of a truck and so far (n, points)."""

    years: Array
    point: npt.NDArray[np.int64]
    per_truck: Array
    past: Array


def lives(model: LifeModel, overlay: float, numbers: Array) -> Lives:
    """Years until past and future damage reach the limit, for an overlay of mean thickness [m], for every sample."""
    values = values_of(model.inputs, numbers)
    columns = dict(zip(INPUTS, numbers.T, strict=True))
    error = _error(columns, model.stress_error, model.damage.error)
    per_truck = model.damage(pavements_of(values, overlay, model.grid), error)
    past = _past(model, values, columns)
    years = years_to_limit(model, past, per_truck, values["traffic"])
    point = years.argmin(axis=1)
    return Lives(years[np.arange(len(years)), point], point, per_truck, past)


def years_to_limit(model: LifeModel, past: Array, per_truck: Array, traffic: Array) -> Array:
    """Years (n, points) until slabs that were sound crack; ``traffic`` (n,) is the ratio of the traffic to the forecast.

    Slabs that cracked before are repaired before the overlay is placed, so 1 - c falls from that of the past damage to
    its product with 1 less the level: (1 + FD^b) = (1 + past^b) (1 + limit^b). Where half the slabs had cracked and
    more, the curve would give its survivors more than new slabs bear: they are given no more.
    """
    odds = (1 + past**model.exponent) * (1 + model.limit**model.exponent) - 1
    left = np.minimum(odds ** (1 / model.exponent) - past, model.limit)
    trucks = left / np.maximum(per_truck, 1e-300)
    years = years_of_traffic(trucks / traffic[:, None], model.trucks.first_year, model.trucks.growth)
    return np.minimum(years, LONGEST)


def _error(columns: Mapping[str, Array], stress: Array, damage: Array) -> Array:
    """Scatter (n, points) added to the logarithm of the stress for what the two surfaces miss."""
    return columns["stress_error"][:, None] * stress + columns["damage_error"][:, None] * damage


def _past(model: LifeModel, values: Mapping[str, Array], columns: Mapping[str, Array]) -> Array:
    """Damage so far (n, points): nothing in the overlay; in the old slab by its traffic or as observed."""
    if model.old is None or model.old_grid is None or model.old_stress_error is None:
        return model.observed_past(len(values["slab"]))
    error = _error(columns, model.old_stress_error, model.old.error)
    return model.placed(model.old(pavements_of(values, 0.0, model.old_grid), error) * model.trucks.past)


def quantiles(years: Array, reliabilities: Sequence[float] | Array) -> Array:
    """Years that are reached with each reliability: the lower quantiles of the lives."""
    return np.quantile(years, 1 - np.asarray(reliabilities))


def thickness_for(
    life: Callable[[float], float], target: float, thinnest: float, thickest: float
) -> tuple[float, Remark]:
    """The thickness [m] at which the life is ``target`` years, and a remark.

    ``life`` rises with thickness. The thinnest is returned where it lives long enough already, and NaN with a
    sentence where even the thickest does not.
    """
    if life(thinnest) >= target:
        return thinnest, remark("the thinnest overlay lives long enough")
    most = life(thickest)
    if most < target:
        return np.nan, remark(
            "no overlay in range lives {target}: the thickest lives {most}",
            target=("years", target),
            most=("years", most),
        )
    return float(brentq(lambda h: life(h) - target, thinnest, thickest, xtol=1e-5)), remark("")
