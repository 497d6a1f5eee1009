"""The audit list against those who write into it: nothing in it steers a terminal, and nobody buries what others did."""

from __future__ import annotations

import base64
import json
from typing import Any

import pytest

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
