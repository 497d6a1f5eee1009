"""What may be written as text: names an eye can tell apart, and values that every database can hold."""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence

from slabwright.errors import InputError

__all__ = ["check_storable", "checked_name", "escaped"]

LONGEST_NAME = 60
# Control, surrogate, unassigned, line and paragraph separators; and marks that reverse what is read after them.
UNPRINTABLE = {"Cc", "Cs", "Cn", "Zl", "Zp"}
OVERRIDES = set("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


def escaped(text: str) -> str:
    """The text with what no name may hold written out, so that it steers no terminal and breaks no line."""
    if text.isprintable():
        return text
    return "".join(c.encode("unicode_escape").decode() if _unprintable(c) else c for c in text)


def _unprintable(letter: str) -> bool:
    return unicodedata.category(letter) in UNPRINTABLE or letter in OVERRIDES


def checked_name(name: str, what: str, longest: int = LONGEST_NAME) -> str:
    """The name without outer spaces, in composed form, or InputError when it cannot be one."""
    composed = unicodedata.normalize("NFC", name).strip()
    if any(map(_unprintable, composed)) or not 1 <= len(composed) <= longest:
        raise InputError(f"{what} cannot be used", given=name, allowed=f"1 to {longest} printable characters")
    return composed


def check_storable(values: Sequence[str], where: str) -> None:
    """Raise InputError for text that is no text: NUL characters and halves of surrogate pairs."""
    joined = "".join(values)
    if "\0" not in joined and joined.isascii():
        return
    for row, value in enumerate(values, start=1):
        if "\0" in value or any(unicodedata.category(c) == "Cs" for c in value if c > "\uffff" or c >= "\ud800"):
            raise InputError(
                "the text holds characters that no file can keep (NUL or half a surrogate pair)",
                where=f"{where}, row {row} of the table",
                given=value,
                remedy="Remove these characters.",
            )
