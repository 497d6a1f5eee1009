"""The demo road: a run after a change of overlay thickness against the first run, for one, two and four roads' data."""

from datetime import UTC, date, datetime
from itertools import count
from pathlib import Path
from time import perf_counter
from typing import Any

import pandas as pd
import pytest

from slabwright.project import Project, create
from slabwright.workflow import Computation, FactsCache, fill_with_example

THICKNESS = count(1)


def clock() -> datetime:
    return datetime(2026, 11, 25, tzinfo=UTC)


def road(folder: Path, times: int) -> Project:
    """The demo road with its deflection tests repeated under other point names."""
    project = create(folder / f"demo{times}.slab", user="bench", clock=clock)
    fill_with_example(project, folder / f"files{times}", today=date(2026, 11, 25))
    tests = project.facts().deflections
    copies = [tests.assign(point=tests["point"] + f"-{i}", station=tests["station"] + 0.1 * i) for i in range(times)]
    project.replace_table("deflections", pd.concat(copies, ignore_index=True))
    return project


@pytest.mark.parametrize("times", [1, 4, 16])
def test_change_of_thickness(benchmark: Any, tmp_path: Path, times: int) -> None:
    with road(tmp_path, times) as project:
        shelf = FactsCache()  # as the workspace keeps one for each open project
        begun = perf_counter()
        Computation(project, cache=shelf).run()
        first = perf_counter() - begun

        def change() -> None:
            project.decide("base", {"design.thickness": 0.08 + 0.0001 * next(THICKNESS)})

        benchmark.pedantic(lambda: Computation(project, cache=shelf).run(), setup=change, rounds=5)
    again = benchmark.stats.stats.median
    benchmark.extra_info.update(
        baseline="first run of all stages", first_seconds=round(first, 3), ratio=round(again / first, 3)
    )
