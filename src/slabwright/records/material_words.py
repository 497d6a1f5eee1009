"""Words by which remarks name a disease of the concrete or a delaminated slab, or a core that nobody looked at.

Common practice, no source: a short list of what crews and petrographers write. A remark that denies the word does not name
it: with "no" before it and nothing but such words as "visible signs of" between ("no visible gel"), or after it and
alone ("gel: none"). Where in doubt a remark names: the list finds what must be looked into; it makes no diagnosis.
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
CLAUSES = re.compile(r"[.;:,!?\n()\[\]/]|\s[-\u2013\u2014]+\s|\b(?:but|and|however|although|except|yet)\b")
DENIALS = (
    r"\b(?:no|not|none|nor|neither|without|free (?:of|from)|absence of)\b(?! (?:dou\w*t|only|ruled|rule|excluded|\d))"
)
# What may stand between a denial and the word that it denies, the words themselves among it.
BETWEEN = (
    r"visible|obvious|apparent|clear|further|more|any|an?|the|signs?|traces?|evidence|indications?|symptoms?|of|or|nor|for|in|from|by|"
    r"to|due|form|kind|type|major|minor|significant|active|internal|affected|damaged?|caused|showing|shows?|suffer\w*|contain\w*|"
    r"have|has|had|been|be|found|detected|seen|observed|recorded|noted|suspected|cracks?|cracking|distress|reactive|deleterious"
)
EVERY_WORD = "|".join(word for words in MATERIAL_WORDS.values() for word in words)
DENIED = re.compile(rf"{DENIALS}(?:[\s'\"]+(?:{BETWEEN}|{EVERY_WORD}))*[\s'\"]*$")
DENIED_NEAR = re.compile(rf"{DENIALS}[^.;:,]{{0,25}}$")
SAID_AFTER = re.compile(
    r"^[\s:=?\u2013\u2014-]*(?:(?:is|are|was|were|has been)\s+)?"
    r"(?:(?:no|none|nil|not?|neg|negative|absent|0)(?:\s+(?:seen|found|visible|observed|present|detected|noted|evident|test|result))?)"
    r"\s*(?:$|[.;,!?\n)\]])"
)


def named(remark: str) -> tuple[str, ...]:
    """The diseases and delamination that a remark names, in the order of ``MATERIAL_WORDS``; a denied one is not named."""
    words = remark.lower().replace("_", " ")
    return tuple(what for what, pattern in PATTERNS.items() if _named(words, pattern))


def unseen(remark: str) -> str:
    """The words of a remark by which its core was not looked at, "" where there are none; denied ones do not count."""
    for clause in CLAUSES.split(remark.lower()):
        for found in UNSEEN.finditer(clause):
            if not DENIED_NEAR.search(clause[: found.start()]):
                return found[0]
    return ""


def _named(remark: str, pattern: re.Pattern[str]) -> bool:
    """Whether a word stands in a remark that nothing before it in its clause denies, nor what follows it."""
    for found in pattern.finditer(remark):
        before = CLAUSES.split(remark[: found.start()])[-1]
        if not DENIED.search(before) and not SAID_AFTER.search(remark[found.end() :]):
            return True
    return False
