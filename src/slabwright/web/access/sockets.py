"""The sockets of the server: how many may be open, and how long one may take to say what it wants."""

from __future__ import annotations

import asyncio
import errno
import ipaddress
import socket
from collections.abc import Sequence
from typing import Any

import uvicorn
from uvicorn.protocols.http import h11_impl

from slabwright.errors import InputError

__all__ = ["EACH", "HEAD_SECONDS", "IN_ALL", "LARGEST_HEAD", "Doorkeeper", "listening", "settings"]

LARGEST_HEAD = 32 * 1024  # bytes of a request line and its headers
HEAD_SECONDS = (
    15.0  # from the opening of a socket, or from the first byte of a further request, to the end of the headers
)
IN_ALL = 1000  # open sockets, one or two for each tab of a browser
EACH = 200  # open sockets of one address other than this machine, whose proxy speaks for many
BUSY = b"HTTP/1.1 503 Service Unavailable\r\nconnection: close\r\ncontent-length: 0\r\n\r\n"
IDLE = h11_impl.h11.IDLE  # type: ignore[attr-defined]  # the other side has begun no request, or no whole one
SEND_BODY = h11_impl.h11.SEND_BODY  # type: ignore[attr-defined]  # in the middle of a request, or of an answer
SLOW = b"HTTP/1.1 408 Request Timeout\r\nconnection: close\r\ncontent-length: 0\r\n\r\n"


class Open:
    """The sockets that are open, by address; web sockets too, which live on under another protocol."""

    def __init__(self) -> None:
        self._by_address: dict[str, set[asyncio.Transport]] = {}

    def admit(self, address: str, transport: asyncio.Transport) -> bool:
        """Count a new socket in, unless there are too many."""
        self._by_address = {
            known: alive
            for known, transports in self._by_address.items()
            if (alive := {t for t in transports if not t.is_closing()})
        }
        here = self._by_address.setdefault(address, set())
        full = len(here) >= EACH and not _is_here(address)
        if full or sum(map(len, self._by_address.values())) >= IN_ALL:
            return False
        here.add(transport)
        return True


def _is_here(address: str) -> bool:
    try:
        return ipaddress.ip_address(address).is_loopback
    except ValueError:
        return False


class Doorkeeper(h11_impl.H11Protocol):
    """A connection that is closed when there are too many, when its request does not come to the end of its headers, or when a
    body that was announced does not come after the answer was given."""

    open = Open()
    _waiting: asyncio.TimerHandle | None = None

    def connection_made(self, transport: Any) -> None:
        super().connection_made(transport)
        if not self.open.admit(self.client[0] if self.client else "", transport):
            transport.write(BUSY)
            transport.close()
            return
        self._wait()

    def data_received(self, data: bytes) -> None:
        if self.transport.is_closing():
            return
        super().data_received(data)
        if self.conn.their_state is IDLE:
            self._wait()
        elif not self._unread():
            self._wait_no_longer()

    def on_response_complete(self) -> None:
        super().on_response_complete()
        if not self.transport.is_closing() and self._unread():
            self._wait()

    def _unread(self) -> bool:
        """Whether the answer was given before the rest of the request came."""
        return self.conn.their_state is SEND_BODY and self.cycle is not None and self.cycle.response_complete

    def connection_lost(self, exc: Exception | None) -> None:
        self._wait_no_longer()
        super().connection_lost(exc)

    def _wait(self) -> None:
        if self._waiting is None:
            self._waiting = self.loop.call_later(HEAD_SECONDS, self._end)

    def _wait_no_longer(self) -> None:
        if self._waiting is not None:
            self._waiting.cancel()
            self._waiting = None

    def _end(self) -> None:
        self._waiting = None
        if self.transport.is_closing():
            return
        if self.conn.their_state is IDLE:
            self.transport.write(SLOW)
            self.transport.close()
        elif self._unread():
            self.transport.close()


def settings(app: Any, *, squeeze: bool, proxies: Sequence[str] = ()) -> uvicorn.Config:
    """The settings of the server for an application; what other addresses than the proxies' say they forward is ignored."""
    return uvicorn.Config(
        app,
        http=Doorkeeper,
        h11_max_incomplete_event_size=LARGEST_HEAD,
        log_level="warning",
        server_header=False,
        ws_per_message_deflate=squeeze,
        proxy_headers=bool(proxies),
        forwarded_allow_ips=list(proxies),
    )


def listening(host: str, port: int) -> socket.socket:
    """A socket that listens at an address. Raises InputError where the port is taken or the address is not here."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    made = socket.socket(family)
    try:
        made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        made.bind((host.strip("[]"), port))
        made.listen(2048)
    except OSError as problem:
        made.close()
        if problem.errno == errno.EADDRINUSE:
            raise InputError(
                "another program listens on this port",
                given=port,
                remedy="Stop it, or choose another port with --port.",
            ) from problem
        raise InputError(
            f"the server cannot listen on this address ({problem.strerror or problem})", given=f"{host}:{port}"
        ) from problem
    made.set_inheritable(False)
    return made
