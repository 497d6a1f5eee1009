"""The HTTP interface: what each address gives, how each refusal reads, and that no name or stale edit gets through."""

from __future__ import annotations

import io
import json
import shutil
import sqlite3
import threading
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import quote

import pytest
from fastapi import FastAPI
from pypdf import PdfReader

from slabwright.errors import InputError
from slabwright.project import Project, open_project
from slabwright.provenance import scene, sheets
from slabwright.records.facts import Facts
from slabwright.stages import plan
from slabwright.units import convert
from slabwright.web.access.signed import Signed
from slabwright.web.api import documents
from slabwright.web.api import routes as api
from slabwright.web.project_folder import ProjectFolder, now
from tests.web.caller import Reply, call, call_json, multipart

PARTS = {"what", "where", "given", "allowed", "source", "remedy", "message"}
HOSTILE = [
    "<script>alert(1)</script>",
    '=HYPERLINK("http://x","y")',
    "@SUM(1+1)",
    "\u202egnp.exe",
    "مسار",
    "a" * 10_000,
    "../x",
    "..\\x",
    "/etc/passwd",
    "..%2f..%2fx",
    "C:\\x",
    "nul\0byte",
    "line\nbreak",
    "\ud800",
    ".",
    "..",
    " ",
    "𐍈" * 80,
    "' OR 1=1 --",
    "{{7*7}}",
    "%00",
    "%s%s%n",
]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory, demo_file: Path) -> Path:
    place = tmp_path_factory.mktemp("office")
    shutil.copy(demo_file, place / "demo.slab")
    return place


@pytest.fixture
def office(folder: Path) -> Iterator[ProjectFolder]:
    made = ProjectFolder(folder, "tester")
    yield made
    made.close()


@pytest.fixture
def app(office: ProjectFolder) -> FastAPI:
    made = FastAPI(title="Slabwright", version="1")
    api.install(made, office)
    return made


@pytest.fixture
def fresh(app: FastAPI, folder: Path, demo_file: Path) -> Iterator[str]:
    """The name of a road that a test may change."""
    shutil.copy(demo_file, folder / "fresh.slab")
    yield "fresh"
    for file in folder.glob("fresh.slab*"):
        file.unlink()


def refused(reply: Reply, status: int) -> dict[str, Any]:
    """The parts of a refusal, checked to be whole."""
    assert reply.status == status, reply.text
    assert reply.headers["content-type"] == "application/json"
    assert set(reply.json) == {"error"}
    error: dict[str, Any] = reply.json["error"]
    assert set(error) == PARTS
    assert error["what"]
    assert error["message"].endswith((".", "?", "!"))
    assert "Traceback" not in reply.text
    return error


def given(reply: Reply, status: int = 200) -> Any:
    assert reply.status == status, reply.text
    return reply.json


def head_of(app: FastAPI, road: str) -> int:
    return int(given(call(app, "GET", f"/api/roads/{road}/history"))["head"])


# Calculations --------------------------------------------------------------------------------------------
def test_the_catalogue_lists_what_one_entry_describes(app: FastAPI) -> None:
    entries = given(call(app, "GET", "/api/calculations"))
    saw = next(e for e in entries if e["name"] == "saw_depth")
    assert given(call(app, "GET", "/api/calculations/saw_depth")) == saw
    metric = given(call(app, "GET", "/api/calculations/saw_depth?units=metric"))
    assert {i["name"]: i["unit"] for i in metric["inputs"]}["thickness"] == "mm"


def test_inputs_are_texts_with_units_or_numbers_in_the_units_asked_for(app: FastAPI) -> None:
    address = "/api/calculations/saw_depth"
    text = given(call_json(app, "POST", address, {"inputs": {"thickness": "3 in"}}))
    number = given(call_json(app, "POST", address, {"inputs": {"thickness": 3}}))
    metric = given(call_json(app, "POST", f"{address}?units=metric", {"inputs": {"thickness": 76.2}}))
    assert text == number
    assert metric["inputs"]["thickness"] == {"value": 76.2, "unit": "mm"}
    for key, shown in text["outputs"].items():  # 1 in = 25.4 mm exactly
        assert metric["outputs"][key]["value"] == pytest.approx(shown["value"] * 25.4, rel=1e-9)
    assert "Source:" in text["working"]


@pytest.mark.parametrize(
    ("inputs", "word"),
    [
        ({"thickness": "3 furlongs of"}, "unit"),
        ({"thickness": "=1+1"}, "number"),
        ({"thickness": "1e300 in"}, "range"),
        ({"depth": "3 in"}, "no input of this name"),
        ({}, "needs thickness"),
        ({"thickness": 1e308}, "range"),
    ],
)
def test_an_input_that_cannot_be_is_refused_with_its_rule(app: FastAPI, inputs: dict[str, Any], word: str) -> None:
    error = refused(call_json(app, "POST", "/api/calculations/saw_depth", {"inputs": inputs}), 422)
    assert word in error["message"]


