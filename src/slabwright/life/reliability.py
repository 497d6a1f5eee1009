"""Lives of a pavement whose inputs scatter: a Sobol sample of the inputs, and the life of each.

Every input is a function of its own standard normal number, so that the same sample serves every thickness: a
curve of life against thickness is then smooth, and a thickness can be found on it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.optimize import brentq
from scipy.special import betaincinv, ndtr, ndtri
from scipy.stats import qmc

from slabwright.calculation import Array
from slabwright.errors import InputError
from slabwright.life.cracking import NO_AGEING, Ageing, Causes, TruckTraffic, cracked_after, years_to_level
from slabwright.life.damage_surface import DamageSurface
from slabwright.life.exposure import OVERLAY_MODULUS, Pavements, by_layer
from slabwright.life.past import Calibration, Past, quantiles
from slabwright.life.surface import power_of_two
from slabwright.plate.stresses import PavementState, StressGrid
from slabwright.records.remarks import Remark, remark

__all__ = [
    "INPUTS",
    "LifeModel",
    "Lives",
    "Sample",
    "Uncertain",
    "aged",
    "cracking",
    "lives",
    "normals",
    "pavements_of",
    "sample_of",
    "thickness_for",
    "values_of",
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
    "multiplier": "multiplier on damage",
    "stress_error": "error of the stress surface",
    "damage_error": "error of the damage surface",
}
FARTHEST = 8.0  # standard deviations: no sample lies beyond
STATES = PavementState.names()
Uncertainties = Mapping[str, "Uncertain"]


@dataclass(frozen=True)
class Uncertain:
    """One input that scatters: lognormal, normal or beta with its mean and coefficient of variation.

    single: coefficient of variation of one value; tests: values that the mean rests on, NaN for what is no mean of tests.
    """

    law: str
    mean: float
    variation: float
    single: float = np.nan
    tests: float = np.nan

    @classmethod
    def of_mean(cls, law: str, mean: float, single: float, tests: float) -> Uncertain:
        """The mean of so many tests, each of which scatters by ``single``; of none it scatters as one test would."""
        return cls(law, mean, single / max(tests, 1.0) ** 0.5, single, tests)

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


def aged(pavements: Pavements, ratio: Array | float, grid: StressGrid, column: int = OVERLAY_MODULUS) -> Pavements:
    """The same with strength and modulus of one layer, by the column of its modulus, times a ratio ((n,) or a number)."""
    states = pavements.states.copy()
    states[:, column] *= ratio
    grown = np.broadcast_to(np.asarray(ratio, dtype=np.float64), states.shape[:1])
    still = np.ones_like(grown)
    factors = by_layer(grown, still, grid) if column == OVERLAY_MODULUS else by_layer(still, grown, grid)
    return Pavements(states, pavements.temperature, pavements.strength * factors)


@dataclass(frozen=True)
class LifeModel:
    """All that a life depends on but the sample and the thickness.

    stress_error: shares by which the stress surface misses, (points,). Life ends when a share ``level`` of the slabs
    that are sound under the overlay has cracked; ``exponent`` is that of the cracking curve. ``observed`` is the damage
    of the old slab's bottom that its cracking tells, carried on in place of that by traffic unless NaN; ``correlation`` is
    that of the overlay's modulus with its strength.
    """

    inputs: Uncertainties
    grid: StressGrid
    damage: DamageSurface
    stress_error: Array
    trucks: TruckTraffic
    level: float
    exponent: float
    ageing: Ageing = NO_AGEING
    past: Past | None = None
    calibration: Calibration | None = None
    correlation: float = 0.0
    observed: float = np.nan

    @property
    def causes(self) -> Causes:
        return Causes.of(self.grid.points)

    def carried(self, past: Array | None, samples: int) -> Array:
        """Damage so far (samples, causes) of the overlaid slab: nothing in the overlay; as observed, or by past traffic."""
        bottom = np.zeros(samples)
        if np.isfinite(self.observed):
            bottom = np.full(samples, self.observed)
        elif past is not None and self.past is not None:
            bottom = self.past.bottom(past)
        return np.stack([bottom if face == 3 else np.zeros(samples) for face in self.causes.faces], axis=-1)


@dataclass(frozen=True)
class Sample:
    """What a sample brings whatever the thickness.

    values: of each input, (n,); errors: columns of the two surfaces' errors; past: (n, points of the old slab) damage
    so far before any multiplier, None where no past is known; multiplier: (n,) on every damage; weight: (n,) sum 1.
    """

    values: dict[str, Array]
    errors: tuple[Array, Array]
    past: Array | None
    multiplier: Array
    weight: Array


def sample_of(model: LifeModel, numbers: Array, weighted: bool = True) -> Sample:
    """The sample of standard normal numbers (n, inputs), held against the past where the model is calibrated to it.

    Unweighted, the multipliers of a calibration are kept and the weights are equal.
    """
    values = values_of(model.inputs, _together(numbers, model.correlation))
    columns = dict(zip(INPUTS, numbers.T, strict=True))
    errors = (columns["stress_error"], columns["damage_error"])
    past = None
    if model.past is not None:
        old = pavements_of({**values, "overlay": np.zeros(len(numbers))}, 0.0, model.past.grid)
        past = model.past.damage(old, errors)
    weight, multiplier = np.full(len(numbers), 1 / len(numbers)), values["multiplier"]
    if model.calibration is not None and model.past is not None and past is not None:
        multiplier, found = model.calibration.multipliers(
            model.past.causes.worst(past), columns["multiplier"], model.exponent
        )
        weight = found if weighted else weight
    return Sample(values, errors, past, multiplier, weight)


def _together(numbers: Array, correlation: float) -> Array:
    """The numbers (n, inputs) with that of the overlay's modulus following that of its strength."""
    names = list(INPUTS)
    modulus, strength = names.index("overlay_modulus"), names.index("overlay_strength")
    made = numbers.copy()
    made[:, modulus] = correlation * numbers[:, strength] + (1 - correlation**2) ** 0.5 * numbers[:, modulus]
    return made


