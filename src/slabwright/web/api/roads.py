"""Roads: which there are, what one of them holds, and its facts page by page."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Body, Path, Query

from slabwright import units as quantities
from slabwright.calculation import Choice
from slabwright.errors import Conflict, InputError
from slabwright.project import Project
from slabwright.records.decisions import Entry, entries
from slabwright.records.facts import FACTS
from slabwright.units import System
from slabwright.web.api.errors import NotHere, errors
from slabwright.web.api.models import (
    DecisionEntry,
    FactsPage,
    RoadCreated,
    RoadGiven,
    Roads,
    RoadView,
    SourceEntry,
    StageEntry,
    TableEntry,
)
from slabwright.web.api.tables import columns, rows
from slabwright.web.project_folder import ProjectFolder
from slabwright.workflow import Computation

__all__ = ["Alternative", "Road", "add_roads", "opened", "stage_entries"]

MOST_ROWS = 1000
FURTHEST = 2**31

Road = Annotated[str, Path(description="The name of a road of the folder.")]
Alternative = Annotated[str, Query(max_length=10_000, description="The named set of decisions.")]


def opened(office: ProjectFolder, road: str) -> tuple[str, Project]:
    """(the road's name as its file has it, its project); NotHere when there is none."""
    try:
        path, there = office.path(road), office.holds(road)
    except InputError as problem:
        raise NotHere(problem.what, given=road, allowed=problem.allowed) from None
    if not there:
        raise NotHere(
            "there is no road of this name", given=road, remedy="It may have been moved; see the list of roads."
        )
    return path.stem, office.signed(path.stem)


def stage_entries(computation: Computation) -> list[StageEntry]:
    return [StageEntry(stage=s.stage, state=s.state, needs=s.needs) for s in computation.states()]  # type: ignore[arg-type]


def add_roads(router: APIRouter, office: ProjectFolder) -> None:
    @router.get("/roads", tags=["roads"], summary="The roads of the folder")
    def roads() -> Roads:
        return Roads(roads=office.names())

    @router.post(
        "/roads", tags=["roads"], summary="Begin an empty project", status_code=201, responses=errors(409, 503)
    )
    def create(given: Annotated[RoadGiven, Body()]) -> RoadCreated:
        path = office.path(given.name)
        if path.exists() or office.holds(path.stem):
            raise Conflict("there is a road of this name already", given=path.stem, remedy="Choose another name.")
        head = office.create(path.stem).head
        office.changed(path.stem)
        return RoadCreated(name=path.stem, head=head)

    @router.get(
        "/roads/{road}",
        tags=["roads"],
        summary="What a road holds, and how far its stages are",
        responses=errors(404, 503),
    )
    def road_view(road: Road, alternative: Alternative = "base", units: System = "us") -> RoadView:
        name, project = opened(office, road)
        head = project.head  # read first: an edit based on an older head is refused, never the other way round
        computation = office.computation(name, alternative)
        return RoadView(
            head=head,
            name=name,
            alternative=alternative,
            alternatives=list(project.alternatives()),
            tables=[
                TableEntry(name=t, title=schema.title, rows=len(getattr(computation.facts, t)))
                for t, schema in FACTS.items()
            ],
            files=[
                SourceEntry(name=s.name, sha256=s.sha256, size=s.size, rows=s.rows, time=s.time, user=s.user)
                for s in project.sources()
            ],
            stages=stage_entries(computation),
            decisions=[_decision(entry, units) for entry in entries(computation.decisions)],
        )

    @router.get(
        "/roads/{road}/facts/{table}", tags=["roads"], summary="Rows of a table of facts", responses=errors(404, 503)
    )
    def facts(
        road: Road,
        table: str,
        offset: Annotated[int, Query(ge=0, le=FURTHEST)] = 0,
        limit: Annotated[int, Query(ge=1, le=MOST_ROWS)] = 100,
        units: System = "us",
    ) -> FactsPage:
        name, project = opened(office, road)
        if table not in FACTS:
            raise NotHere("there is no table of facts of this name", given=table, allowed=", ".join(FACTS))
        head = project.head
        frame = getattr(office.computation(name).facts, table)
        schema, part = FACTS[table], slice(offset, offset + limit)
        origins = project.origins(table)[part]
        return FactsPage(
            head=head,
            table=table,
            title=schema.title,
            total=len(frame),
            offset=offset,
            columns=columns(schema, units),
            rows=rows(schema, frame[part], units),
            origins=[_origin(file, row) for file, row in zip(origins["file"], origins["row"], strict=True)],
        )


def _origin(file: str, row: float) -> tuple[str | None, int | None]:
    return (file or None, int(row) if row == row else None)


def _decision(entry: Entry, system: System) -> DecisionEntry:
    about: Any = entry.about
    shared = {"name": entry.name, "text": entry.text(system), "meaning": about.meaning}
    if isinstance(about, Choice):
        return DecisionEntry(**shared, unit="", low=None, high=None, choices=list(about.options))
    low, high = (
        None if bound is None else float(f"{quantities.convert(bound, about.kind, system):.12g}")
        for bound in (about.low, about.high)
    )
    return DecisionEntry(**shared, unit=quantities.unit_of(about.kind, system), low=low, high=high, choices=[])
