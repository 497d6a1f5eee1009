"""Results: compute what is stale, and read the tables, notes and workings of a stage."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Query

from slabwright.errors import InputError
from slabwright.provenance import scene, sheets
from slabwright.records.remarks import worded
from slabwright.records.results import StageResult
from slabwright.stages import outcomes, plan, stage_named
from slabwright.units import System, format_quantity, format_station
from slabwright.web.api.errors import NotHere, errors
from slabwright.web.api.models import ResultsView, RunView, SummaryRow, TableView, WorkingEntry
from slabwright.web.api.roads import Alternative, Road, opened, stage_entries
from slabwright.web.api.tables import table_view
from slabwright.web.project_folder import ProjectFolder
from slabwright.workflow import Computation, summary_rows

__all__ = ["add_results"]


def add_results(router: APIRouter, office: ProjectFolder) -> None:
    @router.post("/roads/{road}/run", tags=["results"], summary="Compute what is stale", responses=errors(404, 503))
    def run(
        road: Road,
        until: Annotated[str | None, Query(max_length=1000, description="The last stage.")] = None,
        alternative: Alternative = "base",
        units: System = "us",
    ) -> RunView:
        name, project = opened(office, road)
        head, names = project.head, [stage.name for stage in plan(until)]
        _short_work(names, office.computation(name, alternative))
        computation = office.computation(name, alternative)
        stale = [s.stage for s in computation.states() if s.state != "current"]
        results = {stage: computation.result(stage) for stage in names}
        computed = [stage for stage in results if stage in stale]
        if computed:
            office.changed(name)
        summary = [_summary(row, units) for row in summary_rows(results)] if "design" in results else []
        notes = [worded(note, units) for result in results.values() for note in result.notes]
        return RunView(
            head=head,
            alternative=alternative,
            computed=computed,
            stages=stage_entries(computation),
            notes=notes,
            summary=summary,
        )

    @router.get(
        "/roads/{road}/results/{stage}",
        tags=["results"],
        summary="The results of a stage, computed if stale",
        responses=errors(404, 503),
    )
    def results(
        road: Road,
        stage: str,
        table: Annotated[str | None, Query(max_length=1000, description="Only this table.")] = None,
        alternative: Alternative = "base",
        units: System = "us",
        workings: Annotated[bool, Query(description="The printed calculations of the stage too.")] = False,
    ) -> ResultsView:
        name, project = opened(office, road)
        _known_stage(stage)
        head, computation = project.head, office.computation(name, alternative)
        _short_work([stage], computation)
        result = computation.result(stage)
        return ResultsView(
            head=head,
            stage=stage,
            alternative=alternative,
            units=units,
            tables=_tables(result, table, units),
            notes=[worded(note, units) for note in result.notes],
            workings=_printed(computation, stage, units) if workings else [],
        )


def _printed(computation: Computation, stage: str, system: System) -> list[WorkingEntry]:
    behind = {each.name: computation.result(each.name) for each in plan(stage)}
    seen = scene(computation.facts, computation.decisions, behind)
    return [
        WorkingEntry(name=w.name, title=w.title, context=w.context, source=w.source, tag=w.tag, text=w.text())
        for w in sheets(seen, stage, system)
    ]


def _known_stage(stage: str) -> None:
    try:
        stage_named(stage)
    except InputError as problem:
        raise NotHere(problem.what, given=stage, allowed=problem.allowed) from None


def _short_work(stages: list[str], computation: Computation) -> None:
    """A caller does not wait minutes for an answer: long work is begun on a page or by command."""
    for stage in stages:
        if stage_named(stage).long and computation.saved(stage) is None:
            raise NotHere(
                f"the {stage} stage is long work and has not been computed as things stand",
                given=stage,
                remedy="Compute it on its page or with the run command.",
            )


def _tables(result: StageResult, table: str | None, system: System) -> dict[str, TableView]:
    if table is not None and table not in result.tables:
        raise NotHere(
            f"the {result.stage} stage has no table of this name", given=table, allowed=", ".join(result.tables)
        )
    asked = {name: frame for name, frame in result.tables.items() if table in (None, name)}
    return {name: table_view(outcomes()[name], frame, system) for name, frame in asked.items()}


def _summary(row: dict[str, Any], system: System) -> SummaryRow:
    return SummaryRow(
        section=str(row["section"]),
        verdict=str(row["verdict"]),
        begin=format_station(float(row["begin"]), system),
        end=format_station(float(row["end"]), system),
        bonded=format_quantity(float(row["bonded"]), "thickness", system),
        overlay=format_quantity(float(row["overlay"]), "thickness", system),
        years=_number(row["years"]),
        years_gained=_number(row["years_gained"]),
        reduction=_number(row["reduction"]),
        cost=_number(row["cost"]),
    )


def _number(value: Any) -> float | None:
    return float(value) if value == value else None
