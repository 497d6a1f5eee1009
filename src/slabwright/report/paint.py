"""Figures painted with matplotlib as SVG for the typesetter. Nothing here chooses data or finds words.

No state of matplotlib is kept: each drawing is a ``Figure`` of its own, and words are left as text, which the typesetter
sets in the report's face. A grey printer keeps all apart: areas are hatched, lines dashed and marked.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

import matplotlib
from matplotlib.colors import LinearSegmentedColormap
from matplotlib.figure import Figure as Sheet
from matplotlib.lines import Line2D
from matplotlib.patches import Patch
from matplotlib.ticker import MaxNLocator, NullFormatter

from slabwright import units
from slabwright.figures.looks import LIGHT, Look, look
from slabwright.figures.record import (
    Axis,
    Band,
    Bars,
    Field,
    Figure,
    Line,
    Points,
    Rule,
    Series,
    Spans,
    Steps,
    Stretches,
    Whiskers,
    Words,
)
from slabwright.figures.shown import in_units, round_ticks, station_ticks
from slabwright.report.text import literal

if TYPE_CHECKING:
    from matplotlib.axes import Axes

__all__ = ["SETTINGS", "beside", "grid", "paint", "paint_beside", "paint_grid", "paint_stack", "stack"]

INK, SOFT = LIGHT.ink, LIGHT.soft
WIDTH = 7.0  # inches: the text width of letter paper
FACES = ["STIXGeneral", "DejaVu Sans"]  # as wide as the report's face, by which the typesetter replaces them
SETTINGS: Any = {
    "svg.hashsalt": "slabwright",
    "svg.fonttype": "none",
    "font.family": FACES,
    "font.size": 8,
    "axes.linewidth": 0.6,
    "axes.edgecolor": SOFT,
    "axes.labelcolor": INK,
    "text.color": INK,
    "xtick.color": SOFT,
    "ytick.color": SOFT,
    "xtick.labelsize": 7.5,
    "ytick.labelsize": 7.5,
    "axes.labelsize": 8,
    "hatch.linewidth": 0.6,
    "legend.fontsize": 7.5,
    "legend.frameon": False,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "text.parse_math": False,
    "axes.titlesize": 8.5,
    "axes.titley": 1.0,
    "lines.linewidth": 1.1,
    "lines.markersize": 3.2,
    "axes.unicode_minus": True,
}
DASHES: dict[str, Any] = {
    "solid": "-", "dash": (0, (5, 2)), "dot": (0, (1, 1.4)), "dashdot": (0, (5, 1.5, 1, 1.5)), "longdash": (0, (9, 2.5)),
    "longdashdot": (0, (9, 2, 1, 2)),
}  # fmt: skip
MARKERS = {
    "circle": "o",
    "square-open": "s",
    "diamond": "D",
    "triangle-up": "^",
    "triangle-down": "v",
    "x": "X",
    "cross": "P",
    "hourglass": "",
    "disc": "",
    "": "",
}
HATCHES = {"": "", "/": "////", "x": "xxxx", ".": "....", "\\": "\\\\\\\\", "-": "----"}
THIN = 0.7  # of the widths for a screen
LETTER = 0.055  # inches: the mean width of a letter
TICK = 0.75  # inches between two stations that are written
LEVELS, LINES_OF_EQUAL, SCALE_TICKS = 24, 5, 6
STACK_LEFT, SMALLEST = 0.95, 5.5  # inches left of a stack; points, the smallest words of a key
KEY: dict[str, Any] = {"borderpad": 0, "handlelength": 1.8, "columnspacing": 1.0, "handletextpad": 0.5}
SHADES = LinearSegmentedColormap.from_list("field", list(LIGHT.shades))


# Sheets --------------------------------------------------------------------------------------------------


def grid(figures: Sequence[Figure], system: units.System, across: int = 3, tall: float = 1.75) -> str:
    """Like figures of several subjects beside and under each other, with one key."""
    rows = -(-len(figures) // across)
    return _svg(lambda sheet: paint_grid(sheet, figures, system, across), tall * rows + 0.5)


def beside(figures: Sequence[Figure], system: units.System, height: float) -> str:
    """Figures beside each other, each with its own key."""
    return _svg(lambda sheet: paint_beside(sheet, figures, system), height)


def stack(figures: Sequence[Figure], system: units.System, heights: Sequence[float]) -> str:
    """Figures over the same stations, one under the other."""
    return _svg(lambda sheet: paint_stack(sheet, figures, system, heights), sum(heights) + 0.24 * len(figures) + 0.55)


def paint_grid(sheet: Sheet, figures: Sequence[Figure], system: units.System, across: int = 3) -> None:
    rows = -(-len(figures) // across)
    axes = sheet.subplots(rows, across, sharex=True, sharey=across > 1, squeeze=False)
    shown = [in_units(figure, system) for figure in figures]
    for panel, figure in zip(axes.flat, shown, strict=False):
        paint(panel, figure, system)
        panel.set_ylabel("")
        panel.set_title(f"{figure.subject}: {figure.heading}", loc="left", pad=3, color=INK)
        panel.tick_params(labelbottom=True)
    for empty in axes.flat[len(figures) :]:
        empty.set_visible(False)
    named = {handle.get_label(): handle for figure in shown for handle in _handles(figure)}
    columns = _columns(named, WIDTH)
    sheet.legend(handles=list(named.values()), loc="upper center", ncols=columns, **KEY)
    lines = -(-len(named) // columns)
    _margins(sheet, left=0.35 if across > 1 else 0.6, top=0.33 + 0.16 * lines, bottom=0.4, between=0.6, beside=0.25)


def paint_beside(sheet: Sheet, figures: Sequence[Figure], system: units.System) -> None:
    axes = sheet.subplots(1, len(figures), squeeze=False)[0]
    for panel, figure in zip(axes, figures, strict=True):
        shown = in_units(figure, system)
        paint(panel, shown, system)
        panel.set_ylabel(shown.y.label if shown.equal else "")
        name = shown.subject if shown.y.kind == "words" else f"{shown.subject}: {shown.heading}"
        panel.set_title(name, loc="left", pad=4, color=INK)
    _margins(sheet, **_room(figures))
    for panel, figure in zip(axes, figures, strict=True):
        handles = [] if figure.equal else _handles(figure)
        if handles:
            columns = _columns([handle.get_label() for handle in handles], WIDTH / len(figures))
            centre = 0.1 if figure.y.kind == "words" else 0.5
            below = -0.42 / (panel.get_position().height * sheet.get_figheight())
            panel.legend(handles=handles, loc="upper center", bbox_to_anchor=(centre, below), ncols=columns, **KEY)


def _room(figures: Sequence[Figure]) -> dict[str, float]:
    """Margins for names beside the bars, for a scale of shades, or for neither."""
    if any(figure.y.kind == "words" for figure in figures):
        return {"left": 1.75, "beside": 1.85, "bottom": 0.75}
    if any(figure.equal for figure in figures):
        return {"left": 0.45, "right": 1.0, "top": 0.3}
    return {"left": 0.4, "bottom": 0.75}


def paint_stack(sheet: Sheet, figures: Sequence[Figure], system: units.System, heights: Sequence[float]) -> None:
    axes = sheet.subplots(len(figures), 1, sharex=True, height_ratios=list(heights), squeeze=False)[:, 0]
    for panel, figure in zip(axes, figures, strict=True):
        shown = in_units(figure, system)
        paint(panel, shown, system, shared=panel is not axes[0])
        panel.set_xlabel("")
        panel.set_ylabel("")
        panel.tick_params(length=2)
        title = ", ".join((shown.heading, *shown.notes))
        panel.set_title(title, loc="left", pad=3, color=INK)
        if handles := _handles(shown):
            room = WIDTH - STACK_LEFT - LETTER * len(title)
            need = sum(_need(handle.get_label()) for handle in handles)
            size = max(SMALLEST, min(7.5, 7.5 * room / need))
            panel.legend(
                handles=handles, ncols=len(handles), loc="lower right", bbox_to_anchor=(1.0, 0.98), fontsize=size, **KEY
            )
    axes[-1].set_xlabel(in_units(figures[-1], system).x.label)
    _margins(sheet, left=STACK_LEFT, top=0.3, between=0.24)


@contextmanager
def drawing(height: float) -> Iterator[Sheet]:
    """A blank sheet of the text width and of ``height`` inches in the report's dress."""
    with matplotlib.rc_context(SETTINGS):
        yield Sheet(figsize=(WIDTH, height))


