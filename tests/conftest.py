"""What several test folders share: the demo road as a project, and its results."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

from slabwright.project import Project, create, open_project
from slabwright.records.decisions import from_plain
from slabwright.records.decisions.economics import CONFIRMED
from slabwright.records.results import StageResult
from slabwright.records.stage import RunContext
from slabwright.stages import stage_named
from slabwright.workflow import Computation, fill_with_example
from tests.postgres import ABSENT, Postgres, programs, serving

settings.register_profile("slabwright", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("slabwright")

CONFIRMED_PRICES: dict[str, float | str] = {
    "economics.prices_are": CONFIRMED,
    "economics.currency": "EUR",
    "economics.price_year": 2026.0,
}


def clock() -> datetime:
    return datetime(2026, 11, 25, 12, 0, tzinfo=UTC)


@pytest.fixture(scope="session")
def postgres() -> Iterator[Postgres]:
    """A PostgreSQL server for the tests of this process; skipped by name where the program is not there."""
    found = programs()
    if found is None:
        pytest.skip(ABSENT)
    with serving(found) as server:
        yield server
        server.close()


@pytest.fixture(scope="session")
def demo_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo road as a closed project file, loaded through intake and computed. Tests that change it make a copy."""
    folder = tmp_path_factory.mktemp("demo")
    with create(folder / "demo.slab", user="tester", clock=clock) as project:
        fill_with_example(project, folder / "files", today=date(2026, 11, 25))
        Computation(project).run()
    return folder / "demo.slab"


@pytest.fixture(scope="session")
def demo_project(demo_file: Path) -> Iterator[Project]:
    with open_project(demo_file, user="tester", clock=clock) as project:
        yield project


@pytest.fixture(scope="session")
def demo_results(demo_project: Project) -> dict[str, StageResult]:
    return Computation(demo_project).run()


@pytest.fixture(scope="session")
def priced_results(demo_project: Project, demo_results: dict[str, StageResult]) -> dict[str, StageResult]:
    """The results of the demo road once the engineer has confirmed the prices."""
    stage = stage_named("economics")
    given = stage.given(demo_project.facts(), from_plain(CONFIRMED_PRICES), demo_results, RunContext())
    return {**demo_results, "economics": stage.compute(given)}
