"""Accounts, roles, sign-out everywhere, the proxy and the audit list: each refusal once, and what is let through."""

from __future__ import annotations

import asyncio
import base64
import json
import os
import re
import shutil
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest
from fastapi import FastAPI

from slabwright.errors import InputError, StoreError
from slabwright.web.access import accounts as accounts_module
from slabwright.web.access import passwords
from slabwright.web.access.accounts import Accounts
from slabwright.web.access.audit import Audit, audit_of
from slabwright.web.access.guard import Guard
from slabwright.web.access.sessions import SESSION_SECONDS, Sessions
from slabwright.web.access.signed import Signed
from slabwright.web.access.sockets import settings
from slabwright.web.api import routes as api
from slabwright.web.project_folder import ProjectFolder
from slabwright.web.view import View
from tests.cli.test_commands import call as command  # noqa: F401 (fixture)
from tests.cli.test_commands import refused
from tests.conftest import clock
from tests.web.caller import Reply, call, call_form

WORDS = {"Ada": "quiet words of Ada", "Ben": "quiet words of Ben"}
DOCS = Path(__file__).parents[3] / "docs" / "how-to" / "share-the-workspace.md"


@pytest.fixture(autouse=True)
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(passwords, "COST", 2**10)  # a hash that is quick to check


@pytest.fixture
def accounts(tmp_path: Path) -> Accounts:
    """Ada may change, Ben may look."""
    made = Accounts.begin(tmp_path / "accounts.json")
    made.add("Ada", "may change", WORDS["Ada"])
    made.add("Ben", "may look", WORDS["Ben"])
    return made


@pytest.fixture
def office(tmp_path: Path, accounts: Accounts) -> Any:
    from slabwright.project import create

    create(tmp_path / "a.slab", user="Ada", clock=clock).close()
    made = ProjectFolder(tmp_path, "server")
    made.audit = Audit(audit_of(accounts.path))
    yield made
    made.close()


@pytest.fixture
def app(office: ProjectFolder, accounts: Accounts) -> Guard:
    behind = FastAPI()
    api.install(behind, office)
    return Guard(behind, host="127.0.0.1", password_hash=None, limit_bytes=10**6, accounts=accounts, audit=office.audit)


def sign_in(app: Any, name: str, password: str = "", **more: Any) -> Reply:
    return call_form(app, "/sign-in", {"name": name, "password": password or WORDS[name], "next": "/"}, **more)


def cookie(reply: Reply) -> dict[str, str]:
    return {"cookie": reply.cookies[0].split(";")[0]}


def decide(app: Any, text: str, headers: dict[str, str], expected: int = 0) -> Reply:
    body = json.dumps({"expected": expected, "decisions": {"design.thickness": text}}).encode()
    return call(
        app, "PUT", "/api/roads/a/decisions", body=body, headers={"content-type": "application/json", **headers}
    )


def told(office: ProjectFolder) -> list[tuple[str, str]]:
    return [(e.who, e.what) for e in office.audit.events()]


def test_each_signs_in_with_a_password_of_their_own(app: Guard, office: ProjectFolder) -> None:
    assert sign_in(app, "Ada").status == 303
    assert sign_in(app, "Ben", WORDS["Ada"]).status == 401
    assert sign_in(app, "Eve", WORDS["Ada"]).status == 401
    assert told(office) == [("Ada", "signed in"), ("Ben", "was refused entry"), ("Eve", "was refused entry")]


def test_who_may_look_reads_and_is_refused_a_change_over_http(app: Guard, office: ProjectFolder) -> None:
    ben, ada = cookie(sign_in(app, "Ben")), cookie(sign_in(app, "Ada"))
    assert call(app, "GET", "/api/roads/a", headers=ben).status == 200
    refusal = decide(app, "4 in", ben)
    assert refusal.status == 403
    assert "may look" in refusal.text
    assert decide(app, "4 in", ada).status == 200
    assert [c.user for c in office.project("a").history()] == ["Ada"]
    assert told(office)[-2:] == [("Ben", "was refused a change"), ("Ada", "changed")]