def _svg(draw: Callable[[Sheet], None], height: float) -> str:
    """What ``draw`` makes as SVG text, the same for the same data."""
    with drawing(height) as sheet:
        draw(sheet)
        out = io.StringIO()
        sheet.savefig(out, format="svg", metadata={"Date": None, "Creator": None})
    return out.getvalue().replace(", ".join(f"'{face}'" for face in FACES), "'Libertinus Serif'")


def _margins(
    sheet: Sheet,
    *,
    left: float = 0.5,
    right: float = 0.1,
    top: float = 0.25,
    bottom: float = 0.4,
    between: float = 0.35,
    beside: float = 0.45,
) -> None:
    """Fixed margins around and between the panels, in inches: a layout engine would cost more than all the drawing."""
    width, height = sheet.get_size_inches()
    grid = sheet.axes[0].get_subplotspec().get_gridspec()  # type: ignore[union-attr]
    rows, columns = grid.nrows, grid.ncols
    high = (height - top - bottom - between * (rows - 1)) / rows
    wide = (width - left - right - beside * (columns - 1)) / columns
    sheet.subplots_adjust(
        left=left / width,
        right=1 - right / width,
        top=1 - top / height,
        bottom=bottom / height,
        hspace=between / high,
        wspace=beside / wide,
    )


