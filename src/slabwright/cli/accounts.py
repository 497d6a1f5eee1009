"""Commands on the accounts of a shared workspace, and its audit list."""

from __future__ import annotations

import getpass
import sys
from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING

from slabwright.cli.files import who
from slabwright.cli.output import JSON_VERSION, print_json, print_rows, say
from slabwright.cli.server import password_in
from slabwright.errors import InputError, SlabwrightError

if TYPE_CHECKING:
    from slabwright.web.access.accounts import Accounts

__all__ = ["account", "audit"]

ACTIONS = ("list", "add", "role", "sign-out", "remove")


def account(path: Path, action: str, name: str, role: str, password_file: Path | None) -> None:
    from slabwright.web.access.accounts import Accounts, checked_role
    from slabwright.web.access.signed import checked_user

    if action not in ACTIONS:
        raise InputError("there is no such action on accounts", given=action, allowed=", ".join(ACTIONS))
    if action != "list" and not name:
        raise InputError("whose account?", remedy=f"Give a name: slabwright account {path} {action} NAME.")
    if action == "role" and not role:
        raise InputError("which role?", remedy="Give --role look or --role change.", allowed="look, change")
    given = checked_role(role or "look")
    accounts = Accounts.begin(path) if action == "add" else Accounts(path)
    if action == "list":
        print_rows("Accounts", ["Name", "Role"], [[n, a.role] for n, a in accounts.all().items()])
        return
    if action == "add":
        name = checked_user(name)
        password = password_in(password_file) if password_file else _asked(name)
        said, act = f"has an account and {given}", lambda: accounts.add(name, given, password)
    else:
        accounts.named(name)
        said, act = {
            "role": (f"{given} from now on", lambda: accounts.give(name, given)),
            "sign-out": ("is signed out everywhere", lambda: accounts.sign_out(name)),
            "remove": ("has no account any more", lambda: accounts.remove(name)),
        }[action]
    _listed_and_done(accounts, f"{name} {said}", act)
    say(f"{name} {said}. A workspace that runs with {path} goes by it at once.")


def _listed_and_done(accounts: Accounts, detail: str, act: Callable[[], None]) -> None:
    """Do something to the accounts that is on the audit list before it is done, and told there where it then failed."""
    from slabwright.web.access.audit import Audit, audit_of

    audit = Audit(audit_of(accounts.path))
    audit.add(who(), "changed accounts", detail=detail)
    try:
        act()
    except SlabwrightError:
        audit.add(who(), "could not change accounts", detail=f"not done: {detail}")
        raise


def _asked(name: str) -> str:
    if not sys.stdin.isatty():
        raise InputError("a password is needed", remedy="Give --password-file, or run the command in a terminal.")
    first = getpass.getpass(f"Password for {name}: ")
    if getpass.getpass("Again: ") != first:
        raise InputError("the two passwords are not the same")
    return first


def audit(path: Path, json: bool) -> None:
    from slabwright.web.access.accounts import Accounts
    from slabwright.web.access.audit import Audit, audit_of

    accounts = Accounts(path)  # refused where it is no file of accounts
    kept = Audit(audit_of(accounts.path))
    events, earlier = kept.newest()
    if json:
        print_json({"version": JSON_VERSION, "earlier": earlier, "events": [asdict(e) for e in events]})
        return
    rows = [[e.time, e.who, e.what, e.address, e.detail] for e in events]
    print_rows("Audit list", ["Time (UTC)", "Who", "What", "From", "Of what"], rows)
    if earlier:
        say(f"These are the newest {len(events)} lines. Earlier ones are in {kept.path}.")
