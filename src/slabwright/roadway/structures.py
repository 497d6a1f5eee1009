"""Structures that carry the road: their decks are no slab on the ground, and what lies off them."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pandas as pd

from slabwright.calculation import Array
from slabwright.records.facts import Facts
from slabwright.records.words import CARRIES

__all__ = ["decks", "off_deck_length", "off_deck_pieces", "on_deck"]


def decks(facts: Facts) -> Array:
    """First and last station (n, 2) [m] of the decks that carry the road, in order and apart. Raises nothing.

    Bridges that overlap or touch are one deck. A bridge of which the table does not say that it carries the road is none.
    """
    here = facts.bridges[facts.bridges["passes"] == CARRIES]
    ends = np.sort(here[["begin", "end"]].to_numpy(dtype=float), axis=1)
    merged: list[list[float]] = []
    for begin, end in ends[np.argsort(ends[:, 0], kind="stable")]:  # a handful of bridges
        if merged and begin <= merged[-1][1]:
            merged[-1][1] = max(merged[-1][1], end)
        else:
            merged.append([begin, end])
    return np.array(merged, dtype=float).reshape(-1, 2)


def on_deck(stations: npt.ArrayLike, spans: Array) -> npt.NDArray[np.bool_]:
    """Whether each station (n,) [m] lies on one of the decks (m, 2) [m]: (n,); a deck's very ends do not. Raises nothing."""
    place = np.asarray(stations, dtype=float)[..., None]
    return np.asarray(((place > spans[:, 0]) & (place < spans[:, 1])).any(axis=-1))


def off_deck_length(begin: npt.ArrayLike, end: npt.ArrayLike, spans: Array) -> Array:
    """Length [m] of each stretch from begin (n,) [m] to end (n,) [m] that lies on no deck (m, 2) [m]: (n,). Raises nothing."""
    first, last = (np.asarray(v, dtype=float)[..., None] for v in (begin, end))
    held = np.clip(np.minimum(last, spans[:, 1]) - np.maximum(first, spans[:, 0]), 0, None)
    return np.asarray(last[..., 0] - first[..., 0] - held.sum(axis=-1))


def off_deck_pieces(frame: pd.DataFrame, spans: Array) -> pd.DataFrame:
    """Rows with begin and end [m], cut at the decks (m, 2) [m]: what lies on a deck goes, what reaches over one is two rows.

    A row without length stays or goes whole. Raises nothing.
    """
    for first, last in spans:
        touched = (frame["begin"] < last) & (frame["end"] > first)
        before = frame[touched & (frame["begin"] < first)].assign(end=first)
        after = frame[touched & (frame["end"] > last)].assign(begin=last)
        frame = pd.concat([frame[~touched], before, after], ignore_index=True) if touched.any() else frame
    return frame
