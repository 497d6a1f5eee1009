"""Words that several rooms read: verdicts on sections, outcomes of a reason, places of bridges, repairs and their filling."""

from __future__ import annotations

from collections.abc import Iterable

__all__ = [
    "CARRIES",
    "CRACK",
    "FAILS",
    "FILLED_BY_OVERLAY",
    "FILLED_FIRST",
    "FULL",
    "HOLDS",
    "NOT_EXAMINED",
    "NOT_JUDGED",
    "NOT_SUITED",
    "OVER",
    "PARTIAL",
    "REPAIRS",
    "SUITED",
    "SUITED_AFTER_REPAIR",
    "TRANSFER",
    "UNKNOWN",
    "VERDICTS",
    "VOID",
    "listed",
    "sections_named",
]

SUITED, SUITED_AFTER_REPAIR, NOT_SUITED, NOT_JUDGED = "suited", "suited after repair", "not suited", "not judged"
VERDICTS = (SUITED, SUITED_AFTER_REPAIR, NOT_SUITED, NOT_JUDGED)

# What became of one reason for or against; what was not examined neither holds nor fails.
HOLDS, FAILS, NOT_EXAMINED = "holds", "fails", "not examined"
UNKNOWN = "unknown"

# Whether a bridge passes over the road or carries it; a deck that carries the road is no slab on the ground.
OVER, CARRIES = "over the road", "under the road"

FULL, PARTIAL, CRACK = "full depth", "partial depth", "crack routed and filled"
VOID, TRANSFER = "slab stabilised", "load transfer restored"
FILLED_BY_OVERLAY, FILLED_FIRST = "overlay", "repair concrete"  # what fills a partial-depth repair
REPAIRS = (FULL, PARTIAL, CRACK, VOID, TRANSFER)


def listed(names: Iterable[str]) -> str:
    """Names as a sentence lists them: ``A4``, ``A4 and W4``, ``A4, W2 and W4``."""
    *first, last = list(names) or [""]
    return f"{', '.join(first)} and {last}" if first else last


MOST_NAMED = 12  # sections named one by one: a line of them


def sections_named(names: Iterable[str]) -> str:
    """Sections as a line names them: ``A1, A2``; of more than twelve how many they are, ``62 sections``."""
    known = list(names)
    return f"{len(known)} sections" if len(known) > MOST_NAMED else ", ".join(known)