def test_lists_of_different_length_are_refused(app: FastAPI) -> None:
    inputs = {"loads": "6, 9, 12 kip", "deflections": "5, 8 mil"}
    error = refused(call_json(app, "POST", "/api/calculations/void_intercept", {"inputs": inputs}), 422)
    assert error["given"] == "3 of loads, 2 of deflections"


@pytest.mark.parametrize("name", ["cumulative_difference", "grubbs_statistic"])
def test_a_list_too_short_for_an_answer_is_refused(app: FastAPI, name: str) -> None:
    inputs = {i["name"]: "1" for i in given(call(app, "GET", f"/api/calculations/{name}"))["inputs"]}
    assert (
        "no finite answer"
        in refused(call_json(app, "POST", f"/api/calculations/{name}", {"inputs": inputs}), 422)["what"]
    )


@pytest.mark.parametrize(
    "body",
    [
        b'{"inputs": {"thickness": NaN}}',
        b'{"inputs": {"thickness": 1e999}}',
        b'{"inputs": {"thickness": true}}',
        b"[]",
        b'{"inputs": {"thickness": null}}',
        b'{"inputs": {"thickness": [1]}}',
        b"{",
        b"",
        b'{"other": 1}',
        b"\xff\xfe",
        b'{"inputs": {"thickness": ' + b"9" * 5000 + b"}}",
        b'{"inputs": ' + b"[" * 100_000 + b"]" * 100_000 + b"}",
        b'{"inputs": {"thickness": "\\ud800"}}',
        b'{"inputs": {"\\ud800": "1"}}',
        b'{"inputs": {"thickness": "\\u0000"}}',
    ],
)
def test_a_body_that_is_no_set_of_inputs_is_refused(app: FastAPI, body: bytes) -> None:
    reply = call(app, "POST", "/api/calculations/saw_depth", body=body, headers={"content-type": "application/json"})
    refused(reply, 400 if reply.status == 400 else 422)


# Roads ---------------------------------------------------------------------------------------------------
def test_a_road_shows_its_tables_files_stages_and_decisions(app: FastAPI) -> None:
    assert "demo" in given(call(app, "GET", "/api/roads"))["roads"]
    road = given(call(app, "GET", "/api/roads/demo"))
    assert road["name"] == "demo"
    assert road["alternatives"] == ["base"]
    assert {t["name"]: t["rows"] for t in road["tables"]}["road"] == 1
    assert [s["state"] for s in road["stages"]][:4] == ["current"] * 4  # later stages are computed when asked for
    thickness = next(d for d in road["decisions"] if d["name"] == "design.thickness")
    assert (thickness["unit"], thickness["low"], thickness["high"]) == ("in", 0, 8)
    assert all(len(f["sha256"]) == 64 for f in road["files"])


def test_facts_come_page_by_page_in_the_units_asked_for(app: FastAPI) -> None:
    whole = given(call(app, "GET", "/api/roads/demo/facts/deflections?limit=1000&units=metric"))
    page = given(call(app, "GET", "/api/roads/demo/facts/deflections?limit=5&offset=7&units=metric"))
    us = given(call(app, "GET", "/api/roads/demo/facts/deflections?limit=5&offset=7"))
    assert page["rows"] == whole["rows"][7:12]
    assert page["origins"] == whole["origins"][7:12]
    assert page["total"] == whole["total"] > 12
    at = [c["name"] for c in page["columns"]].index("load")
    assert [c["unit"] for c in (page["columns"][at], us["columns"][at])] == ["kN", "lbf"]
    for metric, customary in zip(page["rows"], us["rows"], strict=True):  # 1 lbf = 4.4482216152605 N exactly
        assert metric[at] == pytest.approx(customary[at] * 4.4482216152605e-3, rel=1e-9)
    assert page["origins"][0][0].endswith(".csv")
    beyond = given(call(app, "GET", "/api/roads/demo/facts/deflections?offset=2000000000"))
    assert beyond["rows"] == []


def test_a_missing_number_is_null(app: FastAPI, office: ProjectFolder) -> None:
    frame = office.project("demo").facts().deflections
    name = next(c for c in frame.columns if frame[c].dtype.kind == "f" and frame[c].isna().any())
    row = int(frame[name].isna().to_numpy().argmax())
    page = given(call(app, "GET", f"/api/roads/demo/facts/deflections?limit=1&offset={row}"))
    assert page["rows"][0][list(frame.columns).index(name)] is None


