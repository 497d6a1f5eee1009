"""A project in a fresh folder, with a clock that ticks once a second from a stated moment."""

import pytest

from slabwright.project import create, open_project

from .helpers import ticking


@pytest.fixture
def clock():
    return ticking()


@pytest.fixture
def path(tmp_path):
    return tmp_path / "road.slab"


@pytest.fixture
def project(path, clock):
    with create(path, user="Ada", clock=clock) as made:
        yield made


@pytest.fixture
def reopened(path, clock):
    """Open the file again, as another person by default."""

    def reopen(user: str = "Ben"):
        return open_project(path, user=user, clock=clock)

    return reopen
