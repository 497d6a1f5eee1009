"""A backup bears its name only when it is whole."""

import fcntl
import os
import sqlite3
import struct
from contextlib import closing, contextmanager

import pytest

from slabwright.errors import StoreError
from slabwright.project import create, drafts, opening
from slabwright.project.opening import copy_whole
from slabwright.project.store import connect

from .helpers import load_counts, ticking


@pytest.fixture
def closed(project, path):
    load_counts(project, "a.csv", *range(1900, 2100))
    project.close()
    return path


def killed_while(path, monkeypatch, name: str) -> None:
    """Run a backup that is cut off when it reaches the function of that name."""
    child = os.fork()
    if child == 0:
        monkeypatch.setattr(opening, name, lambda *_: os._exit(9))
        copy_whole(connect(path), path.with_name("kept.slab"))
        os._exit(0)
    assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 9


def test_a_backup_cut_off_before_its_end_has_no_name(closed, monkeypatch):
    killed_while(closed, monkeypatch, "_publish")
    assert not closed.with_name("kept.slab").exists()
    assert [p.name for p in closed.parent.iterdir() if p.name.endswith(".draft")] != []
    copy_whole(connect(closed), closed.with_name("kept.slab"))
    assert {p.name for p in closed.parent.iterdir()} == {"road.slab", "kept.slab"}
    with closing(sqlite3.connect(closed.with_name("kept.slab"))) as plain:
        assert plain.execute("SELECT count(*) FROM fact_counts").fetchone() == (200,)


def test_a_copy_that_is_not_sound_is_not_kept(closed, tmp_path):
    with closing(sqlite3.connect(closed)) as plain:
        (root,) = plain.execute("SELECT rootpage FROM sqlite_master WHERE name = 'fact_counts'").fetchone()
    whole = closed.read_bytes()
    closed.write_bytes(whole[: (root - 1) * 4096] + bytes(4096) + whole[root * 4096 :])
    with pytest.raises(StoreError, match=r"damaged|not sound"):
        copy_whole(connect(closed), tmp_path / "kept.slab")
    assert {p.name for p in tmp_path.iterdir()} == {"road.slab"}


def test_nothing_is_copied_over(closed, tmp_path):
    create(tmp_path / "other.slab", user="Ada", clock=ticking()).close()
    before = (tmp_path / "other.slab").read_bytes()
    with pytest.raises(StoreError, match="of this name already"):
        copy_whole(connect(closed), tmp_path / "other.slab")
    assert (tmp_path / "other.slab").read_bytes() == before


def test_what_killed_programs_left_of_drafts_is_removed_and_a_draft_in_use_is_not(closed, tmp_path):
    target = tmp_path / "copy.slab"
    killed = [
        tmp_path / f".copy.slab.{n}.draft{end}"
        for n, end in (("0a0a0a0a", ""), ("0a0a0a0a", "-journal"), ("1b1b1b1b", "-journal"))
    ]
    others = [
        tmp_path / name for name in (".copy.slab.mine.draft", ".other.slab.0a0a0a0a.draft", ".copyXslab.0a0a0a0a.draft")
    ]
    killed.append(tmp_path / ".copy.slab.2c2c2c2c.draft.lock")
    for path in (*killed, *others):
        path.write_bytes(b"half")
    with drafts.draft_of(target) as used:
        copy_whole(connect(closed), target)
        assert used.exists()
    assert [path.name for path in (*killed, used) if path.exists()] == []
    assert all(path.read_bytes() == b"half" for path in others)


def test_nothing_is_removed_where_the_disk_knows_no_holds(closed, tmp_path, monkeypatch):
    left = tmp_path / ".copy.slab.0a0a0a0a.draft"
    left.write_bytes(b"half")
    monkeypatch.setattr(drafts, "_hold", lambda _: False)
    copy_whole(connect(closed), tmp_path / "copy.slab")
    assert left.exists()
    assert {p.name for p in tmp_path.iterdir()} == {"road.slab", "copy.slab", left.name}


def over_a_network(handle, how):
    """flock as a network disk has it: a lock on all bytes of the file that SQLite's own locks meet.

    flock(2), "NFS details" and "CIFS details", in the Linux manual pages (looked up).
    """
    kind = fcntl.F_WRLCK if how & fcntl.LOCK_EX else fcntl.F_UNLCK
    fcntl.fcntl(handle, fcntl.F_OFD_SETLK, struct.pack("hhqqi4x", kind, os.SEEK_SET, 0, 0, 0))


def test_on_a_network_disk_projects_are_made_and_copied(closed, tmp_path, monkeypatch):
    monkeypatch.setattr(drafts.fcntl, "flock", over_a_network)
    monkeypatch.setattr(opening, "BUSY_SECONDS", 0.1)
    left = tmp_path / ".copy.slab.0a0a0a0a.draft"
    left.write_bytes(b"half")
    copy_whole(connect(closed), tmp_path / "copy.slab")
    create(tmp_path / "new.slab", user="Ada", clock=ticking()).close()
    with drafts.draft_of(tmp_path / "more.slab") as used:
        copy_whole(connect(closed), tmp_path / "more.slab")
        assert used.exists()
    assert {p.name for p in tmp_path.iterdir()} == {"road.slab", "copy.slab", "new.slab", "more.slab"}


def test_a_copy_does_not_wait_for_ever(closed, tmp_path, monkeypatch):
    """Another program keeps the draft locked."""
    whole = opening.draft_of

    @contextmanager
    def locked(target):
        with whole(target) as draft, draft.open("r+b") as other:
            over_a_network(other.fileno(), fcntl.LOCK_EX)
            yield draft

    monkeypatch.setattr(opening, "draft_of", locked)
    monkeypatch.setattr(opening, "BUSY_SECONDS", 0.05)
    with pytest.raises(StoreError, match="another program is writing"):
        copy_whole(connect(closed), tmp_path / "copy.slab")
    assert {p.name for p in tmp_path.iterdir()} == {"road.slab"}


def test_a_lock_taken_for_a_leftover_before_it_is_held_is_made_anew(tmp_path, monkeypatch):
    """Another program clears in between."""
    held, seen = drafts._hold, []

    def late(handle):
        if not seen:
            seen.extend(tmp_path.iterdir())
            seen[0].unlink()
        return held(handle)

    monkeypatch.setattr(drafts, "_hold", late)
    with drafts.draft_of(tmp_path / "a.slab") as draft:
        assert seen[0].name != f"{draft.name}.lock"
        assert (tmp_path / f"{draft.name}.lock").exists()
    assert list(tmp_path.iterdir()) == []
