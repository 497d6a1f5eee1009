"""What the guard reads of a request."""

from __future__ import annotations

import base64
from collections.abc import MutableMapping
from typing import Any
from urllib.parse import quote, unquote

from slabwright.web.access.origin import HostName, parse_host

__all__ = ["CHANGING", "COOKIE", "Asked", "Scope"]

CHANNEL = "/_nicegui_ws/"  # where the pages' web socket and its long polling stand

Scope = MutableMapping[str, Any]
COOKIE = "slabwright_session"
CHANGING = ("POST", "PUT", "PATCH", "DELETE")


class Asked:
    """What the guard reads of a request."""

    def __init__(self, scope: Scope) -> None:
        self.scope = scope
        self.path: str = scope["path"]
        self.method: str = scope.get("method", "GET")
        self.query = scope.get("query_string", b"").decode("latin-1")
        self.secure = scope.get("scheme") in ("https", "wss")
        self.address = str((scope.get("client") or ("unknown",))[0])
        # Two Host headers could be read differently by the guard and by what stands behind it.
        named = [v for k, v in scope["headers"] if k == b"host"]
        self.host: HostName | None = parse_host(named[0].decode("latin-1")) if len(named) == 1 else None

    def header(self, name: str) -> str | None:
        found = [v for k, v in self.scope["headers"] if k == name.encode()]
        return b", ".join(found).decode("latin-1") if found else None

    @property
    def is_channel(self) -> bool:
        """A web socket, or the long polling that stands in for one."""
        return self.scope["type"] == "websocket" or self.path.startswith(CHANNEL)

    @property
    def is_api(self) -> bool:
        return self.path in ("/api", "/openapi.json") or self.path.startswith("/api/")

    @property
    def target(self) -> str:
        """Path and query as asked for, for coming back after signing in."""
        return quote(self.path, safe="/~!$&'()*+,;=:@") + (f"?{self.query}" if self.query else "")

    @property
    def cookie(self) -> str:
        """The session's token, "" for none."""
        for part in (self.header("cookie") or "").replace(",", ";").split(";"):
            name, _, value = part.strip().partition("=")
            if name == COOKIE:
                return value.strip()
        return ""

    @property
    def basic(self) -> tuple[str, str] | None:
        """The name and password that a program of a person sends with each request to the interface."""
        kind, _, value = (self.header("authorization") or "").partition(" ")
        if not self.is_api or self.scope["type"] != "http" or kind.lower() != "basic":
            return None
        try:
            name, colon, password = base64.b64decode(value.strip(), validate=True).decode("utf-8").partition(":")
        except ValueError:
            return None
        return (name, password) if colon else None

    @property
    def only_computes(self) -> bool:
        """Whether a request by POST changes nothing that anybody has entered: it evaluates, or computes what is stale."""
        return self.path.startswith("/api/calculations/") or (
            self.path.startswith("/api/roads/") and self.path.endswith("/run")
        )

    @property
    def bearer(self) -> str | None:
        """The password that a program sends with each request to the interface."""
        kind, _, value = (self.header("authorization") or "").partition(" ")
        if not self.is_api or self.scope["type"] != "http" or kind.lower() != "bearer" or not value.strip():
            return None
        return unquote(value.strip().encode("latin-1").decode("utf-8", "replace"))
