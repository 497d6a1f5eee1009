"""The audit list has every change, whatever the disk, the server or a backup put back did in between."""

from __future__ import annotations

import os
import shutil
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from slabwright.errors import StoreError
from slabwright.web.access import audit as audit_module
from slabwright.web.access.accounts import Accounts
from slabwright.web.access.audit import Audit, audit_of
from slabwright.web.access.signed import Signed
from slabwright.web.project_folder import ProjectFolder
from tests.conftest import clock
from tests.web.access.test_accounts import accounts, office, quick  # noqa: F401 (fixtures)

ADA = Signed("Ada", guarded=True)


def changes(office: ProjectFolder) -> list[tuple[str, str]]:  # noqa: F811
    return [(e.who, e.detail.removeprefix("a, no. ")[:1]) for e in office.audit.events() if e.what == "changed"]


def change(office: ProjectFolder, who: str, name: str) -> None:  # noqa: F811
    office.signed("a", who).add_alternative(name)
    office.changed("a")


def started_again(office: ProjectFolder) -> ProjectFolder:  # noqa: F811
    """A server of the same folder and list, beside one that was killed."""
    made = ProjectFolder(office.folder, "server")
    made.audit = Audit(office.audit.path)
    return made


def full(*_: Any) -> int:
    raise OSError(28, os.strerror(28))  # no space left on the device


def test_a_full_disk_is_seen_before_anything_is_done(office: ProjectFolder, monkeypatch: pytest.MonkeyPatch) -> None:  # noqa: F811
    change(office, "Ada", "one")
    before = office.audit.path.read_bytes()
    with monkeypatch.context() as broken:
        broken.setattr(os, "write", full)
        with pytest.raises(StoreError, match="No space left"):
            office.signed("a", "Ada").add_alternative("two")
        with pytest.raises(StoreError, match="No space left"):
            office.create("b", ADA)
    assert (office.project("a").head, office.names()) == (1, ["a"])
    assert office.audit.path.read_bytes() == before
    office.audit.ready()
    assert office.audit.path.read_bytes() == before  # what was tried is taken back


def test_a_disk_that_knows_no_holds_keeps_a_list(office: ProjectFolder, monkeypatch: pytest.MonkeyPatch) -> None:  # noqa: F811
    monkeypatch.setattr(audit_module.fcntl, "flock", full)
    change(office, "Ada", "one")
    assert changes(office) == [("Ada", "1")]


def test_what_the_disk_refuses_at_the_end_of_a_write_is_seen(
    office: ProjectFolder,  # noqa: F811
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Network disks say that they are full when what was written goes to them."""
    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(StoreError, match="No space left"):
        office.audit.ready()
    with pytest.raises(StoreError, match="No space left"):
        office.audit.add("Ada", "signed in")


def test_a_road_that_cannot_be_listed_is_not_made_and_one_that_cannot_be_made_is_told(
    office: ProjectFolder,  # noqa: F811
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    with monkeypatch.context() as broken:
        broken.setattr(Audit, "add", lambda *_, **__: (_ for _ in ()).throw(StoreError("the audit list is full")))
        with pytest.raises(StoreError, match="the audit list is full"):
            office.create("b", ADA)
    assert office.names() == ["a"]
    office.create("b", ADA)
    with pytest.raises(StoreError, match="already"):
        office.create("b", ADA)
    with monkeypatch.context() as broken:
        broken.setattr("slabwright.web.project_folder.create", lambda *_, **__: full_project())
        with pytest.raises(StoreError, match="no room"):
            office.create("c", ADA)
    assert [(e.what, e.detail) for e in office.audit.events()] == [
        ("began a road", "b"),
        ("began a road", "c"),
        ("could not begin a road", "not done: c"),
    ]


def full_project() -> None:
    raise StoreError("there is no room left on the disk")


def test_a_change_that_a_killed_server_did_not_list_is_listed_at_the_next_start(office: ProjectFolder) -> None:  # noqa: F811
    change(office, "Ada", "one")
    office.signed("a", "Ben").add_alternative("two")  # and killed before it is told
    again = started_again(office)
    again.list_what_was_left_out()
    again.list_what_was_left_out()
    assert changes(again) == [("Ada", "1"), ("Ben", "2")]
    change(again, "Ada", "three")
    assert changes(again) == [("Ada", "1"), ("Ben", "2"), ("Ada", "3")]
    again.close()


def test_of_a_road_begun_here_the_first_change_is_found_too(office: ProjectFolder) -> None:  # noqa: F811
    office.create("b", ADA)
    office.signed("b", "Ada").add_alternative("one")
    again = started_again(office)
    again.list_what_was_left_out()
    assert [(e.what, e.detail) for e in again.audit.events()] == [
        ("began a road", "b"),
        ("changed", "b, no. 1: add the alternative one"),
    ]
    again.close()


def test_what_was_there_before_the_list_is_not_listed(office: ProjectFolder) -> None:  # noqa: F811
    office.signed("a", "Ada").add_alternative("one")
    office.audit.path.unlink(missing_ok=True)
    again = started_again(office)
    change(again, "Ben", "two")
    assert changes(again) == [("Ben", "2")]
    third = started_again(again)
    third.list_what_was_left_out()
    assert changes(third) == [("Ben", "2")]
    again.close()
    third.close()


@pytest.mark.parametrize("put", [shutil.copyfile, shutil.move], ids=["in place", "another file"])
@pytest.mark.parametrize("restarted", [False, True])
def test_changes_after_a_backup_was_put_back_are_listed_though_their_numbers_are_used_again(
    office: ProjectFolder,  # noqa: F811
    accounts: Accounts,  # noqa: F811
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    put: Any,
    restarted: bool,
) -> None:
    seconds = iter(range(1000))
    ticking = lambda: clock() + timedelta(seconds=next(seconds))  # noqa: E731
    monkeypatch.setattr("slabwright.web.project_folder.now", ticking)
    office.audit = Audit(audit_of(accounts.path), ticking)
    change(office, "Ada", "one")
    (tmp_path / "kept").mkdir()
    shutil.copyfile(tmp_path / "a.slab", tmp_path / "kept" / "backup")
    for name in ("two", "three", "four"):
        change(office, "Ada", name)
    put(tmp_path / "kept" / "backup", tmp_path / "a.slab")
    served = started_again(office) if restarted else office
    served.audit = office.audit
    for name in ("two", "three", "five", "six"):
        change(served, "Ben" if name == "five" else "Ada", name)
    expected = [*(("Ada", n) for n in "1234"), ("Ada", "2"), ("Ada", "3"), ("Ben", "4"), ("Ada", "5")]
    assert changes(served) == expected
    served.close()
