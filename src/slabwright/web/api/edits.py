"""Edits: decisions, alternatives, undo and redo, each based on a head that is checked when it is written."""

from __future__ import annotations

import dataclasses
import json
from typing import Annotated, Any

from fastapi import APIRouter, Body, Query

from slabwright.project import Change, Project
from slabwright.records.decisions import change, to_plain
from slabwright.records.decisions.past import check_once, present_name
from slabwright.units import System
from slabwright.web.api.errors import NotHere, errors
from slabwright.web.api.models import (
    LARGEST_HEAD,
    AlternativeAdded,
    ChangeEntry,
    DecisionsGiven,
    Done,
    Expected,
    Headed,
    History,
    Stepped,
)
from slabwright.web.api.roads import Road, opened
from slabwright.web.project_folder import ProjectFolder
from slabwright.workflow import Computation

__all__ = ["add_edits"]


def add_edits(router: APIRouter, office: ProjectFolder) -> None:
    @router.put(
        "/roads/{road}/decisions",
        tags=["edits"],
        summary="Change decisions of an alternative",
        responses=errors(404, 409, 503),
    )
    def decide(road: Road, given: Annotated[DecisionsGiven, Body()], units: System = "us") -> Headed:
        name, project = opened(office, road)
        values = _decided(project, given, units)
        Computation(project, given.alternative).check_decided(values)
        head = project.decide(given.alternative, values, expected=given.expected)
        office.changed(name)
        return Headed(head=head)

    @router.post(
        "/roads/{road}/alternatives",
        tags=["edits"],
        summary="Add an alternative",
        responses=errors(404, 409, 503),
        status_code=201,
    )
    def add(road: Road, given: Annotated[AlternativeAdded, Body()]) -> Done:
        name, project = opened(office, road)
        head = project.add_alternative(given.name, like=given.like, expected=given.expected)
        office.changed(name)
        return Done(head=head, alternatives=list(project.alternatives()))

    @router.delete(
        "/roads/{road}/alternatives", tags=["edits"], summary="Remove an alternative", responses=errors(404, 409, 503)
    )
    def remove(
        road: Road,
        name: Annotated[str, Query(max_length=10_000)],
        expected: Annotated[int, Query(ge=0, le=LARGEST_HEAD)],
    ) -> Done:
        known, project = opened(office, road)
        if name not in project.alternatives():
            held = ", ".join(project.alternatives())
            raise NotHere("there is no alternative of this name", given=name, allowed=held)
        head = project.remove_alternative(name, expected=expected)
        office.changed(known)
        return Done(head=head, alternatives=list(project.alternatives()))

    _add_history(router, office)


def _add_history(router: APIRouter, office: ProjectFolder) -> None:
    @router.get(
        "/roads/{road}/history",
        tags=["edits"],
        summary="Who changed what and when: the newest changes, oldest first",
        responses=errors(404, 409, 503),
    )
    def history(
        road: Road,
        limit: Annotated[int, Query(ge=1, le=1000, description="How many changes at most.")] = 100,
        before: Annotated[
            int | None, Query(ge=0, le=LARGEST_HEAD, description="Only changes with a smaller number.")
        ] = None,
    ) -> History:
        _, project = opened(office, road)
        head, changes = project.head, project.history()
        older = [c for c in changes if before is None or c.id < before]
        part = older[-limit:]
        earlier = part[0].id if len(part) < len(older) else None
        return History(head=head, total=len(changes), earlier=earlier, changes=[_entry(c) for c in part])

    @router.post(
        "/roads/{road}/undo", tags=["edits"], summary="Take the last change back", responses=errors(404, 409, 503)
    )
    def undo(road: Road, given: Annotated[Expected, Body()]) -> Stepped:
        name, project = opened(office, road)
        done = project.undo(expected=given.expected)
        office.changed(name)
        return Stepped(head=project.head, change=_entry(done))

    @router.post(
        "/roads/{road}/redo",
        tags=["edits"],
        summary="Make the last undone change again",
        responses=errors(404, 409, 503),
    )
    def redo(road: Road, given: Annotated[Expected, Body()]) -> Stepped:
        name, project = opened(office, road)
        done = project.redo(expected=given.expected)
        office.changed(name)
        return Stepped(head=project.head, change=_entry(done))


def _decided(project: Project, given: DecisionsGiven, system: System) -> dict[str, Any]:
    """The decisions given, in SI."""
    decisions = project.decisions(given.alternative)
    check_once(given.decisions)
    for name, text in given.decisions.items():
        decisions = change(decisions, name, text, system)
    read = to_plain(decisions)
    return {name: read[name] for name in map(present_name, given.decisions)}


def _entry(made: Change) -> ChangeEntry:
    plain = {f.name: getattr(made, f.name) for f in dataclasses.fields(made)}
    before, after = (json.loads(json.dumps(dict(plain.pop(part)))) for part in ("before", "after"))
    return ChangeEntry(**plain, before=before, after=after)