def test_the_edit_of_a_lookers_page_is_refused(office: ProjectFolder, monkeypatch: pytest.MonkeyPatch) -> None:
    """What the socket of a page asks for comes to the page's view, whatever the guard let in."""
    view = View(office, "a", "base")
    view.signed = Signed("Ben", guarded=True, may_change=False, has_account=True)
    for edit in (
        lambda: view.project.decide("base", {"design.thickness": 0.1}, expected=0),
        lambda: view.project.undo(),
        lambda: view.project.add_alternative("b"),
        lambda: office.create("b", view.signed),
    ):
        with pytest.raises(InputError, match="may look"):
            edit()
    assert office.project("a").history() == ()
    view.signed = Signed("Ada", guarded=True)
    assert view.project.decide("base", {"design.thickness": 0.1}, expected=0) == 1


def test_a_session_dies_with_the_role_the_account_and_every_sign_out(app: Guard, accounts: Accounts) -> None:
    def alive(session: dict[str, str]) -> bool:
        return call(app, "GET", "/api/roads", headers=session).status == 200

    for end in (
        lambda: Accounts(accounts.path).give("Ben", "may change"),  # as the command line does, beside the server
        lambda: Accounts(accounts.path).sign_out("Ben"),
        lambda: Accounts(accounts.path).add("Ben", "may look", WORDS["Ben"]),
        lambda: Accounts(accounts.path).remove("Ben"),
    ):
        ben, also, ada = (cookie(sign_in(app, name)) for name in ("Ben", "Ben", "Ada"))
        assert alive(ben)
        end()
        assert not alive(ben)
        assert not alive(also)
        assert alive(ada)


def test_signing_out_here_and_everywhere(app: Guard, office: ProjectFolder) -> None:
    one, two, three = (cookie(sign_in(app, "Ada")) for _ in range(3))
    assert call(app, "POST", "/sign-out", headers=one).status == 303
    assert call(app, "GET", "/api/roads", headers=one).status == 401
    assert call(app, "GET", "/api/roads", headers=two).status == 200
    assert call_form(app, "/sign-out", {"everywhere": "yes"}, headers=two).status == 303
    assert [call(app, "GET", "/api/roads", headers=s).status for s in (two, three)] == [401, 401]
    assert told(office)[-2:] == [("Ada", "signed out"), ("Ada", "signed out everywhere")]


def test_a_program_sends_name_and_password_and_has_the_role_of_its_person(app: Guard) -> None:
    def basic(name: str, password: str) -> dict[str, str]:
        return {"authorization": "Basic " + base64.b64encode(f"{name}:{password}".encode()).decode()}

    assert decide(app, "4 in", basic("Ada", WORDS["Ada"])).status == 200
    assert decide(app, "5 in", basic("Ben", WORDS["Ben"]), 1).status == 403
    assert decide(app, "5 in", basic("Ben", WORDS["Ada"]), 1).status == 401
    assert decide(app, "5 in", {"authorization": f"Bearer {WORDS['Ada']}"}, 1).status == 401


# The proxy ------------------------------------------------------------------------------------------------
def test_what_another_address_says_it_forwards_is_ignored(accounts: Accounts, office: ProjectFolder) -> None:
    seen: list[tuple[str, str]] = []

    async def behind(scope: Any, receive: Any, send: Any) -> None:
        seen.append((scope["client"][0], scope["scheme"]))
        await send({"type": "http.response.start", "status": 200, "headers": []})
        await send({"type": "http.response.body", "body": b""})

    forwarded = {"x-forwarded-for": "203.0.113.9", "x-forwarded-proto": "https"}
    for proxies in (["10.0.0.1"], []):
        config = settings(behind, squeeze=False, proxies=proxies)
        config.load()
        for client in ("10.0.0.1", "10.0.0.2", "127.0.0.1"):
            call(config.loaded_app, "GET", "/", headers=forwarded, client=client)
    ignored = [(c, "http") for c in ("10.0.0.2", "127.0.0.1")]
    assert seen == [("203.0.113.9", "https"), *ignored, ("10.0.0.1", "http"), *ignored]


