"""A backup bears its name only when it is whole."""

import os
import sqlite3
from contextlib import closing

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
