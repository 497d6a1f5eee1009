"""The plan of the road strip: lanes, sections with their verdicts, bridges and ramps."""

from __future__ import annotations

from itertools import pairwise

from slabwright import units
from slabwright.web.parts.strip.data import AGAINST
from slabwright.web.parts.strip.look import (
    HATCH,
    HEAD,
    LETTER,
    ROW,
    Drawn,
    Panel,
    Sheet,
    faint,
    key,
    lane_ticks,
    words_at,
)
from slabwright.web.parts.strip.words import bridge_words, escaped, extent, ramp_words, section_words

__all__ = ["plan"]


def plan(sheet: Sheet) -> Panel:
    """Lanes, sections with their verdicts, bridges and ramps."""
    top = max(sheet.rows.values(), default=0.5) + 0.5
    verdicts = dict.fromkeys(s.verdict for s in sheet.road.sections)
    keys = tuple(key(HATCH.get(v, HATCH[""])[1], sheet.look.verdicts.get(v, sheet.look.soft), v or "no verdict yet") for v in verdicts)  # fmt: skip
    marks = (key("▲▼", sheet.look.ink, "ramps"), key("▐", sheet.look.soft, "bridges"))
    present = tuple(k for k, there in zip(marks, (sheet.road.ramps, sheet.road.bridges), strict=True) if there)
    low, high = (-0.95 if sheet.road.ramps else -0.1), top + (1.0 if sheet.road.ramps else 0.1) + (0.9 if sheet.road.bridges else 0)  # fmt: skip
    traces = [
        *(_section_bars(sheet, v) for v in verdicts), *_bridge_signs(sheet, high - 0.45), *_ramp_signs(sheet),
    ] or [{"type": "scatter", "x": [], "y": []}]  # fmt: skip
    return Panel(
        title="Road",
        keys=(*keys, *present),
        height=ROW * (high - low),
        axis={"range": [low, high], **lane_ticks(sheet)},
        traces=traces,
        annotations=_section_names(sheet),
        shapes=[*_lane_shapes(sheet), *_bridge_bands(sheet, top)],
    )


def _rows_of(sheet: Sheet, direction: str) -> tuple[float, float]:
    """Lowest and highest edge of the lanes of a direction; of all lanes when it has none."""
    here = [sheet.rows[lane.name] for lane in sheet.road.lanes if lane.direction == direction]
    here = here or list(sheet.rows.values()) or [0.5]
    return min(here) - 0.5, max(here) + 0.5


def _section_bars(sheet: Sheet, verdict: str) -> Drawn:
    here = [s for s in sheet.road.sections if s.verdict == verdict and sheet.sees(s.begin, s.end)]
    edges = [_rows_of(sheet, s.direction) for s in here]
    color = sheet.look.verdicts.get(verdict, sheet.look.soft)
    pattern = {"shape": HATCH.get(verdict, HATCH[""])[0], "fgcolor": color, "bgcolor": "rgba(0,0,0,0)", "size": 9, "solidity": 0.16, "fillmode": "overlay"}  # fmt: skip
    return {
        "type": "bar", "orientation": "h", "meta": "" if not here else here[0].table, "customdata": [s.row for s in here],
        "base": [s.begin for s in here], "x": [s.end - s.begin for s in here], "y": [(a + b) / 2 for a, b in edges],
        "width": [b - a - 0.08 for a, b in edges], "hoverinfo": "text",
        "hovertext": [f"<b>{escaped(section_words(s, sheet.system), 200)}</b><br>{escaped(s.reasons)}" for s in here],
        "marker": {"color": faint(color, 0.20), "pattern": pattern, "line": {"color": color, "width": 1.5}},
    }  # fmt: skip


def _section_names(sheet: Sheet) -> list[Drawn]:
    """The name of each section, with its verdict where both fit, in the middle of what is seen of it."""
    made = []
    for s in sheet.road.sections:
        begin, end = max(s.begin, sheet.window[0]), min(s.end, sheet.window[1])
        low, high = _rows_of(sheet, s.direction)
        room = (sheet.pixel(end) - sheet.pixel(begin)) / LETTER - 1
        name, tall = escaped(s.name, 24), (high - low) * ROW >= 2 * HEAD
        if end <= begin or room < len(s.name[:24]):
            continue
        text = f"<b>{name}</b>"
        if room >= len(s.verdict) and tall and s.verdict:
            text += f"<br>{s.verdict}"
        made.append(words_at(sheet, text, (begin + end) / 2, (low + high) / 2, bgcolor=sheet.look.paper, borderpad=1, opacity=0.95, captureevents=False))  # fmt: skip
    return made


