"""The demo road as a project: field files written beside it, then loaded as any engineer would load them."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

from slabwright.project import Project
from slabwright.workflow.loading import Loaded, load_files, read_files

__all__ = ["fill_with_example"]

# What the engineer of the demo says to the warnings: a repeated row and a stuck sensor go, the rest stays.
REJECTED = ("duplicate row", "faulty sensor")


def fill_with_example(
    project: Project, folder: Path, *, today: date, tell: Callable[[Loaded], None] | None = None
) -> tuple[Loaded, ...]:
    """Write the field files of the demo road to ``folder`` and load them all."""
    from slabwright.demo.field_files import write

    readings = read_files(project, write(folder), today=today)
    return load_files(project, readings, accept=True, reject=REJECTED, tell=tell)
