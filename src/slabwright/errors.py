"""Everything that Slabwright refuses, and how it says so.

    SlabwrightError
    ├── InputError          what the user gave cannot be read or makes no sense
    │   ├── OutOfRange      a value lies outside the stated bounds of a calculation or column
    │   └── MissingFact     a stage needs something that the project does not hold yet
    ├── NotConverged        a solver gave up; there is no number
    ├── StoreError          the project file cannot be opened, read or written
    ├── Conflict            somebody else changed what this edit was based on
    ├── Undeclared          a stage looked at what its declaration does not name: a defect of the program
    └── BadResult           a stage's result or declaration is not sound: a defect of the program

Each error carries what is wrong, where, the value given, what is allowed, the source of the limit and
the remedy, and prints them as plain sentences. A traceback on a user's screen is a defect.
"""

from __future__ import annotations

__all__ = [
    "BadResult",
    "Conflict",
    "InputError",
    "MissingFact",
    "NotConverged",
    "OutOfRange",
    "SlabwrightError",
    "StoreError",
    "Undeclared",
]

LONGEST_VALUE = 80


class SlabwrightError(Exception):
    """Base of the tree; the keyword parts are printed in a fixed order."""

    exit_code = 1

    def __init__(
        self,
        what: str,
        *,
        where: str = "",
        given: object = None,
        allowed: str = "",
        source: str = "",
        remedy: str = "",
    ) -> None:
        self.what = what
        self.where = where
        self.given = given
        self.allowed = allowed
        self.source = source
        self.remedy = remedy
        super().__init__(what)

    def __str__(self) -> str:
        parts = [f"{self.where}: {self.what}" if self.where else self.what]
        if self.given is not None:
            parts.append(f"given {shorten(self.given)}")
        if self.allowed:
            parts.append(f"allowed {self.allowed}")
        if self.source:
            parts.append(f"limit from {self.source}")
        sentence = "; ".join(parts).rstrip(".") + "."
        return f"{sentence} {self.remedy}".rstrip()


class InputError(SlabwrightError):
    """What the user gave cannot be read or makes no sense."""

    exit_code = 2


class OutOfRange(InputError):
    """A value lies outside the stated bounds."""


class MissingFact(InputError):
    """A stage needs something that the project does not hold yet; ``lacks`` says what is lacking, whichever stage asks."""

    def __init__(self, what: str, *, where: str = "", remedy: str = "", lacks: str = "") -> None:
        super().__init__(what, where=where, remedy=remedy)
        self.lacks = lacks

    @property
    def once(self) -> str:
        """The same without the stage: said once for all that wait for it."""
        return str(MissingFact(self.lacks or self.what, where=self.where, remedy=self.remedy))


class NotConverged(SlabwrightError):
    """A solver gave up; it never returns a number."""


class StoreError(SlabwrightError):
    """The project file cannot be opened, read or written."""

    exit_code = 2


class Conflict(SlabwrightError):
    """Somebody else changed what this edit was based on."""

    exit_code = 2


def shorten(value: object, limit: int = LONGEST_VALUE) -> str:
    """The value as one printable line of at most ``limit`` characters."""
    if not isinstance(value, str):
        return str(value)[:limit]
    text = value
    text = "".join(c if c.isprintable() else "\N{REPLACEMENT CHARACTER}" for c in text[: limit + 1])
    return repr(text) if len(text) <= limit else repr(text[:limit]) + " (cut)"


class Undeclared(SlabwrightError):
    """A stage looked at a table, a group of decisions or a result that its declaration does not name."""

    def __init__(self, stage: str, what: str, name: str) -> None:
        super().__init__(
            f"the stage {stage} looks at {what} {name}, which it does not declare",
            remedy="This is a defect of the program: the declaration of the stage must name it.",
        )


class BadResult(SlabwrightError):
    """What a stage gives, or declares, is not what the rest of the program relies on."""

    def __init__(self, stage: str, what: str, name: str) -> None:
        super().__init__(f"the stage {stage} {what}", given=name, remedy="This is a defect of the program.")