def _lane_shapes(sheet: Sheet) -> list[Drawn]:
    """Dashes between the lanes of a direction."""
    rows = sorted(sheet.rows.values())
    line = {"color": sheet.look.soft, "width": 0.8, "dash": "10px,8px"}
    ends = {"xref": "x", "x0": sheet.road.begin, "x1": sheet.road.end}
    return [
        {**ends, "type": "line", "y0": (a + b) / 2, "y1": (a + b) / 2, "line": line, "layer": "above"}
        for a, b in pairwise(rows)
        if b - a < 1.01
    ]  # fmt: skip


def _bridge_bands(sheet: Sheet, top: float) -> list[Drawn]:
    return [
        {"type": "rect", "xref": "x", "x0": b.begin, "x1": b.end, "y0": -0.1, "y1": top + 0.1, "fillcolor": sheet.look.band,
         "line": {"color": sheet.look.ink, "width": 1.2}, "layer": "above"}
        for b in sheet.road.bridges if sheet.sees(b.begin, b.end)
    ]  # fmt: skip


def _bridge_signs(sheet: Sheet, height: float) -> list[Drawn]:
    here = sorted((b for b in sheet.road.bridges if sheet.sees(b.begin, b.end)), key=lambda b: b.begin)
    x = [(max(b.begin, sheet.window[0]) + min(b.end, sheet.window[1])) / 2 for b in here]
    texts, sides = _fitting(sheet, x, [(b.name, "") for b in here])
    hover = [f"<b>{escaped(bridge_words(b), 200)}</b><br>{extent(b.begin, b.end, sheet.system)}" for b in here]
    return [_signs(sheet, "bridges", x, [height] * len(here), texts, sides, hover, [b.row for b in here], ["hourglass"] * len(here))] if here else []  # fmt: skip


def _ramp_signs(sheet: Sheet) -> list[Drawn]:
    """Triangles outside the outer lane: they point the way that traffic goes."""
    directions = {lane.name: lane.direction for lane in sheet.road.lanes}
    drawn = []
    for above in (True, False):
        here = sorted(
            (r for r in sheet.road.ramps if (directions.get(r.lane) == AGAINST) is above and sheet.sees(r.begin, r.end)),
            key=lambda r: r.begin,
        )  # fmt: skip
        if not here:
            continue
        texts, sides = _fitting(sheet, [r.begin for r in here], [(r.name, r.kind) for r in here])
        height = max(sheet.rows.values(), default=0.5) + 1.0 if above else -0.5
        signs = ["triangle-up" if (r.kind == "off") is above else "triangle-down" for r in here]
        hover = [f"<b>{escaped(ramp_words(r), 200)}</b><br>{units.format_station(r.begin, sheet.system)}" for r in here]
        drawn.append(_signs(sheet, "ramps", [r.begin for r in here], [height] * len(here), texts, sides, hover, [r.row for r in here], signs))  # fmt: skip
    return drawn


def _signs(
    sheet: Sheet, table: str, x: list[float], y: list[float], texts: list[str], sides: list[str], hover: list[str], rows: list[int], signs: list[str],
) -> Drawn:  # fmt: skip
    return {
        "type": "scatter", "mode": "markers+text", "meta": table, "customdata": rows, "x": x, "y": y, "text": texts,
        "textposition": sides, "textfont": {"size": 11, "color": sheet.look.ink}, "hovertext": hover, "hoverinfo": "text",
        "marker": {"symbol": signs, "size": 9, "color": sheet.look.ink},
    }  # fmt: skip


def _fitting(sheet: Sheet, x: list[float], words: list[tuple[str, str]]) -> tuple[list[str], list[str]]:
    """For signs in the order of the road: the longest words that run into no neighbour, and the side they stand on."""
    pixels = [sheet.pixel(v) for v in x]
    texts, sides, free = [], [], 0.0
    for i, (place, options) in enumerate(zip(pixels, words, strict=True)):
        after = pixels[i + 1] if i + 1 < len(pixels) else sheet.across
        chosen, side = "", "middle right"
        for option in options:
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
