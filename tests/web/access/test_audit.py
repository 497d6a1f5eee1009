"""The audit list against those who write into it: nothing in it steers a terminal, and nobody buries what others did."""

from __future__ import annotations

import base64
import json
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from slabwright.errors import StoreError
from slabwright.web.access import audit as audit_module
from slabwright.web.access.accounts import Accounts
from slabwright.web.access.audit import Audit, audit_of
from slabwright.web.access.guard import Guard
from slabwright.web.project_folder import ProjectFolder
from tests.cli.test_commands import call as command  # noqa: F401 (fixture)
from tests.web.access.test_accounts import accounts, app, cookie, office, quick, sign_in, told  # noqa: F401 (fixtures)
from tests.web.caller import call

STEERING = ("\x1b]0;owned\x07\x1b[2J", "Ann\nBen", "Ann\u202eneB", "\x9b2J")


@pytest.mark.parametrize("name", STEERING)
def test_a_name_that_no_account_can_have_is_refused_and_not_listed(
    app: Guard,  # noqa: F811
    office: ProjectFolder,  # noqa: F811
    name: str,
) -> None:
    words = base64.b64encode(f"{name}:whatever it is".encode()).decode()
    reply = call(app, "GET", "/api/roads", headers={"authorization": f"Basic {words}"})
    assert (reply.status, "your name cannot be used" in reply.text) == (401, True)
    assert told(office) == []


@pytest.mark.parametrize("word", STEERING)
def test_what_somebody_asked_for_steers_no_terminal(command: Any, accounts: Accounts, word: str) -> None:  # noqa: F811
    Audit(audit_of(accounts.path)).add(word, "was refused a change", detail=f"PUT /api/roads/{word}")
    for more in ([], ["--json"]):
        code, out, _ = command("audit", accounts.path, *more)
        assert code == 0
        assert all(c.isprintable() or c == "\n" for c in out)
        assert len([line for line in out.splitlines() if "was refused a change" in line]) == 1
    assert json.loads(out)["events"][0]["who"] == word


# Burying what others did --------------------------------------------------------------------------------------
def test_refusals_of_one_person_are_counted_together(tmp_path: Path) -> None:
    now = [datetime(2026, 5, 4, 12, tzinfo=UTC)]
    audit = Audit(tmp_path / "audit.jsonl", lambda: now[0])
    for number in range(500):
        audit.add_refusal("Ben", "was refused a change", "10.0.0.9", f"PUT {number}")
    audit.add_refusal("Cy", "was refused a change", "10.0.0.8", "PUT x")
    audit.add("Ada", "changed", detail="a, no. 1: decide")
    now[0] += timedelta(seconds=59)
    audit.add_refusal("Ben", "was refused a change", "10.0.0.9", "PUT late")
    assert [e.detail for e in audit.events()] == ["PUT 0", "PUT x", "a, no. 1: decide"]
    now[0] += timedelta(seconds=1)
    audit.add_refusal("Ben", "was refused a change", "10.0.0.9", "PUT next")
    audit.add_refusal("Ben", "was refused a change", "10.0.0.9", "PUT again")
    audit.close()
    assert [(e.who, e.what, e.detail) for e in audit.events()[3:]] == [
        ("Ben", "was refused a change", "and 500 more within a minute"),
        ("Ben", "was refused a change", "PUT next"),
        ("Ben", "was refused a change", "and 1 more within a minute"),
    ]


def test_what_was_only_counted_is_told_when_the_minute_is_over_and_nobody_asks(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(audit_module, "MINUTE", timedelta(milliseconds=20))
    audit = Audit(tmp_path / "audit.jsonl")
    for _ in range(3):
        audit.add_refusal("Ben", "was refused a change")
    timer = audit._timer
    assert timer
    timer.join(5)
    assert audit.events()[-1].detail == "and 2 more within a minute"


def test_counts_that_the_list_did_not_take_are_kept(tmp_path: Path) -> None:
    audit = Audit(tmp_path / "audit.jsonl")
    for _ in range(3):
        audit.add_refusal("Ben", "was refused a change")
    audit.path.unlink()
    audit.path.mkdir()
    with pytest.raises(StoreError, match="audit list"):
        audit.tell_repeated(all_of_them=True)
    audit.path.rmdir()
    audit.close()
    assert [e.detail for e in audit.events()] == ["and 2 more within a minute"]


def test_a_looker_does_not_bury_a_change(app: Guard, office: ProjectFolder) -> None:  # noqa: F811
    ben = cookie(sign_in(app, "Ben"))
    for number in range(30):
        assert call(app, "DELETE", f"/api/roads/{number}", headers=ben).status == 403
    assert [w for _, w in told(office)] == ["signed in", "was refused a change"]
    office.audit.close()
    assert office.audit.events()[-1].detail == "and 29 more within a minute"


def test_who_reads_a_part_of_the_list_is_told_so(
    command: Any,  # noqa: F811
    accounts: Accounts,  # noqa: F811
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    audit = Audit(audit_of(accounts.path))
    lines = [json.dumps({"time": "2026-05-04T12:00:00", "who": f"P{n}", "what": "changed"}) for n in range(31)]
    monkeypatch.setattr(audit_module, "MOST_READ", 30)
    audit.path.write_text("\n".join(lines[1:]) + "\n")
    assert "Earlier ones" not in command("audit", accounts.path)[1]
    audit.path.write_text("\n".join(lines) + "\n")
    assert "the newest 30 lines. Earlier ones are in" in command("audit", accounts.path)[1]
    told_all = json.loads(command("audit", accounts.path, "--json")[1])
    assert (told_all["earlier"], told_all["events"][0]["who"], len(told_all["events"])) == (True, "P1", 30)
    monkeypatch.setattr(audit_module, "BLOCK", 50)  # shorter than a line
    for most in (1, 2, 20):
        events, earlier = audit.newest(most)
        assert ([e.who for e in events], earlier) == ([f"P{n}" for n in range(31 - most, 31)], True)


def test_no_more_of_the_list_is_read_than_is_shown(tmp_path: Path) -> None:
    audit = Audit(tmp_path / "audit.jsonl")
    with audit.path.open("wb") as file:
        file.truncate(2**36)  # 64 GB of nothing before the lines, which take no room on the disk
    audit.add("Ada", "signed in")
    audit.add("Ada", "signed out")
    events, earlier = audit.newest(1)
    assert ([e.what for e in events], earlier) == (["signed out"], True)
