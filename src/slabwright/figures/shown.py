"""A figure in the reader's units: numbers and the words of the axes, made once for every painter."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np

from slabwright import units
from slabwright.figures.record import Axis, Band, Field, Figure, Rule, Series, Words

__all__ = ["in_units", "round_ticks", "short_name", "station_ticks", "titled"]

PLAIN_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9 .\-/]{0,9}\Z")
SPARE = 3  # digits kept beyond those that a table shows, so that no curve has stairs


def in_units(figure: Figure, system: units.System) -> Figure:
    """The same figure with its numbers in the units of a system, and the units in the words of its axes.

    Stations stay in metres: painters write them with ``station_ticks``.
    """
    x, y = (_converter(axis.kind, system) for axis in (figure.x, figure.y))
    return replace(
        figure,
        x=_axis(figure.x, x, system),
        y=_axis(figure.y, y, system),
        series=tuple(_series(s, x, y, system) for s in figure.series),
        marks=tuple(_mark(m, x if m.axis == "x" else y) for m in figure.marks),
        words=tuple(_words(w, x, y, system) for w in figure.words),
    )


def _converter(kind: str, system: units.System) -> Callable[[Any], Any]:
    if kind in ("station", "words"):
        return np.asarray
    digits = units.kind(kind).digits(system) + SPARE
    return lambda values: np.round(units.convert(np.asarray(values, dtype=float), kind, system), digits)


def titled(label: str, kind: str, system: units.System) -> str:
    """A label with the unit in which its numbers are written."""
    if kind == "station":
        return f"{label} [{'ft' if system == 'us' else 'm'}]"
    unit = "" if kind == "words" else units.label(units.unit_of(kind, system))
    return f"{label} [{unit}]" if unit and unit != label else label


def _axis(axis: Axis, convert: Callable[[Any], Any], system: units.System) -> Axis:
    limits = None if axis.limits is None else (float(convert(axis.limits[0])), float(convert(axis.limits[1])))
    places = tuple(float(convert(place)) for place in axis.places)
    return replace(axis, label=titled(axis.label, axis.kind, system), limits=limits, places=places)


def _series(series: Series, x: Callable[[Any], Any], y: Callable[[Any], Any], system: units.System) -> Series:
    moved = series.moved(x, y)
    if isinstance(moved, Field):
        return replace(moved, z=_converter(moved.kind, system)(moved.z), name=titled(moved.name, moved.kind, system))
    return moved


def _words(words: Words, x: Callable[[Any], Any], y: Callable[[Any], Any], system: units.System) -> Words:
    text = words.text
    if words.value is not None:
        bare = "{value}" not in words.text
        number = units.format_quantity(words.value, words.kind, system, unit=not bare)
        text = number if bare else words.text.replace("{value}", number)
    return replace(words, text=text, x=float(x(words.x)), y=float(y(words.y)), room=float(x(words.room) - x(0.0)))


def _mark(mark: Rule | Band, convert: Callable[[Any], Any]) -> Rule | Band:
    if isinstance(mark, Band):
        return replace(mark, low=float(convert(mark.low)), high=float(convert(mark.high)))
    return replace(mark, places=tuple(float(convert(place)) for place in mark.places))


def station_ticks(window: tuple[float, float], system: units.System, most: int) -> tuple[list[float], list[str]]:
    """At most ``most`` round stations in the window, in m, and how they are written."""
    begin, end = (units.convert(x, "length", system) for x in window)
    least = (end - begin) / max(most, 1)
    power = 10 ** math.floor(math.log10(least))
    step = next(power * f for f in (1, 2, 5, 10) if power * f >= least * (1 - 1e-9))
    unit = units.unit_of("length", system)
    places = np.arange(math.ceil(begin / step - 1e-9), math.floor(end / step + 1e-9) + 1) * step
    metres = [float(units.to_si(float(p), unit, "length")) for p in places]
    words = [units.format_station(m, system) for m in metres]
    return metres, [w.removesuffix(".0") for w in words] if step >= 1 else words


def round_ticks(top: float) -> tuple[list[float], list[str]]:
    """Round numbers for a mirrored axis that reaches ``top`` both ways, written without sign."""
    power = 10 ** math.floor(math.log10(top)) if top > 0 else 1.0
    step = next(power * f for f in (0.2, 0.5, 1, 2, 5, 10) if top / (power * f) <= 2.5)
    places = [step * i for i in range(-int(top / step), int(top / step) + 1)]
    return places, [f"{abs(place):,g}" for place in places]


def short_name(name: object, otherwise: str) -> str:
    """A name as a small drawing can hold it, or the key under which the words beside the drawing give it."""
    text = str(name)
    return text if PLAIN_NAME.match(text) else otherwise
