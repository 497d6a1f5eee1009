"""Decisions in prose: on a page each is called by its meaning, as its field is, and not by the name in which it is entered."""

from __future__ import annotations

import re
from functools import cache

from slabwright.records.decisions import Decisions, entries

__all__ = ["meant"]


def meant(words: str) -> str:
    """Words in which ``basis.method`` and its like stand by their meaning, without what is in brackets there.

    The meaning that follows a name in brackets is left out; a name alone becomes its meaning without quotes.
    """
    pattern, meanings = _named()
    if words in meanings:
        return meanings[words]
    return pattern.sub(lambda found: f"“{meanings[found[1]]}”", words)


@cache
def _named() -> tuple[re.Pattern[str], dict[str, str]]:
    meanings = {e.name: re.sub(r"\s*\([^)]*\)", "", e.about.meaning.partition(";")[0]) for e in entries(Decisions())}
    names = "|".join(sorted(map(re.escape, meanings), key=len, reverse=True))
    told = "|".join(sorted({re.escape(e.about.meaning) for e in entries(Decisions())}, key=len, reverse=True))
    return re.compile(rf"\b({names})\b(?: \((?:{told})\))?"), meanings
