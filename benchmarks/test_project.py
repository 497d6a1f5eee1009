"""The project file against pandas writing and reading a plain SQLite table of the same rows.

The ratio of the two times in one run is what counts (``extra_info["ratio"]``); neither time is asserted.
"""

import itertools
import sqlite3
import time
from contextlib import closing
from datetime import UTC, datetime

import numpy as np
import pandas as pd
import pytest

from slabwright.project import Batch, LoadedFile, create, fingerprint, open_project
from slabwright.records.facts import FACTS
from slabwright.records.table import table

ROUNDS = 3


def deflections(rows: int) -> pd.DataFrame:
    generator, columns = np.random.default_rng(3), FACTS["deflections"].columns
    return table(
        FACTS["deflections"], {c.name: ["mid-slab"] * rows if c.is_text else generator.random(rows) for c in columns}
    )


def now() -> datetime:
    return datetime.now(UTC)


def through_project(folder, frame: pd.DataFrame) -> pd.DataFrame:
    path = folder / "road.slab"
    with create(path, user="bench", clock=now) as project:
        batch = Batch("deflections", frame, np.arange(len(frame)))
        project.load([batch], file=LoadedFile("a.csv", "0", 1))
    with open_project(path, user="bench", clock=now) as project:
        return project.facts().deflections


def through_pandas(folder, frame: pd.DataFrame) -> pd.DataFrame:
    """The baseline: no history, no origins, no checks."""
    with closing(sqlite3.connect(folder / "plain.db")) as plain:
        frame.to_sql("deflections", plain, index=False)
    with closing(sqlite3.connect(folder / "plain.db")) as plain:
        return pd.read_sql("SELECT * FROM deflections", plain)


def best_of(rounds: int, work) -> float:
    times = []
    for _ in range(rounds):
        begun = time.perf_counter()
        work()
        times.append(time.perf_counter() - begun)
    return min(times)


@pytest.fixture
def fresh(tmp_path):
    numbers = itertools.count()

    def folder():
        made = tmp_path / str(next(numbers))
        made.mkdir()
        return made

    return folder


@pytest.mark.parametrize("rows", [1_000, 10_000, 100_000])
def test_save_and_read_facts(benchmark, fresh, rows):
    frame = deflections(rows)
    baseline = best_of(ROUNDS, lambda: through_pandas(fresh(), frame))
    read = benchmark.pedantic(lambda: through_project(fresh(), frame), rounds=ROUNDS)
    ours = best_of(ROUNDS, lambda: through_project(fresh(), frame))
    benchmark.extra_info.update(
        rows=rows, baseline="pandas to_sql and read_sql", baseline_seconds=baseline, seconds=ours, ratio=ours / baseline
    )
    pd.testing.assert_frame_equal(read, frame, check_exact=True)


@pytest.mark.parametrize("rows", [1_000, 10_000, 100_000])
def test_fingerprint_of_facts(benchmark, rows):
    frame = deflections(rows)
    baseline = best_of(ROUNDS, lambda: pd.util.hash_pandas_object(frame).sum())
    ours = best_of(ROUNDS, lambda: fingerprint(frame))
    found = benchmark(fingerprint, frame)
    benchmark.extra_info.update(
        rows=rows, baseline="pandas hash_pandas_object", baseline_seconds=baseline, seconds=ours, ratio=ours / baseline
    )
    assert found == fingerprint(frame.copy())