def test_behind_a_proxy_passwords_are_taken_over_tls_alone_and_the_cookie_is_secure(
    accounts: Accounts, app: Guard
) -> None:
    app.tls_only = True
    assert sign_in(app, "Ada").status == 403
    over_tls = sign_in(app, "Ada", scheme="https", headers={"origin": "https://localhost:8000"})
    assert over_tls.status == 303
    assert {"Secure", "HttpOnly", "SameSite=Strict"} <= {part.strip() for part in over_tls.cookies[0].split(";")}


def test_the_example_configuration_says_what_the_workspace_needs() -> None:
    """The directives are those of nginx's own documentation (ngx_http_proxy_module, WebSocket proxying; from memory)."""
    text = DOCS.read_text("utf-8")
    found = re.search(r"```nginx\n(.*?)```", text, re.DOTALL)
    assert found
    lines = [line.strip() for line in found[1].splitlines() if line.strip() and not line.strip().startswith("#")]
    assert all(line.endswith((";", "{", "}")) for line in lines)
    assert sum(line.endswith("{") for line in lines) == lines.count("}")
    for needed in (
        "proxy_pass http://127.0.0.1:8470;",
        "proxy_set_header Host $host;",
        "proxy_set_header X-Forwarded-For $remote_addr;",  # not what a client has written into it
        "proxy_set_header X-Forwarded-Proto $scheme;",
        "proxy_set_header Upgrade $http_upgrade;",
        'proxy_set_header Connection "upgrade";',
        "proxy_http_version 1.1;",
        "client_max_body_size 101m;",
    ):
        assert needed in lines, needed
    line = re.search(r"^\$ slabwright serve .*--accounts.*$", text, re.MULTILINE)
    assert line
    assert "--proxy 127.0.0.1" in line[0]
    assert "--allow-host roads.example" in line[0]


# The files and the commands ---------------------------------------------------------------------------------
def test_the_file_of_accounts_is_its_owners_and_holds_no_password(accounts: Accounts) -> None:
    assert accounts.path.stat().st_mode & 0o077 == 0
    assert not any(word in accounts.path.read_text() for word in WORDS.values())
    accounts.path.write_text('{"accounts": {"Ada": {"role": "may all"}}}')
    with pytest.raises(InputError, match="not a file of accounts"):
        accounts.all()


