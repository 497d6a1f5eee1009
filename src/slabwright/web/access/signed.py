"""Whose name a change is signed with: the one given at the sign-in, else the user of this computer."""

from __future__ import annotations

from collections.abc import Mapping
from contextvars import ContextVar
from dataclasses import dataclass
from typing import Any

from slabwright.project.texts import checked_name

__all__ = ["IN_SCOPE", "LONGEST_USER", "SIGNED", "Signed", "checked_user", "signed_in"]

LONGEST_USER = 60


@dataclass(frozen=True)
class Signed:
    """Who asks: the name of the session, "" where none was given, whether this workspace has a password at all, whether
    they may change anything, whether they have an account of their own, and digests of that account as it was then and of
    the session, "" for none.
    """

    name: str = ""
    guarded: bool = False
    may_change: bool = True
    has_account: bool = False
    account: str = ""
    session: str = ""


NOBODY = Signed()
SIGNED: ContextVar[Signed] = ContextVar("signed", default=NOBODY)  # of the request that is being answered
IN_SCOPE = "slabwright.signed"  # the same, where a request is remembered with its scope


def signed_in(scope: Mapping[str, Any]) -> Signed:
    """Who asked with a request of that scope."""
    found = scope.get(IN_SCOPE, NOBODY)
    assert isinstance(found, Signed)
    return found


def checked_user(name: str) -> str:
    """A name to sign with; InputError for one that could not be read in a history."""
    return checked_name(name, "your name", LONGEST_USER)
