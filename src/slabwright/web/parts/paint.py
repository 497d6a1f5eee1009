"""Figures painted as plotly drawings. Nothing here chooses data or finds words: all of it stands in the record."""

from __future__ import annotations

import html
import math
import unicodedata
from collections.abc import Callable
from typing import Any

import numpy as np

from slabwright import units
from slabwright.figures.looks import DARK, LIGHT, Look, Theme, look
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

__all__ = ["FONT", "escaped", "painted", "plain", "shapes", "theme_of", "trace"]

Drawn = dict[str, Any]
FONT = "system-ui, 'Segoe UI', 'Liberation Sans', sans-serif"
LONGEST = 80
TICKS = 8  # stations written on a chart
ISOLATE, END_ISOLATE = "\N{FIRST STRONG ISOLATE}", "\N{POP DIRECTIONAL ISOLATE}"
CLEAR = "rgba(0,0,0,0)"
NAME_ROOM = 0.09  # of the x axis that the name of an upright line needs
STEP = 9  # points on a level, so that it answers the pointer along its whole length


def plain(text: str, limit: int = LONGEST) -> str:
    """User text as at most ``limit`` printable characters; right-to-left words cannot reorder what stands beside them."""
    if len(text) <= limit and text.isascii() and text.isprintable():
        return text
    cut = text if len(text) <= limit else text[: limit - 1] + "…"
    shown = "".join(c if c.isprintable() else "\N{REPLACEMENT CHARACTER}" for c in cut)
    turned = any(unicodedata.bidirectional(c) in ("R", "AL", "AN") for c in shown)
    return f"{ISOLATE}{shown}{END_ISOLATE}" if turned else shown


def escaped(text: str, limit: int = LONGEST) -> str:
    """``plain`` text safe inside HTML and inside the chart's own markup, which knows &amp;, &lt; and &gt; only."""
    return html.escape(plain(text, limit), quote=False)


def theme_of(dark: bool) -> Theme:
    return DARK if dark else LIGHT


def _faint(colour: str, opacity: float) -> str:
    """A colour "#rrggbb" that lets what is behind shine through."""
    red, green, blue = (int(colour[i : i + 2], 16) for i in (1, 3, 5))
    return f"rgba({red},{green},{blue},{opacity})"


def painted(figure: Figure, system: units.System, dark: bool) -> Drawn:
    """A figure as a chart of its own: data, layout and config."""
    shown, theme = in_units(figure, system), theme_of(dark)
    drawn, annotations = shapes(shown, theme)
    axes = {"xaxis": _axis_of(shown.x, theme, system), "yaxis": _axis_of(shown.y, theme, system)}
    if shown.equal:
        side = (
            "right" if any(isinstance(s, Field) for s in shown.series) else "left"
        )  # a scale of colours stands at the right
        axes["xaxis"] |= {"constrain": "domain", "constraintoward": side, "showgrid": False}
        axes["yaxis"] |= {"scaleanchor": "x", "constrain": "domain", "showgrid": False}
    named = [s for s in shown.series if s.name and not isinstance(s, Field)]
    return {
        "data": [{**trace(s, theme), "showlegend": bool(s in named and len(named) > 1)} for s in shown.series],
        "layout": {
            **axes,
            "shapes": drawn,
            "annotations": [*annotations, *(_written(w, theme) for w in shown.words)],
            "font": {"family": FONT, "color": theme.ink, "size": 13},
            "paper_bgcolor": CLEAR,
            "plot_bgcolor": CLEAR,
            "margin": {"l": 60, "r": 15, "t": 15, "b": 50},
            "legend": {"orientation": "h", "y": 1.0, "yanchor": "bottom"},
            "barmode": "overlay",
            "hoverlabel": {"bgcolor": theme.paper, "bordercolor": theme.accent, "font": {"color": theme.ink}},
        },
        "config": {"displaylogo": False, "displayModeBar": False},
    }


