"""Field files: read and shown without a trace, or loaded whole with the engineer's word on their warnings."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Annotated, Any

from fastapi import APIRouter, File, Form, Query, UploadFile
from pydantic import Json

from slabwright.errors import InputError
from slabwright.intake import Reading
from slabwright.intake import preview as prepare
from slabwright.units import System
from slabwright.web.api.errors import NotHere, errors
from slabwright.web.api.models import (
    LARGEST_HEAD,
    FileLoaded,
    FileRead,
    FindingEntry,
    Headed,
    LoadedEntry,
    MatchEntry,
    Preview,
)
from slabwright.web.api.roads import Road, opened
from slabwright.web.api.tables import plain_rows
from slabwright.web.project_folder import ProjectFolder, now
from slabwright.workflow import load_files, read_files, replaced_file

__all__ = ["LARGEST_FORM", "LARGEST_UPLOAD", "add_files"]

LARGEST_UPLOAD = 100 * 2**20
LARGEST_FORM = LARGEST_UPLOAD + 2**20  # the fields beside the file
FILE_TYPES = (".csv", ".txt", ".xlsx", ".epw", ".gz")
LONGEST_NAME = 200  # bytes; a disk takes 255 and the project 200 letters
MOST_FINDINGS = 500

Words = Annotated[str, Form(max_length=1000)]
Mapping = Annotated[Json[dict[str, str | None]] | None, Form(description='Heading to column, e.g. {"Sta": "station"}.')]
Units = Annotated[Json[dict[str, str]] | None, Form(description='Unit of a column, e.g. {"load": "kN"}.')]
Meanings = Annotated[
    Json[dict[str, str]] | None, Form(description='What words mean, e.g. {"LTC": "longitudinal crack"}.')
]
Posts = Annotated[Json[dict[str, str]] | None, Form(description='Stations of posts, e.g. {"MP 2": "105+60"}.')]


def add_files(router: APIRouter, office: ProjectFolder) -> None:
    @router.post(
        "/roads/{road}/files",
        tags=["files"],
        summary="Show what a file holds (preview=true), or load it with its warnings settled",
        responses=errors(404, 409, 503),
    )
    def upload(
        road: Road,
        file: Annotated[UploadFile, File(description=f"One of {', '.join(FILE_TYPES)}; up to 100 MB.")],
        preview: bool = False,
        units: System = "us",
        expected: Annotated[int | None, Query(ge=0, le=LARGEST_HEAD)] = None,
        table: Annotated[str | None, Form(max_length=1000, description="The table, where it is not clear.")] = None,
        mapping: Mapping = None,
        column_units: Units = None,
        words: Meanings = None,
        posts: Posts = None,
        weather_station: Annotated[str, Form(max_length=200, description="Of a weather file with several.")] = "",
        lane: Annotated[
            str, Form(max_length=200, description="Of every row, where the file has no column of it.")
        ] = "",
        position: Annotated[
            str, Form(max_length=200, description="Of every test on its slab, where the file has no column of it.")
        ] = "",
        accept: Annotated[bool, Form(description="Accept the warnings that are not rejected.")] = False,
        in_place_of: Annotated[
            str, Form(max_length=1000, description="The loaded file that this one takes the place of, in one change.")
        ] = "",
        reject: Annotated[list[Words], Form(description="Rules whose warnings are left out.")] = [],  # noqa: B006
    ) -> FileRead | FileLoaded:
        name, project = opened(office, road)
        replaced = replaced_file(project, in_place_of) if in_place_of else ""
        with _kept_upload(file) as path:
            readings = read_files(
                project,
                [path],
                table=table or None,
                mapping=mapping,
                column_units=column_units,
                system=units,
                today=now().date(),
                words=words,
                posts=posts,
                place=weather_station,
                lane=lane,
                position=position,
                replaced=(replaced,) if replaced else (),
            )
            if preview:
                return FileRead(head=project.head, file=path.name, tables=[_preview(r, units) for r in readings[path]])
            replacing = {path: replaced} if replaced else {}
            (loaded,) = load_files(
                project, readings, accept=accept, reject=reject, replacing=replacing, expected=expected
            )
        office.changed(name)
        entry = LoadedEntry(
            rows=dict(loaded.rows), change=loaded.change, accepted=loaded.accepted, rejected=loaded.rejected
        )
        return FileLoaded(head=loaded.change, file=loaded.file, loaded=entry)

    @router.delete(
        "/roads/{road}/files",
        tags=["files"],
        summary="Take a loaded file out with its rows; undo brings it back",
        responses=errors(404, 409, 503),
    )
    def unload(
        road: Road,
        name: Annotated[str, Query(max_length=1000)],
        expected: Annotated[int, Query(ge=0, le=LARGEST_HEAD)],
    ) -> Headed:
        known, project = opened(office, road)
        if name not in (held := [s.name for s in project.sources()]):
            raise NotHere("the project holds no file of this name", given=name, allowed=", ".join(held) or "none")
        head = project.remove_source(name, expected=expected)
        office.changed(known)
        return Headed(head=head)


@contextmanager
def _kept_upload(file: UploadFile) -> Iterator[Path]:
    """The upload under its own name in a folder that is gone afterwards. InputError for a name, type or size refused."""
    name = checked_file_name(file.filename or "")
    if (file.size or 0) > LARGEST_UPLOAD:
        raise InputError("the file is too large", where=name, allowed="up to 100 MB", remedy="Split it by section.")
    with tempfile.TemporaryDirectory(prefix="slabwright-") as folder:
        path = Path(folder) / name
        with path.open("wb") as target:
            shutil.copyfileobj(file.file, target)
        yield path


def checked_file_name(given: str) -> str:
    """The last part of the name, if it is one that a disk takes and of a type that is read here."""
    name = given.replace("\\", "/").rpartition("/")[2].strip()
    if not name or name.startswith(".") or not name.isprintable() or len(name.encode()) > LONGEST_NAME:
        raise InputError("this cannot be the name of a file", given=given, allowed="up to 200 printable characters")
    if not name.lower().endswith(FILE_TYPES):
        raise InputError(
            "files of this type are not read here",
            where=name,
            given=Path(name).suffix or "no ending",
            allowed=", ".join(FILE_TYPES),
            remedy="Save the table as .csv or .xlsx.",
        )
    return name


def _preview(reading: Reading, system: System) -> Preview:
    view = prepare(reading, system)
    return Preview(
        table=reading.table,
        title=view.title,
        rows=view.rows,
        unmapped=list(view.unmapped),
        mapping=[
            MatchEntry(header=m.header, column=m.column, unit=m.unit, how=m.how, confidence=m.confidence)
            for m in view.mapping
        ],
        columns=[str(name) for name in view.first.columns],
        first=plain_rows(view.first),
        counts=view.counts,
        warnings=view.warnings,
        findings=[_finding(f) for f in view.findings[:MOST_FINDINGS]],
    )


def _finding(found: Any) -> FindingEntry:
    return FindingEntry(
        weight=found.weight,
        rule=found.rule,
        row=found.row,
        column=found.column,
        value=found.value,
        message=found.message,
        remedy=found.remedy,
    )
