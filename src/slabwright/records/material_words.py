"""Words by which remarks name a disease of the concrete or a delaminated slab, or a core that nobody looked at.

Common practice, no source: a short list of what crews and petrographers write. A remark that denies the word does not name
it: with "no" before it and nothing but such words as "visible signs of" between ("no visible gel"), or after it and
alone ("gel: none"); a test that was not made denies nothing ("without ASR testing"). The words are those of English, German,
French, Spanish, Italian, Portuguese, Dutch, Polish and Czech. A remark that is not clear names: the list finds what must be looked into; it makes no diagnosis.
"""

from __future__ import annotations

import re

__all__ = ["DELAMINATION", "MATERIAL_WORDS", "named", "unseen"]

DELAMINATION = "delamination"
# What is named: patterns of the words that name it, whole words, small letters.
MATERIAL_WORDS: dict[str, tuple[str, ...]] = {
    "alkali-silica reaction": (
        r"asr",
        r"aar",
        r"akr",
        r"rag",
        r"raa",
        r"[aá]l[ck]ali\w*",
        r"(?:silica )?gel",
        r"gel(?:austritt|bildung)\w*",
        r"reaction rims?",
        r"(?<!non-)(?<!non )reactive aggregates?",
    ),
    "durability cracking": (
        r"d[- ]?cr(?:ac)?k\w*",
        r"durability crack\w*",
        r"freeze[- ]thaw(?: damage)?",
        r"frost[- ]?(?:damage|sch[aä]d|tau)\w*",
        r"d-riss\w*",
        r"fissur\w* (?:en )?d",
        r"gel(?:o|ata)?[- ](?:d[ée]gel|disgelo|degelo)",
        r"hielo[- ]deshielo",
        r"vorst\w*",
        r"mr[oó]z\w*",
        r"mr[aá]z\w*",
    ),
    "other": (r"sul(?:f|ph)at\w*", r"ettringite", r"def", r"disintegrat\w*", r"mrd", r"petrograph\w* required"),
    DELAMINATION: (
        r"d[eé]s?lam\w*",
        r"debond\w*",
        r"horizontal(?:ly)? (?:crack\w*|split)",
        r"split (?:horizontally|in two|at|into)",
        r"in two (?:pieces|halves|parts)",
        r"two halves",
        r"broken at (?:mid|half)\w*",
        r"separated (?:at|along|from)",
        r"abl[oö]s\w*",
        r"trennriss\w*",
        r"hohllag\w*",
        r"d[ée]coll\w*",
        r"de(?:spe|spre)[gn]\w*",
        r"distacc\w*",
        r"scoll\w*",
        r"descol\w*",
        r"onthecht\w*",
        r"rozwarstw\w*",
        r"odspoj\w*",
        r"odd[eě]len\w*",
    ),
}
# What is said of a core that nobody looked at.
UNSEEN = re.compile(
    r"\b(?:not (?:tested|examined|recovered|retrieved|logged|received|looked at)(?! (?:for|in) (?:strength|compress|split|tens))"
    r"|untested|lost|discarded|thrown away|core missing|no recovery|no core (?:taken|recovered|retrieved))\b"
)
PATTERNS = {what: re.compile(rf"\b(?:{'|'.join(words)})\b") for what, words in MATERIAL_WORDS.items()}
CLAUSES = re.compile(r"[.;:,!?\n()\[\]/]|\s[-\u2013\u2014]+\s|\b(?:but|and|however|although|except|yet)\b")
DENIALS = (
    r"\b(?:no|not|none|nor|neither|without|free (?:of|from)|absence of|kein\w*|ohne|nicht|frei von|pas d[e']|sans|aucune?|absence d[e']|sin|"
    r"ning[uú]n\w*|senza|nessun\w*|non|assenza di|sem|nenhum\w*|n[aã]o|geen|zonder|niet|brak|bez|nie|[zž][aá]dn\w*|nen[ií])\b(?! (?:dou\w*t|only|ruled|rule|excluded|\d))"
)
# What may stand between a denial and the word that it denies, the words themselves among it.
BETWEEN = (
    r"visible|obvious|apparent|clear|further|more|any|an?|the|signs?|traces?|evidence|indications?|symptoms?|of|or|nor|for|in|from|by|"
    r"to|due|form|kind|type|major|minor|significant|active|internal|affected|damaged?|caused|showing|shows?|suffer\w*|contain\w*|"
    r"sichtbare?\w*|anzeichen|hinweise?|spuren|von|auf|f[uü]r|einer?|de|d|du|des|la|le|les|signes?|traces?|visibles?|se[nñ]al\w*|"
    r"di|da|segni|tracce|sinais|teken\w*|van|oznak\w*|[sś]lad[oó]w|zn[aá]m\w*|"
    r"have|has|had|been|be|found|detected|seen|observed|recorded|noted|suspected|cracks?|cracking|distress|reactive|deleterious"
)
EVERY_WORD = "|".join(word for words in MATERIAL_WORDS.values() for word in words)
UNTRIED = re.compile(r"^[\s-]*(?:test|examin|analys|check|petrograph)\w*")
DENIED = re.compile(rf"{DENIALS}(?:[\s'\"]+(?:{BETWEEN}|{EVERY_WORD}))*[\s'\"]*$")
DENIED_NEAR = re.compile(rf"{DENIALS}[^.;:,]{{0,25}}$")
SAID_AFTER = re.compile(
    r"^[\s:=?\u2013\u2014-]*(?:(?:is|are|was|were|has been)\s+)?"
    r"(?:(?:no|none|nil|not?|neg|negative|absent|0|nein|keine?s?|non|aucune?|n[ée]ant|ningun[ao]|nessun[ao]?|nenhum\w?|geen|nee|brak|nie|ne)(?:\s+(?:seen|found|visible|observed|present|detected|noted|evident|test|result))?)"
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
        before, after = CLAUSES.split(remark[: found.start()])[-1], remark[found.end() :]
        untried = UNTRIED.match(after)
        denied = bool(DENIED.search(before)) and untried is None
        if not denied and not SAID_AFTER.search(after[untried.end() :] if untried else after):
            return True
    return False