def _axis_of(axis: Axis, theme: Theme, system: units.System) -> Drawn:
    """An axis with its title, range, and words where it has some. ``axis`` is in the reader's units."""
    made: Drawn = {
        "title": {"text": axis.label},
        "gridcolor": theme.line,
        "linecolor": theme.ink,
        "zeroline": False,
        "automargin": True,
        "exponentformat": "none",
        "separatethousands": axis.kind != "calendar_year",
        "type": "log" if axis.log else "linear",
    }
    if axis.limits is not None:
        low, high = np.log10(axis.limits).tolist() if axis.log else axis.limits
        made["range"] = [high, low] if axis.reversed else [low, high]
    elif axis.reversed:
        made["autorange"] = "reversed"
    if axis.kind == "words":
        under = axis.under or ("",) * len(axis.words)
        texts = [
            escaped(w) + (f'<br><span style="font-size:11px">{escaped(u)}</span>' if u else "")
            for w, u in zip(axis.words, under, strict=True)
        ]
        return made | {"tickmode": "array", "tickvals": list(axis.places), "ticktext": texts, "showgrid": False}
    if axis.kind == "station" and axis.limits is not None:
        places, words = station_ticks(axis.limits, system, TICKS)
        return made | {"tickmode": "array", "tickvals": places, "ticktext": words}
    if axis.mirrored and axis.limits is not None and axis.limits[0] < 0:
        places, words = round_ticks(axis.limits[1])
        return made | {"tickmode": "array", "tickvals": places, "ticktext": words}
    return made


def trace(series: Series, theme: Theme) -> Drawn:
    """One series, in the reader's units."""
    if isinstance(series, Field):
        return _field(series, theme)
    paint: Callable[[Any, Look, Theme], Drawn] = _PAINT[type(series)]
    return {"name": series.name, **paint(series, look(series.role), theme)}


def _numbers(values: Any) -> list[float | None]:
    """For the browser, whose numbers know no missing value."""
    array = np.asarray(values, dtype=float)
    listed: list[float] = array.tolist()
    return [*listed] if np.isfinite(array).all() else [v if math.isfinite(v) else None for v in listed]


def _marker(style: Look, theme: Theme, size: float) -> Drawn:
    colour = style.colour(theme)
    return {"symbol": style.marker, "size": size, "color": colour, "line": {"color": colour, "width": 1.2}}


def _line(series: Line, style: Look, theme: Theme) -> Drawn:
    return {
        "type": "scatter",
        "mode": "lines+markers" if style.marker else "lines",
        "x": _numbers(series.x),
        "y": _numbers(series.y),
        "line": {"color": style.colour(theme), "dash": style.dash, "width": style.stroke},
        "marker": _marker(style, theme, 7),
    }


def _points(series: Points, style: Look, theme: Theme) -> Drawn:
    made: Drawn = {
        "type": "scatter",
        "mode": "markers",
        "x": _numbers(series.x),
        "y": _numbers(series.y),
        "marker": _marker(style, theme, 7),
    }
    if series.words:
        made |= {
            "mode": "markers+text",
            "text": [escaped(w) for w in series.words],
            "textposition": "middle right",
            "textfont": {"size": 11, "color": theme.ink},
        }
    if style.marker == "disc":  # a number on a ground of its own
        made["marker"] = {
            "symbol": "circle",
            "size": 17,
            "color": theme.paper,
            "line": {"color": theme.ink, "width": 1.5},
        }
        made |= {"textposition": "middle center", "cliponaxis": False, "hoverinfo": "skip"}
    return made


def _whiskers(series: Whiskers, style: Look, theme: Theme) -> Drawn:
    error = {
        "type": "data",
        "symmetric": False,
        "array": _numbers(series.high - series.middle),
        "arrayminus": _numbers(series.middle - series.low),
        "width": 0,
        "thickness": 1.6,
        "color": style.colour(theme),
    }
    return {
        "type": "scatter",
        "mode": "markers",
        "x": _numbers(series.x),
        "y": _numbers(series.middle),
        "error_y": error,
        "marker": _marker(style, theme, 4),
    }


