"""A page belongs to the person it was drawn for: nobody else acts in it, whoever signs in beside it in the same browser.

A page outlives sessions, and its socket comes back with whatever session the browser holds by then. So a socket is joined to
a page only if name, role, account and session are those that the page was drawn for, and what a socket asks of a page that it was
not joined to is left undone. The browser then loads the page anew, as the page of who is signed in now.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable
from typing import Any
from urllib.parse import parse_qs

from nicegui import Client, core
from starlette.types import ASGIApp, Receive, Scope, Send

from slabwright.web.access.asked import Asked
from slabwright.web.access.guard import answer
from slabwright.web.access.signed import SIGNED, Signed, signed_in

__all__ = ["OwnUploads", "keep_pages_own"]

ASKED = ("event", "javascript_response", "ack", "log")  # what a socket asks of a page
UPLOADS = "/_nicegui/client/"
NO_PAGE = "implicit_handshake=true&client_id=none"  # its browser is told to load the page anew
ANOTHERS = "This page was drawn for somebody else. Load it anew."
Handler = Callable[..., Any]


def keep_pages_own() -> None:
    """Put the check before whatever deals with the sockets of pages by now."""
    handlers = core.sio.handlers["/"]
    for name, put in [("connect", _connecting), ("handshake", _joining), *((name, _asking) for name in ASKED)]:
        plain = inspect.unwrap(handlers[name])
        checked = put(plain)
        checked.__wrapped__ = plain  # type: ignore[attr-defined]
        core.sio.on(name, checked)


def _drawn_for(page: Client) -> Signed:
    return signed_in(page.request.scope)


def _anothers(page_id: str, asks: Signed) -> bool:
    page = Client.instances.get(page_id)
    return page is not None and _drawn_for(page) != asks


def _connecting(plain: Handler) -> Handler:
    async def connect(socket: str, environ: dict[str, Any], _: Any = None) -> Any:
        query = parse_qs(environ.get("QUERY_STRING", ""))
        if _anothers(query.get("client_id", [""])[0], signed_in(environ["asgi.scope"])):
            environ = {**environ, "QUERY_STRING": NO_PAGE}
        return await _done(plain, socket, environ)

    return connect


def _joining(plain: Handler) -> Handler:
    async def handshake(socket: str, message: dict[str, Any]) -> Any:
        if _anothers(message["client_id"], signed_in(core.sio.get_environ(socket)["asgi.scope"])):
            return False
        return await _done(plain, socket, message)

    return handshake


def _asking(plain: Handler) -> Handler:
    async def asked(socket: str, message: dict[str, Any]) -> Any:
        page = message["client_id"]
        if page not in core.sio.rooms(socket) or _anothers(page, SIGNED.get()):
            await core.sio.emit("try_reconnect", {}, room=socket)  # which loads the page anew
            return False
        return await _done(plain, socket, message)

    return asked


async def _done(plain: Handler, *given: Any) -> Any:
    found = plain(*given)
    return await found if inspect.isawaitable(found) else found


class OwnUploads:
    """The middleware before the places where pages take files."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "http" and scope["path"].startswith(UPLOADS):
            page = scope["path"].removeprefix(UPLOADS).partition("/")[0]
            if _anothers(page, signed_in(scope)):
                await answer(Asked(scope), send, 403, ANOTHERS)
                return
        await self.app(scope, receive, send)
