"""A published equation is one pure function; this file turns it into a calculation.

A function decorated with ``@calculation`` takes and returns SI numbers or arrays. From its annotations
the decorator learns each parameter's kind, bounds and meaning, and from these the command line, the HTTP
interface, the reference pages and the printed working are all made. Outside the bounds a scalar raises
``OutOfRange``; an array element yields NaN, and ``excluded`` says which and why.
"""

from __future__ import annotations

import dataclasses
import inspect
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from types import CodeType, FunctionType
from typing import Annotated, Any, Generic, TypeVar, cast, get_args, get_origin, get_type_hints

import numpy as np
import numpy.typing as npt

from slabwright import units
from slabwright.errors import InputError, OutOfRange
from slabwright.sources import SOURCES, Tag

__all__ = [
    "REGISTRY",
    "Array",
    "Calculation",
    "Choice",
    "Exclusion",
    "Parameter",
    "Quantity",
    "Stations",
    "Words",
    "Working",
    "calculation",
    "title_of",
]

Array = npt.NDArray[np.float64]
R_co = TypeVar("R_co", covariant=True)


@dataclass(frozen=True)
class Quantity:
    """What a number is: its kind, meaning, bounds in SI, and symbol and unit in the printed equation.

    ``least``: where the lower bound is a word of its own, such as 0 for "the required one", the smallest value besides it.
    """

    kind: str
    meaning: str
    low: float | None = None
    high: float | None = None
    symbol: str = ""
    printed: str = ""
    vector: bool = False
    least: float | None = None


@dataclass(frozen=True)
class Choice:
    """A parameter that names one of several published cases."""

    meaning: str
    options: tuple[str, ...]


@dataclass(frozen=True)
class Stations(Choice):
    """Places along the road, given in the notation of either system and kept as metres: "3901.44 m; 4450.08 m"."""

    options: tuple[str, ...] = ()


@dataclass(frozen=True)
class Words(Choice):
    """Words of the engineer's own, such as a reason or a list of core numbers; a currency has letters and its signs alone."""

    options: tuple[str, ...] = ()
    currency: bool = False


@dataclass(frozen=True)
class Parameter:
    """One input of a calculation as the catalogue lists it."""

    name: str
    about: Quantity | Choice
    default: Any = inspect.Parameter.empty

    @property
    def required(self) -> bool:
        return self.default is inspect.Parameter.empty


@dataclass(frozen=True)
class Exclusion:
    """Array elements that a calculation did not answer, and why."""

    quantity: str
    count: int
    first: int
    value: float
    allowed: str
    source: str

    def __str__(self) -> str:
        return (
            f"{self.count} value(s) left out: {self.quantity} outside {self.allowed} ({self.source}); "
            f"first at row {self.first + 1}: {self.value:.6g}"
        )


@dataclass(frozen=True)
class Working:
    """A printed calculation: equation, values put in, result, source."""

    name: str
    title: str
    equation: str
    given: tuple[tuple[str, str, str], ...]
    substituted: str
    results: tuple[tuple[str, str], ...]
    source: str
    tag: str
    context: str = ""

    def text(self) -> str:
        head = f"{self.title}{' - ' + self.context if self.context else ''}"
        rows = [f"  {symbol:<8} = {value:<22} {meaning}" for symbol, value, meaning in self.given]
        found = [f"  {meaning} = {value}" for meaning, value in self.results]
        lines = [head, f"  {self.equation}", *rows]
        if self.substituted:
            lines.append(f"  {self.substituted}")
        return "\n".join([*lines, *found, f"  Source: {self.source} [{self.tag}]"])


REGISTRY: dict[str, Calculation[Any]] = {}
# Constants by which an equation published in certain units takes them from SI.
CONVERSIONS = {name for name in units.__all__ if name.isupper()} | {"DAY", "HOUR", "MPA", "YEAR"}
# Inch-pound sheets of an equation that holds in any units speak of inches, pounds and psi alone.
ONE_LENGTH = {
    "ft": "in",
    "mil": "in",
    "yd": "in",
    "ft^2": "in^2",
    "yd^2": "in^2",
    "kip": "lbf",
    "Mpsi": "psi",
    "mil/kip": "in/lbf",
    "in^2/ft": "in^2/in",
    "lbf/ft^3": "lbf/in^3",
}
UNCONFIRMED = "from memory, unconfirmed"
UNIT_WORDS = re.compile(r"\b(MPa|GPa|kPa|mm|days|hours|years|psi|pci|kip|lb|inches|per cent|degC|degF)\b")


