"""A page acts for the person it was drawn for, whoever signs in beside it in the same browser."""

from __future__ import annotations

import asyncio
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest
from nicegui import Client, core
from nicegui import nicegui as machinery

from slabwright.web import own_pages
from slabwright.web.access.accounts import Accounts
from slabwright.web.access.guard import Guard
from slabwright.web.access.signed import IN_SCOPE, SIGNED, Signed, signed_in
from tests.web.access.test_accounts import WORDS, accounts, app, cookie, office, quick, sign_in  # noqa: F401 (fixtures)
from tests.web.caller import call

ADA = Signed("Ada", guarded=True, has_account=True, account="1")
OTHERS = {
    "somebody else": Signed("Ben", guarded=True, has_account=True, account="1"),
    "a looker": Signed("Ben", guarded=True, may_change=False, has_account=True, account="2"),
    "demoted": Signed("Ada", guarded=True, may_change=False, has_account=True, account="3"),
    "another password": Signed("Ada", guarded=True, has_account=True, account="4"),
    "another session": Signed("Ada", guarded=True, has_account=True, account="1", session="2"),
    "nobody": Signed(),
}
PAGE = "page-of-ada"


@pytest.fixture
def done(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """What was let through to the pages; the socket "s" has joined the page of Ada."""
    seen: list[str] = []

    def plain(name: str) -> Any:
        return lambda *_: seen.append(name) or True

    names = ("connect", "handshake", *own_pages.ASKED)
    sio = SimpleNamespace(
        handlers={"/": {name: plain(name) for name in names}}, rooms=lambda s: [s, PAGE][: 1 + (s == "s")]
    )
    sio.on = lambda name, handler: sio.handlers["/"].update({name: handler})
    sio.get_environ = lambda _: {"asgi.scope": {IN_SCOPE: SIGNED.get()}}

    async def emit(name: str, *_: Any, room: str) -> None:
        seen.append(f"{name} to {room}")

    sio.emit = emit

    async def connect(socket: str, environ: Any) -> bool:
        await machinery._on_connect(socket, environ)  # which refuses a page that there is not
        return plain("connect")()

    sio.handlers["/"]["connect"] = connect
    monkeypatch.setattr(core, "sio", sio)
    page = SimpleNamespace(request=SimpleNamespace(scope={IN_SCOPE: ADA}))
    monkeypatch.setitem(Client.instances, PAGE, page)
    own_pages.keep_pages_own()
    own_pages.keep_pages_own()  # of a second workspace in this process
    return seen


def ask(who: Signed, name: str, socket: str = "s") -> Any:
    async def asked() -> Any:
        SIGNED.set(who)
        given: Any = {"client_id": PAGE}
        if name == "connect":
            given = {"QUERY_STRING": f"client_id={PAGE}", "asgi.scope": {IN_SCOPE: who}}
        return await core.sio.handlers["/"][name](socket, given)

    return asyncio.run(asked())


def test_its_own_person_is_let_through_once(done: list[str]) -> None:
    for name in ("connect", "handshake", *own_pages.ASKED):
        assert ask(ADA, name) is True
    assert done == ["connect", "handshake", *own_pages.ASKED]


@pytest.mark.parametrize("who", OTHERS.values(), ids=OTHERS)
def test_no_socket_of_another_joins_a_page(done: list[str], who: Signed) -> None:
    with pytest.raises(Exception, match=r"^Implicit handshake failed$"):  # at which the browser loads the page anew
        ask(who, "connect")
    assert ask(who, "handshake") is False
    assert done == []


@pytest.mark.parametrize("who", OTHERS.values(), ids=OTHERS)
def test_nobody_else_acts_in_a_page(done: list[str], who: Signed) -> None:
    """Over long polling each message comes with the session that the browser holds by then."""
    for name in own_pages.ASKED:
        assert ask(who, name) is False
    assert done == ["try_reconnect to s"] * 4


def test_a_socket_asks_nothing_of_a_page_that_it_has_not_joined(done: list[str]) -> None:
    assert ask(ADA, "event", socket="another") is False
    assert done == ["try_reconnect to another"]


def test_a_file_goes_to_a_page_of_ones_own(done: list[str]) -> None:
    async def plain(scope: Any, receive: Any, send: Any) -> None:
        done.append(scope["path"])
        await send({"type": "http.response.start", "status": 200, "headers": []})
        await send({"type": "http.response.body", "body": b""})

    def by(who: Signed) -> int:
        async def let_in(scope: Any, receive: Any, send: Any) -> None:
            await own_pages.OwnUploads(plain)({**scope, IN_SCOPE: who}, receive, send)

        return call(let_in, "POST", f"/_nicegui/client/{PAGE}/upload/7").status

    assert [by(who) for who in (ADA, *OTHERS.values())] == [200, *[403] * len(OTHERS)]
    assert len(done) == 1


def test_who_signs_in_over_another_is_told_apart(app: Guard, accounts: Accounts) -> None:  # noqa: F811
    """By name, by role, by the account and by the session: what the guard hands on with each request."""
    seen: list[Signed] = []

    async def behind(scope: Any, receive: Any, send: Any) -> None:
        seen.append(signed_in(scope))
        await send({"type": "http.response.start", "status": 200, "headers": []})
        await send({"type": "http.response.body", "body": b""})

    app.app = behind

    def enter(name: str) -> dict[str, str]:
        session = cookie(sign_in(app, name))
        call(app, "GET", "/road/a/design", headers=session)
        return session

    session = enter("Ada")
    call(app, "GET", "/road/a/life", headers=session)
    enter("Ada")
    enter("Ben")
    accounts.give("Ada", "may look")
    enter("Ada")
    accounts.give("Ada", "may change")
    accounts.sign_out("Ada")
    enter("Ada")
    first, again, elsewhere, ben, demoted, later = seen
    assert first == again
    assert len({first, elsewhere, ben, demoted, later}) == 5
    assert replace(first, session="") == replace(elsewhere, session="")  # by the account alone they are one
    assert len({replace(s, session="") for s in (first, ben, demoted, later)}) == 4
    assert not any(word in repr(seen) for word in (*WORDS.values(), accounts.all()["Ada"].password))
