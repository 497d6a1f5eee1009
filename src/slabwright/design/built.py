"""Thickness as built: one thickness over each stretch of a direction, proposed from what its sections need."""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from slabwright import units
from slabwright.calculation import Array
from slabwright.errors import InputError, OutOfRange
from slabwright.records.decisions.design import BY_DIRECTION, BY_SECTION, DesignDecisions

__all__ = ["BuiltThickness", "built_thickness", "by_place", "least_volume_stretches", "runs", "thickness_by_hand"]

TOUCHING = 1e-3  # m: sections no farther apart than this follow each other
THINNEST_BY_HAND, THICKEST_BY_HAND = 0.5 * units.INCH, 8 * units.INCH  # as of a thickness for the whole road
SAME = 1e-9  # relative: two ways of building that take the same concrete
BY_HAND, FOR_ALL = "design.thickness_by_hand", "design.thickness"


@dataclass(frozen=True)
class BuiltThickness:
    """Of each section (n,): thickness ``proposed`` [m] over its stretch, thickness ``built`` [m], and the decision that it is from.

    ``decided_by`` is "" where the proposal is built.
    """

    proposed: Array
    built: Array
    decided_by: npt.NDArray[np.object_]


def least_volume_stretches(need: Array, area: Array, length: Array, least: float) -> list[tuple[int, int]]:
    """First row and the one past the last of each stretch of one run of sections that follow each other.

    ``need`` (n,) [m] is the thickness of each section rounded to what is built, ``area`` (n,) [m2], ``length`` (n,) [m].
    A stretch is as thick as its thickest need. Of all ways to cut the run into stretches no shorter than ``least`` [m]
    the one with the fewest cubic metres of concrete is taken, among equals the one with the fewest stretches; a run
    shorter than ``least`` is one stretch. The search is exact: the best way up to each section follows from the best
    ways up to the sections before it. Common practice, no source. Raises nothing.
    """
    best: list[tuple[float, int, int] | None] = [(0.0, 0, 0)]  # concrete, stretches, where the last one begins
    for end in range(1, len(need) + 1):
        found: tuple[float, int, int] | None = None
        thick = size = along = 0.0
        for begin in range(end - 1, -1, -1):
            thick = max(thick, float(need[begin]))
            size, along = size + float(area[begin]), along + float(length[begin])
            before = best[begin]
            whole = begin == 0 and end == len(need)
            if before is None or (along < least - TOUCHING and not whole):
                continue
            way = (before[0] + thick * size, before[1] + 1, begin)
            found = way if found is None or _better(way, found) else found
        best.append(found)
    return _cut(best)


def _better(way: tuple[float, int, int], other: tuple[float, int, int]) -> bool:
    if abs(way[0] - other[0]) <= SAME * max(way[0], other[0]):
        return way[1] < other[1]
    return way[0] < other[0]


def _cut(best: list[tuple[float, int, int] | None]) -> list[tuple[int, int]]:
    """The stretches behind the best way up to the last section."""
    found: list[tuple[int, int]] = []
    end = len(best) - 1
    while end > 0:
        way = best[end]
        assert way is not None  # a whole run is always a way
        found.append((way[2], end))
        end = way[2]
    return found[::-1]


def runs(sections: pd.DataFrame, there: npt.NDArray[np.bool_]) -> list[npt.NDArray[np.int64]]:
    """Rows of the sections of one direction that follow each other, in the order of the road, over those that are ``there`` (n,)."""
    found: list[npt.NDArray[np.int64]] = []
    for direction in dict.fromkeys(sections["direction"]):
        rows = np.flatnonzero((sections["direction"] == direction).to_numpy() & there)
        rows = rows[np.argsort(sections["begin"].to_numpy(dtype=float)[rows], kind="stable")]
        if len(rows):
            begin, end = (sections[c].to_numpy(dtype=float)[rows] for c in ("begin", "end"))
            apart = np.flatnonzero(begin[1:] - end[:-1] > TOUCHING) + 1
            found += [np.asarray(part, dtype=np.int64) for part in np.split(rows, apart)]
    return found


def _proposed(sections: pd.DataFrame, rounded: Array, area: Array, choice: DesignDecisions) -> Array:
    made = rounded.copy()
    there = np.isfinite(rounded)
    if choice.one_thickness_over == BY_SECTION:
        return made
    if choice.one_thickness_over == BY_DIRECTION:
        for direction in dict.fromkeys(sections["direction"]):
            here = there & (sections["direction"] == direction).to_numpy()
            made[here] = rounded[here].max(initial=0.0)
        return made
    length = (sections["end"] - sections["begin"]).to_numpy(dtype=float)
    for rows in runs(sections, there):
        for first, past in least_volume_stretches(rounded[rows], area[rows], length[rows], choice.least_stretch):
            made[rows[first:past]] = rounded[rows[first:past]].max()
    return made