# One figure ----------------------------------------------------------------------------------------------


def paint(axes: Axes, figure: Figure, system: units.System, *, shared: bool = False) -> None:
    """A figure ``in_units`` on axes of its own, without title and key; a sheet may put a label of the axes into the title.

    ``shared`` axes have their stations from the axes above them.
    """
    if not shared:
        _axis(axes, figure.x, "x", system)
    _axis(axes, figure.y, "y", system)
    for mark in figure.marks:
        _mark(axes, mark)
    for series in figure.series:
        _series(axes, series)
    for words in figure.words:
        _words(axes, words, figure)
    if figure.equal:
        axes.set_aspect("equal")
    axes.set_xlabel(figure.x.label)
    axes.set_ylabel(figure.y.label)


def _axis(axes: Axes, axis: Axis, which: str, system: units.System) -> None:
    scale, limits = (axes.set_xscale, axes.set_xlim) if which == "x" else (axes.set_yscale, axes.set_ylim)
    ticks = axes.set_xticks if which == "x" else axes.set_yticks
    if axis.log:
        scale("log")
        line = axes.xaxis if which == "x" else axes.yaxis
        line.set_major_formatter(lambda value, _: f"{value:,g}")  # the powers of the default would be printed as markup
        line.set_minor_formatter(NullFormatter())
    if axis.kind == "words":
        lifted: dict[str, Any] = {"fontsize": 6.8, "va": "bottom"} if axis.under else {}
        ticks(axis.places, [literal(w, 40) for w in axis.short or axis.words], **lifted)
        for place, words in zip(axis.places, axis.under, strict=bool(axis.under)):
            axes.text(
                -0.035,
                place + 0.04,
                words,
                ha="right",
                va="top",
                fontsize=6,
                color=SOFT,
                transform=axes.get_yaxis_transform(),
            )
    elif axis.kind == "station" and axis.limits is not None:
        ticks(*station_ticks(axis.limits, system, int(WIDTH / TICK)))
    elif axis.mirrored and axis.limits is not None and axis.limits[0] < 0:
        ticks(*round_ticks(axis.limits[1]))
    if axis.limits is not None:
        low, high = axis.limits
        high = high if high > low else low + 1.0  # nothing is drawn, and a range without length cannot be
        limits(*((high, low) if axis.reversed else (low, high)))


