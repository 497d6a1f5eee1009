"""What stands before the workspace: who may ask, from where, how much, and what a browser may do with the answer.

Pure ASGI. In order: the name asked for, the page that asks, the size of the body, the password; every answer gets
the security headers. On any other address than loopback the guard cannot be made without a password.
"""

from __future__ import annotations

import asyncio
import contextlib
import hashlib
import hmac
import json
import math
import secrets
import time
from collections.abc import Awaitable, Callable, Collection, MutableMapping
from typing import Any
from urllib.parse import parse_qs, quote

from slabwright.errors import InputError, SlabwrightError, StoreError
from slabwright.web.access import sign_in
from slabwright.web.access.accounts import Account, Accounts, nobodys_hash
from slabwright.web.access.asked import CHANGING, COOKIE, Asked, Scope
from slabwright.web.access.audit import Audit
from slabwright.web.access.headers import with_security_headers
from slabwright.web.access.origin import host_allowed, is_loopback, origin_allowed
from slabwright.web.access.passwords import check_hash, hash_password, verify_password
from slabwright.web.access.sessions import Sessions, Throttle
from slabwright.web.access.signed import IN_SCOPE, SIGNED, Signed, checked_user

__all__ = ["COOKIE", "Guard", "hash_password", "verify_password"]

Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]
Headers = list[tuple[bytes, bytes]]

SIGN_IN, SIGN_OUT = "/sign-in", "/sign-out"
LARGEST_FORM = 10_000
LINGER_SECONDS = 10.0
MOST_PROVEN = 100  # programs whose password is known again without the slow hash
BODY_SECONDS, SLOWEST = 30.0, 2000.0  # a body may take so long, and longer if so many bytes a second come
NOT_SIGNED_IN = "Sign in first: this workspace asks for a password."
MAY_LOOK = "You may look at this workspace, but not change it. Ask its keeper for the right to change."
TLS_ONLY = "Passwords are taken over TLS only. Open the address of this workspace that begins with https."
STATUS_KINDS = {
    400: "bad request",
    401: "not signed in",
    403: "refused",
    408: "too slow",
    413: "too large",
    429: "too many attempts",
}


