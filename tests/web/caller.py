"""Calling an ASGI application without a server: one request at a time, the body given whole or piece by piece."""

from __future__ import annotations

import asyncio
import json
from collections.abc import Iterable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from typing import Any
from urllib.parse import unquote, urlencode

BOUNDARY = "slabwright-test"


@dataclass
class Reply:
    """What came back."""

    status: int = 0
    headers: dict[str, str] = field(default_factory=dict)
    cookies: list[str] = field(default_factory=list)
    body: bytes = b""
    pieces_read: int = 0

    @property
    def text(self) -> str:
        return self.body.decode()

    @property
    def json(self) -> Any:
        return json.loads(self.body, parse_constant=_no_constant)


def _no_constant(name: str) -> None:
    raise ValueError(f"{name} is no JSON")


def call(
    app: Any,
    method: str,
    target: str,
    *,
    body: bytes | Iterable[bytes] = b"",
    headers: dict[str, str] | None = None,
    client: str = "127.0.0.1",
    scheme: str = "http",
    host: str | None = "localhost:8000",
) -> Reply:
    """One HTTP request; ``target`` is the path as it travels, still percent-encoded."""
    path, _, query = target.partition("?")
    sent = {**({"host": host} if host is not None else {}), **(headers or {})}
    scope = {
        "type": "http",
        "asgi": {"version": "3.0"},
        "http_version": "1.1",
        "method": method,
        "scheme": scheme,
        "path": unquote(path),
        "raw_path": path.encode(),
        "query_string": query.encode(),
        "root_path": "",
        "headers": [(k.lower().encode(), v.encode("latin-1")) for k, v in sent.items()],
        "client": (client, 50000),
        "server": ("localhost", 8000),
    }
    pieces = iter([body]) if isinstance(body, bytes) else iter(body)
    with ThreadPoolExecutor(1) as aside:  # a browser test in this process may hold a running event loop
        return aside.submit(lambda: asyncio.run(_exchange(app, scope, pieces))).result()


async def _exchange(app: Any, scope: dict[str, Any], pieces: Iterator[bytes]) -> Reply:
    reply, ended = Reply(), False

    async def receive() -> dict[str, Any]:
        nonlocal ended
        if ended:
            await asyncio.sleep(3600)
        piece = next(pieces, None)
        if piece is None:
            ended = True
            return {"type": "http.request", "body": b"", "more_body": False}
        reply.pieces_read += 1
        return {"type": "http.request", "body": piece, "more_body": True}

    async def send(message: dict[str, Any]) -> None:
        if message["type"] == "http.response.start":
            assert reply.status == 0, "a second answer to one request"
            reply.status = message["status"]
            for key, value in message["headers"]:
                reply.headers[key.decode().lower()] = value.decode("latin-1")
                if key.lower() == b"set-cookie":
                    reply.cookies.append(value.decode())
        elif message["type"] == "http.response.body":
            reply.body += message.get("body", b"")

    await app(scope, receive, send)
    return reply


def call_json(app: Any, method: str, target: str, given: object, **more: Any) -> Reply:
    """A request with a JSON body."""
    return call(
        app, method, target, body=json.dumps(given).encode(), headers={"content-type": "application/json"}, **more
    )


def call_form(
    app: Any, target: str, fields: dict[str, str], headers: dict[str, str] | None = None, **more: Any
) -> Reply:
    """What a browser sends for a plain form."""
    kind = {"content-type": "application/x-www-form-urlencoded"}
    return call(app, "POST", target, body=urlencode(fields).encode(), headers={**kind, **(headers or {})}, **more)


def multipart(name: str, content: bytes, fields: Iterable[tuple[str, str]] = ()) -> tuple[bytes, dict[str, str]]:
    """(body, headers) of an upload."""
    quoted = name.replace("\\", "\\\\").replace('"', "%22").replace("\r", "%0D").replace("\n", "%0A")
    parts = [
        f'--{BOUNDARY}\r\nContent-Disposition: form-data; name="{key}"\r\n\r\n{value}\r\n'.encode()
        for key, value in fields
    ]
    head = f'--{BOUNDARY}\r\nContent-Disposition: form-data; name="file"; filename="{quoted}"\r\n\r\n'.encode()
    body = b"".join([*parts, head, content, f"\r\n--{BOUNDARY}--\r\n".encode()])
    return body, {"content-type": f"multipart/form-data; boundary={BOUNDARY}"}
