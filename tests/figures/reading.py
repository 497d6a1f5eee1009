"""Reading a drawing back: what each painter has really put on its axes, in one form for both.

The readers know plotly's dictionary and matplotlib's artists, and nothing of how the painters work.
"""

from __future__ import annotations

import html
import re
from collections import Counter
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection
from matplotlib.container import BarContainer
from matplotlib.contour import ContourSet
from matplotlib.lines import Line2D

from slabwright.figures.record import (
    Axis,
    Band,
    Bars,
    Field,
    Figure,
    Line,
    Points,
    Series,
    Spans,
    Steps,
    Stretches,
    Whiskers,
)

Boxes = np.ndarray  # (n, 4): x from, x to, y from, y to
Drawing = dict[str, list[np.ndarray]]


@dataclass
class Read:
    """A drawing: by name its dots (n, 2), boxes (n, 4), segments (n, 3) and uprights (n, 3); marks; words; axes."""

    dots: Drawing = field(default_factory=dict)
    boxes: Drawing = field(default_factory=dict)
    segments: Drawing = field(default_factory=dict)
    uprights: Drawing = field(default_factory=dict)
    marks: Counter[tuple[str, str, float, float]] = field(default_factory=Counter)
    named: Counter[str] | None = None  # names written at marks, where they are not in a key
    words: Counter[tuple[float, float]] = field(default_factory=Counter)
    texts: list[str] = field(default_factory=list)
    titles: tuple[str, str] = ("", "")
    ranges: tuple[Any, ...] = ()
    names: dict[str, list[tuple[float, str]]] = field(default_factory=dict)
    scales: tuple[str, str] = ("linear", "linear")


def add(to: Drawing, name: str, rows: np.ndarray) -> None:
    to.setdefault(name, []).append(np.asarray(rows, dtype=float))


def rounded(value: float) -> float:
    return float(f"{value:.9g}") + 0.0


# What the record asks for --------------------------------------------------------------------------------


def expected(figure: Figure) -> Read:
    """A figure in the reader's units as both painters must show it."""
    read = Read(
        titles=(figure.x.label, figure.y.label),
        scales=tuple("log" if a.log else "linear" for a in (figure.x, figure.y)),
    )  # type: ignore[arg-type]
    for series in figure.series:
        _expect(read, series)
    for mark in figure.marks:
        places = [(mark.low, mark.high)] if isinstance(mark, Band) else [(p, p) for p in mark.places]
        read.marks.update((mark.name, mark.axis, rounded(a), rounded(b)) for a, b in places)
    read.named = Counter(mark.name for mark in figure.marks if mark.name)
    read.words.update((rounded(w.x), rounded(w.y)) for w in figure.words)
    read.ranges = tuple(
        None if a.limits is None else tuple(map(rounded, a.limits[::-1] if a.reversed else a.limits))
        for a in (figure.x, figure.y)
    )
    read.names = {which: _named(axis) for which, axis in (("x", figure.x), ("y", figure.y)) if axis.kind == "words"}
    return read


def _named(axis: Axis) -> list[tuple[float, str]]:
    under = axis.under or ("",) * len(axis.words)
    return [(rounded(p), f"{w}|{u}") for p, w, u in zip(axis.places, axis.words, under, strict=True)]


def _expect(read: Read, series: Series) -> None:
    match series:
        case Line(name, _, x, y) | Points(name, _, x, y):
            add(read.dots, name, np.stack([x, y], axis=1))
        case Whiskers(name, _, x, low, middle, high):
            add(read.dots, name, np.stack([x, middle], axis=1))
            add(read.uprights, name, np.stack([x, low, high], axis=1))
        case Bars(name, _, begin, end, base, top, along):
            corners = (begin, end, base, top) if along == "x" else (base, top, begin, end)
            add(read.boxes, name, np.stack(corners, axis=1))
        case Spans(name, _, begin, end, low, high):
            add(read.boxes, name, np.stack([begin, end, low, high], axis=1))
        case Steps(name, _, begin, end, level):
            add(read.segments, name, np.stack([begin, end, level], axis=1))
        case Stretches(name, _, begin, end, at):
            add(read.segments, name, np.stack([begin, end, at], axis=1))
            add(read.dots, name, np.stack([(begin + end) / 2, at], axis=1))
        case Field():
            return
        case _:
            raise AssertionError(f"the readers do not know {type(series).__name__}")


# What plotly was given -----------------------------------------------------------------------------------


def of_plotly(drawn: dict[str, Any]) -> Read:
    layout = drawn["layout"]
    axes = [layout[f"{which}axis"] for which in "xy"]
    read = Read(titles=tuple(html.unescape(a["title"]["text"]) for a in axes), scales=tuple(a["type"] for a in axes))  # type: ignore[arg-type]
    for trace in drawn["data"]:
        _of_trace(read, trace)
    read.named = Counter(html.unescape(a["text"]) for a in layout["annotations"] if a.get("name") == "mark")
    for shape in layout["shapes"]:
        which = "y" if shape["xref"] == "x domain" else "x"
        low, high = float(shape[f"{which}0"]), float(shape[f"{which}1"])
        read.marks[html.unescape(shape["name"]), which, rounded(low), rounded(high)] += 1
    for words in layout["annotations"]:
        if words.get("name") != "mark":
            read.words[rounded(words["x"]), rounded(words["y"])] += 1
            read.texts.append(html.unescape(words["text"]))
    read.ranges = tuple(_range(a) for a in axes)
    for which, axis in zip("xy", axes, strict=True):
        if axis.get("tickmode") == "array":
            read.names[which] = [
                (rounded(p), _ticked(w)) for p, w in zip(axis["tickvals"], axis["ticktext"], strict=True)
            ]
    return read


