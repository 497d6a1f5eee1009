"""Long work: begun once whoever asks, told in true shares, stopped without a trace, and helped by one pool of processes."""

from __future__ import annotations

import shutil
import threading
import time
from collections.abc import Iterator
from concurrent.futures import BrokenExecutor, ThreadPoolExecutor
from pathlib import Path

import pytest

from slabwright.bond import run as bond_run
from slabwright.errors import MissingFact
from slabwright.records.outcomes.bond import TABLES
from slabwright.records.remarks import remark
from slabwright.records.results import StageResult
from slabwright.records.stage import Given
from slabwright.records.table import empty
from slabwright.web import long_work
from slabwright.web.long_work import Work
from slabwright.web.project_folder import ProjectFolder
from slabwright.workers import workers

PATIENCE = 20  # seconds: a shared machine is slow; nothing here takes one


EMPTY = {schema.name: empty(schema) for schema in TABLES}


class Held:
    """A bond stage that goes on only when it is told to."""

    def __init__(self) -> None:
        self.runs = 0
        self.reached, self.go = threading.Event(), threading.Event()
        self.raises: Exception | None = None

    def __call__(self, given: Given) -> StageResult:
        self.runs += 1
        given.context.tell("bond", 0.25)
        self.reached.set()
        assert self.go.wait(PATIENCE)
        if self.raises is not None:
            raise self.raises
        given.context.tell("bond", 0.75)
        return StageResult("bond", EMPTY)


@pytest.fixture
def held(monkeypatch: pytest.MonkeyPatch) -> Held:
    made = Held()
    monkeypatch.setattr(bond_run, "run", made)
    return made


@pytest.fixture
def pools(monkeypatch: pytest.MonkeyPatch) -> list[ThreadPoolExecutor]:
    """Every pool that is made, in place of pools of processes."""
    made: list[ThreadPoolExecutor] = []

    def make() -> ThreadPoolExecutor:
        made.append(ThreadPoolExecutor(1))
        return made[-1]

    monkeypatch.setattr(long_work, "workers", make)
    return made


@pytest.fixture
def office(demo_file: Path, tmp_path: Path, pools: list[ThreadPoolExecutor], held: Held) -> Iterator[ProjectFolder]:
    shutil.copy(demo_file, tmp_path / "demo.slab")
    made = ProjectFolder(tmp_path, "tester")
    yield made
    held.go.set()
    made.close()


def begin(office: ProjectFolder) -> Work:
    return office.long_work.begin("demo", office.computation("demo"), "bond")


def ended(work: Work) -> str:
    assert work.future is not None
    if not work.future.cancelled():
        work.future.result(PATIENCE)
    return work.phase


def kept(office: ProjectFolder) -> bool:
    return any(stage == "bond" for stage, _ in office.project("demo").result_keys())


def test_two_tabs_that_ask_at_once_share_one_run(office: ProjectFolder, held: Held) -> None:
    one = begin(office)
    assert held.reached.wait(PATIENCE)
    assert begin(office) is one
    assert one.under_way
    assert one.share == 0.25
    held.go.set()
    assert ended(one) == "done"
    assert held.runs == 1
    assert office.computation("demo").saved("bond") is not None


def test_what_is_stopped_leaves_nothing(office: ProjectFolder, held: Held) -> None:
    work = begin(office)
    assert held.reached.wait(PATIENCE)
    office.long_work.stop(work)
    held.go.set()
    assert ended(work) == "stopped"
    assert not kept(office)
    assert begin(office) is not work


def slept(seconds: float) -> float:
    time.sleep(seconds)
    return seconds


def test_helpers_that_have_long_work_in_hand_are_not_waited_for(
    office: ProjectFolder, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two real processes sleep for ten minutes; a stop takes seconds and the next work has new ones."""
    reached = threading.Event()

    def run(given: Given) -> StageResult:
        asleep = given.context.executor.map(slept, [naps[0]] * 2)
        reached.set()
        return StageResult("bond", EMPTY, notes=(remark(str(sum(asleep))),))

    naps = [600.0]
    monkeypatch.setattr(bond_run, "run", run)
    monkeypatch.setattr(long_work, "workers", lambda: workers(2))
    work = begin(office)
    assert reached.wait(PATIENCE)
    office.long_work.stop(work)
    assert ended(work) == "stopped"
    assert not kept(office)
    naps[0] = 0.25
    assert ended(begin(office)) == "done"
    assert office.computation("demo").result("bond").notes == (remark("0.5"),)


def test_what_waits_for_its_turn_is_stopped_at_once(office: ProjectFolder, held: Held) -> None:
    first = begin(office)
    assert held.reached.wait(PATIENCE)
    office.project("demo").decide("base", {"bond.least_factor": 3.0})
    second = begin(office)
    assert second is not first
    assert second.phase == "waiting"
    office.long_work.stop(second)
    assert second.phase == "stopped"
    held.go.set()
    assert ended(first) == "done"
    assert held.runs == 1


def test_a_refusal_is_a_sentence(office: ProjectFolder, held: Held) -> None:
    held.raises = MissingFact("the plate model needs the length and width of the slabs", where="section A1")
    held.go.set()
    work = begin(office)
    assert ended(work) == "failed"
    assert "section A1" in work.sentence
    assert not kept(office)


def test_a_defect_is_a_sentence_too_and_stands_in_the_log(
    office: ProjectFolder, held: Held, caplog: pytest.LogCaptureFixture
) -> None:
    held.raises = ZeroDivisionError("a defect")
    held.go.set()
    work = begin(office)
    assert ended(work) == "failed"
    assert "ZeroDivisionError" not in work.sentence
    assert "ZeroDivisionError" in caplog.text


def test_a_pool_is_made_when_first_needed_and_ends_with_the_office(
    office: ProjectFolder, held: Held, pools: list[ThreadPoolExecutor]
) -> None:
    assert pools == []
    held.go.set()
    assert ended(begin(office)) == "done"
    office.project("demo").decide("base", {"bond.least_factor": 3.0})
    assert ended(begin(office)) == "done"
    assert len(pools) == 1
    office.close()
    with pytest.raises(RuntimeError, match="after shutdown"):
        pools[0].submit(int)


def test_a_pool_that_broke_is_replaced(office: ProjectFolder, held: Held, pools: list[ThreadPoolExecutor]) -> None:
    held.raises = BrokenExecutor("a process died")
    held.go.set()
    work = begin(office)
    assert ended(work) == "failed"
    assert "memory" in work.sentence
    held.raises = None
    assert ended(begin(office)) == "done"
    assert len(pools) == 2


def test_closing_ends_what_is_under_way(office: ProjectFolder, held: Held) -> None:
    work = begin(office)
    assert held.reached.wait(PATIENCE)
    threading.Timer(0.2, held.go.set).start()
    office.close()
    assert ended(work) == "stopped"
