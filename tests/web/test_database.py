"""Commands and the workspace on a project in a PostgreSQL database."""

from __future__ import annotations

import pytest
from fastapi import FastAPI

from slabwright.errors import StoreError
from slabwright.web.api import routes as api
from slabwright.web.server import office_at
from tests.cli.test_commands import call as command  # noqa: F401 (fixture)
from tests.cli.test_commands import refused
from tests.postgres import Postgres
from tests.web.caller import call, call_json


def test_commands_and_pages_work_on_a_project_named_by_its_url(command, postgres: Postgres, tmp_path) -> None:  # noqa: F811
    url, road = postgres.schema(), postgres.schema()
    name = url.rpartition("%3D")[2]
    assert f"Made {url}." in command("new", url)[1]
    assert command("decide", url, "design.thickness=4 in")[0] == 0
    office, first = office_at(url, "tester")
    app = FastAPI()
    api.install(app, office)
    assert (first, office.names()) == (name, [name])
    head = call(app, "GET", f"/api/roads/{name}").json["head"]
    edit = {"expected": head, "decisions": {"design.thickness": "5 in"}}
    assert call_json(app, "PUT", f"/api/roads/{name}/decisions", edit).status == 200
    assert call(app, "GET", "/api/roads/other").status == 404
    with pytest.raises(StoreError, match="serves one project"):
        office.create("other")
    office.close()
    assert "decide design.thickness (base)" in command("history", url)[1]
    assert "127" in command("decide", url, "--units", "metric", "--json")[1]
    assert "is whole: 2 entries" in command("check", url, "--whole")[1]
    out = command("move", url, tmp_path / "road.slab")[1]
    assert "change" in out
    assert "are the same" in out
    assert "secret" not in command("move", tmp_path / "road.slab", road.replace("postgres@", "postgres:secret@"))[1]
    assert "is a project in this database already" in refused(command("move", tmp_path / "road.slab", url))
    assert "slabwright move" in refused(command("copy", url, tmp_path / "copy.slab"))
