"""A copy put in the place of a project while the workspace runs is what the workspace then works on."""

from __future__ import annotations

import shutil
from datetime import UTC, datetime
from pathlib import Path

import pytest

from slabwright.errors import InputError
from slabwright.project import open_project
from slabwright.web.project_folder import ProjectFolder


def test_a_restored_copy_is_not_taken_for_a_state_of_the_same_number(tmp_path: Path) -> None:
    office = ProjectFolder(tmp_path, "Ada")
    office.create("road")
    shutil.copyfile(tmp_path / "road.slab", tmp_path / "copy.slab")
    office.project("road").decide("base", {"design.thickness": 0.1})
    assert office.at_head("road")[1].decisions.design.thickness == 0.1
    shutil.copyfile(tmp_path / "copy.slab", tmp_path / "road.slab")
    with open_project(tmp_path / "road.slab", user="Ben", clock=lambda: datetime.now(UTC)) as other:
        other.decide("base", {"design.thickness": 0.12})
    head, computation = office.at_head("road")
    assert (head, computation.decisions.design.thickness) == (1, 0.12)
    office.close()


def test_roads_that_only_capitals_tell_apart_are_refused(tmp_path: Path) -> None:
    office = ProjectFolder(tmp_path, "Ada")
    office.create("Lantern")
    with pytest.raises(InputError, match="but for capitals"):
        office.create("LANTERN")
    assert [p.name for p in tmp_path.glob("*.slab")] == ["Lantern.slab"]
    office.close()


@pytest.mark.parametrize("name", ["a.slab", "con", "COM1", "nul.old"])
def test_a_road_has_a_name_that_every_computer_can_keep(tmp_path: Path, name: str) -> None:
    office = ProjectFolder(tmp_path, "Ada")
    with pytest.raises(InputError, match=r"without \.slab|stands for a device"):
        office.create(name)
    assert list(tmp_path.iterdir()) == []
    office.close()
