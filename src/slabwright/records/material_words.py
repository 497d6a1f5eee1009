"""Words by which remarks name a disease of the concrete or a delaminated slab, or a core that nobody looked at.

Common practice, no source: a short list of what crews and petrographers write. A remark that says "no" before the word in
the same clause does not name it. The list finds what must be looked into; it makes no diagnosis.
"""

from __future__ import annotations

import re

__all__ = ["DELAMINATION", "MATERIAL_WORDS", "named", "unseen"]

DELAMINATION = "delamination"
# What is named: patterns of the words that name it, whole words, small letters.
MATERIAL_WORDS: dict[str, tuple[str, ...]] = {
    "alkali-silica reaction": (r"asr", r"aar", r"alkali\w*", r"(?:silica )?gel", r"reaction rims?"),
    "durability cracking": (r"d[- ]?cr(?:ac)?k\w*", r"durability crack\w*", r"freeze[- ]thaw", r"frost damage\w*"),
    "other": (r"sul(?:f|ph)at\w*", r"ettringite", r"def", r"disintegrat\w*", r"mrd", r"petrograph\w* required"),
    DELAMINATION: (r"delam\w*", r"debond\w*", r"horizontal(?:ly)? (?:crack\w*|split)", r"in two pieces"),
}
# What is said of a core that nobody looked at.
UNSEEN = re.compile(
    r"\b(?:not (?:tested|examined|recovered|retrieved|logged|received|looked at)(?! (?:for|in) (?:strength|compress|split|tens))"
    r"|untested|lost|discarded|thrown away|core missing|no recovery|no core (?:taken|recovered|retrieved))\b"
)
PATTERNS = {what: re.compile(rf"\b(?:{'|'.join(words)})\b") for what, words in MATERIAL_WORDS.items()}
CLAUSES = re.compile(r"[.;:,!?\n]|\b(?:but|and|however|although|except|yet)\b")
DENIED = re.compile(
    r"\b(?:no|not|none|without|free of|absence of)\b(?! (?:dou\w*t|only|ruled|rule|excluded))[^.;:,]{0,25}$"
)


def named(remark: str) -> tuple[str, ...]:
    """The diseases and delamination that a remark names, in the order of ``MATERIAL_WORDS``; a denied one is not named."""
    clauses = CLAUSES.split(remark.lower())
    return tuple(what for what, pattern in PATTERNS.items() if any(_named(clause, pattern) for clause in clauses))


def unseen(remark: str) -> str:
    """The words of a remark by which its core was not looked at, "" where there are none; denied ones do not count."""
    for clause in CLAUSES.split(remark.lower()):
        for found in UNSEEN.finditer(clause):
            if not DENIED.search(clause[: found.start()]):
                return found[0]
    return ""


def _named(clause: str, pattern: re.Pattern[str]) -> bool:
    return any(not DENIED.search(clause[: found.start()]) for found in pattern.finditer(clause))
