"""The command that opens the workspace."""

from __future__ import annotations

import ipaddress
from pathlib import Path

from slabwright.cli.files import Place, who
from slabwright.cli.output import say
from slabwright.errors import InputError, StoreError

__all__ = ["is_loopback", "serve"]

SHORTEST_PASSWORD = 12


def serve(place: Place, host: str, port: int, password_file: Path | None, names: list[str]) -> None:
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
    password = _password(password_file) if password_file else None
    if not is_loopback(host) and password is None:
        raise InputError(
            "an address that others can reach needs a password",
            given=host,
            remedy="Give --password-file, and put the server behind TLS.",
        )
    with listening(host, port) as listener:
        say(f"Open http://{host}:{port}/ in a browser; stop with Ctrl+C.")
        run(place, host=host, listener=listener, password=password, user=who(), names=names)


def is_loopback(host: str) -> bool:
    """Whether only this machine can reach an address."""
    try:
        return ipaddress.ip_address(host.strip("[]")).is_loopback
    except ValueError:
        return host == "localhost"


def _password(path: Path) -> str:
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
