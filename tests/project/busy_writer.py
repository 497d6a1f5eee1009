"""A program that works on a project until it is killed; started by ``test_killed``.

It imports once and forks a worker for every line on its input, so that a test can kill a hundred of them.
Each worker says what it will do and what the state is before and after, does it, and says that it is done.
"""

import itertools
import json
import os
import random
import sys
import time
from datetime import UTC, datetime

import alembic.command  # noqa: F401  (imported before the fork, where making a project needs it)
import pandas as pd

from slabwright.project import LoadedFile, Project, create, open_project
from slabwright.records.facts import FACTS
from slabwright.records.results import StageResult
from slabwright.records.table import table

ROWS = 400
MOST_CHANGES = 12


def say(**words: object) -> None:
    os.write(1, json.dumps({"worker": os.getpid(), "at": time.monotonic(), **words}).encode() + b"\n")


def now() -> datetime:
    return datetime.now(UTC)


def rows_of(number: int) -> pd.DataFrame:
    """The rows of load ``number``; any two loads differ, and each row says which load it is of."""
    return table(FACTS["counts"], {"year": [float(number)] * ROWS, "daily_traffic": range(ROWS)})


def states(project: Project) -> list[tuple[list[float], float]]:
    """Loads and thickness after each change that holds, worked out from the history alone."""
    found: list[tuple[list[float], float]] = [([], 0.0)]
    for change in project.history():
        loads, thickness = found[-1]
        if not change.holds:
            continue
        if "file" in change.after:
            found.append(([*loads, float(change.after["file"])], thickness))
        else:
            found.append((loads, change.after["design.thickness"]))
    return found


def work(path: str, seed: int) -> None:
    """Load, decide, save and undo without end."""
    choose, project = random.Random(seed), open_project(path, user="worker", clock=now)
    known = states(project)
    for step in itertools.count():
        number = seed * 1000 + step
        loads, thickness = known[-1]
        full = len(known) > MOST_CHANGES
        what = choose.choice(["save", "undo", "undo"] if full else ["load", "load", "decide", "save", "undo"])
        if what == "load":
            after = ([*loads, float(number)], thickness)
        elif what == "decide":
            after = (loads, choose.uniform(0.05, 0.15))
        elif what == "undo" and len(known) > 1:
            after = known[-2]
        else:
            what, after = "save", known[-1]
        say(begin=what, number=number, before=known[-1], after=after)
        do(project, what, number, after[1])
        say(done=what, number=number)
        known = known[:-1] if what == "undo" else [*known, after] if what != "save" else known


def do(project: Project, what: str, number: int, thickness: float) -> None:
    if what == "load":
        batch = ("counts", rows_of(number), range(ROWS))
        project.load([batch], file=LoadedFile(str(number), f"sha-{number}", 1))
    elif what == "decide":
        project.decide("base", {"design.thickness": thickness})
    elif what == "undo":
        project.undo()
    else:
        project.save_result("survey", str(number), StageResult("survey", {"counts": rows_of(number)}))


def make(folder: str, seed: int) -> None:
    """Create one project after another."""
    for step in itertools.count():
        say(begin="create", number=step)
        create(f"{folder}/{seed}-{step}.slab", user="worker", clock=now).close()
        say(done="create", number=step)


def main() -> None:
    for line in sys.stdin:
        task, place, seed = json.loads(line)
        worker = os.fork()
        if worker == 0:
            {"work": work, "make": make}[task](place, int(seed))
        os.waitpid(worker, 0)
        os.write(1, b'{"ended": true}\n')


if __name__ == "__main__":
    main()
