"""The drawing of the road strip: a plan of the road on top, a panel for each chosen layer beneath, one station axis.

What the panels show is described in ``slabwright.figures.strip``; here they are put one under the other for the width at
hand. Positions along the road stay in metres; what is written is in the reader's units and stationing.
"""

from __future__ import annotations

from collections.abc import Sequence

from slabwright import units
from slabwright.figures.layers import Layer
from slabwright.figures.road import Road, Window
from slabwright.figures.shown import station_ticks, titled
from slabwright.figures.strip import rows_of
from slabwright.web.parts.paint import FONT, theme_of
from slabwright.web.parts.strip.look import HEAD, LETTER, RIGHT, Drawn, Panel, Sheet
from slabwright.web.parts.strip.panels import layer_panel, plan_panel

__all__ = ["Kept", "figure"]

CONFIG = {"displaylogo": False, "displayModeBar": False, "doubleClick": "autosize", "scrollZoom": False}
FOOT, TOP, BELOW = 40, 2, 8  # pixels under, over and between the panels
TICK = 66  # pixels between two stations that are written
Kept = tuple[Sheet, Layer, Panel]


def figure(
    layers: Sequence[Layer],
    road: Road,
    window: Window,
    system: units.System,
    dark: bool,
    *,
    width: int = 1200,
    mark: Window | None = None,
    section: str = "",
    drag: str = "zoom",
    kept: dict[str, Kept] | None = None,
) -> Drawn:
    """The strip as a plotly figure.

    ``window`` is what is shown and ``mark`` the marked stretch, in m; ``section`` stands out on the plan; ``width`` in pixels decides how many words and
    ticks fit; ``drag`` is what dragging does: "zoom", "pan" or "select". ``kept`` carries panels from one call to the
    next: a layer that is the same one on the same sheet is not drawn again.
    """
    sheet = Sheet(road, window, system, theme_of(dark), width)
    panels = [plan_panel(sheet), *(_panel(sheet, layer, {} if kept is None else kept) for layer in layers)]
    drawn = _assembled(sheet, panels, mark, drag)
    drawn["layout"]["shapes"] += _outlined(sheet, section)
    return {**drawn, "config": dict(CONFIG)}


def _panel(sheet: Sheet, layer: Layer, kept: dict[str, Kept]) -> Panel:
    found = kept.get(layer.name)
    if found is None or found[1] is not layer or found[0] != sheet:
        found = kept[layer.name] = (sheet, layer, layer_panel(sheet, layer))
    return found[2]


def _assembled(sheet: Sheet, panels: list[Panel], mark: Window | None, drag: str) -> Drawn:
    """The panels one under the other on one station axis."""
    heads = [_heading(sheet, panel) for panel in panels]
    height = (
        TOP
        + FOOT
        + sum(HEAD * len(h) + p.height for h, p in zip(heads, panels, strict=True))
        + BELOW * (len(panels) - 1)
    )
    inner = height - TOP - FOOT
    layout, traces, annotations, shapes = _layout(sheet, height, drag), [], [], _marked(sheet, mark)
    top = inner
    for i, (head, panel) in enumerate(zip(heads, panels, strict=True)):
        name = "y" if i == 0 else f"y{i + 1}"
        top -= HEAD * len(head)
        low, high = max(0.0, (top - panel.height) / inner), top / inner
        layout["yaxis" + name[1:]] = {**_axis(sheet), **panel.axis, "domain": [low, high]}
        traces += [{**trace, "xaxis": "x", "yaxis": name} for trace in panel.traces]
        shapes += [_on(name, shape) for shape in panel.shapes]
        annotations.append(_headed(sheet, head, high))
        annotations += [_on(name, words) for words in panel.annotations]
        top -= panel.height + BELOW
    return {"data": traces, "layout": {**layout, "annotations": annotations, "shapes": shapes}}


