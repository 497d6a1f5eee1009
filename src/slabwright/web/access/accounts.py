"""Accounts of persons: a name, what they may do, and the hash of their password, in one file that only its owner reads.

The file is JSON, ``{"accounts": {NAME: {"role": ROLE, "password": HASH, "signed_out": N}}}``. It is read again when it has
changed, so what the command line does to it holds at once for a workspace that runs.
"""

from __future__ import annotations

import errno
import fcntl
import json
import os
import secrets
import stat
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import asdict, dataclass, replace
from functools import cache
from pathlib import Path
from typing import Literal, get_args

from slabwright.errors import InputError, StoreError
from slabwright.web.access.passwords import check_hash, hash_password
from slabwright.web.access.signed import checked_user

__all__ = ["Account", "Accounts", "Role", "checked_role", "nobodys_hash"]

PATIENCE = 5.0  # seconds that a change of the accounts waits for another
Role = Literal["may look", "may change"]


@dataclass(frozen=True)
class Account:
    """``signed_out`` counts how often every session of the person was ended at once."""

    role: Role
    password: str
    signed_out: int = 0


def checked_role(text: str) -> Role:
    """A role by its words or by their last one."""
    for role in get_args(Role):
        if text.strip().lower() in (role, role.partition(" ")[2]):
            return role
    raise InputError("there is no such role", given=text, allowed="look, change")


@cache
def nobodys_hash() -> str:
    """The hash of a password that nobody knows, so that an unknown name takes as long to refuse as a known one."""
    return hash_password(secrets.token_urlsafe(32))


class Accounts:
    """The accounts of a file. Raises StoreError for one that cannot be read, InputError for one that says nonsense."""

    def __init__(self, path: Path) -> None:
        self.path = _meant(path)
        self._lock = threading.Lock()
        self._stamp: tuple[int, ...] = ()
        self._held: dict[str, Account] = {}
        self.all()

    @classmethod
    def begin(cls, path: Path) -> Accounts:
        """The accounts of a file, which is made where there is none."""
        found = _meant(path)
        if not found.exists():
            _write(found, {})
        return cls(found)

    def all(self) -> dict[str, Account]:
        """Every account by name, as the file has them now."""
        with self._lock:
            try:
                found = self.path.stat()
                stamp = found.st_ino, found.st_mtime_ns, found.st_size
                if not stat.S_ISREG(found.st_mode):
                    raise OSError(errno.EINVAL, "it is no file")
                if stamp != self._stamp:
                    self._held, self._stamp = _read(self.path), stamp
            except OSError as problem:
                raise StoreError(
                    f"the file of accounts cannot be read ({problem.strerror})", where=str(self.path)
                ) from problem
            return dict(self._held)

    def find(self, name: str) -> Account | None:
        """The account of that name, None for none."""
        return self.all().get(name)

    def named(self, name: str) -> Account:
        """The account of that name; InputError for none."""
        return _named(self.all(), name)

    def add(self, name: str, role: Role, password: str) -> None:
        """A new account, or another password and role for an old one, whose sessions end."""
        known = checked_user(name)
        hashed = hash_password(password)

        def put(accounts: dict[str, Account]) -> None:
            before = accounts.get(known)
            accounts[known] = Account(role, hashed, before.signed_out + 1 if before else 0)

        self._change(put)

    def remove(self, name: str) -> None:
        """Take an account away; its sessions end."""

        def take(accounts: dict[str, Account]) -> None:
            _named(accounts, name)
            del accounts[name]

        self._change(take)

    def give(self, name: str, role: Role) -> None:
        """Another role; sessions begun with the old one end."""

        def put(accounts: dict[str, Account]) -> None:
            accounts[name] = replace(_named(accounts, name), role=role)

        self._change(put)

    def sign_out(self, name: str) -> None:
        """End every session of a person, wherever it was begun."""

        def put(accounts: dict[str, Account]) -> None:
            before = _named(accounts, name)
            accounts[name] = replace(before, signed_out=before.signed_out + 1)

        self._change(put)

    def _change(self, put: Callable[[dict[str, Account]], object]) -> None:
        with _alone(self.path):
            accounts = _read(self.path)
            put(accounts)
            _write(self.path, accounts)
        self.all()


def _named(accounts: dict[str, Account], name: str) -> Account:
    if name not in accounts:
        raise InputError("there is no account of this name", given=name, allowed=", ".join(accounts) or "none")
    return accounts[name]


def _meant(path: Path) -> Path:
    """The file that a path or a link to it means, so that its lock and its audit list are one whatever it is called."""
    try:
        return path.resolve()
    except (OSError, RuntimeError) as problem:
        raise StoreError("the file of accounts is a link that leads nowhere", where=str(path)) from problem


@contextmanager
def _alone(path: Path) -> Iterator[None]:
    """While no other process changes the accounts: two changes at once would lose one. The lock ends with its process."""
    try:
        handle = os.open(path.with_name(f".{path.name}.lock"), os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600)
    except OSError as problem:
        raise StoreError(
            f"the file of accounts cannot be written ({problem.strerror})", where=str(path), remedy="See who owns it."
        ) from problem
    try:
        _locked(handle, path)
        yield
    finally:
        os.close(handle)


def _locked(handle: int, path: Path) -> None:
    """Wait for the lock, but not for ever: one that a stopped program holds is no reason to stop."""
    until = time.monotonic() + PATIENCE
    while True:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
            return
        except BlockingIOError as problem:
            if time.monotonic() > until:
                raise StoreError(
                    "another program is changing the accounts",
                    where=str(path),
                    remedy="Try again; see what holds them.",
                ) from problem
            time.sleep(0.02)


def _read(path: Path) -> dict[str, Account]:
    refusal = InputError(
        "this is not a file of accounts", where=str(path), remedy="Make one with `slabwright account FILE add NAME`."
    )
    try:
        given = json.loads(path.read_text("utf-8"))["accounts"]
        accounts = {
            checked_user(name): Account(checked_role(a["role"]), a["password"], int(a["signed_out"]))
            for name, a in given.items()
        }
        for account in accounts.values():
            check_hash(account.password)
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError, InputError) as problem:
        raise refusal from problem
    return accounts


def _write(path: Path, accounts: dict[str, Account]) -> None:
    """Whole or not at all, readable by its owner alone."""
    text = json.dumps({"accounts": {name: asdict(a) for name, a in accounts.items()}}, ensure_ascii=False, indent=1)
    try:
        handle, draft = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
        try:
            with os.fdopen(handle, "w", encoding="utf-8") as file:
                file.write(text)
                file.flush()
                os.fsync(file.fileno())
            os.replace(draft, path)
        except BaseException:
            Path(draft).unlink(missing_ok=True)
            raise
    except OSError as problem:
        raise StoreError(
            f"the file of accounts cannot be written ({problem.strerror})", where=str(path), remedy="See who owns it."
        ) from problem
