"""Words that several groups of decisions choose from."""

from __future__ import annotations

__all__ = ["YES_NO"]

YES_NO = ("yes", "no")
