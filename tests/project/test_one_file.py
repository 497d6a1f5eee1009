"""The one file is whole by itself after every change, and takes nothing from what another file left beside it."""

import errno
import os
import shutil
import signal
import sqlite3
import struct
import subprocess
import sys
import threading
from contextlib import closing
from pathlib import Path

import pytest

from slabwright.errors import StoreError
from slabwright.project import beside, check_whole, copy_project, create, open_project, opening, store
from slabwright.project.beside import journal_of

from .helpers import load_counts, ticking


def thickness(path: Path) -> float:
    with open_project(path, user="Ada", clock=ticking()) as project:
        return project.decisions().design.thickness


def is_sound(path: Path) -> bool:
    with closing(sqlite3.connect(path)) as plain:
        return plain.execute("PRAGMA integrity_check").fetchall() == [("ok",)]


READER = """
import sqlite3, sys
plain = sqlite3.connect(sys.argv[1], isolation_level=None)
print(plain.execute("SELECT count(*) FROM change").fetchone()[0], flush=True)
for line in sys.stdin:
    print(plain.execute("SELECT count(*) FROM change").fetchone()[0], flush=True)
"""


def test_a_copy_of_the_file_alone_holds_every_acknowledged_edit_while_others_have_it_open(project, path, tmp_path):
    copies = tmp_path / "copies"
    copies.mkdir()
    values = [0.05 + n / 100 for n in range(8)]
    with subprocess.Popen(
        [sys.executable, "-c", READER, str(path)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as other:
        assert other.stdout.readline() == "0\n"
        for number, value in enumerate(values, start=1):
            project.decide("base", {"design.thickness": value})
            shutil.copyfile(path, copies / f"{number}.slab")
            other.stdin.write("again\n")
            other.stdin.flush()
            assert other.stdout.readline() == f"{number}\n"
        other.stdin.close()
    assert [thickness(copies / f"{n}.slab") for n in range(1, len(values) + 1)] == values
    assert {p.name for p in tmp_path.iterdir()} == {"road.slab", "copies"}


def test_a_change_waits_for_one_who_reads_and_then_stands_in_the_file(project, reopened, path):
    with reopened() as other, other.store.reading() as connection:
        before = connection.exec_driver_sql("SELECT count(*) FROM change").scalar()
        writer = threading.Thread(target=project.decide, args=("base", {"design.thickness": 0.1}))
        writer.start()
        writer.join(0.1)
        assert writer.is_alive()
        assert before == connection.exec_driver_sql("SELECT count(*) FROM change").scalar() == 0
    writer.join()
    assert project.decisions().design.thickness == 0.1


@pytest.mark.parametrize("put", [shutil.copyfile, lambda copy, path: os.replace(copy, path)])
def test_a_copy_put_over_an_open_project_is_the_project(project, path, tmp_path, put):
    project.decide("base", {"design.thickness": 0.05})
    shutil.copyfile(path, tmp_path / "copy.slab")
    for value in (0.1, 0.11, 0.12):
        project.decide("base", {"design.thickness": value})
    put(tmp_path / "copy.slab", path)
    assert project.decisions().design.thickness == 0.05
    assert project.decide("base", {"design.thickness": 0.2}) == 2
    project.close()
    assert is_sound(path)
    assert thickness(path) == 0.2


def kill_in_a_change(path: Path) -> None:
    """A program that is killed while it changes many pages, so that some are in the file already."""
    child = os.fork()
    if child == 0:
        with (
            open_project(path, user="Ben", clock=ticking()) as project,
            project.store.writing() as connection,
        ):
            connection.exec_driver_sql("PRAGMA cache_size = 5")
            connection.exec_driver_sql("UPDATE change SET what = what || hex(randomblob(3000))")
            connection.exec_driver_sql("UPDATE decision SET word = hex(randomblob(2000))")
            os.kill(os.getpid(), signal.SIGKILL)
    os.waitpid(child, 0)
    assert journal_of(path).stat().st_size > 0


@pytest.fixture
def killed(project, path, tmp_path):
    """A project killed in a change, and two copies: of an earlier state, and of the state just before the kill."""
    project.decide("base", {"design.thickness": 0.05})
    shutil.copyfile(path, tmp_path / "earlier.slab")
    project.decide("base", {"design.thickness": 0.1})
    shutil.copyfile(path, tmp_path / "before.slab")
    project.close()
    kill_in_a_change(path)
    assert path.read_bytes() != (tmp_path / "before.slab").read_bytes()
    return path


def test_a_project_killed_in_a_change_opens_as_it_was_before(killed):
    assert thickness(killed) == 0.1
    assert is_sound(killed)
    assert not journal_of(killed).exists()


def test_so_does_one_killed_after_its_first_page_was_written(killed):
    number = journal_of(killed).read_bytes()[12:16]
    page = bytearray(killed.read_bytes())
    (counter,) = struct.unpack(">I", page[24:28])
    page[24:28] = page[92:96] = struct.pack(">I", counter + 1)
    page[60:64] = number
    killed.write_bytes(page)
    assert thickness(killed) == 0.1
    assert is_sound(killed)


def test_a_copy_of_an_earlier_state_in_its_place_is_refused_until_the_journal_is_gone(killed, tmp_path):
    shutil.copyfile(tmp_path / "earlier.slab", killed)
    with pytest.raises(StoreError, match=r"beside the project lies road\.slab-journal") as refusal:
        open_project(killed, user="Ada", clock=ticking())
    assert "put a copy in the place" in refusal.value.remedy
    assert killed.read_bytes() == (tmp_path / "earlier.slab").read_bytes()
    journal_of(killed).unlink()
    assert thickness(killed) == 0.05


def test_a_copy_of_the_very_state_before_takes_no_harm_from_the_journal(killed, tmp_path):
    shutil.copyfile(tmp_path / "before.slab", killed)
    assert thickness(killed) == 0.1
    assert is_sound(killed)


def test_a_project_that_is_open_does_not_take_a_strange_journal_either(project, path, tmp_path):
    project.decide("base", {"design.thickness": 0.05})
    with create(tmp_path / "other.slab", user="Ada", clock=ticking()) as other:
        other.decide("base", {"design.thickness": 0.2})
    kill_in_a_change(tmp_path / "other.slab")
    assert project.decisions().design.thickness == 0.05
    os.replace(journal_of(tmp_path / "other.slab"), journal_of(path))
    with pytest.raises(StoreError, match="another state of the file left behind"):
        project.decisions()
    journal_of(path).unlink()
    assert project.decisions().design.thickness == 0.05
    assert is_sound(path)


# Files of an older version, which kept a log beside them ------------------------------------------------------
@pytest.fixture
def logged(project, path, tmp_path):
    """A project as an older version left it when it was killed: the last change stands in the log only."""
    project.decide("base", {"design.thickness": 0.05})
    project.close()
    with closing(sqlite3.connect(path)) as plain:
        plain.execute("PRAGMA journal_mode = WAL")
    shutil.copyfile(path, tmp_path / "earlier.slab")
    with closing(sqlite3.connect(path)) as plain:
        plain.execute("PRAGMA wal_autocheckpoint = 0")
        plain.execute("UPDATE decision SET number = 0.11 WHERE name = 'design.thickness' AND closed IS NULL")
        plain.execute("UPDATE head SET last = last + 1")
        plain.commit()
        for name in ("road.slab", "road.slab-wal"):
            shutil.copy2(tmp_path / name, tmp_path / f"kept-{name}")
    for name in ("road.slab", "road.slab-wal"):
        shutil.copy2(tmp_path / f"kept-{name}", tmp_path / name)
    os.utime(path, ns=(10**18, 10**18))
    return path


def test_a_log_of_an_older_version_is_folded_in(logged, tmp_path):
    assert thickness(logged) == 0.11
    assert not (tmp_path / "road.slab-wal").exists()
    assert logged.read_bytes()[18:20] == b"\1\1"


def test_a_log_older_than_the_file_is_refused(logged, tmp_path):
    shutil.copyfile(tmp_path / "earlier.slab", logged)
    with pytest.raises(StoreError, match=r"beside the project lies road\.slab-wal") as refusal:
        open_project(logged, user="Ada", clock=ticking())
    assert "delete or move road.slab-wal" in refusal.value.remedy
    (tmp_path / "road.slab-wal").unlink()
    assert thickness(logged) == 0.05


def test_a_log_beside_a_file_that_keeps_none_is_refused(logged, tmp_path):
    with create(tmp_path / "new.slab", user="Ada", clock=ticking()) as new:
        new.decide("base", {"design.thickness": 0.2})
    os.replace(tmp_path / "new.slab", logged)
    with pytest.raises(StoreError, match=r"beside the project lies road\.slab-wal"):
        open_project(logged, user="Ada", clock=ticking())


def test_a_log_where_nothing_can_be_written_is_not_passed_over(logged, tmp_path, monkeypatch):
    for module in (store, opening):
        monkeypatch.setattr(module, "may_write", lambda _path: False)
    for act in (lambda: copy_project(logged, tmp_path / "copy.slab"), lambda: thickness(logged)):
        with pytest.raises(StoreError, match=r"stand in road\.slab-wal beside it") as refusal:
            act()
        assert "Copy both files" in refusal.value.remedy
    assert not (tmp_path / "copy.slab").exists()


# Damage ---------------------------------------------------------------------------------------------------
def test_damaged_pages_are_found_at_opening(project, path):
    load_counts(project, "a.csv", *range(1900, 2400))
    project.close()
    whole = path.read_bytes()
    (root,) = next(_roots(path, "fact_counts"))
    path.write_bytes(whole[: (root - 1) * 4096] + bytes(4096) + whole[root * 4096 :])
    with pytest.raises(StoreError, match="damaged") as refusal:
        open_project(path, user="Ada", clock=ticking())
    assert "Restore it from a copy" in refusal.value.remedy


def _roots(path, table):
    with closing(sqlite3.connect(path)) as plain:
        yield plain.execute("SELECT rootpage FROM sqlite_master WHERE name = ?", (table,)).fetchone()


def test_a_copy_to_a_disk_that_may_not_be_written_is_a_sentence(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Such a disk refuses to remove even a file that is not there (EROFS)."""
    create(tmp_path / "road.slab", user="Ada", clock=ticking()).close()

    def refuse(_: Path, missing_ok: bool = False) -> None:
        raise OSError(errno.EROFS, "Read-only file system")

    monkeypatch.setattr(Path, "unlink", refuse)
    with pytest.raises(StoreError):
        copy_project(tmp_path / "road.slab", tmp_path / "nowhere" / "copy.slab")


@pytest.mark.parametrize("head", [-1, 1.5, 999_999])
def test_a_head_that_names_no_change_is_not_whole(tmp_path: Path, head: float) -> None:
    create(tmp_path / "road.slab", user="Ada", clock=ticking()).close()
    with closing(sqlite3.connect(tmp_path / "road.slab")) as plain:
        plain.execute('UPDATE head SET "change" = ?', (head,))
        plain.commit()
    with (
        open_project(tmp_path / "road.slab", user="Ada", clock=ticking()) as project,
        pytest.raises(StoreError, match="history has no head"),
    ):
        check_whole(project)


def test_a_pipe_in_the_place_of_the_journal_is_another_files(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(beside, "PATIENCE", 0.1)
    create(tmp_path / "road.slab", user="Ada", clock=ticking()).close()
    os.mkfifo(journal_of(tmp_path / "road.slab"))
    with (
        pytest.raises(StoreError, match="beside the project lies"),
        open_project(tmp_path / "road.slab", user="Ada", clock=ticking()) as project,
    ):
        project.decide("base", {"design.thickness": 0.1})
