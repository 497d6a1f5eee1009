"""A tab for the tests of pages."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from slabwright.web.project_folder import ProjectFolder
from slabwright.web.view import View


@pytest.fixture
def view(demo_file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> View:
    """A metric tab on a copy of the demo road."""
    shutil.copy(demo_file, tmp_path / "demo.slab")
    monkeypatch.setattr(View, "system", "metric")
    return View(ProjectFolder(tmp_path, "tester"), "demo", "base")