def _range(axis: dict[str, Any]) -> Any:
    if "range" not in axis:
        return None
    ends = [10**v for v in axis["range"]] if axis["type"] == "log" else axis["range"]
    return tuple(map(rounded, ends))


def _ticked(word: str) -> str:
    first, _, rest = word.partition("<br>")
    return html.unescape(f"{first}|{re.sub('<[^>]*>', '', rest)}")


def _of_trace(read: Read, trace: dict[str, Any]) -> None:
    name = html.unescape(trace["name"])
    if trace["type"] == "contour":
        return
    x, y = (np.array([np.nan if v is None else v for v in trace[which]], dtype=float) for which in "xy")
    if trace["type"] == "bar":
        base, half = np.array(trace["base"], dtype=float), np.array(trace["width"], dtype=float) / 2
        upright = trace.get("orientation", "v") == "v"
        corners = (x - half, x + half, base, base + y) if upright else (base, base + x, y - half, y + half)
        add(read.boxes, name, np.stack(corners, axis=1))
        return
    gaps = np.isnan(x)
    if gaps.any():  # stretches with gaps between them
        lots = [lot[~np.isnan(lot[:, 0])] for lot in np.split(np.stack([x, y], axis=1), np.flatnonzero(gaps))]
        lots = [lot for lot in lots if len(lot)]
        assert all(np.ptp(lot[:, 1]) == 0 for lot in lots)
        add(read.segments, name, np.array([[lot[0, 0], lot[-1, 0], lot[0, 1]] for lot in lots]))
        if "markers" in trace["mode"]:
            size = np.array(trace["marker"]["size"])
            add(read.dots, name, np.stack([x, y], axis=1)[size > 0])
        return
    if trace["mode"] == "lines":
        raise AssertionError(f"a line without a sign on it: {name}")
    add(read.dots, name, np.stack([x, y], axis=1))
    if "error_y" in trace:
        up, down = (np.array(trace["error_y"][k], dtype=float) for k in ("array", "arrayminus"))
        add(read.uprights, name, np.stack([x, y - down, y + up], axis=1))
    read.texts += [html.unescape(t) for t in trace.get("text", [])]


# What matplotlib drew ------------------------------------------------------------------------------------


def of_matplotlib(axes: Axes) -> Read:
    read = Read(titles=(axes.get_xlabel(), axes.get_ylabel()), scales=(axes.get_xscale(), axes.get_yscale()))
    across, upward = axes.get_xaxis_transform(), axes.get_yaxis_transform()
    boxed = {id(patch) for container in axes.containers if isinstance(container, BarContainer) for patch in container}
    for container in axes.containers:
        corners = [p.get_bbox().extents for p in container]
        add(read.boxes, _label(container), np.array(corners, dtype=float).reshape(-1, 4)[:, [0, 2, 1, 3]])
    for line in axes.get_lines():
        _of_line(read, line, axes)
    for patch in axes.patches:
        if id(patch) not in boxed:
            x0, y0, x1, y1 = patch.get_extents().transformed(axes.transData.inverted()).extents
            which, ends = (
                ("x", (x0, x1))
                if patch.get_data_transform().contains_branch(across) or patch.get_transform().contains_branch(across)
                else ("y", (y0, y1))
            )
            read.marks[_label(patch), which, *map(rounded, ends)] += 1  # type: ignore[index]
    for collection in axes.collections:
        if isinstance(collection, LineCollection) and not isinstance(collection, ContourSet):
            _of_lines(read, collection)
    under: list[tuple[float, str]] = []
    on_lines = {id(t) for c in axes.collections if isinstance(c, ContourSet) for t in getattr(c, "labelTexts", ())}
    for text in (t for t in axes.texts if id(t) not in on_lines):
        if text.get_transform() == upward:
            under.append((rounded(text.get_position()[1] - 0.04), text.get_text()))
        elif hasattr(text, "xy"):
            read.texts.append(text.get_text())
        else:
            read.words[rounded(text.get_position()[0]), rounded(text.get_position()[1])] += 1
            read.texts.append(text.get_text())
    read.ranges = tuple(tuple(map(rounded, limits)) for limits in (axes.get_xlim(), axes.get_ylim()))
    for which, axis in (("x", axes.xaxis), ("y", axes.yaxis)):
        words, places = [t.get_text() for t in axis.get_ticklabels()], [rounded(p) for p in axis.get_ticklocs()]
        beside = dict(under) if which == "y" else {}
        read.names[which] = [(p, f"{w}|{_near(beside, p)}") for p, w in zip(places, words, strict=True)]
    return read


def _near(beside: dict[float, str], place: float) -> str:
    return next((text for at, text in beside.items() if abs(at - place) < 1e-6), "")


def _label(artist: Any) -> str:
    label = str(artist.get_label())
    return "" if label.startswith("_") else label


def _of_line(read: Read, line: Line2D, axes: Axes) -> None:
    x, y = (np.asarray(v, dtype=float) for v in line.get_data())
    for which, transform, place in (("x", axes.get_xaxis_transform(), x), ("y", axes.get_yaxis_transform(), y)):
        if line.get_transform() == transform:
            read.marks[_label(line), which, rounded(place[0]), rounded(place[1])] += 1
            return
    add(read.dots, _label(line), np.stack([x, y], axis=1))


def _of_lines(read: Read, collection: LineCollection) -> None:
    ends = np.array(collection.get_segments(), dtype=float).reshape(-1, 4)  # x, y of the one end, x, y of the other
    upright = bool(len(ends)) and bool(np.all(ends[:, 0] == ends[:, 2]) and np.any(ends[:, 1] != ends[:, 3]))
    add(
        read.uprights if upright else read.segments,
        _label(collection),
        ends[:, [0, 1, 3]] if upright else ends[:, [0, 2, 1]],
    )
