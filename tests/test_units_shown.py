"""What a reader of one system of units is shown, everywhere: commands, HTTP, pages, report, workbook, map and drawing.

Workings are left out: an equation stands as it is published, in the units of its publication.
"""

from __future__ import annotations

import asyncio
import json
import re
import shutil
import sys
from collections.abc import Callable, Iterable, Iterator
from dataclasses import fields, is_dataclass
from html import unescape
from pathlib import Path
from typing import Any

import geopandas as gpd
import pypdf
import pytest
from ezdxf.filemanagement import readfile
from fastapi import FastAPI
from nicegui import ui
from nicegui.testing.user_simulation import user_simulation
from python_calamine import CalamineWorkbook

from slabwright import units
from slabwright.cli import main
from slabwright.project import Project, open_project
from slabwright.records.decisions import entries
from slabwright.records.results import StageResult
from slabwright.report import Part
from slabwright.report.drawing import write_drawing
from slabwright.report.geopackage import write_geopackage
from slabwright.report.workbook import write_workbook
from slabwright.stages import stages
from slabwright.web.api import routes as api
from slabwright.web.pages import Page, pages
from slabwright.web.project_folder import ProjectFolder
from slabwright.web.view import View
from slabwright.workflow import Computation
from slabwright.workflow.documents import results_at_hand, write_report
from tests.conftest import clock
from tests.mechanistic_results import save_field_results
from tests.web.caller import call

PARTS: tuple[Part, ...] = ("report", "appendix")
SYSTEMS: tuple[units.System, ...] = ("us", "metric")
# Units that betray the other system: as words of their own; after a number, a bracket or "per"; below a fraction's bar.
WORDS = {
    "us": "psi|pci|kips?|mils?|yd|inch(?:es)?|feet|foot|lbf|mph|°F|degF|pounds?|BTU",
    "metric": "mm|km|MPa|kPa|GPa|kN|µm|um|°C|degC|metres?|millimetres?|kilometres?",
}
AFTER_NUMBER = {"us": "in|ft|lb|mi", "metric": "m|Pa|N"}
FOREIGN = {
    system: re.compile(
        rf"(?<![\w°])(?:{WORDS[system]})(?![A-Za-z])"
        rf"|(?:(?<![\w.,])[\d.,]*\d[\s\u00a0-]?|[\[(]|\bper )(?:{AFTER_NUMBER[system]})(?![A-Za-z0-9])"
        rf"|/(?:{AFTER_NUMBER[system]})(?![A-Za-z0-9])"
    )
    for system in SYSTEMS
}
# Phrases that hold a unit of the other system and may, each with its reason.
ALLOWED = {
    "median at the foot": "a place on a drawing, not a length",
    "feet metres": "the choices of the road's own stationing, a fact",
    "Lantern Parkway feet": "the road's own stationing, a fact",
    "stuck while the load changes: 1.20 mil": "a warning as it was told when its file was loaded, kept with the answer to it",
}


def foreign(texts: Iterable[str], system: units.System) -> str:
    """Every phrase with a unit of the other system, with what stands around it."""
    pattern = FOREIGN["metric" if system == "us" else "us"]
    found = []
    for text in (re.sub(r"\s+", " ", t) for t in texts):
        for phrase in ALLOWED:
            text = text.replace(phrase, "")
        found += [text[max(m.start() - 50, 0) : m.end() + 30] for m in pattern.finditer(text)]
    return "\n".join(dict.fromkeys(found))


def words_of(thing: Any) -> Iterator[str]:
    """Every text inside a record, a mapping or a list."""
    if isinstance(thing, str):
        yield thing
    elif isinstance(thing, dict):
        for key, value in thing.items():
            if key != "workings":
                yield str(key)
                yield from words_of(value)
    elif isinstance(thing, list | tuple | set):
        for value in thing:
            yield from words_of(value)
    elif is_dataclass(thing):
        for field in fields(thing):
            yield from words_of(getattr(thing, field.name))


