"""What the panels of the road strip share: the sheet with its window and width, and a panel on it."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from slabwright import units
from slabwright.figures.looks import Theme, look
from slabwright.figures.record import Axis, Bars, Series, Steps
from slabwright.figures.road import Road, Window
from slabwright.web.parts.paint import escaped

__all__ = ["HEAD", "LETTER", "RIGHT", "Drawn", "Panel", "Sheet", "keys"]

Drawn = dict[str, Any]

HEAD = 19  # pixels for a line of words
RIGHT = 16  # pixels beside the panels
NARROW = 600  # pixels: a phone
LETTER = 6.3  # pixels, for guessing whether words fit
DASH_SIGNS = {"solid": "━━", "dash": "╍╍"}
HATCH_SIGNS = {"": "■", "/": "▨", "x": "▩", ".": "▒", "\\": "▧", "-": "▤"}


@dataclass(frozen=True)
class Sheet:
    """What every panel needs to know."""

    road: Road
    window: Window
    system: units.System
    theme: Theme
    width: int

    @property
    def left(self) -> int:
        return 78 if self.width > 600 else 58

    @property
    def across(self) -> float:
        """Pixels of the window."""
        return max(self.width - self.left - RIGHT, 100)

    def pixel(self, station: float) -> float:
        begin, end = self.window
        return (station - begin) / (end - begin) * self.across

    def room(self, length: float) -> float:
        """Letters that fit on a length along the road."""
        return length / (self.window[1] - self.window[0]) * self.across / LETTER

    def named(self, axis: Axis) -> list[str]:
        """Names along an axis: themselves where short, else what stands for them."""
        most = 9 if self.width > 600 else 7
        return [
            escaped(word if len(word) <= most else short) for word, short in zip(axis.words, axis.short, strict=True)
        ]


@dataclass(frozen=True)
class Panel:
    """One drawing over the stations; annotations and shapes are in its own coordinates."""

    title: str
    keys: tuple[str, ...]
    height: float
    axis: Drawn
    traces: list[Drawn]
    annotations: list[Drawn] = field(default_factory=list)
    shapes: list[Drawn] = field(default_factory=list)


def keys(series: tuple[Series, ...], theme: Theme) -> list[str]:
    """A line of the key for each name, with its signs in their colour."""
    signs: dict[str, dict[str, str]] = {}
    for one in series:
        if one.name:
            sign, colour = _sign(one, theme)
            signs.setdefault(one.name, {})[sign] = colour
    return [
        f'<span style="color:{next(iter(found.values()))}">{"".join(found)}</span> {escaped(name)}'
        for name, found in signs.items()
    ]


def _sign(series: Series, theme: Theme) -> tuple[str, str]:
    style = look(series.role)  # type: ignore[union-attr]
    if isinstance(series, Steps):
        return DASH_SIGNS.get(style.dash, "┅┅"), style.colour(theme)
    if isinstance(series, Bars):
        return HATCH_SIGNS[style.hatch], style.colour(theme)
    return style.sign, style.colour(theme)
