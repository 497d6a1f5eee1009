"""What a browser may do with an answer of the workspace."""

from __future__ import annotations

from collections.abc import Awaitable, Callable, MutableMapping
from typing import Any

from slabwright.web.access.asked import Asked

__all__ = ["with_security_headers"]

Message = MutableMapping[str, Any]
Send = Callable[[Message], Awaitable[None]]
Headers = list[tuple[bytes, bytes]]


def with_security_headers(request: Asked, send: Send) -> Send:
    """Every answer with the headers that it has not set itself."""
    fixed = [
        (b"x-content-type-options", b"nosniff"),
        (b"x-frame-options", b"SAMEORIGIN"),
        (b"referrer-policy", b"no-referrer"),
        (b"permissions-policy", b"camera=(), geolocation=(), microphone=(), payment=(), usb=()"),
        (b"cross-origin-opener-policy", b"same-origin"),
        (b"cross-origin-resource-policy", b"same-origin"),
        (b"content-security-policy", _content_policy(request).encode()),
        *([(b"cache-control", b"no-store")] if request.is_api else []),
    ]

    async def sent(message: Message) -> None:
        if message["type"] == "http.response.start":
            own: Headers = list(message.get("headers", []))
            names = {name.lower() for name, _ in own}
            message = {**message, "headers": [*own, *(h for h in fixed if h[0] not in names)]}
        await send(message)

    return sent


def _content_policy(request: Asked) -> str:
    """Nothing from elsewhere. NiceGUI compiles its templates in the browser, which needs inline script and eval."""
    host = (request.header("host") or "") if request.host else ""
    socket = f" ws://{host} wss://{host}" if host else ""  # older browsers do not count web sockets as 'self'
    return "; ".join((
        "default-src 'self'",
        "script-src 'self' 'unsafe-inline' 'unsafe-eval'",
        "style-src 'self' 'unsafe-inline'",
        "img-src 'self' data: blob:",
        "font-src 'self' data:",
        f"connect-src 'self'{socket}",
        "worker-src 'self' blob:",
        "frame-src 'self' blob:",
        "object-src 'none'",
        "base-uri 'self'",
        "form-action 'self'",
        "frame-ancestors 'self'",
    ))