@pytest.mark.parametrize(
    "query", ["limit=1001", "limit=0", "offset=-1", "offset=1e3", "units=cgs", "limit=" + "9" * 400]
)
def test_a_page_out_of_bounds_is_refused(app: FastAPI, query: str) -> None:
    assert refused(call(app, "GET", f"/api/roads/demo/facts/deflections?{query}"), 422)["where"].startswith("query.")


@pytest.mark.parametrize(
    ("method", "address"),
    [
        ("GET", "/api/roads/nowhere"),
        ("GET", "/api/roads/demo/facts/nothing"),
        ("GET", "/api/roads/demo/results/paving"),
        ("GET", "/api/roads/demo/results/design?table=nothing"),
        ("GET", "/api/calculations/nothing"),
        ("POST", "/api/roads/nowhere/run"),
        ("GET", "/api/roads/demo/export/docx"),
        ("GET", "/api/nothing/at/all"),
        ("GET", "/api/roads/nowhere/report.pdf"),
        ("DELETE", "/api/roads/demo/alternatives?name=nothing&expected=1"),
    ],
)
def test_what_is_not_there_is_said_to_be_missing(app: FastAPI, method: str, address: str) -> None:
    refused(call(app, method, address), 404)


def test_a_method_that_an_address_does_not_take_is_refused_with_those_it_takes(app: FastAPI) -> None:
    reply = call(app, "PATCH", "/api/roads/demo/report.pdf")
    refused(reply, 405)
    assert reply.headers["allow"] == "GET, POST"


def test_a_road_is_begun_once(app: FastAPI, folder: Path) -> None:
    made = given(call_json(app, "POST", "/api/roads", {"name": " &amp; Quarry & Sons' 100 %"}), 201)
    assert made == {"name": "&amp; Quarry & Sons' 100 %", "head": 0}
    assert (folder / "&amp; Quarry & Sons' 100 %.slab").is_file()
    before = (folder / "&amp; Quarry & Sons' 100 %.slab").stat().st_mtime_ns
    refused(call_json(app, "POST", "/api/roads", {"name": made["name"]}), 409)
    assert (folder / "&amp; Quarry & Sons' 100 %.slab").stat().st_mtime_ns == before
    view = given(call(app, "GET", f"/api/roads/{quote(made['name'])}"))
    assert {s["state"] for s in view["stages"]} == {"waiting"}
    missing = refused(call(app, "POST", f"/api/roads/{quote(made['name'])}/run"), 422)
    assert "layers" in missing["message"]


@pytest.mark.parametrize("name", HOSTILE)
def test_no_name_leaves_the_folder(app: FastAPI, folder: Path, name: str) -> None:
    outside = sorted(p.name for p in folder.parent.iterdir())
    reply = call_json(app, "POST", "/api/roads", {"name": name})
    assert reply.status in (201, 409, 422), reply.text
    if reply.status == 422:
        refused(reply, 422)
    assert sorted(p.name for p in folder.parent.iterdir()) == outside
    assert all(p.parent == folder for p in folder.rglob("*.slab"))


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_names_in_addresses_are_only_names(app: FastAPI, name: str) -> None:
    told = quote(name.encode("utf-8", "surrogatepass"), safe="")
    for address in (
        f"/api/roads/{told}",
        f"/api/roads/demo/facts/{told}",
        f"/api/roads/demo/results/{told}",
        f"/api/calculations/{told}",
        f"/api/roads/demo/export/{told}",
        f"/api/roads/demo/results/design?table={told}",
    ):
        reply = call(app, "GET", address)
        assert reply.status in (200, 404, 422), (address[:80], reply.text[:300])
        assert reply.headers["content-type"] == "application/json"
    refused(call(app, "GET", f"/api/roads/demo?alternative={told}"), 422)


# Edits ---------------------------------------------------------------------------------------------------
def test_decisions_are_changed_in_any_units_and_told_to_listeners(
    app: FastAPI, office: ProjectFolder, fresh: str
) -> None:
    told: list[str] = []
    office.listen(fresh, 1, lambda: told.append("changed"))
    head = head_of(app, fresh)
    body = {"decisions": {"design.thickness": "100 mm", "design.friction": 1.8}, "expected": head}
    moved = given(call_json(app, "PUT", f"/api/roads/{fresh}/decisions", body))["head"]
    assert moved > head
    assert told == ["changed"]
    decided = office.project(fresh).decisions()
    assert decided.design.thickness == pytest.approx(0.1, abs=1e-12)
    assert decided.design.friction == 1.8
    view = given(call(app, "GET", f"/api/roads/{fresh}?units=metric"))
    assert next(d["text"] for d in view["decisions"] if d["name"] == "design.thickness") == "100 mm"
    bare = {"decisions": {"design.thickness": 110}, "expected": moved}
    given(call_json(app, "PUT", f"/api/roads/{fresh}/decisions?units=metric", bare))
    assert office.project(fresh).decisions().design.thickness == pytest.approx(0.11, abs=1e-12)
    assert told == ["changed", "changed"]
    assert [s["state"] for s in view["stages"]][:4] == ["current", "current", "current", "stale"]


