"""Commands that keep a project safe: a checked copy, and whether a file is whole."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path

from slabwright.cli.files import Place, named, opened
from slabwright.cli.output import JSON_VERSION, print_json, print_rows, say
from slabwright.errors import InputError

__all__ = ["check", "copy", "move"]


def copy(road: Place, target: Path) -> None:
    from slabwright.project import copy_project
    from slabwright.project.names import checked_file

    if isinstance(road, str):
        raise InputError(
            "only a project in a file is copied like this",
            remedy="Put it into a file with `slabwright move`, or back up the database with pg_dump.",
        )
    made = checked_file(target / road.name if target.is_dir() else target)
    copy_project(road, made)
    say(f"Copied {road} to {made} and checked the copy.")


def move(source: Place, target: Place) -> None:
    from slabwright.project import move_project
    from slabwright.project.server import shown

    moved = move_project(source, target)
    print_rows(
        "Rows, counted and compared",
        ["Table", "In the source", "In the target"],
        [[m.table, str(m.rows), str(m.arrived)] for m in moved if m.rows],
    )
    here, there = (shown(place) if isinstance(place, str) else str(place) for place in (source, target))
    say(f"{sum(m.arrived for m in moved)} rows of {here} are in {there} and are the same. From now on work on {there}:")
    say(f"{here} was left as it was, and what changes in one is not in the other.")


def check(road: Place, json: bool) -> None:
    from slabwright.project import check_whole

    with opened(road) as project:
        found = check_whole(project)
    if json:
        print_json({"version": JSON_VERSION, "whole": True, **asdict(found)})
        return
    say(
        f"{named(road)} is whole: {found.changes} entries of the history, {found.files} loaded files, {found.rows} rows of facts,"
        f" {found.alternatives} alternatives and {found.results} kept results were read."
    )