class Calculation(Generic[R_co]):
    """A decorated function with what its annotations say; call it like the function."""

    def __init__(
        self, function: Callable[..., R_co], *, source: str, where: str, tag: Tag | None, equation: str
    ) -> None:
        self.function = function
        self.name = function.__name__
        self.room = function.__module__.removeprefix("slabwright.").split(".")[0]
        self.source = SOURCES[source]
        self.where = where
        self.tag: Tag = tag or self.source.tag
        self.equation = equation
        doc = inspect.getdoc(function) or ""
        self.title = title_of(doc)
        hints = get_type_hints(function, include_extras=True)
        self.parameters = tuple(
            Parameter(p.name, _about(hints[p.name], function, p.name), p.default)
            for p in inspect.signature(function).parameters.values()
        )
        self.outputs = _outputs(hints["return"], self.name)
        self.__doc__ = f"{doc}\n\n{self._described()}"

    def _described(self) -> str:
        """What the annotations say: inputs and results with shapes and SI units, errors, source."""
        given = [f"    {p.name}{_of(p.about)}: {p.about.meaning}{_range(p.about)}" for p in self.parameters]
        made = [f"    {name}{_of(about)}: {about.meaning}" for name, about in self.outputs.items()]
        return "\n".join([
            "Inputs in SI units; scalars, or arrays of any shapes that broadcast (a list has its values on the last axis):",
            *given,
            "Results, of the broadcast shape:",
            *made,
            "Raises OutOfRange for a scalar outside its bounds (an element of an array becomes NaN instead), InputError for an",
            "input that is missing, unknown or no published case.",
            f"Source: {self.citation} [{self.tag}].",
        ])

    @cached_property
    def known(self) -> str:
        """How well the equation is known: its tag, and beside "from memory" that nothing confirms it.

        An independent method or a looked-up number among the published checks does; a number that was remembered does not.
        """
        from slabwright.published import checks_by_calculation  # read when first asked for

        checks = checks_by_calculation().get(self.name, ())
        confirmed = any(c.kind == "independent" or (c.kind, c.tag) == ("published", "looked up") for c in checks)
        return self.tag if confirmed or self.tag != "from memory" else UNCONFIRMED

    @property
    def citation(self) -> str:
        return f"{self.source.document}{', ' + self.where if self.where else ''}"

    def __call__(self, *args: npt.ArrayLike, **kwargs: npt.ArrayLike) -> R_co:
        bound = self._bind(args, kwargs)
        scalar = all(v.ndim == (1 if p.about.vector else 0) for p, v in self._quantities(bound))
        bad = self._outside(bound, scalar)
        with np.errstate(all="ignore"):
            result = self.function(**bound)
        return cast(R_co, self._finish(result, bad, scalar))

    def excluded(self, *args: npt.ArrayLike, **kwargs: npt.ArrayLike) -> tuple[Exclusion, ...]:
        """Which array elements lie outside the bounds, one entry for each quantity that has any."""
        bound = self._bind(args, kwargs)
        found = []
        for parameter, value in self._quantities(bound):
            outside = ~self._inside(parameter.about, value) & ~np.isnan(value)
            if outside.any():
                first = int(np.flatnonzero(outside)[0])
                shown, allowed = self._limits(parameter, float(value.flat[first]))
                found.append(Exclusion(parameter.name, int(outside.sum()), first, shown, allowed, self.citation))
        return tuple(found)

    def read(self, texts: Mapping[str, str | float], system: units.System = "us") -> dict[str, Any]:
        """Inputs given as text (``"4 in"``) as SI values, defaults filled in."""
        known = {p.name: p for p in self.parameters}
        for name in texts:
            if name not in known:
                raise InputError(f"{self.name} has no input of this name", given=name, allowed=", ".join(known))
        values: dict[str, Any] = {}
        for parameter in self.parameters:
            if parameter.name in texts:
                values[parameter.name] = _read(parameter, texts[parameter.name], system)
            elif parameter.required:
                raise InputError(f"{self.name} needs {parameter.name} ({parameter.about.meaning})")
            else:
                values[parameter.name] = parameter.default
        return values

    def values(self, result: Any) -> dict[str, Any]:
        """The outputs of a result by name, in SI."""
        if not dataclasses.is_dataclass(result):
            return {self.name: result}
        return {name: getattr(result, name) for name in self.outputs}

    def working(self, context: str = "", *, system: units.System = "us", **inputs: Any) -> Working:
        """The printed calculation for scalar inputs; the same ones are printed once and kept."""
        given = tuple((name, value if isinstance(value, str) else _scalar(value)) for name, value in inputs.items())
        if any(value is None for _, value in given):
            return self._work(context, system, inputs)
        return _kept_working(self, context, system, given)

    @cached_property
    def coherent(self) -> bool:
        """Whether the equation holds in any coherent units: it names none, and no function that it uses converts one."""
        if UNIT_WORDS.search(self.equation):
            return False
        seen: list[Callable[..., Any]] = [self.function]
        for function in seen:
            names = _names(function.__code__)
            if names & CONVERSIONS:
                return False
            known = (function.__globals__.get(name) for name in sorted(names))
            plain = (getattr(f, "function", f) if isinstance(f, Calculation) else f for f in known)
            seen += [f for f in plain if isinstance(f, FunctionType) and f not in seen]
        return True

    def _work(self, context: str, system: units.System, inputs: Mapping[str, Any]) -> Working:
        bound = {p.name: inputs.get(p.name, p.default) for p in self.parameters}
        given = tuple(_given(self, p, bound[p.name], system) for p in self.parameters)
        symbols = {
            p.about.symbol or p.name: _digits(bound[p.name], p.about, _printed(self, p.about, system))
            for p in self.parameters
            if isinstance(p.about, Quantity)
        }
        results = tuple(
            (q.meaning + (f" {q.symbol}" if q.symbol else ""), _shown(self, v, q, system))
            for (name, q), v in zip(self.outputs.items(), self.values(self(**bound)).values(), strict=True)
        )
        substituted = _substitute(self.equation, symbols)
        return Working(
            self.name, self.title, self.equation, given, substituted, results, self.citation, self.known, context
        )

    @cached_property
    def _signature(self) -> inspect.Signature:
        return inspect.signature(self.function)

    def _bind(self, args: tuple[Any, ...], kwargs: dict[str, Any]) -> dict[str, Any]:
        try:
            call = self._signature.bind(*args, **kwargs)
        except TypeError as problem:
            raise InputError(f"{self.name}: {problem}") from None
        call.apply_defaults()
        bound: dict[str, Any] = {}
        for parameter in self.parameters:
            value = call.arguments[parameter.name]
            if isinstance(parameter.about, Choice):
                _check_choice(parameter, value)
                bound[parameter.name] = value
            else:
                bound[parameter.name] = np.asarray(value, dtype=np.float64)
        self._check_lengths(bound)
        return bound

    def _check_lengths(self, bound: Mapping[str, Any]) -> None:
        """Lists of one calculation belong together, element by element."""
        lengths = {p.name: v.shape[-1] for p, v in self._quantities(bound) if p.about.vector and v.ndim}
        if len(set(lengths.values())) > 1:
            given = ", ".join(f"{length} of {name}" for name, length in lengths.items())
            raise InputError(f"{self.name} needs lists of the same length", given=given)

    def _quantities(self, bound: Mapping[str, Any]) -> list[tuple[Any, Array]]:
        return [(p, bound[p.name]) for p in self.parameters if isinstance(p.about, Quantity)]

    @staticmethod
    def _inside(about: Quantity, value: Array) -> npt.NDArray[np.bool_]:
        low = -np.inf if about.low is None else about.low
        high = np.inf if about.high is None else about.high
        slack = 1e-9  # a bound entered in other units may differ in the last bits
        inside: npt.NDArray[np.bool_] = (value >= low - slack * abs(low)) & (value <= high + slack * abs(high))
        return inside & np.isfinite(value)

    def _outside(self, bound: dict[str, Any], scalar: bool) -> npt.NDArray[np.bool_]:
        """Where no answer may be given; raises at once when every input is a scalar."""
        masks = []
        for parameter, value in self._quantities(bound):
            inside = self._inside(parameter.about, value)
            if scalar and not inside.all():
                shown, allowed = self._limits(parameter, float(value.flat[int(np.flatnonzero(~inside)[0])]))
                raise OutOfRange(
                    f"{parameter.name} ({parameter.about.meaning}) is outside the range of {self.title}",
                    given=f"{shown:.6g} {units.label(units.unit_of(parameter.about.kind))}".rstrip(),
                    allowed=allowed,
                    source=self.citation,
                )
            masks.append(~inside.all(axis=-1) if parameter.about.vector else ~inside)
            if not inside.all():
                bound[parameter.name] = np.where(inside, value, np.nan)
        return np.logical_or.reduce(np.broadcast_arrays(*masks)) if masks else np.zeros((), bool)

    def _limits(self, parameter: Parameter, value: float) -> tuple[float, str]:
        """The value in its customary unit, and the bounds as text."""
        assert isinstance(parameter.about, Quantity)
        unit = units.unit_of(parameter.about.kind)
        low, high = (
            None if b is None else units.from_si(b, unit, parameter.about.kind)
            for b in (parameter.about.low, parameter.about.high)
        )
        name = units.label(unit)
        text = " to ".join("any" if b is None else f"{b:.6g}" for b in (low, high))
        return units.from_si(value, unit, parameter.about.kind), f"{text} {name}".rstrip()

    def _finish(self, result: Any, bad: npt.NDArray[np.bool_], scalar: bool) -> Any:
        if dataclasses.is_dataclass(result) and not isinstance(result, type):
            parts = {n: self._finish(getattr(result, n), bad, scalar) for n in self.outputs}
            return type(result)(**parts)
        value = np.asarray(result, dtype=np.float64)
        if scalar:
            if not value.size or not np.isfinite(value).all():
                raise OutOfRange(
                    f"{self.title} has no finite answer for these inputs",
                    source=self.citation,
                    remedy="Check the inputs against each other.",
                )
            return value[()]
        if bad.any():
            reach = bad.reshape(bad.shape + (1,) * (value.ndim - bad.ndim)) if value.ndim > bad.ndim else bad
            value = np.where(reach, np.nan, value)
        return np.where(np.isfinite(value), value, np.nan)


