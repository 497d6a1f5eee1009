"""A report is handed over by who asks from a page of their own session, and the audit list says so."""

from __future__ import annotations

from typing import Any

import pytest

from slabwright.errors import StoreError
from slabwright.web.access.guard import Guard
from slabwright.web.access.signed import SIGNED, Signed
from slabwright.web.api import documents
from slabwright.web.project_folder import ProjectFolder
from tests.web.access.test_accounts import accounts, app, blocked, cookie, office, quick, sign_in  # noqa: F401 (fixtures)
from tests.web.caller import call

ADA = Signed("Ada", guarded=True, has_account=True, account="1", session="1")


def test_a_ticket_is_of_one_session(office: ProjectFolder) -> None:  # noqa: F811
    given = office.ticket(ADA)
    others = [
        Signed(),
        Signed("Ada", guarded=True, has_account=True, account="1", session="2"),
        Signed("Ada", guarded=True, has_account=True, account="2", session="1"),
        Signed("Ben", guarded=True, may_change=False, has_account=True, account="1", session="1"),
    ]
    known = []
    for who in (ADA, *others):
        token = SIGNED.set(who)
        known.append(office.is_ticket(given))
        SIGNED.reset(token)
    assert known == [True, False, False, False, False]


def test_handing_over_is_listed_and_a_looker_hands_nothing_over(
    app: Guard,  # noqa: F811
    office: ProjectFolder,  # noqa: F811
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The document itself is not what is asked here."""
    monkeypatch.setattr(documents, "_report_bytes", lambda *_: (b"%PDF-", 0))
    ada, ben = cookie(sign_in(app, "Ada")), cookie(sign_in(app, "Ben"))

    def since() -> Any:
        return office.project("a").changes_since_report()

    tickets: list[str] = []
    plain = office.is_ticket
    monkeypatch.setattr(office, "is_ticket", lambda given: tickets.append(office.ticket(SIGNED.get())) or plain(given))
    for session in (ada, ben):
        assert call(app, "GET", "/api/roads/a/report.pdf", headers=session).status == 200
    for session, ticket in ((ben, tickets[1]), (ada, tickets[1]), (ben, tickets[0])):
        assert call(app, "GET", f"/api/roads/a/report.pdf?ticket={ticket}", headers=session).status == 200
        assert since() is None
    assert call(app, "POST", "/api/roads/a/report.pdf", headers=ben).status == 403
    assert call(app, "GET", f"/api/roads/a/report.pdf?ticket={tickets[0]}", headers=ada).status == 200
    assert since().user == "Ada"
    assert call(app, "POST", "/api/roads/a/report.pdf?alternative=base", headers=ada).status == 200
    listed = [(e.who, e.detail) for e in office.audit.events() if e.what == "handed over a report"]
    assert listed == [("Ada", "a, alternative base, as of no. 0")] * 2


def test_what_cannot_be_listed_is_not_handed_over(office: ProjectFolder) -> None:  # noqa: F811
    blocked(office)
    with pytest.raises(StoreError, match="audit list"):
        office.hand_over("a", "base", 0)
    assert office.project("a").changes_since_report() is None
