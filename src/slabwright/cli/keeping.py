"""Commands that keep a project safe: a checked copy, and whether a file is whole."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path

from slabwright.cli.files import opened
from slabwright.cli.output import JSON_VERSION, print_json, say

__all__ = ["check", "copy"]


def copy(road: Path, target: Path) -> None:
    from slabwright.project import copy_project

    made = target / road.name if target.is_dir() else target
    copy_project(road, made)
    say(f"Copied {road} to {made} and checked the copy.")


def check(road: Path, json: bool) -> None:
    from slabwright.project import check_whole

    with opened(road) as project:
        found = check_whole(project)
    if json:
        print_json({"version": JSON_VERSION, "whole": True, **asdict(found)})
        return
    say(
        f"{road} is whole: {found.changes} entries of the history, {found.files} loaded files, {found.rows} rows of facts,"
        f" {found.alternatives} alternatives and {found.results} kept results were read."
    )
