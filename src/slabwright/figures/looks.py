"""How each role looks, for every painter: colours of both themes, dash, marker, hatch and the sign for it in words.

Colours are distinct in hue and lightness and never stand alone: groups differ in dash, marker and hatch as well, verdicts in
hatch, and lines across the drawing in dash.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from slabwright.errors import InputError
from slabwright.records.words import NOT_JUDGED, NOT_SUITED, SUITED, SUITED_AFTER_REPAIR

__all__ = ["DARK", "GROUPS", "LIGHT", "LOOKS", "Look", "Theme", "group", "look", "verdict"]

Dash = Literal["solid", "dash", "dot", "dashdot", "longdash", "longdashdot"]
Marker = Literal[
    "circle", "square-open", "diamond", "triangle-up", "triangle-down", "x", "cross", "hourglass", "disc", ""
]
Hatch = Literal["", "/", "x", ".", "\\", "-"]


@dataclass(frozen=True)
class Theme:
    """Colours of paper or of a page; ``shades`` of a field go from little to much, with the places where they stand."""

    dark: bool
    ink: str
    soft: str
    line: str
    paper: str
    accent: str
    limit: str
    shades: tuple[tuple[float, str], ...]


# One hue, by steps of lightness that a grey printer and any eye keep apart.
LIGHT = Theme(
    False,
    "#1b2530",
    "#4c5763",
    "#d4dae0",
    "#fbfaf7",
    "#1f5f8b",
    "#a3243b",
    ((0.0, "#f4f8fb"), (0.35, "#a9cbe2"), (0.7, "#3f83b3"), (1.0, "#0f3552")),
)
DARK = Theme(
    True,
    "#e8edf2",
    "#b3bec9",
    "#3a4652",
    "#10181f",
    "#8ec7ee",
    "#ff9aa8",
    ((0.0, "#14202a"), (0.35, "#234f70"), (0.7, "#5a9cc6"), (1.0, "#e3f2fb")),
)


@dataclass(frozen=True)
class Look:
    """Colours on a light and on a dark ground, and what tells it apart without colour. ``fill`` is how much an area shows."""

    light: str
    dark: str
    dash: Dash = "solid"
    marker: Marker = "circle"
    hatch: Hatch = ""
    sign: str = "●"
    width: float = 1.6
    fill: float = 0.24
    stroke: float = 2.0  # of a curve

    def colour(self, theme: Theme) -> str:
        return self.dark if theme.dark else self.light


GROUPS = (
    Look("#1f5f8b", "#8ec7ee", "solid", "circle", "", "●"),
    Look("#8a5a00", "#f0c36d", "dash", "square-open", "/", "□"),
    Look("#a3243b", "#ff9aa8", "dot", "diamond", "x", "◆"),
    Look("#1b7a4b", "#7fd3a6", "dashdot", "triangle-up", ".", "▲"),
    Look("#6b4a8a", "#cdb4ea", "longdash", "x", "\\", "✖"),
    Look("#4c5763", "#b3bec9", "longdashdot", "cross", "-", "✚"),
)
INK, SOFT, BRICK = (LIGHT.ink, DARK.ink), (LIGHT.soft, DARK.soft), (GROUPS[2].light, GROUPS[2].dark)

LOOKS: dict[str, Look] = {
    **{f"group {i}": look for i, look in enumerate(GROUPS)},
    f"verdict: {SUITED}": Look("#1b7a4b", "#7fd3a6", hatch="", sign="■", fill=0.2),
    f"verdict: {SUITED_AFTER_REPAIR}": Look("#8a5a00", "#f0c36d", hatch="/", sign="▨", fill=0.2),
    f"verdict: {NOT_SUITED}": Look("#a3243b", "#ff9aa8", hatch="x", sign="▩", fill=0.2),
    f"verdict: {NOT_JUDGED}": Look("#4c5763", "#b3bec9", hatch=".", sign="▒", fill=0.2),
    "verdict: ": Look("#4c5763", "#b3bec9", sign="□", fill=0.2),
    "bridge": Look(*INK, marker="hourglass", sign="▐", width=1.2, fill=0.16),
    "bridge name": Look(*INK, marker="hourglass", sign="▐"),
    "ramp off, above": Look(*INK, marker="triangle-up", sign="▲"),
    "ramp on, above": Look(*INK, marker="triangle-down", sign="▼"),
    "ramp off, below": Look(*INK, marker="triangle-down", sign="▼"),
    "ramp on, below": Look(*INK, marker="triangle-up", sign="▲"),
    "mean": Look(*BRICK, dash="solid", sign="━━", width=2.2),
    "other mean": Look(*INK, dash="dash", sign="╍╍", width=2.2),
    "found": Look(*INK, dash="solid", sign="│", width=1.4),
    "second": Look(*INK, dash="dot", sign="┊", width=1.4),
    "target": Look(*SOFT, dash="dash", sign="╌╌", width=1.2),
    "limit": Look(*INK, dash="dash", sign="╌╌", width=1.1),
    "boundary": Look(*SOFT, dash="dot", sign="┊", width=0.7),
    "boundary used": Look(*INK, dash="solid", sign="│", width=1.1),
    "lane line": Look(*SOFT, dash="dash", width=0.8),
    "shade": Look(*SOFT, sign="▒", width=0, fill=0.18),
    "together": Look(*SOFT, marker="", sign="━━", stroke=6.0),
    "surveyed": Look(*INK, marker="x", sign="✖"),
    "overlay": Look(GROUPS[0].light, GROUPS[0].dark, hatch="", fill=0.3),
    "old slab": Look(*SOFT, hatch=".", fill=0.14),
    "base": Look(GROUPS[1].light, GROUPS[1].dark, hatch="/", fill=0.12),
    "cut": Look(*INK, width=2.6),
    "bar": Look(*INK, marker="circle", sign="●"),
    "numbered": Look(*INK, marker="disc"),
}


def look(role: str) -> Look:
    """The look of a role. Raises InputError for a role that has none."""
    try:
        return LOOKS[role]
    except KeyError:
        raise InputError("no drawing knows this role", given=role, allowed=", ".join(LOOKS)) from None


def group(number: int) -> str:
    """The role of a group by its place among its like; after six the looks begin anew."""
    return f"group {number % len(GROUPS)}"


def verdict(words: str) -> str:
    """The role of a verdict; one that is not known looks like none."""
    return f"verdict: {words}" if f"verdict: {words}" in LOOKS else "verdict: "