def test_a_decision_may_be_given_by_an_old_name(app: FastAPI, office: ProjectFolder, fresh: str) -> None:
    body = {"decisions": {"overlay.thickness": "100 mm"}, "expected": head_of(app, fresh)}
    given(call_json(app, "PUT", f"/api/roads/{fresh}/decisions", body))
    assert office.project(fresh).decisions().design.thickness == pytest.approx(0.1)


def test_an_edit_on_a_stale_view_is_refused_with_who_and_what_and_overwrites_nothing(
    app: FastAPI, office: ProjectFolder, fresh: str
) -> None:
    seen = head_of(app, fresh)
    first = {"decisions": {"design.thickness": "4 in"}, "expected": seen}
    now = given(call_json(app, "PUT", f"/api/roads/{fresh}/decisions", first))["head"]
    stale = {"decisions": {"design.thickness": "5 in"}, "expected": seen}
    error = refused(call_json(app, "PUT", f"/api/roads/{fresh}/decisions", stale), 409)
    assert "by tester" in error["what"]
    assert "design.thickness" in error["what"]
    for method, address, body in (
        ("POST", "undo", {"expected": seen}),
        ("POST", "redo", {"expected": seen}),
        ("POST", "alternatives", {"name": "other", "expected": seen}),
    ):
        refused(call_json(app, method, f"/api/roads/{fresh}/{address}", body), 409)
    assert head_of(app, fresh) == now
    assert office.project(fresh).decisions().design.thickness == pytest.approx(4 * 0.0254)
    assert office.project(fresh).alternatives() == ("base",)


def test_of_editors_that_write_at_once_one_wins_and_the_others_are_told(
    app: FastAPI, office: ProjectFolder, fresh: str
) -> None:
    head = head_of(app, fresh)
    replies: list[Reply] = []

    def edit(number: int) -> None:
        body = {"decisions": {"design.friction": 1.0 + number / 10}, "expected": head}
        replies.append(call_json(app, "PUT", f"/api/roads/{fresh}/decisions", body))

    editors = [threading.Thread(target=edit, args=(number,)) for number in range(6)]
    for editor in editors:
        editor.start()
    for editor in editors:
        editor.join()
    assert sorted(r.status for r in replies) == [200] + [409] * 5
    assert len(office.project(fresh).history()) == head + 1


@pytest.mark.parametrize(
    "body",
    [
        {"decisions": {"design.thickness": "40 in"}},
        {"decisions": {"overlay.nothing": "4 in"}},
        {"decisions": {"design.grout": "jam"}},
        {"decisions": {"design.thickness": "4 in", "design.friction": "much"}},
        {"decisions": {"survey.section_boundaries": "a\0b"}},
        {"alternative": "nothing", "decisions": {}},
        {"decisions": {"design.thickness": "4 in"}, "expected": None},
        {"decisions": {"survey.section_boundaries": "x" * 20_000}},
        {"decisions": {"design.thickness": "4 in"}, "expected": 10**30},
        {"decisions": {"design.thickness": "4 in"}, "expected": -1},
    ],
)
def test_a_decision_that_cannot_be_changes_nothing(app: FastAPI, fresh: str, body: dict[str, Any]) -> None:
    head = head_of(app, fresh)
    refused(call_json(app, "PUT", f"/api/roads/{fresh}/decisions", {"expected": head, **body}), 422)
    assert head_of(app, fresh) == head


def test_the_history_is_read_part_by_part(app: FastAPI, fresh: str) -> None:
    head = head_of(app, fresh)
    for name in ("a", "b", "c"):
        body = {"name": name, "expected": head}
        head = given(call_json(app, "POST", f"/api/roads/{fresh}/alternatives", body), 201)["head"]
    address = f"/api/roads/{fresh}/history"
    whole = given(call(app, "GET", address))
    assert (whole["total"], whole["earlier"]) == (len(whole["changes"]), None)
    seen: list[int] = []
    before = ""
    for _ in range(whole["total"]):
        part = given(call(app, "GET", f"{address}?limit=2{before}"))
        assert len(part["changes"]) <= 2
        seen = [c["id"] for c in part["changes"]] + seen
        before = f"&before={part['earlier']}"
        if part["earlier"] is None:
            break
    assert seen == [c["id"] for c in whole["changes"]]
    refused(call(app, "GET", f"{address}?limit=0"), 422)


