"""Whether a project file is whole: every page, every reference, and everything that is stored in it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from slabwright.errors import StoreError
from slabwright.project import history
from slabwright.project.opening import copy_whole, settle
from slabwright.project.project import Project
from slabwright.project.store import Store, connect, is_url, translated

__all__ = ["Whole", "check_whole", "copy_project"]


@dataclass(frozen=True)
class Whole:
    """What was read without a fault: changes, loaded files, rows of facts, alternatives and kept results."""

    changes: int
    files: int
    rows: int
    alternatives: int
    results: int


def check_whole(project: Project) -> Whole:
    """Read all of a project. Raises StoreError for the first fault."""
    store = project.store
    if store.path is not None:
        _check_pages(store)
    with translated(store.name):
        with store.reading() as connection:
            history.check_head(connection)
        facts = project.facts()
        alternatives = project.alternatives()
        for name in alternatives:
            project.decisions(name)
        project.findings()
        keys = project.result_keys()
        for stage, key in keys:
            project.result(stage, key)
    rows = sum(len(frame) for frame in vars(facts).values())
    return Whole(len(project.history()), len(project.sources()), rows, len(alternatives), len(keys))


def _check_pages(store: Store) -> None:
    with store.reading() as connection:
        said = [row[0] for row in connection.exec_driver_sql("PRAGMA integrity_check(3)").all()]
        strays = connection.exec_driver_sql("PRAGMA foreign_key_check").all()
    faults = [text for text in said if text != "ok"] + [f"a row of {row[0]} refers to nothing" for row in strays[:3]]
    if faults:
        raise StoreError(
            f"the project file is damaged ({'; '.join(faults)})",
            where=store.name,
            remedy="Restore it from a copy of the file.",
        )


def copy_project(source: str | Path, target: Path) -> None:
    """A checked copy of a project file that may be in use, in whatever format it has, under a new name.

    Raises StoreError where something of that name exists, and for a source that is no sound project file.
    """
    if is_url(source):
        raise StoreError("only a project in a file is copied like this", where=str(source).split("://")[0])
    store = connect(source)
    try:
        settle(store)
        copy_whole(store, target)
    finally:
        store.close()
