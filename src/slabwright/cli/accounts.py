"""Commands on the accounts of a shared workspace, and its audit list."""

from __future__ import annotations

import getpass
import sys
from dataclasses import asdict
from pathlib import Path

from slabwright.cli.files import who
from slabwright.cli.output import JSON_VERSION, print_json, print_rows, say
from slabwright.cli.server import password_in
from slabwright.errors import InputError

__all__ = ["account", "audit"]

ACTIONS = ("list", "add", "role", "sign-out", "remove")


def account(path: Path, action: str, name: str, role: str, password_file: Path | None) -> None:
    from slabwright.web.access.accounts import Accounts, checked_role
    from slabwright.web.access.audit import Audit, audit_of

    if action not in ACTIONS:
        raise InputError("there is no such action on accounts", given=action, allowed=", ".join(ACTIONS))
    if action != "list" and not name:
        raise InputError("whose account?", remedy=f"Give a name: slabwright account {path} {action} NAME.")
    accounts = Accounts.begin(path) if action == "add" else Accounts(path)
    if action == "list":
        rows = [[n, a.role] for n, a in accounts.all().items()]
        print_rows("Accounts", ["Name", "Role"], rows)
        return
    if action == "add":
        accounts.add(name, checked_role(role), password_in(password_file) if password_file else _asked(name))
    elif action == "role":
        accounts.give(name, checked_role(role))
    elif action == "sign-out":
        accounts.sign_out(name)
    else:
        accounts.remove(name)
    done = {"add": f"has an account and {checked_role(role)}", "role": f"{checked_role(role)} from now on"}
    said = done.get(action, "is signed out everywhere" if action == "sign-out" else "has no account any more")
    Audit(audit_of(path)).add(who(), "changed accounts", detail=f"{name} {said}")
    say(f"{name} {said}. A workspace that runs with {path} goes by it at once.")


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

    Accounts(path)  # refused where it is no file of accounts
    events = Audit(audit_of(path)).events()
    if json:
        print_json({"version": JSON_VERSION, "events": [asdict(e) for e in events]})
        return
    rows = [[e.time, e.who, e.what, e.address, e.detail] for e in events]
    print_rows("Audit list", ["Time (UTC)", "Who", "What", "From", "Of what"], rows)