def _series(axes: Axes, series: Series) -> None:
    if isinstance(series, Field):
        _field(axes, series)
        return
    _PAINT[type(series)](axes, series, look(series.role))


def _colour(style: Look) -> str:
    return style.colour(LIGHT)


def _signed(style: Look, size: float = 3.2) -> dict[str, Any]:
    """Colour and marker of single points; an open sign is not filled."""
    fill = {"markerfacecolor": "white"} if style.marker.endswith("-open") else {}
    return {
        "color": _colour(style),
        "marker": MARKERS[style.marker],
        "markersize": size,
        "markeredgewidth": 0.7,
        **fill,
    }


def _lined(style: Look, thin: float = THIN) -> dict[str, Any]:
    return {"color": _colour(style), "linestyle": DASHES[style.dash], "linewidth": style.width * thin}


def _filled(style: Look) -> dict[str, Any]:
    """Fill, hatch and rim of an area."""
    red, green, blue = (int(_colour(style)[i : i + 2], 16) / 255 for i in (1, 3, 5))
    face: tuple[float, ...] = (red, green, blue, style.fill)
    if style.hatch:  # a hatch is as strong as its ground, so the ground is a pale colour and not a thin one
        face = tuple(1 - style.fill * (1 - part) for part in (red, green, blue))
    return {
        "facecolor": face,
        "edgecolor": _colour(style) if style.width else "none",
        "hatch": HATCHES[style.hatch],
        "linewidth": 0.5,
    }


def _line(axes: Axes, series: Line, style: Look) -> None:
    crowded = {"markersize": 2.0} if len(series.x) > 40 else {}
    axes.plot(
        series.x,
        series.y,
        label=series.name,
        linestyle=DASHES[style.dash],
        linewidth=0.55 * style.stroke,
        **(_signed(style) | crowded),
    )


def _points(axes: Axes, series: Points, style: Look) -> None:
    axes.plot(series.x, series.y, label=series.name, linestyle="none", **_signed(style, 4.5 if series.words else 2.8))
    numbered = style.marker == "disc"
    rim: dict[str, Any] = (
        {"bbox": {"boxstyle": "circle,pad=0.2", "facecolor": "white", "edgecolor": INK, "linewidth": 0.6}}
        if numbered
        else {}
    )
    inside = numbered or not MARKERS[style.marker]
    place = {"ha": "center", "xytext": (0, 0)} if inside else {"ha": "left", "xytext": (4, 0)}
    for x, y, word in zip(series.x, series.y, series.short, strict=bool(series.short)):
        axes.annotate(
            word,
            (x, y),
            textcoords="offset points",
            va="center",
            fontsize=6.5 if numbered else 7.5,
            annotation_clip=False,
            **place,
            **rim,
        )


def _whiskers(axes: Axes, series: Whiskers, style: Look) -> None:
    axes.vlines(series.x, series.low, series.high, color=_colour(style), linewidth=0.8, label=series.name)
    axes.plot(series.x, series.middle, label=series.name, linestyle="none", **_signed(style, 2.2))


def _bars(axes: Axes, series: Bars, style: Look) -> None:
    size, length = series.end - series.begin, series.top - series.base
    if series.along == "x":
        axes.bar(series.begin, length, size, series.base, align="edge", label=series.name, **_filled(style))
    else:
        axes.barh(series.begin, length, size, series.base, align="edge", label=series.name, **_filled(style))


def _steps(axes: Axes, series: Steps, style: Look) -> None:
    axes.hlines(series.level, series.begin, series.end, label=series.name, **_lined(style))


def _stretches(axes: Axes, series: Stretches, style: Look) -> None:
    axes.hlines(series.at, series.begin, series.end, color=_colour(style), alpha=0.45, linewidth=3, label=series.name)
    axes.plot((series.begin + series.end) / 2, series.at, label=series.name, linestyle="none", **_signed(style, 3.0))


