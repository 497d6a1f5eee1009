"""A program killed at any moment leaves the project as it was before or after what it was doing."""

import json
import os
import random
import signal
import sqlite3
import subprocess
import sys
import time
from contextlib import closing
from pathlib import Path

import pytest

from slabwright.project import create, open_project

from . import busy_writer
from .helpers import ticking

KILLS = 70
MOST_KILLS = 160  # on a slow machine a random moment may never fall into a kind of operation: that is aimed at then
KILLS_WHILE_MAKING = 20


@pytest.fixture
def program():
    """The busy writer, killed with its worker whatever happens."""
    script = [sys.executable, str(Path(busy_writer.__file__))]
    with subprocess.Popen(script, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as running:
        yield running
        running.kill()


def run_and_kill(program, task: str, place: Path, seed: int, delay: float, aim: dict | None = None) -> list[dict]:
    """What a worker said until it was killed, so long after its first word, or after the word that is aimed at."""
    program.stdin.write(json.dumps([task, str(place), seed]) + "\n")
    program.stdin.flush()
    said = [json.loads(program.stdout.readline())]
    while aim and not aim.items() <= said[-1].items():
        said.append(json.loads(program.stdout.readline()))
    time.sleep(delay)
    os.kill(said[0]["worker"], signal.SIGKILL)
    while "ended" not in said[-1]:
        said.append(json.loads(program.stdout.readline()))
    return said[:-1]


def state_of(project) -> tuple[list[float], float]:
    """Loads and thickness as the rows have them; a load whose rows are not all there fails."""
    frame = project.facts().counts
    loads = frame["year"].drop_duplicates().tolist()
    for load in loads:
        rows = frame[frame["year"] == load]
        assert rows["daily_traffic"].tolist() == list(range(busy_writer.ROWS))
    return loads, project.decisions().design.thickness


def is_sound(path: Path) -> bool:
    with closing(sqlite3.connect(path)) as plain:
        return plain.execute("PRAGMA integrity_check").fetchall() == [("ok",)]


def test_a_killed_writer_leaves_the_state_before_or_after(program, path):
    create(path, user="Ada", clock=ticking()).close()
    choose, interrupted = random.Random(5), dict.fromkeys(["load", "decide", "save", "undo"], 0)
    outcomes = {"before": 0, "after": 0}
    for seed in range(1, MOST_KILLS + 1):
        aim = min(interrupted, key=interrupted.get) if seed > KILLS else ""
        if aim and interrupted[aim]:
            break
        said = run_and_kill(
            program, "work", path, seed, choose.uniform(0.0, 0.005 if aim else 0.1), {"begin": aim} if aim else None
        )
        last = [word for word in said if "begin" in word][-1]
        before, after = ((loads, thickness) for loads, thickness in (last["before"], last["after"]))
        with open_project(path, user="Ada", clock=ticking()) as project:
            found = state_of(project)
            assert found == busy_writer.states(project)[-1]
            saved = ("survey", str(last["number"])) in project.result_keys()
            assert not saved or project.result("survey", str(last["number"])).tables["counts"].shape == (
                busy_writer.ROWS,
                3,
            )
        assert is_sound(path)
        if "done" in said[-1]:
            assert found == after
            assert saved == (last["begin"] == "save")
        else:
            assert found in (before, after)
            interrupted[last["begin"]] += 1
            outcomes["after" if found == after != before else "before"] += 1
    assert min(interrupted.values()) > 0, "every kind of operation must have been interrupted"
    assert outcomes["before"] > 0


def test_a_project_killed_while_it_is_made_is_absent_or_whole(program, tmp_path):
    choose, whole = random.Random(6), 0
    (timed := tmp_path / "timed").mkdir()
    undisturbed = run_and_kill(program, "make", timed, 0, 0.0, {"done": "create", "number": 0})
    longest = 3 * (undisturbed[-1]["at"] - undisturbed[0]["at"])  # a slow machine is given longer
    for seed in range(KILLS_WHILE_MAKING):
        said = run_and_kill(program, "make", tmp_path, seed, choose.uniform(0.0, longest))
        made = [tmp_path / f"{seed}-{word['number']}.slab" for word in said if "done" in word]
        assert all(path.exists() for path in made)
        for path in tmp_path.glob(f"{seed}-*.slab"):
            assert is_sound(path)
            with open_project(path, user="Ada", clock=ticking()) as project:
                assert project.alternatives() == ("base",)
                whole += 1
    assert whole > 0
