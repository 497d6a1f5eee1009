"""The records of a figure: axes, series, marks and words. Numbers are SI; ``shown.in_units`` makes those of the reader.

A painter draws what stands here and nothing else: it chooses no data and has no words of its own. ``role`` names a look in
``looks``; a series or mark without a name has no line in the key.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any, Literal

from slabwright.calculation import Array

__all__ = [
    "Axis",
    "Band",
    "Bars",
    "Field",
    "Figure",
    "Line",
    "Points",
    "Rule",
    "Series",
    "Spans",
    "Steps",
    "Stretches",
    "Whiskers",
    "Words",
]

Convert = Callable[[Any], Any]
Along = Literal["x", "y"]


@dataclass(frozen=True)
class Axis:
    """One axis: its label, the kind of quantity along it ("station" for the road, "words" for names) and its range.

    ``words`` are written at ``places`` instead of numbers, ``short`` where there is no room for them, ``under`` smaller
    beneath. A ``mirrored`` axis grows both ways from zero: its numbers are written without sign.
    """

    label: str
    kind: str = "number"
    limits: tuple[float, float] | None = None
    places: tuple[float, ...] = ()
    words: tuple[str, ...] = ()
    short: tuple[str, ...] = ()
    under: tuple[str, ...] = ()
    reversed: bool = False
    log: bool = False
    mirrored: bool = False


@dataclass(frozen=True, eq=False)
class Line:
    """Points (n,) joined in their order, each marked."""

    name: str
    role: str
    x: Array
    y: Array

    def moved(self, x: Convert, y: Convert) -> Line:
        return replace(self, x=x(self.x), y=y(self.y))


@dataclass(frozen=True, eq=False)
class Points:
    """Single points (n,), with a word each or none; ``short`` words where the others do not fit.

    ``of`` is what a series was made of, for a painter that answers a click.
    """

    name: str
    role: str
    x: Array
    y: Array
    words: tuple[str, ...] = ()
    short: tuple[str, ...] = ()
    of: Any = None

    def moved(self, x: Convert, y: Convert) -> Points:
        return replace(self, x=x(self.x), y=y(self.y))


@dataclass(frozen=True, eq=False)
class Whiskers:
    """Many records as one sign: the median with a whisker from the lowest to the highest, each (n,)."""

    name: str
    role: str
    x: Array
    low: Array
    middle: Array
    high: Array
    of: Any = None

    def moved(self, x: Convert, y: Convert) -> Whiskers:
        return replace(self, x=x(self.x), low=y(self.low), middle=y(self.middle), high=y(self.high))


@dataclass(frozen=True, eq=False)
class Bars:
    """Bars (n,) that take ``begin`` to ``end`` of one axis and reach from ``base`` to ``top`` on the other."""

    name: str
    role: str
    begin: Array
    end: Array
    base: Array
    top: Array
    along: Along = "x"
    of: Any = None

    def moved(self, x: Convert, y: Convert) -> Bars:
        place, reach = (x, y) if self.along == "x" else (y, x)
        return replace(self, begin=place(self.begin), end=place(self.end), base=reach(self.base), top=reach(self.top))


@dataclass(frozen=True, eq=False)
class Steps:
    """A level for each stretch of the x axis, each (n,)."""

    name: str
    role: str
    begin: Array
    end: Array
    level: Array
    of: Any = None

    def moved(self, x: Convert, y: Convert) -> Steps:
        return replace(self, begin=x(self.begin), end=x(self.end), level=y(self.level))


@dataclass(frozen=True, eq=False)
class Stretches:
    """Marks with a length along x, each at its place on y and signed in its middle, each (n,)."""

    name: str
    role: str
    begin: Array
    end: Array
    at: Array
    of: Any = None

    def moved(self, x: Convert, y: Convert) -> Stretches:
        return replace(self, begin=x(self.begin), end=x(self.end), at=y(self.at))


@dataclass(frozen=True, eq=False)
class Spans:
    """Areas (n,) between two places on each axis. Their names stand among the words of the figure."""

    name: str
    role: str
    begin: Array
    end: Array
    low: Array
    high: Array
    of: Any = None

    def moved(self, x: Convert, y: Convert) -> Spans:
        return replace(self, begin=x(self.begin), end=x(self.end), low=y(self.low), high=y(self.high))


@dataclass(frozen=True, eq=False)
class Field:
    """A quantity ``z`` (m, n) over places ``y`` (m,) and ``x`` (n,), as shades with lines of equal value.

    With a ``limit`` it is the one line where the quantity reaches it, and no shades.
    """

    name: str
    kind: str
    x: Array
    y: Array
    z: Array
    limit: float | None = None

    def moved(self, x: Convert, y: Convert) -> Field:
        return replace(self, x=x(self.x), y=y(self.y))


Series = Line | Points | Whiskers | Bars | Steps | Stretches | Spans | Field


@dataclass(frozen=True)
class Rule:
    """Lines straight across at some places of one axis, all of one name."""

    name: str
    role: str
    axis: Along
    places: tuple[float, ...]


@dataclass(frozen=True)
class Band:
    """A stretch of one axis, shaded right across."""

    name: str
    role: str
    axis: Along
    low: float
    high: float


@dataclass(frozen=True)
class Words:
    """Words about a point; where they need more than ``room`` of the x axis, ``short`` stands for them, or nothing.

    ``more`` is a second line for where there is room. ``strong`` words are bold on a ground of their own. A ``value`` of a
    ``kind`` is written in the reader's units in place of the text, or with its unit where the text has ``{value}``.
    """

    text: str
    x: float
    y: float
    room: float = float("inf")
    short: str = ""
    more: str = ""
    strong: bool = False
    value: float | None = None
    kind: str = "number"


@dataclass(frozen=True, eq=False)
class Figure:
    """One picture: ``subject`` is what it is about in one short plain name, ``notes`` stand beside its title.

    ``description`` says the same to those who do not see it. ``equal`` axes have one scale.
    """

    title: str
    x: Axis
    y: Axis
    series: tuple[Series, ...]
    marks: tuple[Rule | Band, ...] = ()
    words: tuple[Words, ...] = ()
    notes: tuple[str, ...] = ()
    subject: str = ""
    description: str = ""
    equal: bool = False

    @property
    def heading(self) -> str:
        """What is drawn, without what it is about: of a field its quantity, else that of the axis that bears numbers."""
        fields = [s.name for s in self.series if isinstance(s, Field)]
        by_name = self.y.kind == "words" and self.x.kind != "station"
        return next(iter(fields), (self.x if by_name else self.y).label or self.title)