def _bars(series: Bars, style: Look, theme: Theme) -> Drawn:
    middle, width, length = (series.begin + series.end) / 2, series.end - series.begin, series.top - series.base
    upright = series.along == "x"
    colour = style.colour(theme)
    return {
        "type": "bar",
        "orientation": "v" if upright else "h",
        "width": _numbers(width),
        "base": _numbers(series.base),
        "x": _numbers(middle if upright else length),
        "y": _numbers(length if upright else middle),
        "marker": {
            "color": _faint(colour, style.fill),
            "line": {"color": colour, "width": 1.2},
            "pattern": _pattern(style, colour),
        },
    }


def _pattern(style: Look, colour: str) -> Drawn:
    return {
        "shape": style.hatch,
        "fgcolor": colour,
        "bgcolor": CLEAR,
        "size": 8,
        "solidity": 0.16,
        "fillmode": "overlay",
    }


def _steps(series: Steps, style: Look, theme: Theme) -> Drawn:
    """Levels one after the other, with gaps between them."""
    inner = np.linspace(series.begin, series.end, STEP, axis=1)
    gap = np.full((len(inner), 1), np.nan)
    level = np.repeat(series.level[:, None], STEP, axis=1)
    return {
        "type": "scatter",
        "mode": "lines",
        "x": _numbers(np.hstack([inner, gap]).ravel()),
        "y": _numbers(np.hstack([level, gap]).ravel()),
        "line": {"color": style.colour(theme), "width": 2.6, "dash": style.dash},
        "connectgaps": False,
    }


def _stretches(series: Stretches, style: Look, theme: Theme) -> Drawn:
    """Lines from end to end with a sign in the middle, with gaps between them."""
    x = np.stack(
        [series.begin, (series.begin + series.end) / 2, series.end, np.full(len(series.begin), np.nan)], axis=1
    )
    y = np.where(np.isnan(x), np.nan, series.at[:, None])
    size = np.tile([0.0, 6.5, 0.0, 0.0], len(x))
    marker = _marker(style, theme, 6.5) | {"size": size.tolist(), "opacity": 1}
    return {
        "type": "scatter",
        "mode": "lines+markers",
        "x": _numbers(x.ravel()),
        "y": _numbers(y.ravel()),
        "marker": marker,
        "line": {"color": _faint(style.colour(theme), 0.45), "width": 6},
        "connectgaps": False,
    }


def _spans(series: Spans, style: Look, theme: Theme) -> Drawn:
    colour = style.colour(theme)
    return {
        "type": "bar",
        "orientation": "h",
        "base": _numbers(series.begin),
        "x": _numbers(series.end - series.begin),
        "y": _numbers((series.low + series.high) / 2),
        "width": _numbers(series.high - series.low),
        "marker": {
            "color": _faint(colour, style.fill),
            "line": {"color": colour, "width": 1.4},
            "pattern": _pattern(style, colour),
        },
    }


def _field(series: Field, theme: Theme) -> Drawn:
    places: Drawn = {
        "type": "contour",
        "name": series.name,
        "x": _numbers(series.x),
        "y": _numbers(series.y),
        "z": series.z.tolist(),
    }
    if series.limit is not None:
        return places | {
            "contours": {"coloring": "none", "start": series.limit, "end": series.limit, "size": 1},
            "line": {"color": theme.limit, "width": 3, "dash": "dash"},
            "showscale": False,
            "hoverinfo": "skip",
        }
    return places | {
        "colorscale": [list(step) for step in theme.shades],
        "contours": {"coloring": "heatmap", "showlabels": True},
        "line": {"color": theme.ink, "width": 0.6},
        "colorbar": {"title": {"text": series.name, "side": "right"}, "thickness": 14},
    }