def test_alternatives_come_and_go_and_each_step_is_undone_and_redone(app: FastAPI, fresh: str) -> None:
    head = head_of(app, fresh)
    body = {"name": "<i>thin</i>", "expected": head}
    added = given(call_json(app, "POST", f"/api/roads/{fresh}/alternatives", body), 201)
    assert added["alternatives"] == ["base", "<i>thin</i>"]
    undone = given(call_json(app, "POST", f"/api/roads/{fresh}/undo", {"expected": added["head"]}))
    assert undone["head"] == head
    assert undone["change"]["undone"] is True
    redone = given(call_json(app, "POST", f"/api/roads/{fresh}/redo", {"expected": head}))
    assert redone["head"] == added["head"]
    refused(call_json(app, "POST", f"/api/roads/{fresh}/redo", {"expected": added["head"]}), 422)
    address = f"/api/roads/{fresh}/alternatives?name={quote('<i>thin</i>', safe='')}"
    refused(call(app, "DELETE", f"{address}&expected={head}"), 409)
    assert given(call(app, "DELETE", f"{address}&expected={added['head']}"))["alternatives"] == ["base"]
    refused(call(app, "DELETE", f"/api/roads/{fresh}/alternatives?name=base&expected={head_of(app, fresh)}"), 422)
    entries = given(call(app, "GET", f"/api/roads/{fresh}/history"))["changes"]
    number = entries[-4]["id"]
    assert [e["what"] for e in entries[-4:]] == [
        "add the alternative <i>thin</i>",
        f"undo no. {number}: add the alternative <i>thin</i>",
        f"redo no. {number}: add the alternative <i>thin</i>",
        "remove the alternative <i>thin</i>",
    ]
    assert entries[-1]["user"] == "tester"


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_names_of_alternatives_are_kept_as_they_are_or_refused(app: FastAPI, fresh: str, name: str) -> None:
    head = head_of(app, fresh)
    reply = call_json(app, "POST", f"/api/roads/{fresh}/alternatives", {"name": name, "expected": head})
    assert reply.status in (201, 422), reply.text
    if reply.status == 201:
        assert reply.json["alternatives"] == ["base", name]
    else:
        refused(reply, 422)
        assert head_of(app, fresh) == head


# Files ---------------------------------------------------------------------------------------------------
RIDE = b"lane,station,width\nEB1,0+00,12 ft\nEB1,5+00,12 ft\n"


@pytest.fixture
def empty(app: FastAPI, folder: Path) -> Iterator[str]:
    given(call_json(app, "POST", "/api/roads", {"name": "empty"}), 201)
    yield "empty"
    for file in folder.glob("empty.slab*"):
        file.unlink()


@pytest.fixture
def field_files(demo_file: Path) -> Path:
    return demo_file.parent / "files"


def upload(app: Any, road: str, name: str, content: bytes, query: str = "", fields: Any = ()) -> Reply:
    body, headers = multipart(name, content, fields)
    return call(app, "POST", f"/api/roads/{road}/files{query}", body=body, headers=headers)


def test_a_preview_shows_what_was_recognised_and_changes_nothing(app: FastAPI, empty: str, field_files: Path) -> None:
    content = (field_files / "layers.csv").read_bytes()
    seen = given(upload(app, empty, "layers.csv", content, "?preview=true&units=metric"))
    assert seen["outcome"] == "previewed"
    (table,) = seen["tables"]
    assert table["table"] == "layers"
    assert table["rows"] == len(content.splitlines()) - 1
    assert {m["column"] for m in table["mapping"]} >= {"thickness"}
    assert len(table["first"][0]) == len(table["columns"])
    assert head_of(app, empty) == 0


def test_a_file_is_loaded_once_and_its_rows_know_where_they_came_from(
    app: FastAPI, empty: str, field_files: Path
) -> None:
    content = (field_files / "layers.csv").read_bytes()
    fields = [("accept", "true")]
    loaded = given(upload(app, empty, "C:\\survey\\layers.csv", content, "?expected=0", fields))
    assert loaded["file"] == "layers.csv"
    assert loaded["loaded"]["rows"] == {"layers": len(content.splitlines()) - 1}
    facts = given(call(app, "GET", f"/api/roads/{empty}/facts/layers?limit=1"))
    assert facts["origins"] == [["layers.csv", 2]]
    again = refused(upload(app, empty, "copy.csv", content, fields=fields), 409)
    assert "already loaded" in again["message"]
    refused(upload(app, empty, "lanes.csv", (field_files / "lanes.csv").read_bytes(), "?expected=0", fields), 409)