def built_thickness(sections: pd.DataFrame, rounded: Array, area: Array, choice: DesignDecisions) -> BuiltThickness:
    """Thickness as built of each of the ``sections`` (section, direction, begin, end [m]) from what it needs, rounded.

    ``rounded`` (n,) [m] is NaN where a section has no answer, ``area`` (n,) [m2]. What is decided by hand for a section goes before
    what is decided for its direction, that before ``design.thickness`` for the whole road, and that before the proposal.
    Raises InputError and OutOfRange for a thickness by hand that cannot be read.
    """
    proposed = _proposed(sections, rounded, area, choice)
    built, by = proposed.copy(), np.full(len(sections), "", dtype=object)
    if choice.thickness > 0:
        built[:], by[:] = choice.thickness, FOR_ALL
    hand = thickness_by_hand(choice.thickness_by_hand, sections)
    for row, name in enumerate(sections["section"]):
        if name in hand:
            built[row], by[row] = hand[name], BY_HAND
    return BuiltThickness(proposed, built, by)


def thickness_by_hand(words: str, sections: pd.DataFrame, system: units.System = "us") -> dict[str, float]:
    """Thickness [m] by section, from words such as "W1, W2: 4.5 in; against stationing: 110 mm".

    ``sections``: section and direction. A name is a section or a direction, whose sections it then stands for. Raises, with
    limits in the units of ``system``, InputError for words that cannot be read, a name that is neither, a name given twice
    and a thickness without its unit; OutOfRange for a thickness that no bonded overlay has.
    """
    check_thicknesses(words, system)
    return {name: _thickness(value, system) for name, value in by_place(BY_HAND, words, sections).items()}


def check_thicknesses(words: str, system: units.System) -> None:
    """Raise what ``thickness_by_hand`` does of the words themselves, whatever sections there are."""
    for value in named_places(BY_HAND, words).values():
        _thickness(value, system)


def _thickness(value: str, system: units.System) -> float:
    if re.fullmatch(r"[-+.,\d\s]*", value):
        raise InputError(
            "a thickness by hand needs its unit", where=BY_HAND, given=value, allowed="such as 4.5 in, 110 mm"
        )
    try:
        metres = units.parse(value, "thickness")
    except InputError as problem:
        problem.where = BY_HAND
        raise
    if not THINNEST_BY_HAND <= metres <= THICKEST_BY_HAND + 1e-9:
        raise OutOfRange(
            "a thickness by hand is outside its bounds",
            where=BY_HAND,
            given=value,
            allowed=" to ".join(
                units.format_quantity(v, "thickness", system) for v in (THINNEST_BY_HAND, THICKEST_BY_HAND)
            ),
        )
    return metres


def by_place(decision: str, words: str, sections: pd.DataFrame) -> dict[str, str]:
    """What words such as "W1, W2: one; against stationing: other" say of each section; a section goes before its direction.

    ``sections``: section and direction. Raises InputError, naming the ``decision``, for what ``named_places`` refuses and a
    name that is neither a section nor a direction.
    """
    said = named_places(decision, words)
    known = {*sections["section"], *(d for d in sections["direction"] if d)}
    for name in said:
        if name not in known:
            raise InputError(
                "this is neither a direction nor a section that is meant here",
                where=decision,
                given=name,
                allowed=", ".join(sorted(known)),
            )
    pairs = zip(sections["section"], sections["direction"], strict=True)
    found = {section: said.get(section) or said.get(direction, "") for section, direction in pairs}
    return {section: value for section, value in found.items() if value}


def named_places(decision: str, words: str) -> dict[str, str]:
    """What such words say by the name that they give. Raises InputError for words without a colon and a name given twice."""
    said: dict[str, str] = {}
    for part in filter(None, (p.strip() for p in words.split(";"))):
        names, colon, value = part.partition(":")
        if not colon or not value.strip():
            raise InputError(
                "each part names its places, then a colon and what is built there",
                where=decision,
                given=part,
                allowed="such as W1, W2: ...; against stationing: ...",
            )
        for name in (n.strip() for n in names.split(",")):
            if name in said:
                raise InputError("this place is named twice", where=decision, given=name)
            said[name] = value.strip()
    return said
