"""Whose name a change is signed with: the one given at the sign-in, else the user of this computer."""

from __future__ import annotations

from contextvars import ContextVar
from dataclasses import dataclass

from slabwright.project.texts import checked_name

__all__ = ["LONGEST_USER", "SIGNED", "Signed", "checked_user"]

LONGEST_USER = 60


@dataclass(frozen=True)
class Signed:
    """Who asks: the name of the session, "" where none was given, whether this workspace has a password at all, whether
    they may change anything, and whether they have an account of their own.
    """

    name: str = ""
    guarded: bool = False
    may_change: bool = True
    has_account: bool = False


NOBODY = Signed()
SIGNED: ContextVar[Signed] = ContextVar("signed", default=NOBODY)  # of the request that is being answered


def checked_user(name: str) -> str:
    """A name to sign with; InputError for one that could not be read in a history."""
    return checked_name(name, "your name", LONGEST_USER)
