"""Sockets are few, and each says in time what it wants; those who do are answered meanwhile."""

from __future__ import annotations

import asyncio
import socket
import threading
import time
from collections.abc import Iterator
from contextlib import ExitStack
from typing import Any

import pytest
import uvicorn

from slabwright.errors import InputError
from slabwright.web.access import guard, sockets
from slabwright.web.access.guard import Guard
from slabwright.web.access.sockets import listening, settings

HEAD = b"GET / HTTP/1.1\r\nhost: 127.0.0.1\r\n"
SOON = 0.3


async def behind(scope: Any, receive: Any, send: Any) -> None:
    if scope["type"] == "http":
        more = scope["path"] != "/early"  # where the answer does not wait for the body
        while more:
            more = (await receive()).get("more_body", False)
        await send({"type": "http.response.start", "status": 200, "headers": [(b"content-length", b"2")]})
        await send({"type": "http.response.body", "body": b"ok"})


@pytest.fixture
def server(monkeypatch: pytest.MonkeyPatch) -> Iterator[int]:
    """The port of a server whose patience is short and whose room is small."""
    monkeypatch.setattr(sockets, "HEAD_SECONDS", SOON)
    monkeypatch.setattr(sockets, "IN_ALL", 40)
    monkeypatch.setattr(guard, "BODY_SECONDS", SOON)
    monkeypatch.setattr(sockets.Doorkeeper, "open", sockets.Open())
    app = Guard(behind, host="127.0.0.1", password_hash=None, limit_bytes=1000)
    with listening("127.0.0.1", 0) as listener:
        running = uvicorn.Server(settings(app, squeeze=False))
        thread = threading.Thread(target=lambda: asyncio.run(running.serve(sockets=[listener])))
        thread.start()
        while not running.started:
            time.sleep(0.01)
        yield listener.getsockname()[1]
        running.should_exit = True
        thread.join()


def opened(port: int, said: bytes = b"") -> socket.socket:
    made = socket.create_connection(("127.0.0.1", port), timeout=5)
    made.sendall(said)
    return made


def answer(port: int, said: bytes) -> bytes:
    """All that comes back until the other side closes."""
    with opened(port, said) as made:
        return b"".join(iter(lambda: made.recv(65536), b""))


def honest(port: int) -> bytes:
    return answer(port, HEAD + b"connection: close\r\n\r\n")


def test_half_a_request_is_closed_and_honest_ones_are_answered_meanwhile(server: int) -> None:
    with ExitStack() as stack:
        slow = [stack.enter_context(opened(server, HEAD)) for _ in range(30)]
        begun = time.perf_counter()
        assert honest(server).startswith(b"HTTP/1.1 200")
        assert time.perf_counter() - begun < SOON, "before the slow ones were closed"
        assert all(s.recv(100).startswith(b"HTTP/1.1 408") and s.recv(100) == b"" for s in slow)


def test_a_socket_that_says_nothing_is_closed(server: int) -> None:
    assert answer(server, b"").startswith(b"HTTP/1.1 408")


def test_half_a_second_request_is_closed_too(server: int) -> None:
    with opened(server, HEAD + b"\r\n") as made:
        said = made.recv(65536)
        while not said.endswith(b"ok"):
            said += made.recv(65536)
        made.sendall(HEAD)
        assert made.recv(100).startswith(b"HTTP/1.1 408")


def pour(made: socket.socket) -> None:
    for _ in range(400):
        made.sendall(b"x: " + b"y" * 1000 + b"\r\n")
        time.sleep(0.0005)


def test_headers_without_end_are_refused(server: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sockets, "HEAD_SECONDS", 60.0)
    with opened(server, HEAD) as made, pytest.raises(OSError, match=r"[Rr]eset|[Bb]roken"):
        pour(made)


def test_a_body_that_does_not_come_is_refused(server: int) -> None:
    said = answer(server, b"POST / HTTP/1.1\r\nhost: 127.0.0.1\r\ncontent-length: 500\r\n\r\nhalf")
    assert said.startswith(b"HTTP/1.1 408")


def test_a_body_that_nobody_asked_for_keeps_no_socket_open(server: int) -> None:
    """Answered before the body came, which then never comes, or a byte at a time."""
    told = b"GET /early HTTP/1.1\r\nhost: 127.0.0.1\r\ncontent-length: 900\r\n\r\n"
    assert answer(server, told).startswith(b"HTTP/1.1 200")
    with opened(server, told) as made:
        said = made.recv(65536)
        for _ in range(200):
            time.sleep(0.02)
            try:
                made.sendall(b"x")
            except OSError:
                break
        else:
            pytest.fail("a byte at a time keeps the socket open")
        assert said.startswith(b"HTTP/1.1 200")


def test_more_sockets_than_there_is_room_for_are_refused(server: int) -> None:
    with ExitStack() as stack:
        for _ in range(40):
            stack.enter_context(opened(server, HEAD))
        assert answer(server, b"").startswith(b"HTTP/1.1 503")
    time.sleep(SOON)
    assert honest(server).startswith(b"HTTP/1.1 200")


def test_one_address_takes_no_more_than_its_share(monkeypatch: pytest.MonkeyPatch) -> None:
    class Transport:
        closing = False

        def is_closing(self) -> bool:
            return self.closing

    monkeypatch.setattr(sockets, "EACH", 3)
    counted: Any = sockets.Open()
    held = [Transport() for _ in range(3)]
    assert all(counted.admit("192.0.2.1", each) for each in held)
    assert not counted.admit("192.0.2.1", Transport())
    assert counted.admit("192.0.2.2", Transport())
    assert all(counted.admit("127.0.0.1", Transport()) for _ in range(5)), "a proxy here speaks for many"
    held[0].closing = True
    assert counted.admit("192.0.2.1", Transport())


def test_a_taken_port_is_said() -> None:
    with listening("127.0.0.1", 0) as first, pytest.raises(InputError, match="another program listens") as refusal:
        listening("127.0.0.1", first.getsockname()[1])
    assert "--port" in refusal.value.remedy
    with pytest.raises(InputError, match="cannot listen on this address"):
        listening("192.0.2.1", 0)