def calculation(
    *, source: str, where: str = "", tag: Tag | None = None, equation: str
) -> Callable[[Callable[..., R_co]], Calculation[R_co]]:
    """Enter a published equation in the catalogue (see the module's head)."""

    def decorate(function: Callable[..., R_co]) -> Calculation[R_co]:
        entry = Calculation(function, source=source, where=where, tag=tag, equation=equation)
        if entry.name in REGISTRY and REGISTRY[entry.name].function.__module__ != function.__module__:
            raise ValueError(f"two calculations are called {entry.name}")
        REGISTRY[entry.name] = entry
        return entry

    return decorate


def title_of(doc: str) -> str:
    """The title of a calculation: the first line of its docstring without the unit of its result."""
    return doc.split("\n", 1)[0].split(" [")[0].rstrip(".")


def _of(about: Quantity | Choice) -> str:
    """The SI unit and shape of a quantity, nothing for a choice."""
    if isinstance(about, Choice):
        return ""
    return f" [{units.kind(about.kind).si}]" + (" (..., n)" if about.vector else "")


def _range(about: Quantity | Choice) -> str:
    if isinstance(about, Choice):
        return ": " + ", ".join(about.options)
    if about.low is None and about.high is None:
        return ""
    low, high = ("any" if bound is None else f"{bound:.6g}" for bound in (about.low, about.high))
    return f", {low} to {high}"