def test_a_file_is_taken_out_or_replaced_over_http(app: FastAPI, empty: str) -> None:
    first, corrected = b"Year,AADT\n2020,120000\n", b"Year,AADT\n2020,121000\n"
    given(upload(app, empty, "counts.csv", first))
    assert "counts.csv, row 2" in refused(upload(app, empty, "new.csv", corrected), 422)["message"]
    refused(upload(app, empty, "new.csv", corrected, fields=[("in_place_of", "other.csv")]), 422)
    loaded = given(upload(app, empty, "new.csv", corrected, fields=[("in_place_of", "counts.csv")]))
    assert [f["name"] for f in given(call(app, "GET", f"/api/roads/{empty}"))["files"]] == ["new.csv"]
    gone = f"/api/roads/{empty}/files?name="
    refused(call(app, "DELETE", f"{gone}counts.csv&expected={loaded['head']}"), 404)
    refused(call(app, "DELETE", f"{gone}new.csv&expected=0"), 409)
    given(call(app, "DELETE", f"{gone}new.csv&expected={loaded['head']}"))
    assert given(call(app, "GET", f"/api/roads/{empty}"))["files"] == []


def test_doubts_wait_until_they_are_accepted_or_struck(app: FastAPI, empty: str, field_files: Path) -> None:
    content = (field_files / "deflections_northbound.csv").read_bytes()
    seen = given(upload(app, empty, "north.csv", content, "?preview=true"))
    warnings = sorted({rule for table in seen["tables"] for rule in table["warnings"]})
    assert warnings
    refused(upload(app, empty, "north.csv", content), 422)
    assert head_of(app, empty) == 0
    rejected = given(upload(app, empty, "north.csv", content, fields=[("accept", "true"), ("reject", warnings[0])]))
    assert rejected["loaded"]["rejected"] >= 1
    refused(upload(app, empty, "other.csv", content + b"\n", fields=[("reject", "no such rule")]), 422)


def test_headings_and_units_are_mapped_by_hand(app: FastAPI, empty: str) -> None:
    content = b"spur,von,bis,hoch\n1,0,100,8\n"
    fields = [
        ("table", "layers"),
        ("accept", "true"),
        ("column_units", '{"thickness": "in"}'),
        ("mapping", json.dumps({"von": "begin", "bis": "end", "hoch": "thickness", "spur": None})),
    ]
    seen = given(upload(app, empty, "plan.csv", content, "?preview=true", fields))
    how = {m["header"]: (m["column"], m["unit"]) for m in seen["tables"][0]["mapping"]}
    assert how["hoch"] == ("thickness", "in")
    assert how["spur"] == (None, None)


@pytest.mark.parametrize(
    ("name", "content", "word"),
    [
        ("picture.png", b"\x89PNG", ".csv"),
        ("macro.xlsm", b"PK", ".csv"),
        ("page.html", b"<html>", ".csv"),
        ("empty.csv", b"", "empty"),
        ("words.csv", b"to be or not to be", ""),
        ("book.xlsx", b"PK\x03\x04 broken", "damaged"),
        ("x" * 300 + ".csv", RIDE, "name of a file"),
        ("a\0b.csv", RIDE, "name of a file"),
        ("..", RIDE, "name of a file"),
        (".csv", RIDE, "name of a file"),
        ("\u202egnp.csv", RIDE, "name of a file"),
        ("cut.gz", b"\x1f\x8b\x08\x00", ""),
        ("noise.txt", bytes(range(256)) * 20, ""),
    ],
)
def test_a_file_that_cannot_be_read_is_refused_and_leaves_nothing(
    app: FastAPI, empty: str, name: str, content: bytes, word: str
) -> None:
    assert word in refused(upload(app, empty, name, content), 422)["message"]
    assert head_of(app, empty) == 0


def test_a_name_that_climbs_is_only_its_last_part(app: FastAPI, empty: str, folder: Path, field_files: Path) -> None:
    content = (field_files / "lanes.csv").read_bytes()
    loaded = given(upload(app, empty, "../../../lanes.csv", content, fields=[("accept", "true")]))
    assert loaded["file"] == "lanes.csv"
    assert not [p for p in folder.parent.rglob("lanes.csv") if folder in p.parents]


def test_an_upload_past_the_limit_is_refused_without_reading_it_all(app: FastAPI, empty: str) -> None:
    declared = {"content-type": "multipart/form-data; boundary=b", "content-length": str(200 * 2**20)}
    pieces = (b"x" * 2**20 for _ in range(200))
    reply = call(app, "POST", f"/api/roads/{empty}/files", body=pieces, headers=declared)
    refused(reply, 413)
    assert reply.pieces_read <= 101  # the rest is let run out, at most as much as would have been taken
    start, kind = multipart("big.csv", b"")
    chunks = (start[: start.index(b"\r\n\r\n") + 4] if n == 0 else b"1,2,3\n" * 174_763 for n in range(400))
    reply = call(app, "POST", f"/api/roads/{empty}/files", body=chunks, headers=kind)
    refused(reply, 413)
    assert reply.pieces_read <= 103 + 101  # 100 MB of file, 1 MB of fields, and the piece that was too much
    assert head_of(app, empty) == 0


