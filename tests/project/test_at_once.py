"""Several people in one file at once: each waits for the other or is told, and nothing is lost."""

import itertools
from concurrent.futures import ThreadPoolExecutor, wait

from slabwright.errors import Conflict
from slabwright.project import open_project

from .helpers import load_counts, ticking

TURNS = 15


def test_writers_at_once_lose_nothing(project, place):
    project.close()

    def work(user: str) -> list[int]:
        with open_project(place, user=user, clock=ticking()) as mine:
            return [load_counts(mine, f"{user}-{turn}.csv", 2000 + turn, 2100) for turn in range(TURNS)]

    with ThreadPoolExecutor(3) as pool:
        numbers = list(pool.map(work, ["Ada", "Ben", "Cleo"]))
    with open_project(place, user="Ada", clock=ticking()) as again:
        history = again.history()
        assert sorted(itertools.chain(*numbers)) == [c.id for c in history] == list(range(1, 3 * TURNS + 1))
        assert {s.name for s in again.sources()} == {
            f"{u}-{t}.csv" for u in ("Ada", "Ben", "Cleo") for t in range(TURNS)
        }
        assert len(again.facts().counts) == 2 * 3 * TURNS


def test_of_writers_with_the_same_base_one_wins_and_the_others_are_told(project, place):
    def work(user: str) -> str:
        with open_project(place, user=user, clock=ticking()) as mine:
            mine.decide("base", {"design.thickness": 0.05 + len(user) / 100}, expected=0)
        return user

    with ThreadPoolExecutor(4) as pool:
        futures = [pool.submit(work, user) for user in ("Al", "Ben", "Cleo", "Doris")]
    problems = [future.exception() for future in futures]
    (winner,) = (future.result() for future in futures if future.exception() is None)
    assert sum(isinstance(problem, Conflict) for problem in problems) == 3
    assert all(f"by {winner} on" in str(problem) for problem in problems if problem)
    assert project.decisions().design.thickness == 0.05 + len(winner) / 100
    assert len(project.history()) == 1


def test_a_reader_sees_one_state_while_another_writes(project, reopened):
    load_counts(project, "a.csv", 2001)
    with ThreadPoolExecutor(1) as pool, reopened() as other:
        with project.store.reading() as connection:
            first = connection.exec_driver_sql("SELECT count(*) FROM fact_counts").scalar()
            writing = pool.submit(load_counts, other, "b.csv", 2002)
            wait([writing], timeout=0.1)
            second = connection.exec_driver_sql("SELECT count(*) FROM fact_counts").scalar()
        assert writing.result() == 2
    assert (first, second) == (1, 1)
    assert len(project.facts().counts) == 2


def test_one_project_may_be_used_from_several_threads(project):
    with ThreadPoolExecutor(4) as pool:
        list(pool.map(lambda n: load_counts(project, f"{n}.csv", 2000 + n), range(12)))
    assert sorted(project.facts().counts["year"]) == list(range(2000, 2012))
