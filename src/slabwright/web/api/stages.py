"""The stages of the job, as they are declared."""

from __future__ import annotations

from fastapi import APIRouter

from slabwright.records.stage import Stage
from slabwright.stages import stages
from slabwright.web.api.models import OutcomeEntry, StageDescription, StagesView

__all__ = ["add_stages"]


def add_stages(router: APIRouter) -> None:
    names = ", ".join(stage.name for stage in stages())

    @router.get("/stages", tags=["results"], summary=f"The stages of the job: {names}")
    def listed() -> StagesView:
        return StagesView(stages=[_described(stage) for stage in stages()])


def _described(stage: Stage) -> StageDescription:
    tables = [OutcomeEntry(name=s.name, title=s.title, row=s.row, columns=list(s.names)) for s in stage.outcomes]
    return StageDescription(
        name=stage.name,
        title=stage.title,
        question=stage.question,
        long=stage.long,
        needed=list(stage.needed),
        facts=list(stage.facts),
        decisions=list(stage.decisions),
        after=list(stage.after),
        may_use=list(stage.may_use),
        tables=tables,
    )
