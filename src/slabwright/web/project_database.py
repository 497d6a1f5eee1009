"""The one project of a PostgreSQL database that a server works in, under the name of its schema or database."""

from __future__ import annotations

from pathlib import Path

from sqlalchemy.engine import make_url

from slabwright.errors import StoreError
from slabwright.web.project_folder import Identity, ProjectFolder

__all__ = ["ProjectDatabase"]


class ProjectDatabase(ProjectFolder):
    """Like a folder with one project in it, which is found by a URL."""

    def __init__(self, url: str, user: str) -> None:
        super().__init__(Path(), user)
        self.url = url
        self.name = _named(url)

    @property
    def title(self) -> str:
        return "a database"

    def names(self) -> list[str]:
        return [self.name]

    def holds(self, name: str) -> bool:
        return name.strip() == self.name

    def _place(self, name: str) -> Path | str:  # noqa: ARG002 (there is one)
        return self.url

    def _there(self, name: str) -> Identity | None:
        return (0, 0) if self.holds(name) else None

    def _make(self, name: str) -> Path | str:
        raise StoreError(
            "this workspace serves one project in a database",
            given=name,
            remedy="Make another in a schema of its own with `slabwright new URL` and serve that.",
        )


def _named(url: str) -> str:
    """What follows search_path in the options of a URL, else its database; as the name of a road."""
    found = make_url(url)
    options = found.query.get("options", "")
    schema = str(options).rpartition("search_path=")[2].split(",")[0].split(" ")[0]
    return "".join(c for c in schema or found.database or "" if c.isalnum() or c in "-_") or "road"
