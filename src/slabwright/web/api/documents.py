"""Documents: the report as a PDF, and quantities, map layers and plan sheets. Each is made whole, then sent."""

from __future__ import annotations

import tempfile
import threading
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any
from urllib.parse import quote

from fastapi import APIRouter, Query, Response

from slabwright.units import System
from slabwright.web.api.errors import NotHere, errors
from slabwright.web.api.roads import Alternative, Road, opened
from slabwright.web.project_folder import ProjectFolder, now

if TYPE_CHECKING:
    from slabwright.report import Part

__all__ = ["EXPORTS", "add_documents"]

PDF = "application/pdf"
Engineer = Annotated[str, Query(description="Name of the person who signs.", max_length=80)]
# The drawing library of the report sets styles for the whole process, so one document is made at a time.
ONE_AT_A_TIME = threading.Lock()
EXPORTS = {
    "xlsx": ("quantities.xlsx", "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"),
    "gpkg": ("road.gpkg", "application/geopackage+sqlite3"),
    "dxf": ("repairs.dxf", "image/vnd.dxf"),
}


def _report_bytes(
    office: ProjectFolder, road: str, alternative: str, system: System, engineer: str, part: Part = "report"
) -> tuple[bytes, int]:
    """The design report of an alternative or its appendix, what is stale computed first; and the head it was read at."""
    from slabwright.workflow.documents import write_report

    project, seen = office.project(road), []

    def write(path: Path) -> None:
        seen.append(
            write_report(
                project, path, alternative=alternative, system=system, made_at=now(), engineer=engineer, part=part
            )
        )

    return _made("report.pdf", write), seen[0]


def _export_bytes(office: ProjectFolder, road: str, alternative: str, kind: str, system: System) -> bytes:
    """One of the exports of an alternative, what is stale computed first."""
    from slabwright.report.drawing import write_drawing
    from slabwright.report.geopackage import write_geopackage
    from slabwright.report.workbook import write_workbook
    from slabwright.workflow.documents import points_told, results_at_hand

    computation = office.computation(road, alternative)
    facts, decisions, results = computation.facts, computation.decisions, results_at_hand(computation)
    points = points_told(office.project(road), computation, results, system) if kind == "xlsx" else []
    write: dict[str, Callable[[Path], object]] = {
        "xlsx": lambda path: write_workbook(
            path, alternative=alternative, decisions=decisions, results=results, system=system, points=points
        ),
        "gpkg": lambda path: write_geopackage(path, facts=facts, results=results, system=system),
        "dxf": lambda path: write_drawing(path, facts=facts, results=results, system=system),
    }
    return _made(EXPORTS[kind][0], write[kind])


def add_documents(router: APIRouter, office: ProjectFolder) -> None:
    pdf: dict[str, Any] = {
        "response_class": Response,
        "tags": ["documents"],
        "responses": {200: _binary("The report.", PDF), **errors(404, 503)},
    }

    @router.get("/roads/{road}/report.pdf", summary="The design report, to look at", **pdf)
    def look(
        road: Road,
        alternative: Alternative = "base",
        units: System = "us",
        engineer: Engineer = "",
        ticket: Annotated[str, Query(include_in_schema=False, max_length=100)] = "",
    ) -> Response:
        name, _ = opened(office, road)
        content, seen = _report_bytes(office, name, alternative, units, engineer)
        if office.is_ticket(ticket):  # the link of the page hands it over
            office.hand_over(name, alternative, seen)
        return _sent(content, PDF, f"{name}.pdf")

    @router.get("/roads/{road}/appendix.pdf", summary="The appendix to the design report", **pdf)
    def appendix(
        road: Road, alternative: Alternative = "base", units: System = "us", engineer: Engineer = ""
    ) -> Response:
        name, _ = opened(office, road)
        content, _ = _report_bytes(office, name, alternative, units, engineer, "appendix")
        return _sent(content, PDF, f"{name}-appendix.pdf")

    @router.post(
        "/roads/{road}/report.pdf", summary="The design report, to hand over: later changes are told from it", **pdf
    )
    def hand_over(
        road: Road, alternative: Alternative = "base", units: System = "us", engineer: Engineer = ""
    ) -> Response:
        name, _ = opened(office, road)
        content, seen = _report_bytes(office, name, alternative, units, engineer)
        office.hand_over(name, alternative, seen)
        return _sent(content, PDF, f"{name}.pdf")

    @router.get(
        "/roads/{road}/export/{kind}",
        summary="Quantities (xlsx), map layers (gpkg) or plan sheets (dxf)",
        response_class=Response,
        tags=["documents"],
        responses={200: _binary("The file.", *(media for _, media in EXPORTS.values())), **errors(404, 503)},
    )
    def export(road: Road, kind: str, alternative: Alternative = "base", units: System = "us") -> Response:
        name, _ = opened(office, road)
        if kind not in EXPORTS:
            raise NotHere("there is no export of this kind", given=kind, allowed=", ".join(EXPORTS))
        file, media = EXPORTS[kind]
        return _sent(_export_bytes(office, name, alternative, kind, units), media, f"{name} {file}")


def _binary(what: str, *media: str) -> dict[str, Any]:
    return {"description": what, "content": {m: {"schema": {"type": "string", "format": "binary"}} for m in media}}


def _made(name: str, write: Callable[[Path], object]) -> bytes:
    with ONE_AT_A_TIME, tempfile.TemporaryDirectory(prefix="slabwright-") as folder:
        path = Path(folder) / name
        write(path)
        return path.read_bytes()


def _sent(content: bytes, media: str, name: str) -> Response:
    plain = "".join(c if c.isascii() and (c.isalnum() or c in " ._-") else "_" for c in name)
    told = f"attachment; filename=\"{plain}\"; filename*=UTF-8''{quote(name, safe='')}"
    return Response(content, media_type=media, headers={"Content-Disposition": told})
