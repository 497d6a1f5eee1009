"""A project in a fresh folder or an empty schema of PostgreSQL, with a clock that ticks once a second from a stated moment."""

import pytest

from slabwright.project import create, open_project

from .helpers import ticking

# What holds of a project wherever it is kept; the other modules speak of files.
ON_BOTH = (
    "test_at_once",
    "test_decisions",
    "test_facts",
    "test_history",
    "test_loading",
    "test_results",
    "test_wholly",
)


def pytest_generate_tests(metafunc):
    if "kind" in metafunc.fixturenames and metafunc.module.__name__.rpartition(".")[2] in ON_BOTH:
        metafunc.parametrize("kind", ["file", "postgresql"])


@pytest.fixture
def kind():
    return "file"


@pytest.fixture
def clock():
    return ticking()


@pytest.fixture
def path(tmp_path):
    return tmp_path / "road.slab"


@pytest.fixture
def place(kind, path, request):
    """Where the project of the test is, or will be made: a path, or a URL."""
    return path if kind == "file" else request.getfixturevalue("postgres").schema()


@pytest.fixture
def project(place, clock):
    with create(place, user="Ada", clock=clock) as made:
        yield made


@pytest.fixture
def reopened(place, clock):
    """Open the project again, as another person by default."""

    def reopen(user: str = "Ben"):
        return open_project(place, user=user, clock=clock)

    return reopen
