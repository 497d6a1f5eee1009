"""The drawing of the road strip: a plan of the road on top, a panel for each chosen layer beneath, one station axis.

Lanes lie as on a plan sheet: travel with the stationing below the median, travel against it above. Positions along
the road stay in metres; what is written is in the reader's units and stationing. No colour stands alone: groups have
their own markers, verdicts their own hatching, both named in the heading of the panel.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from slabwright import units
from slabwright.web.parts.strip.data import Layer, Road
from slabwright.web.parts.strip.look import (
    DARK,
    HEAD,
    LETTER,
    LIGHT,
    RIGHT,
    Drawn,
    Panel,
    Sheet,
    Window,
    lane_rows,
    words_at,
)
from slabwright.web.parts.strip.panels import layer_panel
from slabwright.web.parts.strip.plan import plan

__all__ = ["CONFIG", "Kept", "figure", "station_ticks"]

CONFIG = {"displaylogo": False, "displayModeBar": False, "doubleClick": "autosize", "scrollZoom": False}
FOOT, TOP, BELOW = 46, 6, 14  # pixels under, over and between the panels
TICK = 66  # pixels between two stations that are written
Kept = tuple[Sheet, Layer, Panel]
FONT = "system-ui, 'Segoe UI', 'Liberation Sans', sans-serif"


def figure(
    layers: Sequence[Layer],
    road: Road,
    window: Window,
    system: units.System,
    dark: bool,
    *,
    width: int = 1200,
    mark: Window | None = None,
    drag: str = "zoom",
    kept: dict[str, Kept] | None = None,
) -> Drawn:
    """The strip as a plotly figure.

    ``window`` is what is shown and ``mark`` the marked stretch, in m; ``width`` in pixels decides how many words and
    ticks fit; ``drag`` is what dragging does: "zoom", "pan" or "select". ``kept`` carries panels from one call to the
    next: a layer that is the same one on the same sheet is not drawn again.
    """
    sheet = Sheet(road, window, system, DARK if dark else LIGHT, width, lane_rows(road.lanes))
    panels = [plan(sheet), *(_panel(sheet, layer, {} if kept is None else kept) for layer in layers)]
    return {**_assembled(sheet, panels, mark, drag), "config": dict(CONFIG)}


def _panel(sheet: Sheet, layer: Layer, kept: dict[str, Kept]) -> Panel:
    found = kept.get(layer.name)
    if found is None or found[1] is not layer or found[0] != sheet:
        found = kept[layer.name] = (sheet, layer, layer_panel(sheet, layer))
    return found[2]


def station_ticks(window: Window, system: units.System, most: int) -> tuple[list[float], list[str]]:
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


def _assembled(sheet: Sheet, panels: list[Panel], mark: Window | None, drag: str) -> Drawn:
    """The panels one under the other on one station axis."""
    heads = [_heading(sheet, panel) for panel in panels]
    height = TOP + FOOT + sum(HEAD * len(h) + p.height for h, p in zip(heads, panels, strict=True)) + BELOW * (len(panels) - 1)  # fmt: skip
    inner = height - TOP - FOOT
    layout, traces, annotations, shapes = _layout(sheet, height, drag), [], [], _marked(sheet, mark)
    top = inner
    for i, (head, panel) in enumerate(zip(heads, panels, strict=True)):
        name = "y" if i == 0 else f"y{i + 1}"
        top -= HEAD * len(head)
        low, high = max(0.0, (top - panel.height) / inner), top / inner
        layout["yaxis" + name[1:]] = {**_axis(sheet), **panel.axis, "domain": [low, high]}
        traces += [{**trace, "xaxis": "x", "yaxis": name} for trace in panel.traces]
        shapes += [*_borders(sheet, name), *({**shape, "yref": name} for shape in panel.shapes)]
        annotations.append(words_at(sheet, "<br>".join(head), sheet.window[0], high, yref="paper", xanchor="left", yanchor="bottom", align="left"))  # fmt: skip
        annotations += [{**a, "yref": name} for a in panel.annotations]
        top -= panel.height + BELOW
    return {"data": traces, "layout": {**layout, "annotations": annotations, "shapes": shapes}}


def _layout(sheet: Sheet, height: float, drag: str) -> Drawn:
    ticks, words = station_ticks(sheet.window, sheet.system, max(2, int(sheet.across // TICK)))
    look = sheet.look
    return {
        "height": round(height), "autosize": True, "showlegend": False, "hovermode": "closest", "dragmode": drag,
        "selectdirection": "h", "barmode": "overlay", "bargap": 0, "hoverdistance": 14,
        "paper_bgcolor": "rgba(0,0,0,0)", "plot_bgcolor": "rgba(0,0,0,0)",
        "font": {"family": FONT, "size": 12, "color": look.ink},
        "margin": {"l": sheet.left, "r": RIGHT, "t": TOP, "b": FOOT, "pad": 0},
        "hoverlabel": {"bgcolor": look.paper, "bordercolor": look.accent, "align": "left", "font": {"color": look.ink, "size": 13, "family": FONT}},
        "newselection": {"line": {"color": look.accent, "dash": "dot"}},
        "xaxis": {
            "range": list(sheet.window), "tickmode": "array", "tickvals": ticks, "ticktext": words, "tickangle": 0,
            "showgrid": True, "gridcolor": look.line, "gridwidth": 0.5, "zeroline": False, "ticks": "outside", "ticklen": 5,
            "tickcolor": look.soft, "linecolor": look.soft, "showline": True, "anchor": "free", "position": 0,
            "title": {"text": f"station ({'feet' if sheet.system == 'us' else 'metres'})", "font": {"size": 12, "color": look.soft}},
            "showspikes": True, "spikemode": "across", "spikesnap": "cursor", "spikethickness": 1, "spikedash": "dot", "spikecolor": look.soft,
        },
    }  # fmt: skip


def _axis(sheet: Sheet) -> Drawn:
    """What the vertical axes share: they cannot be dragged, so that every gesture is along the road."""
    return {
        "fixedrange": True, "anchor": "x", "zeroline": False, "nticks": 4, "gridcolor": sheet.look.line, "gridwidth": 0.5,
        "exponentformat": "none", "separatethousands": True, "tickfont": {"size": 11, "color": sheet.look.soft},
        "showline": False, "title": {"text": ""},
    }  # fmt: skip


def _borders(sheet: Sheet, axis: str) -> list[Drawn]:
    """Section borders through one panel."""
    borders = {s.begin for s in sheet.road.sections} | {s.end for s in sheet.road.sections}
    line = {"color": sheet.look.soft, "width": 0.7, "dash": "dot"}
    return [
        {"type": "line", "xref": "x", "yref": f"{axis} domain", "x0": x, "x1": x, "y0": 0, "y1": 1, "line": line, "layer": "below"}
        for x in sorted(borders) if sheet.sees(x, x)
    ]  # fmt: skip


def _marked(sheet: Sheet, mark: Window | None) -> list[Drawn]:
    """The marked stretch through all panels."""
    if mark is None:
        return []
    edge = {"color": sheet.look.accent, "width": 1.5, "dash": "dash"}
    return [{
        "type": "rect", "xref": "x", "yref": "paper", "x0": mark[0], "x1": mark[1], "y0": 0, "y1": 1, "line": edge,
        "fillcolor": sheet.look.accent, "opacity": 0.18, "layer": "below",
    }]  # fmt: skip


def _heading(sheet: Sheet, panel: Panel) -> list[str]:
    """Title and keys of a panel, broken into lines that fit the width."""
    lines, room = [f"<b>{panel.title}</b>"], sheet.across - LETTER * len(panel.title) * 1.12
    for key in panel.keys:
        need = LETTER * (len(_without_markup(key)) + 3)
        if need > room:
            lines.append(key)
            room = sheet.across - need
        else:
            lines[-1] += f"&nbsp;&nbsp; {key}"
            room -= need
    return lines


def _without_markup(key: str) -> str:
    return key.rpartition("</span>")[2] or key