def _spans(axes: Axes, series: Spans, style: Look) -> None:
    axes.bar(
        series.begin,
        series.high - series.low,
        series.end - series.begin,
        series.low,
        align="edge",
        label=series.name,
        **_filled(style),
    )


def _field(axes: Axes, series: Field) -> None:
    if series.limit is not None:
        if series.z.min() < series.limit < series.z.max():
            axes.contour(
                series.x, series.y, series.z, [series.limit], colors=LIGHT.limit, linewidths=1.5, linestyles="--"
            )
        return
    shade = axes.contourf(series.x, series.y, series.z, LEVELS, cmap=SHADES)
    lines = axes.contour(series.x, series.y, series.z, LINES_OF_EQUAL, colors=INK, linewidths=0.5)
    axes.clabel(lines, fontsize=6, fmt="%.4g")
    bar = axes.figure.colorbar(shade, ax=axes, shrink=0.9, pad=0.03, ticks=MaxNLocator(SCALE_TICKS))
    bar.set_label(series.name)


_PAINT: dict[type, Callable[[Axes, Any, Look], None]] = {
    Line: _line,
    Points: _points,
    Whiskers: _whiskers,
    Bars: _bars,
    Steps: _steps,
    Stretches: _stretches,
    Spans: _spans,
}


def _mark(axes: Axes, mark: Rule | Band) -> None:
    style = look(mark.role)
    if isinstance(mark, Band):
        across = axes.axvspan if mark.axis == "x" else axes.axhspan
        across(mark.low, mark.high, label=mark.name, zorder=0.4, **(_filled(style) | {"linewidth": 0}))
        return
    line = axes.axvline if mark.axis == "x" else axes.axhline
    for place in mark.places:
        line(place, label=mark.name, zorder=0.5 if style.width < 1 else 2.5, **_lined(style))


def _words(axes: Axes, words: Words, figure: Figure) -> None:
    """Words, turned upright where they need more than their room."""
    low, high = figure.x.limits or (0.0, 1.0)
    text = words.short or words.text
    fits = words.room / (high - low) * (WIDTH - 1.05) > LETTER * (len(text) + 1)
    strong: dict[str, Any] = (
        {"fontweight": "bold", "bbox": {"facecolor": "white", "edgecolor": "none", "pad": 1.5, "alpha": 0.9}}
        if words.strong
        else {}
    )
    axes.text(words.x, words.y, text, ha="center", va="center", fontsize=8, rotation=0 if fits else 90, **strong)


# The key -------------------------------------------------------------------------------------------------


def _need(name: str) -> float:
    """Inches that a name needs in a key, with its sign."""
    return 0.75 * LETTER * len(name) + 0.4


def _columns(names: Iterable[str], width: float) -> int:
    """How many columns of a key fit on a width, so that its lines are of equal length."""
    needs = [_need(name) for name in names]
    lines = max(1, -(-int(100 * sum(needs)) // int(100 * width)))
    return -(-len(needs) // lines)


def _handles(figure: Figure) -> list[Any]:
    """A sign for each name among series and marks, each name once."""
    made: dict[str, Any] = {}
    for each in (*figure.series, *figure.marks):
        if each.name and not isinstance(each, Field):
            made.setdefault(each.name, _handle(each, look(each.role)))
    return list(made.values())


def _handle(each: Series | Rule | Band, style: Look) -> Any:
    name = literal(each.name, 40)
    if isinstance(each, Bars | Spans | Band):
        return Patch(label=name, **_filled(style))
    if isinstance(each, Line):
        return Line2D([], [], label=name, linestyle=DASHES[style.dash], linewidth=1.1, **_signed(style))
    if isinstance(each, Steps | Rule):
        return Line2D([], [], label=name, **_lined(style))
    return Line2D([], [], label=name, linestyle="none", **_signed(style, 4))