def test_a_long_body_elsewhere_is_refused_sooner(app: FastAPI) -> None:
    chunks = (b" " * 2**18 for _ in range(100))
    reply = call(app, "POST", "/api/roads", body=chunks, headers={"content-type": "application/json"})
    refused(reply, 413)
    assert reply.pieces_read <= 5 + 4


# Results -------------------------------------------------------------------------------------------------
def test_a_run_computes_what_is_stale_and_results_show_it(app: FastAPI, office: ProjectFolder, fresh: str) -> None:
    body = {"decisions": {"design.thickness": "4 in"}, "expected": head_of(app, fresh)}
    given(call_json(app, "PUT", f"/api/roads/{fresh}/decisions", body))
    ran = given(call(app, "POST", f"/api/roads/{fresh}/run?units=metric"))
    assert ran["computed"] == ["design", "economics"]
    assert {row["overlay"] for row in ran["summary"]} <= {"102 mm", "0 mm", "–"}
    costs = office.computation(fresh).result("economics").tables["section_costs"]["cost"].sum()
    assert sum(row["cost"] or 0.0 for row in ran["summary"]) == pytest.approx(costs)
    without = given(call(app, "POST", f"/api/roads/{fresh}/run?until=design"))["summary"]
    assert {row["cost"] for row in without} == {None}
    assert given(call(app, "POST", f"/api/roads/{fresh}/run?until=survey"))["computed"] == []
    refused(call(app, "POST", f"/api/roads/{fresh}/run?until=paving"), 422)
    shown = given(call(app, "GET", f"/api/roads/{fresh}/results/design?table=thicknesses&units=metric"))
    assert list(shown["tables"]) == ["thicknesses"]
    table = shown["tables"]["thicknesses"]
    at = [c["name"] for c in table["columns"]].index("overlay")
    inside = office.computation(fresh).result("design").tables["thicknesses"]["overlay"].to_numpy()
    expected = [None if value != value else convert(value, "thickness", "metric") for value in inside]
    assert [row[at] for row in table["rows"]] == [v if v is None else pytest.approx(v) for v in expected]


@pytest.mark.parametrize("stage", [stage.name for stage in plan()])
def test_every_stage_shows_all_its_tables(app: FastAPI, office: ProjectFolder, stage: str) -> None:
    assert given(call(app, "GET", f"/api/roads/demo/results/{stage}"))["workings"] == []
    shown = given(call(app, "GET", f"/api/roads/demo/results/{stage}?workings=true"))
    result = office.computation("demo").result(stage)
    assert {name: len(t["rows"]) for name, t in shown["tables"].items()} == {
        n: len(f) for n, f in result.tables.items()
    }
    computation = office.computation("demo")
    seen = scene(computation.facts, computation.decisions, computation.run())
    assert [w["text"] for w in shown["workings"]] == [w.text() for w in sheets(seen, stage, "us")]


def test_the_report_is_a_pdf_and_only_handing_it_over_is_remembered(
    app: FastAPI, office: ProjectFolder, fresh: str
) -> None:
    reply = call(app, "GET", f"/api/roads/{fresh}/report.pdf")
    assert (reply.status, reply.headers["content-type"]) == (200, "application/pdf")
    assert "The answer by section" in PdfReader(io.BytesIO(reply.body)).pages[0].extract_text()
    appendix = call(app, "GET", f"/api/roads/{fresh}/appendix.pdf?engineer=R.+Oak")
    assert (appendix.status, appendix.headers["content-type"]) == (200, "application/pdf")
    reader = PdfReader(io.BytesIO(appendix.body))
    assert reader.pages[0].extract_text().split("\n")[1].startswith("Appendix: ")
    assert reader.metadata.author == "R. Oak"
    assert office.project(fresh).changes_since_report() is None
    assert call(app, "POST", f"/api/roads/{fresh}/report.pdf?units=metric").body.startswith(b"%PDF-")
    assert office.project(fresh).changes_since_report() is not None