def test_of_changes_at_once_none_is_lost(accounts: Accounts, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each by an object of its own, as two commands and the server have; writing takes a while."""
    whole = accounts_module._write

    def slow(path: Path, held: dict[str, Any]) -> None:
        time.sleep(0.02)
        whole(path, held)

    monkeypatch.setattr(accounts_module, "_write", slow)
    with ThreadPoolExecutor() as pool:
        list(pool.map(lambda name: Accounts(accounts.path).sign_out(name), ["Ada", "Ben"] * 4))
    assert [a.signed_out for a in accounts.all().values()] == [4, 4]


def test_what_cannot_be_put_on_the_audit_list_is_not_done(app: Guard, office: ProjectFolder) -> None:
    ada = cookie(sign_in(app, "Ada"))
    blocked(office)
    refusal = sign_in(app, "Ada")
    assert (refusal.status, refusal.cookies) == (503, [])
    assert "audit list cannot be written" in refusal.text
    assert len(app.sessions._names) == 1  # only the one begun before
    refusal = decide(app, "4 in", ada)
    assert (refusal.status, "audit list cannot be written" in refusal.text) == (503, True)
    assert office.project("a").history() == ()
    with pytest.raises(StoreError, match="audit list"):
        office.create("b", Signed("Ada", guarded=True))
    assert office.names() == ["a"]


def blocked(office: ProjectFolder) -> None:
    """Let the audit list be something that takes no line."""
    office.audit.path.unlink(missing_ok=True)
    office.audit.path.mkdir()


def test_who_leaves_is_never_kept_in(app: Guard, office: ProjectFolder, accounts: Accounts) -> None:
    """Neither by an audit list that cannot be written nor by accounts that cannot be changed; the answer says so."""
    one, two = (cookie(sign_in(app, "Ada")) for _ in range(2))
    shutil.copy(accounts.path, accounts.path.with_suffix(".kept"))
    accounts.path.with_name(f".{accounts.path.name}.lock").unlink()
    accounts.path.with_name(f".{accounts.path.name}.lock").mkdir()
    answer = call_form(app, "/sign-out", {"everywhere": "yes"}, headers=one)
    assert (answer.status, "other sessions were not ended" in answer.text) == (503, True)
    assert told(office)[-1] == ("Ada", "signed out")
    blocked(office)
    answer = call(app, "POST", "/sign-out", headers=two)
    assert (answer.status, "not on the audit list" in answer.text) == (503, True)
    assert "Max-Age=0" in answer.cookies[0]
    assert [call(app, "GET", "/api/roads", headers=s).status for s in (one, two)] == [401, 401]


def test_a_change_that_the_list_did_not_take_is_told_and_listed_before_the_next(
    office: ProjectFolder, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The disk fills up between the question and the line."""
    heard: list[int] = []
    office.listen("a", 1, lambda: heard.append(1))
    ada, ben = office.signed("a", "Ada"), office.signed("a", "Ben")
    ada.add_alternative("one")

    def full(*_: Any, **__: Any) -> None:
        raise StoreError("the audit list cannot be written (No space left on device)")

    with monkeypatch.context() as broken:
        broken.setattr(office.audit, "add", full)
        with pytest.raises(StoreError, match="the change is kept, but the audit list cannot be written"):
            office.changed("a")
        assert heard == [1]
        with pytest.raises(StoreError, match="No space"):
            ben.add_alternative("two")
    ben.add_alternative("two")
    office.changed("a")
    office.changed("a")
    assert [(e.who, e.detail) for e in office.audit.events()] == [
        ("Ada", "a, no. 1: add the alternative one"),
        ("Ben", "a, no. 2: add the alternative two"),
    ]


def test_a_password_changed_while_it_is_matched_lets_nobody_in(
    app: Guard, accounts: Accounts, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The old password fits; before the session begins the account gets another one."""
    plain = app._matches

    def matches(password: str, name: str) -> bool:
        found = plain(password, name)
        accounts.add("Ada", "may change", "other words of Ada")
        return found

    monkeypatch.setattr(app, "_matches", matches)
    late = sign_in(app, "Ada")
    assert call(app, "GET", "/api/roads", headers=cookie(late)).status == 401


def test_what_is_pushed_to_a_tab_ends_with_its_session(app: Guard, accounts: Accounts) -> None:
    """A tab that says nothing hears nothing once its person may not; the socket is closed once."""
    ada, got = cookie(sign_in(app, "Ada")), []

    async def pushing(scope: Any, receive: Any, send: Any) -> None:
        await send({"type": "websocket.accept"})
        await send({"type": "websocket.send", "text": "one"})
        Accounts(accounts.path).give("Ada", "may look")
        for word in ("two", "three"):
            await send({"type": "websocket.send", "text": word})

    async def heard(message: Any) -> None:
        got.append(message.get("text", message["type"]))

    async def silent() -> Any:
        return {"type": "websocket.connect"}

    headers = [(b"host", b"localhost:8000"), (b"origin", b"http://localhost:8000"), (b"cookie", ada["cookie"].encode())]
    scope = {"type": "websocket", "path": "/_nicegui_ws/", "query_string": b"", "scheme": "ws", "headers": headers}
    app.app = pushing
    asyncio.run(app({**scope, "client": ("127.0.0.1", 1)}, silent, heard))
    assert got == ["websocket.accept", "one", "websocket.close"]


def test_the_socket_of_a_page_whose_session_ended_has_no_browser_ask_for_a_password(app: Guard) -> None:
    """A browser that is challenged keeps the answer from the page until somebody has answered (RFC 9110, 11.6.1)."""
    polling = call(app, "GET", "/_nicegui_ws/socket.io/?EIO=4&transport=polling")
    assert (polling.status, "www-authenticate" in polling.headers) == (401, False)
    assert "www-authenticate" in call(app, "GET", "/api/roads").headers


def test_a_push_does_not_keep_a_session_alive() -> None:
    now = [0.0]
    sessions = Sessions(lambda: now[0])
    token = sessions.begin("Ada")
    now[0] = SESSION_SECONDS - 1
    assert sessions.holds(token, used=False)
    now[0] = SESSION_SECONDS + 1
    assert not sessions.holds(token, used=False)


def test_accounts_that_cannot_be_read_are_a_sentence(app: Guard, accounts: Accounts) -> None:
    ada = cookie(sign_in(app, "Ada"))
    accounts.path.write_text("{")
    for reply in (sign_in(app, "Ada"), call(app, "GET", "/api/roads", headers=ada)):
        assert (reply.status, "not a file of accounts" in reply.text) == (503, True)


def test_a_named_pipe_is_no_file_of_accounts_and_no_audit_list(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    with pytest.raises(StoreError, match="it is no file"):
        Accounts(tmp_path / "pipe")
    with pytest.raises(StoreError, match="it is no file"):
        Audit(tmp_path / "pipe").add("Ada", "signed in")
    with pytest.raises(StoreError, match="it is no file"):
        Audit(tmp_path / "pipe").events()


def test_a_link_to_the_accounts_stays_one(accounts: Accounts, tmp_path: Path) -> None:
    (tmp_path / "elsewhere").mkdir()
    link = tmp_path / "elsewhere" / "people.json"
    link.symlink_to(accounts.path)
    linked = Accounts.begin(link)
    linked.sign_out("Ada")
    assert link.is_symlink()
    assert accounts.all()["Ada"].signed_out == 1
    assert audit_of(linked.path) == audit_of(accounts.path)
    (tmp_path / "loop").symlink_to(tmp_path / "loop")
    with pytest.raises(StoreError, match="accounts"):
        Accounts(tmp_path / "loop")


def test_commands_on_accounts_and_the_audit_list(command, tmp_path) -> None:  # noqa: F811
    path, secret = tmp_path / "people.json", tmp_path / "secret"
    secret.write_text("words of a keeper\n")
    out = command("account", path, "add", "Ada", "--role", "change", "--password-file", secret)[1]
    assert "Ada has an account and may change" in out
    assert "may change" in command("account", path)[1]
    assert "signed out everywhere" in command("account", path, "sign-out", "Ada")[1]
    assert "no account of this name" in refused(command("account", path, "remove", "Eve"))
    assert "no such role" in refused(command("account", path, "role", "Ada", "--role", "king"))
    assert "which role?" in refused(command("account", path, "role", "Ada"))
    assert "may change" in command("account", path)[1]
    assert "not a file of accounts" in refused(command("audit", secret))
    assert "needs a password" in refused(command("serve", tmp_path, "--proxy", "127.0.0.1"))
    assert "named by its address" in refused(command("serve", tmp_path, "--proxy", "x", "--accounts", path))
    events = json.loads(command("audit", path, "--json")[1])["events"]
    assert [e["detail"] for e in events] == ["Ada has an account and may change", "Ada is signed out everywhere"]
    before = path.read_bytes()
    (tmp_path / ".people.json.lock").unlink()
    (tmp_path / ".people.json.lock").mkdir()
    assert "cannot be written" in refused(command("account", path, "role", "Ada", "--role", "look"))
    events = json.loads(command("audit", path, "--json")[1])["events"]
    assert [e["what"] for e in events][-2:] == ["changed accounts", "could not change accounts"]
    (tmp_path / ".people.json.lock").rmdir()
    audit_of(path).unlink()
    audit_of(path).mkdir()
    for words in (("role", "Ada", "--role", "look"), ("remove", "Ada"), ("sign-out", "Ada")):
        assert "audit list cannot be written" in refused(command("account", path, *words))
    assert path.read_bytes() == before


def test_accounts_nested_without_end_are_a_sentence(app: Guard, accounts: Accounts) -> None:
    accounts.path.write_text("[" * 200_000)
    reply = sign_in(app, "Ada")
    assert (reply.status, "not a file of accounts" in reply.text) == (503, True)
