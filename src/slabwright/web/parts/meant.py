"""Decisions in prose: on a page each is called by its meaning, as its field is, and not by the name in which it is entered."""

from __future__ import annotations

import re
from functools import cache

from slabwright.records.decisions import Decisions, entries

__all__ = ["meant"]


def meant(words: str) -> str:
    """Words in which ``basis.method`` and its like stand by their meaning, without what is in brackets there."""
    pattern, meanings = _named()
    return pattern.sub(lambda found: f"“{meanings[found[0]]}”", words)


@cache
def _named() -> tuple[re.Pattern[str], dict[str, str]]:
    meanings = {e.name: re.sub(r"\s*\([^)]*\)", "", e.about.meaning.partition(";")[0]) for e in entries(Decisions())}
    names = sorted(map(re.escape, meanings), key=len, reverse=True)
    return re.compile(rf"\b(?:{'|'.join(names)})\b"), meanings
