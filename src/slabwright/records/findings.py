"""What was found suspicious or wrong in a file, row by row, and what the engineer said to it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from slabwright.errors import shorten

__all__ = ["Finding", "Weight"]

Weight = Literal["error", "warning", "note"]


@dataclass(frozen=True)
class Finding:
    """One finding: an ``error`` stops the load, a ``warning`` waits for the engineer, a ``note`` informs."""

    weight: Weight
    rule: str
    file: str
    row: int | None
    column: str
    value: str
    message: str
    remedy: str = ""

    def __str__(self) -> str:
        place = [self.file, f"row {self.row}" if self.row is not None else "", self.column and f"column {self.column}"]
        where = ", ".join(p for p in place if p)
        given = f" (value {shorten(self.value)})" if self.value else ""
        return f"{where}: {self.message}{given}. {self.remedy}".rstrip()
