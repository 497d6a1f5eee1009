"""A browser tab without a browser: it speaks what the page speaks and draws nothing, so that it times the server alone."""

from __future__ import annotations

import ast
import asyncio
import json
import re
from collections.abc import Callable
from html import unescape
from typing import Any, Self
from urllib.parse import urlencode
from uuid import uuid4

import aiohttp
import socketio

__all__ = ["Tab"]

ELEMENTS = re.compile(r"parseElements\(String\.raw`(.*?)`\)", re.DOTALL)
QUERY = re.compile(r"query: (\{.*?\}),\n")


class Tab:
    """One page of the workspace over HTTP and its web socket; ``elements`` is what a browser would draw."""

    def __init__(self, session: aiohttp.ClientSession, address: str) -> None:
        self.session, self.address = session, address
        self.elements: dict[str, dict[str, Any]] = {}
        self.received = 0
        self.errors: list[str] = []
        self._news = asyncio.Event()
        self._client = socketio.AsyncClient(http_session=session, reconnection=False)
        self._client.on("update", lambda n: self._updated(n))
        self._client.on("notify", lambda found: self.errors.append(str(found.get("message"))))
        self._client.on("run_javascript", lambda _: None)
        self._client.on("load_js_components", lambda _: None)

    async def __aenter__(self) -> Self:
        """Ask for the page and open its channel."""
        async with self.session.get(self.address) as reply:
            page = await reply.text()
        found, query = ELEMENTS.search(page), QUERY.search(page)
        assert found is not None
        assert query is not None
        self.elements = json.loads(unescape(found[1]).replace("&#36;", "$").replace("&#96;", "`"))
        self.query = ast.literal_eval(query[1])
        told = {**self.query, "document_id": str(uuid4()), "tab_id": str(uuid4()), "implicit_handshake": "true"}
        root = "/".join(self.address.split("/")[:3])
        await self._client.connect(
            f"{root}?{urlencode(told)}", transports=["websocket"], socketio_path="/_nicegui_ws/socket.io"
        )
        return self

    async def __aexit__(self, *_: object) -> None:
        await self._client.disconnect()

    def _updated(self, news: dict[str, Any]) -> None:
        self.received += len(json.dumps(news))
        news.pop("_id", None)
        for number, element in news.items():
            if element is None:
                self.elements.pop(number, None)
            else:
                self.elements[number] = element
        self._news.set()

    def props(self, element: dict[str, Any]) -> dict[str, Any]:
        return element.get("props") or {}

    async def change(self, label: str, text: str) -> None:
        """Type a text into the field of that label and confirm it."""
        number, field = next((n, e) for n, e in self.elements.items() if self.props(e).get("label") == label)
        listener = next(e["listener_id"] for e in field["events"] if e["type"] == "told")
        told = {
            "id": int(number),
            "client_id": self.query["client_id"],
            "listener_id": listener,
            "args": [json.dumps(text)],
        }
        await self._client.emit("event", told)

    async def until(self, shown: Callable[[list[str]], bool], seconds: float) -> None:
        """Wait until the literal HTML of the page satisfies ``shown``; TimeoutError when it does not in time."""
        async with asyncio.timeout(seconds):
            while not shown([str(self.props(e).get("innerHTML", "")) for e in self.elements.values()]):
                self._news.clear()
                await self._news.wait()
