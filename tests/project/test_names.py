"""Every way to make a project file asks the same of its name.

Reserved characters and device names: "Naming Files, Paths, and Namespaces" of the documentation of Windows (from memory).
"""

from __future__ import annotations

from pathlib import Path

import pytest

from slabwright.errors import InputError
from slabwright.project import create, move_project
from slabwright.project.names import checked_file

from .helpers import ticking

NOWHERE = "postgresql+psycopg://nobody@127.0.0.1:1/none"
REFUSED = {
    "con.slab": "device",
    "notes.txt": "ends in .slab",
    "D.slab": "but for capitals",
    "d.slab-journal": "ends in .slab",
    ".h.slab": "ends in .slab",
    "x\ny.slab": "other computers cannot keep",
    "<script>.slab": "other computers cannot keep",
    'a"b.slab': "other computers cannot keep",
    "a?.slab": "other computers cannot keep",
    "a\\b.slab": "other computers cannot keep",
    "é" * 101 + ".slab": "too long",
}


@pytest.mark.parametrize("name", REFUSED)
def test_a_name_that_some_computer_cannot_keep_is_refused_before_anything_is_moved(tmp_path: Path, name: str) -> None:
    create(tmp_path / "d.slab", user="Ada", clock=ticking()).close()
    with pytest.raises(InputError, match=REFUSED[name]):
        move_project(NOWHERE, tmp_path / name)
    assert [p.name for p in tmp_path.iterdir()] == ["d.slab"]


def test_a_name_of_the_longest_length_is_made(tmp_path: Path) -> None:
    longest = tmp_path / ("é" * 100 + ".slab")
    create(checked_file(longest), user="Ada", clock=ticking()).close()
    assert longest.exists()
