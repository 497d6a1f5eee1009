"""Files into the project: read with the remembered headings, settle the doubts, load whole or not at all."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from slabwright import units
from slabwright.intake import ColumnMatch, Reading, possible_headings, read, resolve
from slabwright.project import AnsweredFinding, Batch, LoadedFile, Project

__all__ = ["Loaded", "load_files", "read_files"]

Readings = tuple[Reading, ...]


@dataclass(frozen=True)
class Loaded:
    """One file that is now in the project: its tables with their numbers of rows, and what was doubted."""

    file: str
    rows: Mapping[str, int]
    change: int
    accepted: int
    struck: int


def read_files(
    project: Project | None,
    paths: Sequence[Path],
    *,
    table: str | None = None,
    mapping: Mapping[str, str | None] | None = None,
    column_units: Mapping[str, str] | None = None,
    system: units.System = "us",
    today: date | None = None,
) -> dict[Path, Readings]:
    """Read every file before any is loaded. Headings confirmed before are taken as remembered unless given anew."""
    road = _road_limits(project)
    found: dict[Path, Readings] = {}
    for path in paths:
        recalled = mapping or (_recalled(project, path) if project is not None else None)
        found[path] = read(
            path, mapping=recalled, table=table, system=system, units=column_units, road=road, today=today
        )
    return found


def load_files(
    project: Project,
    readings: Mapping[Path, Readings],
    *,
    accept: bool = False,
    strike: Sequence[str] = (),
    tell: Callable[[Loaded], None] | None = None,
) -> tuple[Loaded, ...]:
    """Load the readings, one change for each file; nothing is loaded unless every file can be.

    Raises InputError for errors and for doubts that were neither accepted nor struck, Conflict for a file that the
    project holds already.
    """
    settled = {path: [resolve(r, accept=accept, strike=strike) for r in found] for path, found in readings.items()}
    made = []
    for path, found in readings.items():
        batches = [Batch(s.table, s.frame, s.source_rows) for s in settled[path]]
        answers = [
            AnsweredFinding(finding, "struck" if finding.rule in strike else "accepted")
            for reading in found
            for finding in reading.findings
            if finding.weight == "doubt"
        ]
        first = found[0]
        change = project.load(
            batches,
            file=LoadedFile(first.file, first.sha256, first.size),
            findings=answers,
            mapping={_headers(r): [dataclasses.asdict(m) for m in r.mapping] for r in found},
        )
        struck = sum(a.answer == "struck" for a in answers)
        rows = {b.table: len(b.frame) for b in batches}
        made.append(Loaded(first.file, rows, change, len(answers) - struck, struck))
        if tell:
            tell(made[-1])
    return tuple(made)


def _headers(reading: Reading) -> tuple[str, ...]:
    return tuple(m.header for m in reading.mapping)


def _recalled(project: Project, path: Path) -> tuple[ColumnMatch, ...] | None:
    """The mapping confirmed before for a file with the same headings, in any order."""
    for headings in possible_headings(path):
        stored = project.mapping_for(headings) if any(headings) else None
        if stored is not None:
            return tuple(ColumnMatch(**entry) for entry in stored)
    return None


def _road_limits(project: Project | None) -> tuple[float, float] | None:
    road = project.facts().road if project is not None else None
    if road is None or road.empty:
        return None
    return float(road["begin"].min()), float(road["end"].max())
