"""Whatever is sent to any address: no answer of a defect, and none that the OpenAPI description does not describe."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import schemathesis
from fastapi import FastAPI
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from schemathesis import GenerationMode
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_headers_conformance,
    response_schema_conformance,
    status_code_conformance,
)

from slabwright.calculation import Choice, Quantity
from slabwright.catalogue import calculations
from slabwright.records.decisions import Decisions, entries
from slabwright.units import from_si, unit_of
from slabwright.web.api import routes as api
from slabwright.web.project_folder import ProjectFolder

CHECKS = [
    not_a_server_error,
    status_code_conformance,
    content_type_conformance,
    response_headers_conformance,
    response_schema_conformance,
]
REAL = {
    "road": "demo",
    "stage": "survey",
    "table": "deflections",
    "kind": "xlsx",
    "name": "saw_depth",
    "alternative": "base",
}
BOUNDED = settings(deadline=None, derandomize=True, database=None, suppress_health_check=list(HealthCheck))


def application(office: ProjectFolder) -> FastAPI:
    app = FastAPI(title="Slabwright", version="1")
    api.install(app, office)
    return app


def addresses() -> list[tuple[str, str]]:
    """(path, method) of every documented endpoint; listing them opens no road."""
    paths = application(ProjectFolder(Path(), "tester")).openapi()["paths"]
    return [(path, method) for path, endpoints in paths.items() for method in endpoints]


@pytest.fixture(scope="module")
def described(tmp_path_factory: pytest.TempPathFactory, demo_file: Path) -> Iterator[Any]:
    folder = tmp_path_factory.mktemp("described")
    shutil.copy(demo_file, folder / "demo.slab")
    office = ProjectFolder(folder, "tester")
    yield schemathesis.openapi.from_asgi("/openapi.json", application(office))
    office.close()


@pytest.mark.parametrize(("path", "method"), addresses())
@settings(BOUNDED, max_examples=10)
@given(data=st.data())
def test_no_input_breaks_an_address(described: Any, path: str, method: str, data: st.DataObject) -> None:
    case = data.draw(described[path][method].as_strategy())
    case.call_and_validate(checks=CHECKS)


@pytest.mark.parametrize(("path", "method"), [(p, m) for p, m in addresses() if not p.endswith(".pdf")])  # seconds each
@settings(BOUNDED, max_examples=6)
@given(data=st.data())
def test_no_input_breaks_an_address_that_is_there(described: Any, path: str, method: str, data: st.DataObject) -> None:
    """The same with the names and the head of a real road, which lead past the first refusal."""
    case = data.draw(described[path][method].as_strategy())
    if isinstance(case.body, dict) and "expected" in case.body:
        case.body["expected"] = (
            described["/api/roads/{road}/history"]["get"].Case(path_parameters=REAL).call().json()["head"]
        )
    for given_names in (case.path_parameters, case.query):
        for key in REAL.keys() & given_names.keys():
            given_names[key] = REAL[key]
    case.call_and_validate(checks=CHECKS)


# Nothing can be wrong with what these are given: no query, no body.
WITHOUT_INPUT = [("/api/roads", "get"), ("/api/stages", "get"), ("/api/roads/{road}/history", "get")]


@pytest.mark.parametrize(("path", "method"), [a for a in addresses() if a not in WITHOUT_INPUT])
@settings(BOUNDED, max_examples=8)
@given(data=st.data())
def test_input_that_breaks_the_description_breaks_nothing(
    described: Any, path: str, method: str, data: st.DataObject
) -> None:
    case = data.draw(described[path][method].as_strategy(generation_mode=GenerationMode.NEGATIVE))
    case.call_and_validate(checks=CHECKS)


WORDS = st.one_of(
    st.floats(allow_nan=False, allow_infinity=False),
    st.integers(-10, 10_000),
    st.text(max_size=30),
    st.tuples(st.floats(0, 1e4), st.sampled_from(["in", "mm", "psi", "kip", "%", "degF", "", "furlong"])).map(
        lambda pair: f"{pair[0]:g} {pair[1]}"
    ),
    st.lists(st.floats(0, 100).map(lambda v: f"{v:g}"), max_size=6).map(", ".join),
)


def _possible(about: Quantity | Choice) -> st.SearchStrategy[str]:
    """What lies within the bounds of an input."""
    if isinstance(about, Choice):
        return st.sampled_from(about.options)
    low = -1e3 if about.low is None else about.low
    high = low + 1e4 if about.high is None else about.high
    unit = unit_of(about.kind)
    number = st.floats(0, 1).map(lambda share: f"{from_si(low + share * (high - low), unit, about.kind):.9g}")
    return st.lists(number, min_size=1, max_size=4).map(", ".join) if about.vector else number


@pytest.mark.parametrize("name", list(calculations()))
@settings(BOUNDED, max_examples=8)
@given(data=st.data())
def test_no_inputs_break_a_calculation(described: Any, name: str, data: st.DataObject) -> None:
    """All inputs but one lie within their bounds, so that the calculation itself is reached."""
    calculation = calculations()[name]
    odd = data.draw(st.one_of(st.none(), st.sampled_from([p.name for p in calculation.parameters])))
    inputs = {p.name: data.draw(WORDS if p.name == odd else _possible(p.about)) for p in calculation.parameters}
    endpoint = described["/api/calculations/{name}"]["post"]
    case = endpoint.Case(
        path_parameters={"name": calculation.name}, body={"inputs": inputs}, media_type="application/json"
    )
    case.call_and_validate(checks=CHECKS)


@settings(BOUNDED, max_examples=60)
@given(data=st.data())
def test_no_value_breaks_a_decision(described: Any, data: st.DataObject) -> None:
    names = st.sampled_from([entry.name for entry in entries(Decisions())])
    decisions = data.draw(st.dictionaries(names, WORDS, max_size=3))
    head = described["/api/roads/{road}/history"]["get"].Case(path_parameters=REAL).call().json()["head"]
    case = described["/api/roads/{road}/decisions"]["put"].Case(
        path_parameters=REAL, body={"decisions": decisions, "expected": head}, media_type="application/json"
    )
    case.call_and_validate(checks=CHECKS)