class Guard:
    """The middleware. ``host`` is the address bound to; ``allowed_hosts`` are further names that lead here.

    Raises InputError when strangers could reach the workspace without a password.
    """

    def __init__(
        self,
        app: App,
        *,
        host: str,
        password_hash: str | None,
        limit_bytes: int,
        allowed_hosts: Collection[str] = (),
        accounts: Accounts | None = None,
        audit: Audit | None = None,
        tls_only: bool = False,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self.app = app
        self.local = is_loopback(host)
        self.allowed = frozenset(name.lower() for name in (host, *allowed_hosts))
        if password_hash is not None:
            check_hash(password_hash)
        elif accounts is None and not all(map(is_loopback, self.allowed)):
            raise InputError(
                "others can reach this address, so a password is needed",
                given=", ".join(sorted(self.allowed)),
                remedy="Set a password, or serve on 127.0.0.1.",
            )
        self.password_hash, self.accounts, self.audit, self.tls_only = password_hash, accounts, audit, tls_only
        self.limit = limit_bytes
        self.sessions = Sessions(clock)
        self.throttle = Throttle(clock)
        self._key = secrets.token_bytes(32)
        self._proven: bytes | None = None
        self._people: set[bytes] = set()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] not in ("http", "websocket"):
            await self.app(scope, receive, send)
            return
        request = Asked(scope)
        send = with_security_headers(request, send)
        refusal = self._refusal(request)
        if refusal is not None:
            await answer(request, send, *refusal)
        elif scope["type"] == "http":
            await limited(self._admit, scope, receive, send, self.limit)
        else:
            await self._admit(scope, receive, send)

    def _refusal(self, request: Asked) -> tuple[int, str] | None:
        if request.host is None or not host_allowed(request.host, bound_to_loopback=self.local, allowed=self.allowed):
            return 403, "This workspace does not answer to that host name."
        guarded = request.method in CHANGING or request.is_channel
        reading = request.method not in CHANGING
        if guarded and not origin_allowed(
            request.header("origin"),
            request.header("sec-fetch-site"),
            request.host,
            reading=reading,
            secure=request.secure,
        ):
            return 403, "This request came from a page of another site and was refused."
        return None

    async def _admit(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let in who may enter; a sentence where the accounts cannot be read or the audit list cannot be written."""
        request, started = Asked(scope), False

        async def watched(message: Message) -> None:
            nonlocal started
            started = True
            await send(message)

        try:
            await self._enter(request, receive, watched)
        except SlabwrightError as problem:
            if started:
                raise
            await answer(request, send, 503, str(problem))

    async def _enter(self, request: Asked, receive: Receive, send: Send) -> None:
        scope = request.scope
        if self.password_hash is None and self.accounts is None:
            await self.app(scope, receive, send)
        elif request.path == SIGN_IN and scope["type"] == "http":
            await self._sign_in(request, receive, send)
        elif request.path == SIGN_OUT and request.method == "POST":
            await self._sign_out(request, receive, send)
        elif self._holds(request.cookie):
            name, session = self.sessions.name(request.cookie), self._keyed(request.cookie).hex()
            await self._signed(request, name, *self._while_signed_in(request, receive, send), session)
        elif (basic := request.basic) is not None and self.accounts is not None:
            await self._with_basic(request, *basic, receive, send)
        elif (bearer := request.bearer) is not None and self.accounts is None:
            await self._with_bearer(request, bearer, receive, send)
        elif scope["type"] == "http" and request.method == "GET" and "text/html" in (request.header("accept") or ""):
            await redirect(send, f"{SIGN_IN}?next={quote(sign_in.local_path(request.target), safe='')}")
        else:
            asks = [] if request.is_channel else [self._asks_for]  # a page would have the browser ask for a password
            await answer(request, send, 401, NOT_SIGNED_IN, asks)

    @property
    def _asks_for(self) -> tuple[bytes, bytes]:
        return b"www-authenticate", b"Bearer" if self.accounts is None else b'Basic realm="Slabwright"'

    def _stamp(self, name: str) -> str:
        """What a session of that name must have begun with to be alive; "" where nobody of that name may enter."""
        if self.accounts is None:
            return "anybody"
        account = self.accounts.find(name)
        return "" if account is None else _stamp_of(account)

    def _holds(self, token: str, *, used: bool = True) -> bool:
        """Whether a session is alive, and its person still has the account that it was begun with."""
        if not self.sessions.holds(token, used=used):
            return False
        if self.sessions.stamp(token) == self._stamp(self.sessions.name(token)) != "":
            return True
        self.sessions.end(token)
        return False

    async def _signed(self, request: Asked, name: str, receive: Receive, send: Send, session: str = "") -> None:
        """Let somebody in under a name, as far as their role goes; the edits of a looker's socket are refused by its page."""
        account = self.accounts.find(name) if self.accounts else None
        looks = account is not None and account.role == "may look"
        if looks and request.method in CHANGING and not (request.is_channel or request.only_computes):
            self._note_refusal(name, "was refused a change", request, f"{request.method} {request.path}")
            await answer(request, send, 403, MAY_LOOK)
            return
        stamp = "" if account is None else self._keyed(_stamp_of(account)).hex()
        signed = Signed(name, True, not looks, account is not None, stamp, session)
        SIGNED.set(signed)
        request.scope[IN_SCOPE] = signed
        await self.app(request.scope, receive, send)

    def _note(self, who: str, what: str, request: Asked, detail: str = "") -> None:
        if self.audit is not None:
            self.audit.add(who, what, request.address, detail)

    def _note_refusal(self, who: str, what: str, request: Asked, detail: str = "") -> None:
        if self.audit is not None:
            self.audit.add_refusal(who, what, request.address, detail)

    def _while_signed_in(self, request: Asked, receive: Receive, send: Send) -> tuple[Receive, Send]:
        """A web socket outlives its handshake; each message is let in and out only while its session lasts."""
        if not request.is_channel:
            return receive, send
        ended = False

        def lasts(*, used: bool) -> bool:
            nonlocal ended
            if not ended:
                try:
                    ended = not self._holds(request.cookie, used=used)
                except SlabwrightError:  # of accounts that cannot be read
                    ended = True
            return not ended

        async def checked() -> Message:
            message = await receive()
            if message["type"] == "websocket.receive" and not lasts(used=True):
                return {"type": "websocket.disconnect", "code": 1008, "reason": NOT_SIGNED_IN}
            return message

        async def guarded(message: Message) -> None:
            over = ended
            if lasts(used=False):
                await send(message)
            elif not over and message["type"] in ("websocket.send", "http.response.start"):
                await answer(request, send, 401, NOT_SIGNED_IN)  # once, and nothing after it

        return checked, guarded

    async def _sign_out(self, request: Asked, receive: Receive, send: Send) -> None:
        """End this session, or with ``everywhere`` each one of the person.

        Leaving is never refused, for that would keep a stolen session alive: where it cannot be listed, or ended elsewhere,
        the answer says so.
        """
        body = await read_body(receive, LARGEST_FORM) or b""
        name = self.sessions.name(request.cookie) if self._holds(request.cookie) else ""
        everywhere = "everywhere" in parse_qs(body.decode("utf-8", "replace")) and self.accounts is not None
        self.sessions.end(request.cookie)
        done, failed = "signed out everywhere" if everywhere else "signed out", ""
        try:
            if name and everywhere and self.accounts is not None:
                await asyncio.to_thread(self.accounts.sign_out, name)  # it may wait for another program
        except SlabwrightError as problem:
            done, failed = "signed out", f" Your other sessions were not ended: {problem}"
        try:
            if name:
                self._note(name, done, request)
        except StoreError as problem:
            failed += f" This is not on the audit list: {problem}"
        if failed:
            await answer(request, send, 503, f"You are {done}.{failed}", [_cookie("", request.secure)])
            return
        await redirect(send, SIGN_IN, [_cookie("", request.secure)])

    async def _sign_in(self, request: Asked, receive: Receive, send: Send) -> None:
        if self.tls_only and not request.secure:
            await answer(request, send, 403, TLS_ONLY)
            return
        if request.method in ("GET", "HEAD"):
            wanted = parse_qs(request.query).get("next", ["/"])[0]
            await form(send, 200, sign_in.page(wanted))
            return
        if request.method != "POST":
            await answer(request, send, 405, "Signing in takes the form's POST.", [(b"allow", b"GET, HEAD, POST")])
            return
        body = await read_body(receive, LARGEST_FORM)
        if body is None:
            await form(send, 413, sign_in.page("/", "That is too long to be a password."), [(b"connection", b"close")])
            return
        fields = parse_qs(body.decode("utf-8", "replace"), keep_blank_values=True, max_num_fields=10)
        wanted, name = fields.get("next", ["/"])[0], fields.get("name", [""])[0]
        try:
            user = checked_user(name)
        except InputError as refusal:
            await form(send, 422, sign_in.page(wanted, str(refusal)))
            return
        stamp = self._stamp(user)  # of the account whose password is asked; one changed meanwhile ends the session
        wait = await self._wait_or_match(request, fields.get("password", [""])[0], user)
        if wait is None:
            self._note(user, "signed in", request)
            self.sessions.end(request.cookie)
            token = self.sessions.begin(user, stamp)
            await redirect(send, sign_in.local_path(wanted), [_cookie(token, request.secure)])
        elif wait:
            said = f"Too many attempts. Try again in {_seconds(wait)}."
            await form(send, 429, sign_in.page(wanted, said, user), [(b"retry-after", str(math.ceil(wait)).encode())])
        else:
            wrong = (
                "That is not the password." if self.accounts is None else "That name and password do not go together."
            )
            self._note_refusal(user, "was refused entry", request)
            await form(send, 401, sign_in.page(wanted, wrong, user))

    async def _with_basic(self, request: Asked, name: str, password: str, receive: Receive, send: Send) -> None:
        if self.tls_only and not request.secure:
            await answer(request, send, 403, TLS_ONLY)
            return
        try:
            checked_user(name)
        except InputError as refusal:
            await answer(request, send, 401, str(refusal), [self._asks_for])
            return
        proven = self._keyed(f"{self._stamp(name)}\0{name}\0{password}")
        wait = None if proven in self._people else await self._wait_or_match(request, password, name)
        if wait is None:
            self._people = {*list(self._people)[-MOST_PROVEN:], proven}
            await self._signed(request, name, receive, send)
        elif wait:
            headers = [(b"retry-after", str(math.ceil(wait)).encode())]
            await answer(request, send, 429, f"Too many attempts. Try again in {_seconds(wait)}.", headers)
        else:
            self._note_refusal(name, "was refused entry", request)
            await answer(request, send, 401, "That name and password do not go together.", [self._asks_for])

    async def _with_bearer(self, request: Asked, password: str, receive: Receive, send: Send) -> None:
        known = self._proven is not None and hmac.compare_digest(self._keyed(password), self._proven)
        wait = None if known else await self._wait_or_match(request, password)
        if wait is None:
            self._proven = self._keyed(password)
            SIGNED.set(Signed(guarded=True))
            await self.app(request.scope, receive, send)
        elif wait:
            headers = [(b"retry-after", str(math.ceil(wait)).encode())]
            await answer(request, send, 429, f"Too many attempts. Try again in {_seconds(wait)}.", headers)
        else:
            await answer(request, send, 401, "That is not the password.", [(b"www-authenticate", b"Bearer")])

    async def _wait_or_match(self, request: Asked, password: str, name: str = "") -> float | None:
        """None when the password is right, 0 when it is wrong, else the seconds to wait before trying."""
        wait = self.throttle.attempt(request.address, name)
        if wait > 0:
            return wait
        if await asyncio.to_thread(self._matches, password, name):
            self.throttle.succeeded(request.address, name)
            return None
        return 0.0

    def _matches(self, password: str, name: str) -> bool:
        if self.accounts is None:
            assert self.password_hash is not None
            return verify_password(password, self.password_hash)
        account = self.accounts.find(name)
        return verify_password(password, account.password if account else nobodys_hash()) and account is not None

    def _keyed(self, password: str) -> bytes:
        """A password proven once is known again without the slow hash; the key dies with the process."""
        return hashlib.blake2b(password.encode("utf-8", "replace"), key=self._key).digest()


async def limited(app: App, scope: Scope, receive: Receive, send: Send, limit: int) -> None:
    """Run the app with a body of at most ``limit`` bytes, refusing a larger one as soon as it is known to be."""
    request = Asked(scope)
    refused = (
        413,
        f"The request is larger than this workspace takes ({limit / 2**20:g} MB).",
        [(b"connection", b"close")],
    )
    declared = request.header("content-length") or ""
    if declared.isascii() and declared.isdigit() and int(declared[:20]) > limit:
        await answer(request, send, *refused)
        await drained(receive, limit)
        return
    body, started = _Body(receive, limit), False

    async def watched(message: Message) -> None:
        nonlocal started
        if body.refused and not started:
            return  # what the app makes of a body cut short is no answer
        started = True
        await send(message)

    try:
        await app(scope, body.receive, watched)
    except Exception:
        if not body.refused:
            raise
    if started:
        return
    if body.slow:
        await answer(request, send, 408, "The request took too long to arrive.", [(b"connection", b"close")])
    elif body.large:
        await answer(request, send, *refused)
        await drained(receive, limit)


def _stamp_of(account: Account) -> str:
    return f"{account.role} {account.signed_out} {account.password}"


class _Body:
    """A body as it comes in, with a bound on its length and on the time it takes."""

    def __init__(self, receive: Receive, limit: int) -> None:
        self._receive, self._limit = receive, limit
        self._begun = time.monotonic()
        self._taken = 0
        self._whole = self.slow = self.large = False

    @property
    def refused(self) -> bool:
        return self.slow or self.large

    async def receive(self) -> Message:
        if self._whole:
            return await self._receive()  # which waits until the other side goes away
        patience = BODY_SECONDS + self._taken / SLOWEST - (time.monotonic() - self._begun)
        try:
            message = await asyncio.wait_for(self._receive(), patience)
        except TimeoutError:
            self.slow = True
            raise Refused from None
        self._taken += len(message.get("body") or b"")
        self._whole = not message.get("more_body", False)
        if self._taken > self._limit:
            self.large = True
            raise Refused
        return message


async def drained(receive: Receive, most: int) -> None:
    """Let what is still being sent run out, at most so many bytes and for so long.

    A browser that is cut off while it sends says that the network failed, and never shows the answer that it was given.
    """
    with contextlib.suppress(TimeoutError):
        async with asyncio.timeout(LINGER_SECONDS):
            while most > 0:
                message = await receive()
                most -= len(message.get("body") or b"")
                if message["type"] != "http.request" or not message.get("more_body"):
                    return


class Refused(Exception):
    """Stops an app that is reading a body which has grown past the limit or does not come."""


async def read_body(receive: Receive, limit: int) -> bytes | None:
    """The whole body, None when it is longer than ``limit`` or never ends."""
    body = b""
    while True:
        message = await receive()
        body += message.get("body") or b""
        if len(body) > limit or message["type"] != "http.request":
            return None
        if not message.get("more_body"):
            return body


async def answer(request: Asked, send: Send, status: int, sentence: str, headers: Headers | None = None) -> None:
    """A refusal as a plain sentence; in the words of the interface under ``/api``, and closing a web socket."""
    if request.scope["type"] == "websocket":
        await send({"type": "websocket.close", "code": 1008, "reason": sentence})
        return
    if request.is_api:
        empty = {"where": "", "given": None, "allowed": "", "source": "", "remedy": ""}
        error = {"what": STATUS_KINDS.get(status, "refused"), **empty, "message": sentence}
        kind, body = b"application/json", json.dumps({"error": error}).encode()
    else:
        kind, body = b"text/plain; charset=utf-8", sentence.encode()
    await _respond(send, status, kind, body, headers or [])


async def form(send: Send, status: int, page: str, headers: Headers | None = None) -> None:
    policy = (b"content-security-policy", sign_in.CONTENT_POLICY.encode())
    stay = (b"cache-control", b"no-store")
    await _respond(send, status, b"text/html; charset=utf-8", page.encode(), [policy, stay, *(headers or [])])


async def redirect(send: Send, place: str, headers: Headers | None = None) -> None:
    there = [(b"location", place.encode("ascii")), (b"cache-control", b"no-store"), *(headers or [])]
    await _respond(send, 303, b"text/plain; charset=utf-8", b"", there)


async def _respond(send: Send, status: int, kind: bytes, body: bytes, headers: Headers) -> None:
    length = str(len(body)).encode()
    start = [(b"content-type", kind), (b"content-length", length), *headers]
    await send({"type": "http.response.start", "status": status, "headers": start})
    await send({"type": "http.response.body", "body": body})


def _cookie(token: str, secure: bool) -> tuple[bytes, bytes]:
    """Set with a token, cleared without one; a session cookie, so it ends with the browser."""
    parts = [f"{COOKIE}={token}", "Path=/", "HttpOnly", "SameSite=Strict"]
    return b"set-cookie", "; ".join([
        *parts,
        *(["Secure"] if secure else []),
        *([] if token else ["Max-Age=0"]),
    ]).encode()


def _seconds(wait: float) -> str:
    whole = math.ceil(wait)
    return "1 second" if whole == 1 else f"{whole} seconds"
