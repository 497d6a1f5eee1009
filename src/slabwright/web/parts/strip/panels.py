"""The panels of the road strip: figures of its rows as painted, with what they answer to a pointer and the words that fit."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import numpy as np

from slabwright import units
from slabwright.figures.layers import Bins, Layer
from slabwright.figures.record import Figure, Points, Series, Spans, Steps, Stretches, Words
from slabwright.figures.road import Mark, Section
from slabwright.figures.shown import in_units, round_ticks
from slabwright.figures.strip import plan_figure, row_figure
from slabwright.web.parts.paint import STEP, escaped, shapes, trace
from slabwright.web.parts.strip.look import HEAD, LETTER, NARROW, Drawn, Panel, Sheet, keys
from slabwright.web.parts.strip.words import bridge_words, extent, ramp_words, record_text, section_words

__all__ = ["layer_panel", "plan_panel"]

PLAN_LANE, LANE = 13, 15  # pixels for a lane on the plan and in the row of a layer
TALL = {"points": 84, "steps": 64, "bars": 64, "stacked": 64}
MIRRORED = 96
LINE, FINE = 13, {"size": 11}  # pixels across a line of small letters


def plan_panel(sheet: Sheet) -> Panel:
    """Lanes, sections with their verdicts, bridges and ramps."""
    shown = in_units(plan_figure(sheet.road, sheet.window), sheet.system)
    return _panel(sheet, shown, _tall(shown, PLAN_LANE), [_answering(sheet, s, None) for s in shown.series])


def layer_panel(sheet: Sheet, layer: Layer) -> Panel:
    shown = in_units(row_figure(layer, sheet.road, sheet.window), sheet.system)
    low, _ = shown.y.limits or (0.0, 1.0)
    height = (
        _tall(shown, LANE)
        if shown.y.kind == "words"
        else MIRRORED
        if shown.y.mirrored and low < 0
        else TALL.get(layer.shape, 84)
    )
    return _panel(sheet, shown, height, [_answering(sheet, s, layer) for s in shown.series])


def _tall(shown: Figure, lane: float) -> float:
    low, high = shown.y.limits or (0.0, 1.0)
    return lane * (high - low)


def _panel(sheet: Sheet, shown: Figure, height: float, traces: list[Drawn]) -> Panel:
    drawn, names = shapes(shown, sheet.theme)
    fitting = [annotation for words in shown.words if (annotation := _written(sheet, words, height, shown))]
    notes = (escaped(note, 120) for note in shown.notes)
    return Panel(
        title=escaped(shown.heading),
        keys=(*notes, *keys(shown.series, sheet.theme)),
        height=height,
        axis=_axis(sheet, shown),
        traces=traces or [{"type": "scatter", "x": [], "y": []}],
        annotations=[*names, *fitting],
        shapes=drawn,
    )


def _axis(sheet: Sheet, shown: Figure) -> Drawn:
    low, high = shown.y.limits or (0.0, 1.0)
    made: Drawn = {"range": [low, high]}
    if shown.y.kind == "words":
        grid = not any(isinstance(s, Spans) for s in shown.series)
        return made | {
            "tickmode": "array",
            "tickvals": list(shown.y.places),
            "ticktext": sheet.named(shown.y),
            "showgrid": grid,
        }
    if shown.y.mirrored and low < 0:
        places, words = round_ticks(high)
        return made | {"tickmode": "array", "tickvals": places, "ticktext": words}
    return made


# Words that fit ------------------------------------------------------------------------------------------


def _written(sheet: Sheet, words: Words, height: float, shown: Figure) -> Drawn | None:
    """Words where they fit, with a second line where there is room for that too; a name that does not fit stands upright."""
    room = sheet.room(words.room) - 1 if np.isfinite(words.room) else np.inf
    upright = len(words.text[:24]) > room
    if not words.text or (upright and not (words.strong and _stands(sheet, words, height, shown))):
        return None
    made = {
        "text": escaped(words.text, 24),
        "x": words.x,
        "y": words.y,
        "xref": "x",
        "showarrow": False,
        "captureevents": False,
        "font": {"size": 12, "color": sheet.theme.ink},
    }
    if upright:
        return made | {"textangle": -90, "text": f"<b>{made['text']}</b>", "font": {**FINE, "color": sheet.theme.ink}}
    if words.strong:
        low, high = shown.y.limits or (0.0, 1.0)
        tall = height / (high - low) * 2 >= 2 * HEAD and len(shown.y.places) > 1
        made["text"] = f"<b>{made['text']}</b>" + (
            f"<br>{escaped(words.more)}" if words.more and room >= len(words.more) and tall else ""
        )
        made |= {"bgcolor": sheet.theme.paper, "borderpad": 1, "opacity": 0.95}
    return made


def _stands(sheet: Sheet, words: Words, height: float, shown: Figure) -> bool:
    """Whether there is room for words on end in the area that they name."""
    low, high = shown.y.limits or (0.0, 1.0)
    tall = max((_tall_at(s, words) for s in shown.series if isinstance(s, Spans)), default=0.0) * height / (high - low)
    return sheet.room(words.room) * LETTER >= LINE and LETTER * len(words.text[:24]) + 4 <= tall


def _tall_at(spans: Spans, words: Words) -> float:
    """Height of the area about a point, 0 for none."""
    here = (spans.begin <= words.x) & (words.x <= spans.end) & (spans.low <= words.y) & (words.y <= spans.high)
    return float(np.max((spans.high - spans.low)[here], initial=0.0))


def _fitting(sheet: Sheet, series: Points) -> tuple[list[str], list[str]]:
    """For signs in the order of the road: the longest words that run into no neighbour, and the side they stand on."""
    pixels = [sheet.pixel(float(v)) for v in series.x]
    texts, sides, free = [], [], 0.0
    for i, (place, options) in enumerate(zip(pixels, zip(series.words, series.short, strict=True), strict=True)):
        after = pixels[i + 1] if i + 1 < len(pixels) else sheet.across
        chosen, side = "", "middle right"
        for option in options if sheet.width > NARROW else options[-1:]:
            long = LETTER * min(len(option), 40) + 10
            if option and place + long <= after - 6:
                chosen, side = option, "middle right"
                break
            if option and place - long >= free + 6:
                chosen, side = option, "middle left"
                break
        free = place + (LETTER * min(len(chosen), 40) + 10 if side == "middle right" and chosen else 8)
        texts.append(escaped(chosen, 40))
        sides.append(side)
    return texts, sides


# What a pointer finds ------------------------------------------------------------------------------------


def _answering(sheet: Sheet, series: Series, layer: Layer | None) -> Drawn:
    """A painted series with what a click opens and a pointer reads."""
    drawn, of = trace(series, sheet.theme), getattr(series, "of", None)
    if isinstance(series, Points) and series.words:
        texts, sides = _fitting(sheet, series)
        drawn |= {"text": texts, "textposition": sides}
        drawn["marker"] = {**drawn["marker"], "size": 9}
    elif isinstance(series, Points) and sheet.width <= NARROW:
        drawn["marker"] = {**drawn["marker"], "size": 5}
    if of is None:
        return drawn | {"hoverinfo": "name+y"}
    if isinstance(of, Bins):
        return drawn | _opening(
            series, "zoom", np.stack([of.begin, of.end], axis=1).tolist(), _bin_words(sheet, of, layer)
        )
    if isinstance(of, Layer):
        rows: list[Any] = np.asarray(of.row).tolist()
        table = of.table
        if of.shape == "stacked":  # many records: a click zooms to them
            table, rows = "zoom", np.stack([of.station, of.station if of.end is None else of.end], axis=1).tolist()
        return drawn | _opening(series, table, rows, (record_text(of, i, sheet.system) for i in range(len(of))))
    return drawn | _opening(
        series, of[0].table if of else "", [one.row for one in of], (_place_words(sheet, one) for one in of)
    )


def _opening(series: Series, table: str, rows: list[Any], words: Iterable[str]) -> Drawn:
    """``rows`` and ``words`` for every point that the series is painted with; gaps have none."""
    repeat, gap = {Steps: (STEP, 1), Stretches: (3, 1)}.get(type(series), (1, 0))

    def spread(each: Iterable[Any], none: Any) -> list[Any]:
        return [v for one in each for v in (*[one] * repeat, *[none] * gap)]

    return {"meta": table, "customdata": spread(rows, None), "hovertext": spread(words, ""), "hoverinfo": "text"}


def _bin_words(sheet: Sheet, bins: Bins, layer: Layer | None) -> list[str]:
    kind = layer.kind if layer is not None and layer.shape == "points" else ""
    return [_bin_text(sheet, bins, kind, i) for i in range(len(bins.count))]


def _bin_text(sheet: Sheet, bins: Bins, kind: str, i: int) -> str:
    values = ""
    if kind:
        low, middle, high = (
            units.format_quantity(float(v[i]), kind, sheet.system) for v in (bins.low, bins.median, bins.high)
        )
        values = f"<br>lowest {low}, median {middle}, highest {high}"
    missing = f", {bins.missing[i]} without a value" if kind and bins.missing[i] else ""
    where = extent(bins.begin[i], bins.end[i], sheet.system)
    return f"<b>{where}</b><br>{bins.count[i]} records{missing}{values}<br>click to zoom in"


def _place_words(sheet: Sheet, one: Section | Mark) -> str:
    if isinstance(one, Section):
        return f"<b>{escaped(section_words(one, sheet.system), 200)}</b><br>{escaped(one.reasons)}"
    words = bridge_words(one) if one.table == "bridges" else ramp_words(one)
    return f"<b>{one.key}: {escaped(words, 200)}</b><br>{extent(one.begin, one.end, sheet.system)}"