def test_the_link_of_the_page_hands_over_the_state_that_was_printed_and_no_other_link_does(
    app: FastAPI, office: ProjectFolder, fresh: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    project = office.project(fresh)
    printed = project.head
    project.decide("base", {"design.reliability": 0.8})
    monkeypatch.setattr(documents, "_report_bytes", lambda *_: (b"%PDF-", printed))
    for ticket in ("", "guessed"):
        assert call(app, "GET", f"/api/roads/{fresh}/report.pdf?ticket={ticket}").body == b"%PDF-"
        assert project.changes_since_report() is None
    call(app, "GET", f"/api/roads/{fresh}/report.pdf?ticket={office.ticket(Signed())}")
    since = project.changes_since_report()
    assert [c.what for c in since.made] == ["decide design.reliability (base)"]


def test_exports_are_the_files_they_say(app: FastAPI, tmp_path: Path) -> None:
    book = call(app, "GET", "/api/roads/demo/export/xlsx")
    assert "xl/workbook.xml" in zipfile.ZipFile(io.BytesIO(book.body)).namelist()
    assert book.headers["content-disposition"].startswith("attachment;")
    (tmp_path / "road.gpkg").write_bytes(call(app, "GET", "/api/roads/demo/export/gpkg").body)
    connection = sqlite3.connect(tmp_path / "road.gpkg")
    assert connection.execute("SELECT count(*) FROM gpkg_contents").fetchone()[0] > 0
    connection.close()
    drawing = call(app, "GET", "/api/roads/demo/export/dxf")
    assert b"SECTION" in drawing.body[:100]


# The file under the server -------------------------------------------------------------------------------
def test_a_project_removed_under_the_server_is_told_in_a_sentence(app: FastAPI, folder: Path, fresh: str) -> None:
    head = head_of(app, fresh)
    for file in folder.glob("fresh.slab*"):
        file.unlink()
    for method, address in (
        ("GET", ""),
        ("GET", "/history"),
        ("GET", "/facts/layers"),
        ("POST", "/run"),
        ("GET", "/results/design"),
        ("GET", "/report.pdf"),
        ("GET", "/export/xlsx"),
    ):
        assert "moved" in refused(call(app, method, f"/api/roads/{fresh}{address}"), 404)["message"]
    body = {"decisions": {"design.thickness": "4 in"}, "expected": head}
    refused(call_json(app, "PUT", f"/api/roads/{fresh}/decisions", body), 404)
    assert not (folder / "fresh.slab").exists()


def test_a_file_that_is_no_project_is_told_without_the_server_s_paths(app: FastAPI, folder: Path) -> None:
    (folder / "false.slab").write_bytes(b"not a database" * 20)
    reply = call(app, "GET", "/api/roads/false")
    assert refused(reply, 503)["where"] == "false.slab"
    assert str(folder) not in reply.text


def test_a_file_put_in_the_place_of_another_is_the_one_that_is_shown_and_changed(
    app: FastAPI, office: ProjectFolder, folder: Path, demo_file: Path, fresh: str
) -> None:
    seen = given(call(app, "GET", f"/api/roads/{fresh}"))
    with open_project(shutil.copy(demo_file, folder / "restored.copy"), user="colleague", clock=now) as copy:
        copy.decide("base", {"design.friction": 2.5})
    (folder / "restored.copy").replace(folder / f"{fresh}.slab")
    after = given(call(app, "GET", f"/api/roads/{fresh}"))
    assert next(d["text"] for d in after["decisions"] if d["name"] == "design.friction") == "2.500"
    stale = {"decisions": {"design.friction": 1.2}, "expected": seen["head"]}
    assert "by colleague" in refused(call_json(app, "PUT", f"/api/roads/{fresh}/decisions", stale), 409)["what"]
    given(call_json(app, "PUT", f"/api/roads/{fresh}/decisions", {**stale, "expected": after["head"]}))
    office.close()
    with open_project(folder / f"{fresh}.slab", user="colleague", clock=now) as project:
        assert project.decisions().design.friction == 1.2


def test_facts_that_change_while_they_are_read_are_not_kept_for_the_state_before(
    office: ProjectFolder, fresh: str, app: FastAPI, monkeypatch: pytest.MonkeyPatch
) -> None:
    project, head = office.project(fresh), head_of(app, fresh)
    read, lanes = type(project).facts, project.facts().lanes

    def interrupted(self: Project) -> Facts:
        monkeypatch.undo()
        self.replace_table("lanes", lanes.iloc[:1])
        return read(self)

    monkeypatch.setattr(type(project), "facts", interrupted)
    assert len(office.computation(fresh).facts.lanes) == 1
    project.undo()
    assert project.head == head
    assert len(office.computation(fresh).facts.lanes) == len(lanes) > 1


def test_a_refusal_that_holds_half_a_letter_can_still_be_sent(app: FastAPI) -> None:
    @app.get("/api-test")
    def broken() -> None:
        raise InputError("half of a letter", where="\ud800", allowed="\udfff")

    assert refused(call(app, "GET", "/api-test"), 422)["where"] == "?"
