"""Commands that write documents: the report, and the exports."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from slabwright.cli.files import now, opened
from slabwright.cli.output import say, system
from slabwright.errors import InputError, StoreError

if TYPE_CHECKING:
    from slabwright.report import Part

__all__ = ["export", "report"]


def report(road: Path, output: Path, alternative: str, units: str, engineer: str, *, with_appendix: bool) -> None:
    from slabwright.workflow.documents import appendix_beside, write_report

    wanted: list[tuple[Path, Part]] = [(output, "report")]
    if with_appendix:
        wanted.insert(0, (appendix_beside(output), "appendix"))
    made_at = now()
    with opened(road) as project:
        for path, part in wanted:
            write_report(
                project,
                path,
                alternative=alternative,
                system=system(units),
                made_at=made_at,
                engineer=engineer,
                part=part,
            )
            say(f"Wrote {path}.")
        project.mark_report(output)


def export(road: Path, folder: Path, alternative: str, units: str, *, xlsx: bool, gpkg: bool, dxf: bool) -> None:
    from slabwright.report.drawing import write_drawing
    from slabwright.report.geopackage import write_geopackage
    from slabwright.report.workbook import write_workbook
    from slabwright.workflow import Computation
    from slabwright.workflow.documents import results_at_hand

    if not (xlsx or gpkg or dxf):
        raise InputError("nothing to export was named", allowed="--xlsx, --gpkg, --dxf")
    shown = system(units)
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as problem:
        raise StoreError(f"this folder cannot be made: {problem.strerror}", where=str(folder)) from problem
    with opened(road) as project:
        computation = Computation(project, alternative)
        results = results_at_hand(computation)
    if xlsx:
        path = folder / "quantities.xlsx"
        write_workbook(path, alternative=alternative, decisions=computation.decisions, results=results, system=shown)
        say(f"Wrote {path}.")
    if gpkg:
        path = folder / "road.gpkg"
        write_geopackage(path, facts=computation.facts, results=results, system=shown)
        say(f"Wrote {path}.")
    if dxf:
        path = folder / "repairs.dxf"
        write_drawing(path, facts=computation.facts, results=results, system=shown)
        say(f"Wrote {path}.")
