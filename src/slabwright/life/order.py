"""Sections that ask for more overlay than ones with more slabs cracked: said, with what tells the two apart."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from slabwright.life.inputs import SectionState
from slabwright.life.section_life import SectionLife
from slabwright.records.remarks import Remark, Value, remark
from slabwright.units import INCH

__all__ = ["order_notes", "unlike"]

LESS = 0.1 * INCH  # of overlay, the least difference that is told: what is shown of a thickness
APART = 0.02  # relative difference of an input from which it is named
INPUTS = (
    ("slab", "thickness", "slab"),
    ("slab_strength", "stress", "its flexural strength"),
    ("slab_modulus", "slab_modulus", "its modulus"),
    ("foundation", "foundation", "dynamic k"),
    ("length", "length", "length of slabs"),
    ("trucks", "count", "trucks in the first year"),
)


def order_notes(found: Sequence[SectionLife]) -> Iterator[Remark]:
    """One remark for each section and the worst cracked of those that ask for less.

    Shares cracked count as different where their exact intervals do not meet; sections without a survey or a thickness are
    passed over. Raises nothing.
    """
    for one in found:
        less = [other for other in found if _sounder(one.state, other.state) and one.found > other.found + LESS]
        if less:
            worst = max(less, key=lambda other: _share(other.state))
            yield _told(one, worst)


def unlike(one: SectionState, other: SectionState) -> list[tuple[str, str, float, float]]:
    """Inputs by which two sections differ: words, kind and both values in SI. Raises nothing."""
    pairs = [(words, kind, getattr(one, name), getattr(other, name)) for name, kind, words in INPUTS]
    return [pair for pair in pairs if abs(pair[2] - pair[3]) > APART * max(abs(pair[2]), abs(pair[3]))]


def _sounder(one: SectionState, other: SectionState) -> bool:
    if one.surveyed is None or other.surveyed is None:
        return False
    return one.surveyed.interval()[1] < other.surveyed.interval()[0]


def _share(state: SectionState) -> float:
    return state.surveyed.share if state.surveyed else 0.0


def _told(one: SectionLife, other: SectionLife) -> Remark:
    words: list[str] = []
    values: dict[str, Value] = {}
    for number, (name, kind, mine, its) in enumerate(unlike(one.state, other.state)):
        words.append(f"{name} {{mine_{number}}} against {{its_{number}}}")
        values |= {f"mine_{number}": (kind, mine), f"its_{number}": (kind, its)}
    return remark(
        "asks for {needed} of overlay where {name}, of which more slabs are cracked ({cracked} against {sound}), asks for {asked}: "
        + "; ".join([*words, "damage over that of the law {own} against {beside}."]),
        one.state.name,
        needed=("thickness", one.found),
        asked=("thickness", other.found),
        name=("text", other.state.name),
        cracked=("share", _share(other.state)),
        sound=("share", _share(one.state)),
        own=("number", float(one.detail.median(one.sample.multiplier))),
        beside=("number", float(other.detail.median(other.sample.multiplier))),
        **values,
    )
