"""Words that results carry and several rooms read: verdicts on sections, kinds of repair and their filling."""

from __future__ import annotations

__all__ = [
    "CRACK",
    "FILLED_BY_OVERLAY",
    "FILLED_FIRST",
    "FULL",
    "NOT_JUDGED",
    "NOT_SUITED",
    "PARTIAL",
    "REPAIRS",
    "SUITED",
    "SUITED_AFTER_REPAIR",
    "TRANSFER",
    "VERDICTS",
    "VOID",
]

SUITED, SUITED_AFTER_REPAIR, NOT_SUITED, NOT_JUDGED = "suited", "suited after repair", "not suited", "not judged"
VERDICTS = (SUITED, SUITED_AFTER_REPAIR, NOT_SUITED, NOT_JUDGED)

FULL, PARTIAL, CRACK = "full depth", "partial depth", "crack routed and filled"
VOID, TRANSFER = "slab stabilised", "load transfer restored"
FILLED_BY_OVERLAY, FILLED_FIRST = "overlay", "repair concrete"  # what fills a partial-depth repair
REPAIRS = (FULL, PARTIAL, CRACK, VOID, TRANSFER)
