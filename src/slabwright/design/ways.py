"""Ways through where no bonded overlay is designed: mill and inlay, unbonded overlay, leave out; with what each takes."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pandas as pd

from slabwright.calculation import Array
from slabwright.design.built import by_place
from slabwright.design.thickness import rounded_thickness, unbonded_overlay_thickness
from slabwright.errors import InputError
from slabwright.records.decisions.design import INLAY, LEFT_OUT, UNBONDED, UNDECIDED, WAYS, DesignDecisions
from slabwright.records.facts import Facts
from slabwright.records.outcomes.design import REFUSED_WAYS
from slabwright.records.remarks import Remark, remark
from slabwright.records.table import empty, table
from slabwright.records.words import OVER, UNKNOWN, listed

__all__ = [
    "FLUSH",
    "REFUSED_BY_HAND",
    "chosen_ways",
    "inlay",
    "refused_ways",
    "room_under_bridges",
    "unbonded",
    "way_notes",
]

REFUSED_BY_HAND = "design.refused_by_hand"
WHOLE_SLAB = "a new slab of the thickness required; the old one is removed whole"
DEEPER = "the depth decided for an inlay (design.inlay_depth) reaches through the old slab, so it is not used"
FLUSH = "flush with the old grade; that it carries the traffic is not computed"
APART = "on a separation layer; by the equation of the unbonded overlay and the effective thickness by condition"
STAYS = "the old slab stays as it is; tapers lead down to it"
NO_ANSWER = "the slab required is not known here"


def chosen_ways(choice: DesignDecisions, sections: pd.DataFrame) -> dict[str, str]:
    """What is built in each of the refused ``sections`` (section, direction), "not decided" where nobody chose.

    Raises InputError for words of ``design.refused_by_hand`` that cannot be read.
    """
    hand = by_place(REFUSED_BY_HAND, choice.refused_by_hand, sections)
    for name, way in hand.items():
        if way not in (UNDECIDED, *WAYS):
            allowed = ", ".join((UNDECIDED, *WAYS))
            raise InputError(
                f"this is no way through section {name}", where=REFUSED_BY_HAND, given=way, allowed=allowed
            )
    return {name: hand.get(name, choice.refused) for name in sections["section"]}


def inlay(required: Array, slab: Array, depth: float, step: float) -> tuple[Array, Array]:
    """Thickness of an inlay and depth removed for it, both (n,) [m], from the slab required and the old slab (n,) [m].

    With ``depth`` [m] above 0 and less than the slab, that is milled and filled flush. Else the slab goes whole, and the
    new one is the slab required, rounded up to the ``step`` [m], and never thinner than the old one, so that the
    grade does not sink (common practice, no source). Raises nothing.
    """
    whole = ~((depth > 0) & (depth < slab))
    new = np.fmax(np.ceil(required / step - 1e-4) * step, np.where(np.isfinite(required), slab, np.nan))
    return np.where(whole, new, depth), np.where(whole, slab, depth)


def unbonded(required: Array, effective: Array, least: float, step: float) -> Array:
    """Thickness of an unbonded overlay (n,) [m], rounded up to what is built. Raises nothing; no answer is NaN."""
    return np.asarray(rounded_thickness(unbonded_overlay_thickness(required, effective), least, step))


def room_under_bridges(facts: Facts, begin: float, end: float) -> float:
    """The least raise available at bridges over the road between two stations [m]; inf without one, NaN where it is not known."""
    over = facts.bridges[facts.bridges["passes"] == OVER]
    here = over[(over["begin"] <= end) & (over["end"] >= begin)]
    room = (here["clearance"] - here["required_clearance"]).to_numpy(dtype=float)
    return float(room.min()) if len(room) else np.inf


def refused_ways(
    refused: pd.DataFrame,
    required: Array,
    effective: Array,
    areas: Mapping[str, float],
    facts: Facts,
    choice: DesignDecisions,
    steps: tuple[float, float],
) -> pd.DataFrame:
    """The table ``refused_ways``: three rows for each section of the states ``refused``.

    ``required`` and ``effective`` (n,) [m]; ``areas`` [m2] by section; ``steps``: least thickness and step of rounding [m].
    Raises InputError for a way by hand that cannot be read.
    """
    if refused.empty:
        return empty(REFUSED_WAYS)
    chosen = chosen_ways(choice, refused)
    least, step = steps
    slab = refused["thickness"].to_numpy(dtype=float)
    new, removed = inlay(required, slab, choice.inlay_depth, step)
    thick = unbonded(required, effective, least, step)
    nothing = np.zeros(len(refused))
    built = {
        INLAY: (new, removed, new - removed),
        UNBONDED: (thick, nothing, thick),
        LEFT_OUT: (nothing, nothing, nothing),
    }
    rows = []
    for i, s in enumerate(refused.itertuples(index=False)):
        area, room = areas[s.section], room_under_bridges(facts, s.begin, s.end)
        for way, (concrete, off, raised) in built.items():
            rows.append({
                **{name: getattr(s, name) for name in ("section", "direction", "begin", "end", "verdict")},
                "way": way,
                "area": area,
                "concrete": concrete[i],
                "volume": area * concrete[i],
                "removed": area * off[i],
                "raised": raised[i],
                "room": room if np.isfinite(room) else np.nan,
                "fits": _fits(float(raised[i]), room),
                "chosen": "yes" if chosen[s.section] == way else "no",
                "note": _note(way, float(concrete[i]), choice.inlay_depth, float(slab[i])),
            })
    return table(REFUSED_WAYS, pd.DataFrame(rows))


def _fits(raised: float, room: float) -> str:
    if room == np.inf:
        return "no bridge over it"
    if not np.isfinite([raised, room]).all():
        return UNKNOWN
    return "yes" if raised <= room + 1e-9 else "no"


def _note(way: str, concrete: float, depth: float, slab: float) -> str:
    """How a way is made, of an inlay by the ``depth`` decided against the thickness of the old ``slab`` [m]."""
    if not np.isfinite(concrete):
        return NO_ANSWER
    whole = f"{WHOLE_SLAB}; {DEEPER}" if depth >= slab else WHOLE_SLAB
    return {INLAY: FLUSH if 0 < depth < slab else whole, UNBONDED: APART, LEFT_OUT: STAYS}[way]


def way_notes(ways: pd.DataFrame) -> list[Remark]:
    """Where nobody has decided what is built, and what is decided elsewhere."""
    found = []
    decided = set(ways.loc[ways["chosen"] == "yes", "section"])
    waiting = [s for s in dict.fromkeys(ways["section"]) if s not in decided]
    if waiting:
        said = (
            "What is built in {names} is not decided: design.refused chooses among mill and inlay, unbonded overlay and"
            " leave out."
        )
        found.append(remark(said, names=("text", listed(waiting))))
    for way, here in ways[ways["chosen"] == "yes"].groupby("way", sort=False):
        found.append(remark(f"Built in {{names}}: {way}.", names=("text", listed(here["section"]))))
    tight = ways[(ways["chosen"] == "yes") & (ways["fits"] == "no")]
    found += [
        remark(
            f"{s.way} raises the grade by {{raised}}, and a bridge over it leaves {{room}}.",
            s.section,
            raised=("thickness", s.raised),
            room=("thickness", s.room),
        )
        for s in tight.itertuples(index=False)
    ]
    return found
