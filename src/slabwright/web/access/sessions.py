"""Who is signed in, and how often a stranger may guess; both forget, so that neither grows without bound."""

from __future__ import annotations

import hashlib
import ipaddress
import secrets
import threading
from collections import Counter, OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, field

__all__ = ["SESSION_SECONDS", "Sessions", "Throttle"]

SESSION_SECONDS = 12 * 3600.0  # a working day, counted from the last use
MOST_SESSIONS = 1000
MOST_ADDRESSES = 1000
MOST_NAMES = 50  # told apart at one address
FREE_ATTEMPTS = 3
FREE_ATTEMPTS_OF_ALL = 20
LONGEST_WAIT = 900.0
LONGEST_WAIT_OF_ALL = 60.0  # short enough that a stranger who keeps guessing cannot lock the office out
FORGET_SECONDS = 3600.0

Seconds = Callable[[], float]


class Sessions:
    """Random tokens, kept as hashes, each living until it has been unused for a working day."""

    def __init__(self, clock: Seconds) -> None:
        self._clock = clock
        self._expiry: OrderedDict[bytes, float] = OrderedDict()
        self._names: dict[bytes, tuple[str, str]] = {}  # with the stamp of the account at the sign-in
        self._lock = threading.Lock()

    def begin(self, name: str = "", stamp: str = "") -> str:
        """A new token for somebody of that name; the longest unused one makes room for it."""
        token = secrets.token_urlsafe(32)
        with self._lock:
            self._expiry[_key(token)] = self._clock() + SESSION_SECONDS
            self._names[_key(token)] = name, stamp
            while len(self._expiry) > MOST_SESSIONS:
                self._names.pop(self._expiry.popitem(last=False)[0], None)
        return token

    def name(self, token: str) -> str:
        """The name that the session was begun with, "" for none."""
        with self._lock:
            return self._names.get(_key(token), ("", ""))[0]

    def stamp(self, token: str) -> str:
        """The stamp that the session was begun with, "" for none."""
        with self._lock:
            return self._names.get(_key(token), ("", ""))[1]

    def holds(self, token: str, *, used: bool = True) -> bool:
        """Whether the token is alive; its life starts anew when it is ``used``."""
        key = _key(token)
        with self._lock:
            if self._expiry.get(key, 0.0) <= self._clock():
                self._expiry.pop(key, None)
                self._names.pop(key, None)
                return False
            if used:
                self._expiry[key] = self._clock() + SESSION_SECONDS
                self._expiry.move_to_end(key)
            return True

    def end(self, token: str) -> None:
        with self._lock:
            self._expiry.pop(_key(token), None)
            self._names.pop(_key(token), None)


def _key(token: str) -> bytes:
    return hashlib.sha256(token.encode("utf-8", "replace")).digest()


@dataclass
class Failures:
    """Attempts that failed in a row, by name too, when the next is allowed, and when they are forgotten."""

    count: int = 0
    allowed_at: float = 0.0
    forgotten_at: float = 0.0
    names: Counter[str] = field(default_factory=Counter)


class Throttle:
    """A wait that doubles with every failed attempt, for each address and for all addresses together.

    A sign-in forgives what failed under its own name at its address: one's own password opens no guesses at another's. An
    address from which somebody has signed in does not wait for the guesses of others.
    """

    def __init__(self, clock: Seconds) -> None:
        self._clock = clock
        self._addresses: OrderedDict[str, Failures] = OrderedDict()
        self._known: OrderedDict[str, None] = OrderedDict()
        self._all = Failures()
        self._lock = threading.Lock()

    def attempt(self, address: str, name: str = "") -> float:
        """Seconds that the address must wait, 0 when it may try now under that name.

        An attempt counts as failed until ``succeeded``: guesses sent side by side are counted before they are judged.
        """
        now, place = self._clock(), _neighbourhood(address)
        with self._lock:
            own = self._addresses.pop(place, Failures())
            self._addresses[place] = own
            while len(self._addresses) > MOST_ADDRESSES:
                self._addresses.popitem(last=False)
            wait = max(own.allowed_at, 0.0 if place in self._known else self._all.allowed_at) - now
            if wait > 0:
                return wait
            _count(own, now, FREE_ATTEMPTS, LONGEST_WAIT)
            if name in own.names or len(own.names) < MOST_NAMES:
                own.names[name] += 1
            _count(self._all, now, FREE_ATTEMPTS_OF_ALL, LONGEST_WAIT_OF_ALL)
            return 0.0

    def succeeded(self, address: str, name: str = "") -> None:
        """Forget what failed under that name at the address, and that this attempt was counted for all."""
        place = _neighbourhood(address)
        with self._lock:
            own = self._addresses.get(place, Failures())
            own.count -= min(own.names.pop(name, 1), own.count)
            own.allowed_at = 0.0
            if not own.count:
                self._addresses.pop(place, None)
            self._known[place] = None
            self._known.move_to_end(place)
            while len(self._known) > MOST_ADDRESSES:
                self._known.popitem(last=False)
            self._all.count = max(0, self._all.count - 1)
            self._all.allowed_at = 0.0

    def __len__(self) -> int:
        return len(self._addresses)


def _count(failures: Failures, now: float, free: int, longest: float) -> None:
    if failures.forgotten_at <= now:
        failures.count = 0
        failures.names.clear()
    failures.count += 1
    if failures.count >= free:
        failures.allowed_at = now + min(2.0 ** min(failures.count - free, 30), longest)
    failures.forgotten_at = now + FORGET_SECONDS


def _neighbourhood(address: str) -> str:
    """The address, or the /64 network of an IPv6 one, all of which usually belongs to one subscriber."""
    try:
        parsed = ipaddress.ip_address(address.split("%")[0])
    except ValueError:
        return address[:60]
    if parsed.version == 6:
        mapped = parsed.ipv4_mapped
        return str(mapped) if mapped else str(ipaddress.ip_network((int(parsed), 64), strict=False))
    return str(parsed)