@dataclass(frozen=True)
class Lives:
    """Of each sample: years (n,), each cause's part in the cracking that ends it (n, causes), damage of a truck at the
    age of 28 days (n, points), damage so far carried on (n, causes), weight (n,)."""

    years: Array
    part: Array
    per_truck: Array
    past: Array
    weight: Array

    def quantiles(self, reliabilities: Sequence[float] | Array) -> Array:
        """Years that are reached with each reliability."""
        return quantiles(self.years, 1 - np.asarray(reliabilities), self.weight)

    def median(self, values: Array) -> Array:
        """Weighted median over the samples of values (n, ...)."""
        flat = values.reshape(len(values), -1)
        return np.array([quantiles(v, [0.5], self.weight)[0] for v in flat.T]).reshape(values.shape[1:])


def lives(model: LifeModel, sample: Sample, overlay: float, level: float | None = None) -> Lives:
    """Years until the level is cracked (by default the model's), for an overlay of mean thickness [m], for every sample."""
    at_nodes, carried = _damages(model, sample, overlay)
    years, part = years_to_level(model.level if level is None else level, *_cracking(model, sample, at_nodes, carried))
    return Lives(years, part, at_nodes[0], carried, sample.weight)


def cracking(model: LifeModel, sample: Sample, overlay: float, years: Array) -> Array:
    """Share (k, n) of the sound slabs that has cracked after ``years`` (k,) under an overlay of mean thickness [m], by sample."""
    return cracked_after(years, *_cracking(model, sample, *_damages(model, sample, overlay)))


def _damages(model: LifeModel, sample: Sample, overlay: float) -> tuple[Array, Array]:
    """Damage of a truck at each node of age (nodes, n, points), and damage so far carried on (n, causes)."""
    pavements = pavements_of(sample.values, overlay, model.grid)
    error = sample.errors[0][:, None] * model.stress_error + sample.errors[1][:, None] * model.damage.error
    at_nodes = np.stack([
        sample.multiplier[:, None] * model.damage(aged(pavements, float(r), model.grid), error)
        for r in model.ageing.nodes
    ])
    past = None if sample.past is None else sample.multiplier[:, None] * sample.past
    return at_nodes, model.carried(past, len(sample.multiplier))


def _cracking(
    model: LifeModel, sample: Sample, at_nodes: Array, carried: Array
) -> tuple[float, Array, Array, TruckTraffic, Array, Ageing]:
    """What cracking over the years follows from, in the order of ``years_to_level``."""
    by_cause = model.ageing.spread(model.causes.worst(at_nodes))
    return model.exponent, carried, by_cause, model.trucks, sample.values["traffic"], model.ageing


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
            "Target life not reached: the thickest overlay considered lasts {most} of {target}",
            target=("years", target),
            most=("years", most),
        )
    return float(brentq(lambda h: life(h) - target, thinnest, thickest, xtol=1e-5)), remark("")
