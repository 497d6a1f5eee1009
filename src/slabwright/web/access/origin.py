"""Whether a request may come from where it says: names that answer here, and pages that may change things."""

from __future__ import annotations

import ipaddress
import re
from collections.abc import Collection
from dataclasses import dataclass

__all__ = ["HostName", "host_allowed", "is_loopback", "origin_allowed", "parse_host"]

HOST = re.compile(r"(\[[0-9A-Fa-f:.]{2,45}\]|[A-Za-z0-9_.-]{1,253})(?::(\d{1,5}))?\Z")
ORIGIN = re.compile(r"(https?)://([^/?#@]{1,260})\Z")
DEFAULT_PORTS = {"http": "80", "https": "443"}


@dataclass(frozen=True)
class HostName:
    """A name or address in lower case without brackets, and its port, "" when none is written."""

    name: str
    port: str


def parse_host(text: str) -> HostName | None:
    """The Host header taken apart; None for anything that is no host."""
    match = HOST.match(text)
    if match is None:
        return None
    return HostName(match[1].strip("[]").lower().rstrip("."), match[2] or "")


def is_loopback(name: str) -> bool:
    """Whether the name can only mean this machine."""
    if name.lower() == "localhost":
        return True
    address = _address(name)
    return address is not None and address.is_loopback


def host_allowed(host: HostName, *, bound_to_loopback: bool, allowed: Collection[str]) -> bool:
    """Whether the server answers to that name.

    A page elsewhere can point a name of its own at this machine, but it cannot make a number mean another machine:
    so on a network, numeric addresses are let in beside the names that were allowed.
    """
    if host.name in allowed or is_loopback(host.name):
        return True
    return not bound_to_loopback and _address(host.name) is not None


def origin_allowed(
    origin: str | None, site: str | None, host: HostName, *, reading: bool, secure: bool = False
) -> bool:
    """Whether a request from ``origin`` may change things or open a channel here, asked for over TLS or not (``secure``).

    ``site`` is Sec-Fetch-Site, which only browsers send and no page can forge. Browsers leave Origin out when they
    read from the page's own server, and write ``null`` when a form is sent under a no-referrer policy.
    """
    if origin is None:
        return site is None or (reading and site == "same-origin")
    if origin == "null":
        return site == "same-origin"
    match = ORIGIN.match(origin)
    asked = parse_host(match[2]) if match else None
    if match is None or asked is None:
        return False
    if match[1] != ("https" if secure else "http"):
        return False  # anybody on the way may have written a page that came without TLS
    default = DEFAULT_PORTS[match[1]]
    return asked.name == host.name and (asked.port or default) == (host.port or default)


def _address(name: str) -> ipaddress.IPv4Address | ipaddress.IPv6Address | None:
    try:
        return ipaddress.ip_address(name)
    except ValueError:
        return None