def _layout(sheet: Sheet, height: float, drag: str) -> Drawn:
    ticks, words = station_ticks(sheet.window, sheet.system, max(2, int(sheet.across // TICK)))
    theme = sheet.theme
    return {
        "height": round(height),
        "autosize": True,
        "showlegend": False,
        "hovermode": "closest",
        "dragmode": drag,
        "selectdirection": "h",
        "barmode": "overlay",
        "bargap": 0,
        "hoverdistance": 14,
        "paper_bgcolor": "rgba(0,0,0,0)",
        "plot_bgcolor": "rgba(0,0,0,0)",
        "font": {"family": FONT, "size": 12, "color": theme.ink},
        "margin": {"l": sheet.left, "r": RIGHT, "t": TOP, "b": FOOT, "pad": 0},
        "hoverlabel": {
            "bgcolor": theme.paper,
            "bordercolor": theme.accent,
            "align": "left",
            "font": {"color": theme.ink, "size": 13, "family": FONT},
        },
        "newselection": {"line": {"color": theme.accent, "dash": "dot"}},
        "xaxis": {
            "range": list(sheet.window),
            "minallowed": sheet.road.begin,
            "maxallowed": sheet.road.end,
            "tickmode": "array",
            "tickvals": ticks,
            "ticktext": words,
            "tickangle": 0,
            "showgrid": True,
            "gridcolor": theme.line,
            "gridwidth": 0.5,
            "zeroline": False,
            "ticks": "outside",
            "ticklen": 5,
            "tickcolor": theme.soft,
            "linecolor": theme.soft,
            "showline": True,
            "anchor": "free",
            "position": 0,
            "title": {"text": titled("station", "station", sheet.system), "font": {"size": 12, "color": theme.soft}},
            "showspikes": True,
            "spikemode": "across",
            "spikesnap": "cursor",
            "spikethickness": 1,
            "spikedash": "dot",
            "spikecolor": theme.soft,
        },
    }


def _axis(sheet: Sheet) -> Drawn:
    """What the vertical axes share: they cannot be dragged, so that every gesture is along the road."""
    return {
        "fixedrange": True,
        "anchor": "x",
        "zeroline": False,
        "nticks": 4,
        "gridcolor": sheet.theme.line,
        "gridwidth": 0.5,
        "exponentformat": "none",
        "separatethousands": True,
        "tickfont": {"size": 11, "color": sheet.theme.soft},
        "showline": False,
        "title": {"text": ""},
    }


def _on(axis: str, drawn: Drawn) -> Drawn:
    """A shape or words of a panel on its own vertical axis."""
    return {**drawn, "yref": axis + str(drawn.get("yref", "y"))[1:]}


def _headed(sheet: Sheet, lines: list[str], height: float) -> Drawn:
    return {
        "text": "<br>".join(lines),
        "x": sheet.window[0],
        "y": height,
        "xref": "x",
        "yref": "paper",
        "xanchor": "left",
        "yanchor": "bottom",
        "align": "left",
        "showarrow": False,
        "font": {"size": 12, "color": sheet.theme.ink},
    }


def _marked(sheet: Sheet, mark: Window | None) -> list[Drawn]:
    """The marked stretch through all panels."""
    if mark is None:
        return []
    edge = {"color": sheet.theme.accent, "width": 1.5, "dash": "dash"}
    return [
        {
            "type": "rect",
            "xref": "x",
            "yref": "paper",
            "x0": mark[0],
            "x1": mark[1],
            "y0": 0,
            "y1": 1,
            "line": edge,
            "fillcolor": sheet.theme.accent,
            "opacity": 0.18,
            "layer": "below",
        }
    ]


def _outlined(sheet: Sheet, section: str) -> list[Drawn]:
    """A frame around the chosen section on the plan."""
    return [
        {
            "type": "rect",
            "name": "chosen",
            "xref": "x",
            "yref": "y",
            "x0": one.begin,
            "x1": one.end,
            "y0": low,
            "y1": high,
            "line": {"color": sheet.theme.ink, "width": 3},
            "layer": "above",
        }
        for one in sheet.road.sections
        if one.name == section
        for low, high in [rows_of(sheet.road, one.direction)]
    ]


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