@pytest.fixture(scope="module")
def road(demo_file: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo road with a result of every stage."""
    path = Path(shutil.copy(demo_file, tmp_path_factory.mktemp("shown") / "demo.slab"))
    with open_project(path, user="tester", clock=clock) as project:
        save_field_results(project)
    return path


@pytest.fixture(scope="module")
def project(road: Path) -> Iterator[Project]:
    with open_project(road, user="tester", clock=clock) as opened:
        yield opened


@pytest.fixture(scope="module")
def results(project: Project) -> dict[str, StageResult]:
    return results_at_hand(Computation(project))


def test_the_pattern_finds_what_it_should_and_no_more() -> None:
    for text in ("2.00 in", "[in]", "[1/mi]", "36-in", "0.04 in.", "per yd²", "80 °F", "3.5 ft:", "lb/ft³"):
        assert foreign([text], "metric"), text
    for text in ("51 mm", "[m]", "[1/km]", "per m²", "27 °C", "0.8 mm", "W/(m·K)", "kN/m³", "1.4 MPa,"):
        assert foreign([text], "us"), text
    for system in SYSTEMS:
        for text in ("W1 in 3 lanes", "41.5 %", "station", "2 months", "milestone", "infinite", "30 to 50 %", "a / b"):
            assert not foreign([text], system), text


@pytest.mark.parametrize("system", SYSTEMS)
def test_commands(
    road: Path, system: units.System, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def said(*words: object) -> str:
        monkeypatch.setattr(sys, "argv", ["slabwright", *map(str, words), "--units", system])
        with pytest.raises(SystemExit) as stop:
            main()
        assert not stop.value.code
        return capsys.readouterr().out

    texts = [said("run", road), said("compare", road), said("decide", road)]
    for stage in stages():
        texts += [said("show", road, stage.name), *words_of(json.loads(said("show", road, stage.name, "--json")))]
    assert foreign(texts, system) == ""


@pytest.mark.parametrize("system", SYSTEMS)
def test_http(road: Path, system: units.System) -> None:
    app = FastAPI()
    api.install(app, ProjectFolder(road.parent, "tester"))
    addresses = ["", *(f"/results/{stage.name}" for stage in stages())]
    replies = [call(app, "GET", f"/api/roads/demo{address}?units={system}") for address in addresses]
    replies.append(call(app, "POST", f"/api/roads/demo/run?units={system}"))
    assert [r.status for r in replies] == [200] * len(replies)
    assert foreign((w for r in replies for w in words_of(r.json)), system) == ""


@pytest.mark.parametrize("page", pages(), ids=lambda page: page.slug)
@pytest.mark.parametrize("system", SYSTEMS)
def test_pages(road: Path, system: units.System, page: Page) -> None:
    view = type("Shown", (View,), {"system": system, "dark": False})(
        ProjectFolder(road.parent, "tester"), "demo", "base"
    )
    shown: list[str] = []

    async def run() -> None:
        async with user_simulation() as user:

            @ui.page("/")
            async def drawn() -> None:
                await page.draw(view)
                for element in ui.context.client.elements.values():
                    shown.extend(words_of(element.props))
                    shown.append(str(getattr(element, "content", getattr(element, "text", ""))))

            await user.open("/")

    asyncio.run(run())
    assert len(shown) > 20
    assert foreign((unescape(re.sub(r"<[^>]*>", " ", text)) for text in shown), system) == ""


@pytest.mark.parametrize("system", SYSTEMS)
def test_report(project: Project, system: units.System, tmp_path: Path) -> None:
    printed: list[str] = []
    for part in PARTS:
        path = tmp_path / f"{part}.pdf"
        write_report(project, path, alternative="base", system=system, made_at=clock(), part=part)
        printed += [page.extract_text() for page in pypdf.PdfReader(path).pages]
    begin = next(i for i, text in enumerate(printed) if "Each sheet gives the equation as published" in text)
    end = next(i for i, text in enumerate(printed) if "SHA-256 digest" in text)
    assert begin < end
    assert foreign([*printed[:begin], *printed[end:]], system) == ""


@pytest.mark.parametrize("system", SYSTEMS)
def test_workbook(project: Project, results: dict[str, StageResult], system: units.System, tmp_path: Path) -> None:
    path = tmp_path / "q.xlsx"
    decisions = project.decisions("base")
    write_workbook(path, alternative="base", decisions=decisions, results=results, system=system)
    book = CalamineWorkbook.from_path(str(path))
    cells = [str(c) for name in book.sheet_names for row in book.get_sheet_by_name(name).to_python() for c in row]
    assert len(cells) > len(list(entries(decisions)))
    assert foreign(cells, system) == ""


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("write", [write_geopackage, write_drawing], ids=["map", "drawing"])
def test_map_and_drawing(
    project: Project, results: dict[str, StageResult], system: units.System, write: Callable[..., None], tmp_path: Path
) -> None:
    path = tmp_path / ("made.gpkg" if write is write_geopackage else "made.dxf")
    write(path, facts=project.facts(), results=results, system=system)
    texts = _map_texts(path) if write is write_geopackage else _drawing_texts(path)
    assert len(texts) > 100
    assert foreign(texts, system) == ""


def _map_texts(path: Path) -> list[str]:
    texts: list[str] = []
    for layer in gpd.list_layers(path)["name"]:
        frame = gpd.read_file(path, layer=layer).drop(columns="geometry", errors="ignore")  # styles have none
        texts += [*frame.columns, *(v for c in frame for v in frame[c] if isinstance(v, str))]
    return texts


def _drawing_texts(path: Path) -> list[str]:
    drawing = readfile(path)
    described = [layer.description for layer in drawing.layers]
    return described + [t.dxf.text for layout in drawing.layouts for t in layout.query("TEXT")]