@lru_cache(maxsize=4096)  # a decision changes few of a report's some hundred workings
def _kept_working(
    entry: Calculation[Any], context: str, system: units.System, given: tuple[tuple[str, float | str], ...]
) -> Working:
    return entry._work(context, system, dict(given))


def _scalar(value: Any) -> float | None:
    """The value as a float, None for a list."""
    return float(value) if np.ndim(value) == 0 else None


def _about(hint: Any, function: Callable[..., Any], name: str) -> Quantity | Choice:
    if get_origin(hint) is Annotated:
        for extra in get_args(hint)[1:]:
            if isinstance(extra, (Quantity, Choice)):
                return extra
    raise TypeError(f"{function.__name__}: parameter {name} needs a Quantity or a Choice")


def _outputs(hint: Any, name: str) -> dict[str, Quantity]:
    if get_origin(hint) is Annotated:
        return {name: next(e for e in get_args(hint)[1:] if isinstance(e, Quantity))}
    fields = get_type_hints(hint, include_extras=True)
    return {f: next(e for e in get_args(h)[1:] if isinstance(e, Quantity)) for f, h in fields.items()}


def _check_choice(parameter: Parameter, value: Any) -> None:
    assert isinstance(parameter.about, Choice)
    if value not in parameter.about.options:
        raise InputError(
            f"{parameter.name} ({parameter.about.meaning}) is not one of the published cases",
            given=value,
            allowed=", ".join(parameter.about.options),
        )


