"""A strength-maturity curve fitted to the user's own cylinders or cores, with the confidence of what it predicts."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy import optimize, stats

from slabwright.calculation import Array
from slabwright.errors import InputError, NotConverged
from slabwright.materials.maturity import strength_exponential, strength_hyperbolic, strength_plowman
from slabwright.units import HOUR

__all__ = ["FORMS", "Form", "StrengthFit", "fit_strength"]

Form = Literal["hyperbola", "exponential", "logarithm"]
SPARE = 2  # points beyond the parameters, so that a scatter can be told (common practice, no source)


@dataclass(frozen=True)
class _Law:
    """One form: its value from scaled parameters, how many these are, where to begin, and their bounds."""

    value: Callable[..., Array]
    begin: Callable[[Array, Array], list[float]]
    low: tuple[float, ...]
    high: tuple[float, ...]


def _hyperbola(age: Array, ultimate: float, half: float, start: float) -> Array:
    """``half`` [h]: age beyond the start at which half of the strength is reached."""
    return np.asarray(strength_hyperbolic.function(age, ultimate, 1 / (half * HOUR), start * HOUR))


def _exponential(age: Array, ultimate: float, time: float, exponent: float) -> Array:
    return np.asarray(strength_exponential.function(age, ultimate, time * HOUR, exponent))


def _logarithm(maturity: Array, intercept: float, slope: float) -> Array:
    return np.asarray(strength_plowman.function(maturity, intercept, slope))


_LAWS: dict[str, _Law] = {
    "hyperbola": _Law(_hyperbola, lambda t, s: [1.1 * s.max(), _middle(t), 0.0], (1e4, 0.1, 0.0), (3e8, 1e4, 168.0)),
    "exponential": _Law(_exponential, lambda t, s: [1.2 * s.max(), _middle(t), 0.7], (1e4, 0.1, 0.1), (5e8, 1e4, 3.0)),
    "logarithm": _Law(_logarithm, lambda _, s: [s.min(), s.max() / 2], (-3e8, 0.0), (3e8, 3e8)),
}
FORMS: tuple[str, ...] = tuple(_LAWS)


def _middle(ages: Array) -> float:
    return float(np.median(ages) / HOUR)


@dataclass(frozen=True)
class StrengthFit:
    """A fitted curve.

    parameters: hyperbola: strength in the end [Pa], hours to half of it, hours at which it begins; exponential: strength in the
    end [Pa], time [h], exponent; logarithm: strength at one degree-hour [Pa], gain by a tenfold maturity [Pa]. covariance:
    of these; scatter [Pa]: standard deviation of a test about the curve; points: tests fitted; ages: first and last [s].
    """

    form: str
    parameters: Array
    covariance: Array
    scatter: float
    points: int
    ages: tuple[float, float]

    def strength(self, age: Array) -> Array:
        """Strength [Pa] at equivalent ages [s], or maturities [K s] for the logarithm, of any shape. Raises nothing."""
        return _LAWS[self.form].value(np.asarray(age, dtype=float), *self.parameters)

    def lower(self, age: Array, confidence: float = 0.9, *, of_a_test: bool = False) -> Array:
        """One-sided lower limit [Pa] of the curve, or of one further test, at ages [s] of any shape.

        By the linearised curve and Student's t with the points beyond the parameters as degrees of freedom. Never below
        zero. Raises nothing.
        """
        ages = np.atleast_1d(np.asarray(age, dtype=float))
        slope = self._gradient(ages)
        variance = np.einsum("ij,jk,ik->i", slope, self.covariance, slope) + of_a_test * self.scatter**2
        reach = stats.t.ppf(confidence, self.points - len(self.parameters)) * np.sqrt(variance)
        return np.maximum(self.strength(ages) - reach, 0.0).reshape(np.shape(age))

    def _gradient(self, ages: Array) -> Array:
        """Slope of the strength on each parameter (n, parameters), by central differences."""
        steps = 1e-5 * np.maximum(np.abs(self.parameters), 1e-3)
        value = _LAWS[self.form].value
        sides = [(self.parameters + h, self.parameters - h, 2 * h.sum()) for h in np.diag(steps)]
        return np.stack([(value(ages, *above) - value(ages, *below)) / width for above, below, width in sides], axis=-1)


def fit_strength(age: Array, strength: Array, form: Form = "hyperbola") -> StrengthFit:
    """Fit a curve to tests by least squares.

    age: equivalent age [s], or maturity [K s] for the logarithm, strength [Pa], both (n,). Raises InputError for values that are
    missing or not above zero, too few tests or too few different ages, a strength that does not rise, or an unknown form;
    NotConverged where no curve of the form is found.
    """
    age, strength = np.asarray(age, dtype=float), np.asarray(strength, dtype=float)
    if form not in _LAWS:
        raise InputError("this is no form of a strength-maturity curve", given=form, allowed=", ".join(FORMS))
    law = _LAWS[form]
    _check(age, strength, len(law.low))
    unit = float(strength.max())
    scale = np.array([unit if name == "stress" else 1.0 for name in _kinds(form)])
    begin = np.clip(np.array(law.begin(age, strength)), law.low, law.high) / scale
    try:
        found, covariance = optimize.curve_fit(
            lambda t, *p: law.value(t, *(np.array(p) * scale)) / unit,
            age,
            strength / unit,
            begin,
            bounds=(np.array(law.low) / scale, np.array(law.high) / scale),
            max_nfev=5000,
        )
    except RuntimeError as error:
        raise NotConverged(
            "no strength-maturity curve of this form fits the tests",
            given=form,
            remedy="Look at the tests, or choose another form.",
        ) from error
    parameters = found * scale
    left = strength - law.value(age, *parameters)
    scatter = float(np.sqrt((left**2).sum() / (len(age) - len(parameters))))
    ends = float(age.min()), float(age.max())
    return StrengthFit(form, parameters, covariance * np.outer(scale, scale), scatter, len(age), ends)


def _kinds(form: str) -> tuple[str, ...]:
    return ("stress", "stress") if form == "logarithm" else ("stress", "number", "number")


def _check(age: Array, strength: Array, parameters: int) -> None:
    if age.shape != strength.shape or age.ndim != 1:
        raise InputError("each test needs one age and one strength", given=(age.shape, strength.shape))
    for name, values in (("age", age), ("strength", strength)):
        if not (np.isfinite(values) & (values > 0)).all():
            bad = float(values[~(np.isfinite(values) & (values > 0))][0])
            raise InputError(f"a test's {name} is missing or not above zero", given=bad)
    needed, different = parameters + SPARE, len(np.unique(age))
    if len(age) < needed or different <= parameters:
        raise InputError(
            "too few tests for a strength-maturity curve",
            given=f"{len(age)} at {different} ages",
            allowed=f"{needed} or more at {parameters + 1} ages or more",
            remedy="Break more cylinders or cores, at other ages.",
        )
    if stats.spearmanr(age, strength).statistic <= 0:
        raise InputError("strength does not rise with age", remedy="Look whether ages and strengths are matched.")