_PAINT: dict[type, Callable[[Any, Look, Theme], Drawn]] = {
    Line: _line,
    Points: _points,
    Whiskers: _whiskers,
    Bars: _bars,
    Steps: _steps,
    Stretches: _stretches,
    Spans: _spans,
}


def shapes(figure: Figure, theme: Theme) -> tuple[list[Drawn], list[Drawn]]:
    """The marks of a figure as shapes, and their names as annotations."""
    made, names = [], []
    upright = sorted(p for m in figure.marks if isinstance(m, Rule) and m.axis == "x" and m.name for p in m.places[:1])
    for mark in figure.marks:
        style = look(mark.role)
        places = (mark.low, mark.high) if isinstance(mark, Band) else mark.places
        made += (
            [_band(mark, style, theme)]
            if isinstance(mark, Band)
            else [_rule(mark, place, style, theme) for place in mark.places]
        )
        if mark.name and places:
            end = max(places) if mark.axis == "y" else min(places)
            log = (
                figure.x if mark.axis == "x" else figure.y
            ).log  # where an annotation stands is told by the logarithm
            names.append(_named(mark, math.log10(end) if log else end, theme, before=_crowded(end, upright, figure.x)))
    return made, names


def _across(axis: str, low: float, high: float) -> Drawn:
    """From edge to edge of the drawing between two places on one axis."""
    other = "x" if axis == "y" else "y"
    return {
        f"{axis}ref": axis,
        f"{axis}0": low,
        f"{axis}1": high,
        f"{other}ref": f"{other} domain",
        f"{other}0": 0,
        f"{other}1": 1,
    }


def _rule(mark: Rule, place: float, style: Look, theme: Theme) -> Drawn:
    line = {"color": style.colour(theme), "width": style.width, "dash": style.dash}
    return {
        "type": "line",
        "name": escaped(mark.name),
        **_across(mark.axis, place, place),
        "line": line,
        "layer": "below" if style.width < 1 else "above",
    }


def _band(mark: Band, style: Look, theme: Theme) -> Drawn:
    fill = _faint(style.colour(theme), style.fill)
    return {
        "type": "rect",
        "name": escaped(mark.name),
        **_across(mark.axis, mark.low, mark.high),
        "fillcolor": fill,
        "line": {"width": 0},
        "layer": "below",
    }


def _crowded(place: float, places: list[float], axis: Axis) -> bool:
    """Whether the name of an upright line has no room after it, the next one or the end of the axis being near."""
    if axis.limits is None or axis.log:
        return False
    low, high = axis.limits
    after = min((p for p in places if p > place), default=high)
    ahead = max((p for p in places if p < place), default=low)
    return after - place < NAME_ROOM * (high - low) and place - ahead > after - place


def _named(mark: Rule | Band, place: float, theme: Theme, *, before: bool = False) -> Drawn:
    """The name of a mark at the end of its line, ``before`` an upright line where there is no room after it."""
    if mark.axis == "y":
        where = {"xref": "x domain", "x": 0.99, "yref": "y", "y": place, "xanchor": "right", "yanchor": "bottom"}
    else:
        where = {
            "yref": "y domain",
            "y": 0.02,
            "xref": "x",
            "x": place,
            "xanchor": "right" if before else "left",
            "yanchor": "bottom",
            "textangle": -90,
        }
    return {
        **where,
        "text": escaped(mark.name),
        "showarrow": False,
        "font": {"size": 12, "color": theme.ink},
        "bgcolor": _faint(theme.paper, 0.8),
        "borderpad": 1,
        "name": "mark",
    }


def _written(words: Words, theme: Theme) -> Drawn:
    return {
        "text": escaped(words.text),
        "x": words.x,
        "y": words.y,
        "showarrow": False,
        "font": {"size": 12, "color": theme.ink},
    }
