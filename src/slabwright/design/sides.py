"""How high the surface is raised along the road, and from it the tapers, the shoulders and the ramps."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
import pandas as pd

from slabwright.design.built import TOUCHING
from slabwright.design.structures import taper_length
from slabwright.records.decisions.design import (
    BY_KIND,
    NO_SHOULDER,
    SHOULDER_ASPHALT,
    SHOULDER_CONCRETE,
    DesignDecisions,
)
from slabwright.records.facts import Facts
from slabwright.records.outcomes.design import SIDE_AREAS, TAPERS
from slabwright.records.remarks import Remark, remark
from slabwright.records.table import table
from slabwright.records.words import UNKNOWN, listed
from slabwright.roadway.places import design_lane, directions_in_order, directions_of_lanes, lane_width, layer_rows
from slabwright.roadway.structures import decks, off_deck_pieces

__all__ = [
    "BEYOND",
    "INSIDE",
    "OUTSIDE",
    "Level",
    "direction_width",
    "levels",
    "raised_sections",
    "side_areas",
    "side_notes",
    "taper_notes",
    "tapers",
]

INSIDE, OUTSIDE = "inside shoulder", "outside shoulder"
STEP, LOW = "step of thickness", 1e-6  # m: rises no greater are none
WEDGE = "concrete, over the thinner side"
BEYOND = "its stretch is too short for it, and it ends on a step: lay it out by hand"
FLAT = "the old slab is milled or rebuilt over the whole length of the bridge"
MILLED = "the old slab is milled or rebuilt beneath, so that the overlay keeps its thickness: no feather edge"
ON_RAMP = f"{MILLED}; that the ramp's own pavement suits is not examined"
BESIDE = {"asphalt": SHOULDER_ASPHALT, "tied concrete": SHOULDER_CONCRETE, "untied concrete": SHOULDER_CONCRETE}


@dataclass(frozen=True)
class Level:
    """A piece of a direction off the decks [m] whose surface is ``raised`` [m]; NaN where it is not known."""

    direction: str
    begin: float
    end: float
    raised: float


def direction_width(facts: Facts, direction: str) -> float:
    """Width of all lanes of a direction [m]; NaN where a lane has none. Raises nothing."""
    return float(sum(lane_width(facts, lane) for lane, way in directions_of_lanes(facts).items() if way == direction))


def raised_sections(thicknesses: pd.DataFrame, ways: pd.DataFrame, choice: DesignDecisions) -> pd.DataFrame:
    """Direction, begin and end [m] of each section and how high its surface is ``raised`` [m].

    An overlay raises it by its thickness less what is milled off the old slab, a chosen way through a refused section by its
    own raise, NaN where that is not known; nothing raises it elsewhere. Raises nothing.
    """
    lifted = np.maximum(thicknesses["overlay"].to_numpy(dtype=float) - choice.milling_depth, 0.0)
    chosen = ways[ways["chosen"] == "yes"]
    by_way = dict(zip(chosen["section"], chosen["raised"], strict=True))
    raised = [by_way.get(s, 0.0) if np.isnan(t) else t for s, t in zip(thicknesses["section"], lifted, strict=True)]
    return thicknesses[["direction", "begin", "end"]].assign(raised=raised)


def levels(raised: pd.DataFrame, facts: Facts) -> list[list[Level]]:
    """By direction, in the order of the road, every piece off the decks of the sections ``raised``. Raises nothing."""
    pieces = off_deck_pieces(raised, decks(facts)).sort_values("begin", kind="stable")
    return [_joined(pieces[pieces["direction"] == way]) for way in directions_in_order(pieces["direction"])]


def _joined(pieces: pd.DataFrame) -> list[Level]:
    """Pieces that touch and are equally high are one."""
    made: list[Level] = []
    for direction, begin, end, raised in pieces[["direction", "begin", "end", "raised"]].itertuples(index=False):
        last = made[-1] if made else None
        if last and begin - last.end <= TOUCHING and abs(raised - last.raised) <= LOW:
            made[-1] = Level(direction, last.begin, end, last.raised)
        else:
            made.append(Level(direction, begin, end, raised))
    return made


def tapers(along: list[list[Level]], clearances: pd.DataFrame, facts: Facts, choice: DesignDecisions) -> pd.DataFrame:
    """The table ``tapers``: at steps of thickness, decks, stretches without an overlay, both ends, low bridges and ramps.

    Between two raised surfaces the taper is concrete on the lower one; towards a surface that is not raised the old slab is
    milled beneath the overlay, so that it is not feathered (common practice, no source). Where a rise is not known, or
    more than ``taper_length`` takes, the measures are NaN. Raises nothing.
    """
    rows: list[dict[str, object]] = []
    for here in along:
        if here:
            rows += _of_direction(here, facts, choice)
            rows += _under_bridges(here, clearances, facts, choice)
    return table(TAPERS, pd.DataFrame([*rows, *_of_ramps(along, facts, choice)], columns=list(TAPERS.names)))


def _of_direction(here: list[Level], facts: Facts, choice: DesignDecisions) -> list[dict[str, object]]:
    rows = [_end(here[0], here[0].begin, "end of the road", facts, choice)]
    for a, b in pairwise(here):
        if b.begin - a.end > TOUCHING:
            rows += [_end(a, a.end, "deck", facts, choice), _end(b, b.begin, "deck", facts, choice)]
        elif a.raised <= LOW or b.raised <= LOW:
            high, at = (b, b.begin) if a.raised <= LOW else (a, a.end)
            rows.append(_end(high, at, "no overlay beyond", facts, choice))
        else:
            rows.append(_step(a, b, facts, choice))
    rows.append(_end(here[-1], here[-1].end, "end of the road", facts, choice))
    return [row for row in rows if row]


def _end(level: Level, at: float, place: str, facts: Facts, choice: DesignDecisions) -> dict[str, object]:
    """A taper inside the overlay down to a surface that is not raised; nothing where it is not raised itself."""
    if level.raised <= LOW:
        return {}
    length = _length(level.raised, choice.taper_ratio)
    kept, note = _within(level, length)
    begin, end = (at, at + kept) if at == level.begin else (at - kept, at)
    return _taper(level.direction, place, (begin, end), (level.raised, 0.0), choice.taper_ratio, note) | _wedge(
        length, level.raised, direction_width(facts, level.direction), milled=True, kept=kept
    )


def _within(level: Level, length: float) -> tuple[float, str]:
    """How much of a taper [m] lies in its stretch, of which it has half where it is longer than that, and how it is made."""
    half = (level.end - level.begin) / 2
    return (half, f"{MILLED}; {BEYOND}") if length > half else (length, MILLED)


def _step(a: Level, b: Level, facts: Facts, choice: DesignDecisions) -> dict[str, object]:
    high, low = float(np.maximum(a.raised, b.raised)), float(np.minimum(a.raised, b.raised))  # NaN where one is
    length = _length(high - low, choice.taper_ratio)
    ends = (b.begin, b.begin + length) if a.raised > b.raised else (a.end - length, a.end)
    return _taper(a.direction, STEP, ends, (high, low), choice.taper_ratio, WEDGE) | _wedge(
        length, high - low, direction_width(facts, a.direction), milled=False
    )


def _length(rise: float, ratio: float) -> float:
    """Length of a taper [m]; NaN for a rise that is not known or higher than ``taper_length`` takes."""
    return float(taper_length(np.array([rise]), np.array([ratio]))[0])


def _taper(
    direction: str, place: str, ends: tuple[float, float], raised: tuple[float, float], ratio: float, note: str
) -> dict[str, object]:
    return {
        "direction": direction,
        "place": place,
        "begin": ends[0],
        "end": ends[1],
        "high": raised[0],
        "low": raised[1],
        "ratio": ratio,
        "note": note,
    }


def _wedge(length: float, rise: float, width: float, *, milled: bool, kept: float | None = None) -> dict[str, object]:
    """Measures of a wedge as long as the taper, from nothing to the rise; of one that has no room, of the deep part ``kept``."""
    laid = length if kept is None else kept
    volume = rise * width * (laid - laid**2 / (2 * length)) if length > 0 else 0.0 * length
    return {
        "length": laid,
        "width": width,
        "area": laid * width,
        "volume": 0.0 if milled else volume,
        "milled": volume if milled else 0.0,
    }


def _under_bridges(
    here: list[Level], clearances: pd.DataFrame, facts: Facts, choice: DesignDecisions
) -> list[dict[str, object]]:
    """Down to the raise that a bridge over the road leaves, below the old surface where it leaves less than none.

    Beneath it every raised piece off the decks is milled by its own excess; a taper leads down on each side that is raised.
    """
    rows: list[dict[str, object]] = []
    for bridge in clearances[clearances["passes"] == "no"].itertuples(index=False):
        sides = (
            (bridge.begin, -1.0, [x for x in here if x.begin < bridge.begin <= x.end]),
            (bridge.end, 1.0, [x for x in here if x.begin <= bridge.end < x.end]),
        )
        for at, way, beside in sides:
            rows += [_down(x, at, way, bridge, facts, choice) for x in beside if _excess(x, bridge) > LOW]
        for x in here:
            begin, end = max(x.begin, bridge.begin), min(x.end, bridge.end)
            if end - begin > TOUCHING and _excess(x, bridge) > LOW:
                raised = (x.raised, bridge.available)
                rows.append(_beneath(bridge, x.direction, (begin, end), raised, direction_width(facts, x.direction)))
    return rows


def _excess(level: Level, bridge: Any) -> float:
    """By how much a surface that is raised lies higher than the bridge leaves [m]; 0 of one that is not raised."""
    return level.raised - bridge.available if level.raised > LOW else 0.0


def _down(level: Level, at: float, way: float, bridge: Any, facts: Facts, choice: DesignDecisions) -> dict[str, object]:
    """The taper beside a low bridge; its note says where it runs beyond the stretch, into another taper."""
    rise = _excess(level, bridge)
    length = _length(rise, choice.taper_ratio)
    room = at - level.begin if way < 0 else level.end - at
    kept, note = (room, f"{MILLED}; {BEYOND}") if length > room else (length, MILLED)
    begin, end = sorted((at, at + way * kept))
    raised = (level.raised, bridge.available)
    made = _taper(level.direction, f"under {bridge.bridge}", (begin, end), raised, choice.taper_ratio, note)
    return made | _wedge(length, rise, direction_width(facts, level.direction), milled=True, kept=kept)


def _beneath(
    bridge: Any, direction: str, ends: tuple[float, float], raised: tuple[float, float], width: float
) -> dict[str, object]:
    """The old slab under a low bridge, milled by the same depth over one stretch."""
    made = _taper(direction, f"beneath {bridge.bridge}", ends, raised, np.nan, FLAT)
    length = ends[1] - ends[0]
    milled = length * width * (raised[0] - raised[1])
    return made | {"length": length, "width": width, "area": length * width, "volume": 0.0, "milled": milled}


def _at(along: list[list[Level]], direction: str, station: float) -> float:
    """How high the surface is raised at a station; the higher of two that meet there, NaN where one is not known."""
    found = [x.raised for here in along for x in here if x.direction == direction and x.begin <= station <= x.end]
    return float(np.max(found, initial=0.0))


def _of_ramps(along: list[list[Level]], facts: Facts, choice: DesignDecisions) -> list[dict[str, object]]:
    """From the nose along the ramp; its width is not known where nobody gave one."""
    rows = []
    ways = directions_of_lanes(facts)
    for ramp in facts.ramps.itertuples(index=False):
        raised = _at(along, ways.get(ramp.lane, ""), ramp.station)
        if raised <= LOW:
            continue
        length = _length(raised, choice.ramp_taper_ratio)
        ends = (ramp.station, ramp.station)
        made = _taper(ways.get(ramp.lane, ""), ramp.name, ends, (raised, 0.0), choice.ramp_taper_ratio, ON_RAMP)
        rows.append(made | _wedge(length, raised, choice.ramp_width or np.nan, milled=True))
    return rows


def side_areas(along: list[list[Level]], made: pd.DataFrame, facts: Facts, choice: DesignDecisions) -> pd.DataFrame:
    """The table ``side_areas``: both shoulders beside every raised piece, and every ramp that has a taper of ``made``.

    A width that nobody gave is NaN, and so are its areas; where the raise is not known the volume is. Raises nothing.
    """
    rows = [
        _shoulder(level, place, width, facts, choice)
        for here in along
        for level in here
        if not level.raised <= LOW
        for place, width in ((INSIDE, choice.inside_shoulder), (OUTSIDE, choice.outside_shoulder))
    ]
    ramps = made[made["place"].isin(facts.ramps["name"])]
    rows += [
        {
            **{name: getattr(r, name) for name in ("direction", "place", "begin", "end", "length", "width", "area")},
            "built": SHOULDER_CONCRETE,
            "thickness": r.high,
            "volume": r.area * r.high,
            "note": "over the taper" if np.isfinite(r.width) else "width not known: design.ramp_width",
        }
        for r in ramps.itertuples(index=False)
    ]
    return table(SIDE_AREAS, pd.DataFrame(rows, columns=list(SIDE_AREAS.names)))


def _shoulder(level: Level, place: str, width: float, facts: Facts, choice: DesignDecisions) -> dict[str, object]:
    built = shoulder_built(level, facts, choice)
    length = level.end - level.begin
    known = width or np.nan
    thickness = {NO_SHOULDER: 0.0, UNKNOWN: np.nan}.get(built, level.raised)
    gaps = []
    if not width:
        decision = "design.inside_shoulder" if place == INSIDE else "design.outside_shoulder"
        gaps.append(f"width not known: {decision}")
    if built == UNKNOWN:
        gaps.append("kind not known: column shoulder of the table layers, or design.shoulders")
    return {
        "direction": level.direction,
        "place": place,
        "begin": level.begin,
        "end": level.end,
        "built": built,
        "length": length,
        "width": known,
        "thickness": thickness,
        "area": length * known,
        "volume": length * known * thickness,
        "note": "; ".join(gaps),
    }


def shoulder_built(level: Level, facts: Facts, choice: DesignDecisions) -> str:
    """What raises the shoulders beside a piece: as decided, or by the kind of the layers at its middle. Raises nothing."""
    if choice.shoulders != BY_KIND:
        return choice.shoulders
    middle = np.array([(level.begin + level.end) / 2])
    row = int(layer_rows(facts, middle, [design_lane(facts, level.direction)])[0])
    return BESIDE.get(str(facts.layers["shoulder"].iloc[row]), UNKNOWN) if row >= 0 else UNKNOWN


def taper_notes(made: pd.DataFrame) -> list[Remark]:
    """How many tapers there are, and how long all together."""
    full = made[made["rebuilt"] > 0]
    made = made[made["ratio"].notna()]  # without what lies flat beneath a low bridge
    if made.empty:
        return []
    notes = [
        remark(
            f"{{number}} taper{'s' if len(made) > 1 else ''}, {{length}} long in all, at steps of thickness, decks, ends and ramps.",
            number=("count", len(made)),
            length=("length", made["length"].sum()),
        )
    ]
    if len(full):
        notes.append(
            remark(
                "At {places} the old slab is rebuilt full depth, {area} in all: what milling left of it would be up to {short}"
                " too thin with the overlay.",
                places=("text", listed(dict.fromkeys(full["place"]))),
                area=("paved_area", full["rebuilt"].sum()),
                short=("thickness", full["short"].max()),
            )
        )
    return notes


def side_notes(made: pd.DataFrame) -> list[Remark]:
    """What is not known of shoulders and ramps, so that their quantities are open and not zero."""
    gaps = dict.fromkeys(g for note in made["note"] for g in str(note).split("; ") if "not known" in g)
    return [
        remark(
            f"Open: of {{names}} the {gap}; no quantity of {'them' if len(places) > 1 else 'it'} is known.",
            names=("text", listed(places)),
        )
        for gap in gaps
        if (places := list(dict.fromkeys(made.loc[made["note"].str.contains(gap, regex=False), "place"])))
    ]
