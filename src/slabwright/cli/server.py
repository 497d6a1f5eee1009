"""The command that opens the workspace."""

from __future__ import annotations

import ipaddress
from pathlib import Path

from slabwright.cli.files import Place, who
from slabwright.cli.output import say
from slabwright.errors import InputError, StoreError

__all__ = ["is_loopback", "password_in", "serve"]

SHORTEST_PASSWORD = 12


def serve(
    place: Place,
    host: str,
    port: int,
    password_file: Path | None,
    names: list[str],
    accounts_file: Path | None = None,
    proxies: list[str] | None = None,
) -> None:
    from slabwright.web.access.accounts import Accounts
    from slabwright.web.access.sockets import listening
    from slabwright.web.server import serve as run

    if isinstance(place, Path):
        place = place.absolute()
        if not place.exists():
            raise StoreError(
                "there is no project file or folder of this name",
                where=str(place),
                remedy="Make one with `slabwright new`.",
            )
    if password_file and accounts_file:
        raise InputError("a workspace has one password or accounts", allowed="--password-file or --accounts")
    password = password_in(password_file) if password_file else None
    accounts = Accounts(accounts_file) if accounts_file else None
    for proxy in proxies or []:
        _check_address(proxy)
    if (proxies or not is_loopback(host)) and password is None and accounts is None:
        raise InputError(
            "an address that others can reach needs a password",
            given=host,
            remedy="Give --accounts or --password-file, and put the server behind TLS.",
        )
    with listening(host, port) as listener:
        say(f"Open http://{host}:{port}/ in a browser; stop with Ctrl+C.")
        run(
            place,
            host=host,
            listener=listener,
            password=password,
            user=who(),
            names=names,
            accounts=accounts,
            proxies=proxies or [],
        )


def _check_address(proxy: str) -> None:
    try:
        ipaddress.ip_address(proxy)
    except ValueError:
        raise InputError("a proxy is named by its address", given=proxy, allowed="for example 127.0.0.1") from None


def is_loopback(host: str) -> bool:
    """Whether only this machine can reach an address."""
    try:
        return ipaddress.ip_address(host.strip("[]")).is_loopback
    except ValueError:
        return host == "localhost"


def password_in(path: Path) -> str:
    """The password on the first line of a file."""
    try:
        first = path.read_text("utf-8").splitlines()[:1]
    except (OSError, UnicodeDecodeError) as problem:
        raise StoreError("the password file cannot be read", where=str(path)) from problem
    if not first or len(first[0].strip()) < SHORTEST_PASSWORD:
        raise InputError(
            "the password is too short",
            where=str(path),
            allowed=f"at least {SHORTEST_PASSWORD} characters on the first line",
        )
    return first[0].strip()
