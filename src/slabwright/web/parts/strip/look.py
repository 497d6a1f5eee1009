"""What the plan and the panels of the road strip share: colours and signs, the sheet, and a panel on it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from slabwright import units
from slabwright.web.parts.strip.data import AGAINST, WITH, Lane, Road
from slabwright.web.parts.strip.words import escaped

__all__ = [
    "DARK",
    "DASHES",
    "HATCH",
    "HEAD",
    "LETTER",
    "LIGHT",
    "RIGHT",
    "ROW",
    "SYMBOLS",
    "Drawn",
    "Look",
    "Panel",
    "Sheet",
    "Window",
    "faint",
    "key",
    "lane_rows",
    "lane_ticks",
    "words_at",
]

Drawn = dict[str, Any]
Window = tuple[float, float]


@dataclass(frozen=True)
class Look:
    """Colours of one theme; ``groups`` in the order of a layer's groups."""

    ink: str
    soft: str
    line: str
    paper: str
    band: str
    accent: str
    groups: tuple[str, ...]
    verdicts: dict[str, str]


LIGHT = Look(
    "#1b2530", "#4c5763", "#d4dae0", "#fbfaf7", "rgba(27,37,48,0.16)", "#1f5f8b",
    ("#1f5f8b", "#8a5a00", "#a3243b", "#1b7a4b", "#6b4a8a", "#4c5763"),
    {"suited": "#1b7a4b", "suited after repair": "#8a5a00", "not suited": "#a3243b", "not judged": "#4c5763", "": "#4c5763"},
)  # fmt: skip
DARK = Look(
    "#e8edf2", "#b3bec9", "#3a4652", "#10181f", "rgba(232,237,242,0.20)", "#8ec7ee",
    ("#8ec7ee", "#f0c36d", "#ff9aa8", "#7fd3a6", "#cdb4ea", "#b3bec9"),
    {"suited": "#7fd3a6", "suited after repair": "#f0c36d", "not suited": "#ff9aa8", "not judged": "#b3bec9", "": "#b3bec9"},
)  # fmt: skip
# Hatching of a verdict on the plan and the sign for it in the heading.
HATCH = {"suited": ("", "■"), "suited after repair": ("/", "▨"), "not suited": ("x", "▩"), "not judged": (".", "▒"), "": ("", "□")}  # fmt: skip
SYMBOLS = (("circle", "●"), ("square-open", "□"), ("diamond", "◆"), ("triangle-up", "▲"), ("x", "✖"), ("cross", "✚"))
DASHES = ("solid", "dash", "dot", "dashdot", "longdash", "longdashdot")

ROW, MEDIAN = 22, 0.6  # pixels for a lane, and the share of it that the median takes
HEAD = 19  # pixels for a line of words
RIGHT = 16  # pixels beside the panels
LETTER = 6.3  # pixels, for guessing whether words fit


@dataclass(frozen=True)
class Sheet:
    """What every panel needs to know."""

    road: Road
    window: Window
    system: units.System
    look: Look
    width: int
    rows: dict[str, float]

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

    def sees(self, begin: float, end: float) -> bool:
        return begin <= self.window[1] and end >= self.window[0]


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


def lane_rows(lanes: Sequence[Lane]) -> dict[str, float]:
    """Height of the middle of each lane on the plan, in lanes from the foot."""
    rows: dict[str, float] = {}
    height = 0.5
    for direction, outward in (("", 1), (WITH, -1), (AGAINST, 1)):
        here = [lane for lane in lanes if lane.direction == direction]
        here.sort(key=lambda lane: (outward * lane.position if math.isfinite(lane.position) else math.inf, lane.name))
        for lane in here:
            rows[lane.name] = height
            height += 1
        height += MEDIAN if here else 0
    return rows


def lane_ticks(sheet: Sheet) -> Drawn:
    """Lanes by name where short, else by their place from the median."""
    positions = {lane.name: lane.position for lane in sheet.road.lanes}
    most = 9 if sheet.width > 600 else 7
    words = [
        escaped(name) if len(name) <= most else f"lane {positions[name]:.0f}" if math.isfinite(positions[name]) else escaped(name, most)
        for name in sheet.rows
    ]  # fmt: skip
    return {"tickmode": "array", "tickvals": list(sheet.rows.values()), "ticktext": words, "showgrid": False}


def key(sign: str, color: str, words: str) -> str:
    return f'<span style="color:{color}">{sign}</span> {words}'


def words_at(sheet: Sheet, text: str, x: float, y: float, **more: Any) -> Drawn:
    return {"text": text, "x": x, "y": y, "xref": "x", "showarrow": False, "font": {"size": 12, "color": sheet.look.ink}, **more}  # fmt: skip


def faint(color: str, opacity: float) -> str:
    """A colour "#rrggbb" that lets what is behind shine through."""
    red, green, blue = (int(color[i : i + 2], 16) for i in (1, 3, 5))
    return f"rgba({red},{green},{blue},{opacity})"
