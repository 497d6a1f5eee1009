"""From an edited thickness to redrawn results on the server, against computing every stage anew."""

import shutil
from itertools import count
from pathlib import Path
from time import perf_counter
from typing import Any

import numpy as np
import pytest
from fastapi import FastAPI
from tests.web.caller import call, call_json

from benchmarks.test_workflow import clock, road
from slabwright.project import open_project
from slabwright.web.api.routes import install
from slabwright.web.project_folder import ProjectFolder
from slabwright.workflow import Computation

THICKNESS = count(1)
ROUNDS = 40


@pytest.mark.parametrize("times", [1, 4, 16])
def test_edit_of_thickness(benchmark: Any, tmp_path: Path, times: int) -> None:
    road(tmp_path, times).close()
    shutil.copy(tmp_path / f"demo{times}.slab", tmp_path / "anew.slab")
    with open_project(tmp_path / "anew.slab", user="bench", clock=clock) as project:
        begun = perf_counter()
        Computation(project).run()
        anew = perf_counter() - begun
    office, app = ProjectFolder(tmp_path, "bench"), FastAPI()
    install(app, office)
    address = f"/api/roads/demo{times}"
    assert call_json(app, "POST", f"{address}/run", {}).status == 200
    took: list[float] = []

    def edit() -> None:
        begun = perf_counter()
        head = call(app, "GET", address).json["head"]
        body = {"decisions": {"design.thickness": f"{80 + 0.01 * next(THICKNESS)} mm"}, "expected": head}
        replies = [
            call_json(app, "PUT", f"{address}/decisions", body),
            call_json(app, "POST", f"{address}/run", {}),
            call(app, "GET", f"{address}/results/design"),
        ]
        assert [r.status for r in replies] == [200, 200, 200]
        took.append(perf_counter() - begun)

    benchmark.pedantic(edit, rounds=ROUNDS, warmup_rounds=1)
    office.close()
    benchmark.extra_info.update(
        baseline="every stage computed anew",
        p95_seconds=round(float(np.percentile(took, 95)), 3),
        ratio=round(benchmark.stats.stats.median / anew, 3),
    )