def _read(parameter: Parameter, text: str | float, system: units.System) -> Any:
    about = parameter.about
    try:
        if isinstance(about, Choice):
            _check_choice(parameter, text)
            return text
        if about.vector:
            return np.array(units.parse_many(str(text), about.kind, system))
        return units.parse(text, about.kind, system)
    except InputError as problem:
        problem.where = problem.where or parameter.name
        raise


def _unit(about: Quantity, system: units.System = "us") -> str:
    return about.printed if about.printed and system == "us" else units.unit_of(about.kind, system)


def _digits(value: Any, about: Quantity, unit: str) -> str:
    shown = units.from_si(np.asarray(value, dtype=np.float64), unit, about.kind)
    if shown.ndim:
        return ", ".join(f"{v:.6g}" for v in shown.flat)
    number = float(shown)
    whole = 1e5 <= abs(number) < 1e12 and not unit.startswith("Pa")
    return f"{number:,.0f}" if whole else f"{number:.6g}"


def _printed(entry: Calculation[Any], about: Quantity, system: units.System) -> str:
    """The unit in which the equation takes a value: the printed one, or SI on a metric sheet where any will do."""
    shared = (
        units.kind(about.kind).us == units.kind(about.kind).metric
    )  # such as per cent, in which equations are written
    if not entry.coherent or shared or (about.printed and system == "us"):
        return _unit(about)
    return units.kind(about.kind).si if system == "metric" else ONE_LENGTH.get(_unit(about), _unit(about))


def _names(code: CodeType) -> set[str]:
    """The global names that a function's code uses, and those of the functions within it."""
    inner = (_names(c) for c in code.co_consts if isinstance(c, CodeType))
    return set(code.co_names).union(*inner)


def _in_unit(value: Any, about: Quantity, unit: str) -> str:
    return f"{_digits(value, about, unit)} {units.label(unit)}".rstrip()


def _given(entry: Calculation[Any], parameter: Parameter, value: Any, system: units.System) -> tuple[str, str, str]:
    """Symbol, value and meaning of an input."""
    about = parameter.about
    if isinstance(about, Choice):
        return parameter.name, str(value), about.meaning
    named = replace(about, symbol=about.symbol or parameter.name)
    return named.symbol, _shown(entry, value, named, system), about.meaning


def _shown(entry: Calculation[Any], value: Any, about: Quantity, system: units.System) -> str:
    """A value with its unit and, where the equation has its symbol in another unit, the value there in brackets."""
    shown, printed = _unit(about, system), _printed(entry, about, system)
    text = _in_unit(value, about, shown)
    if shown == printed or not about.symbol or not _symbols((about.symbol,)).search(entry.equation):
        return text
    return f"{text} ({_in_unit(value, about, printed)})"


def _symbols(names: Iterable[str]) -> re.Pattern[str]:
    """Where any of these symbols stands by itself in an equation; longer ones win."""
    ordered = sorted(names, key=len, reverse=True)
    return re.compile(r"(?<![A-Za-z0-9_'])(" + "|".join(re.escape(n) for n in ordered) + r")(?![A-Za-z0-9_'(])")


def _substitute(equation: str, symbols: Mapping[str, str]) -> str:
    """The equation with the values in the places of its symbols (in the units it is printed in)."""
    if not symbols:
        return ""
    filled = _symbols(symbols).sub(lambda m: symbols[m[1]].replace(",", ""), equation)
    return filled if filled != equation else ""
