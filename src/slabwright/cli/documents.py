"""Commands that write documents: the report, and the exports."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from slabwright.cli.files import Place, now, opened
from slabwright.cli.output import say, system
from slabwright.errors import Conflict, InputError, StoreError

if TYPE_CHECKING:
    from slabwright.report import Part

__all__ = ["export", "report"]


def report(
    road: Place, output: Path, alternative: str, units: str, engineer: str, overwrite: bool, *, with_appendix: bool
) -> None:
    from slabwright.report.files import refuse_target
    from slabwright.workflow.documents import appendix_beside, write_report

    wanted: list[tuple[Path, Part]] = [(output, "report")]
    if with_appendix:
        wanted.insert(0, (appendix_beside(output), "appendix"))
    made_at = now()
    read_at = set()
    with opened(road) as project:
        loaded = {s.sha256 for s in project.sources()}
        for path, _ in wanted:
            refuse_target(path, "pdf", loaded=loaded, overwrite=overwrite)
        for path, part in wanted:
            seen = write_report(
                project,
                path,
                alternative=alternative,
                system=system(units),
                made_at=made_at,
                engineer=engineer,
                part=part,
            )
            read_at.add(seen)
            say(f"Wrote {path}.")
        if len(read_at) > 1:
            raise Conflict(
                "the project was changed after the appendix was written and before the report, which do not belong together",
                where=str(output),
                remedy="Write them again; neither is remembered as handed over.",
            )
        project.mark_report(output, alternative, seen)


def export(
    road: Place, folder: Path, alternative: str, units: str, overwrite: bool, *, xlsx: bool, gpkg: bool, dxf: bool
) -> None:
    from slabwright.report.drawing import write_drawing
    from slabwright.report.files import Kind, refuse_target
    from slabwright.report.geopackage import write_geopackage
    from slabwright.report.workbook import write_workbook
    from slabwright.workflow import Computation
    from slabwright.workflow.documents import points_told, results_at_hand

    shown = system(units)
    asked: dict[Kind, bool] = {"xlsx": xlsx, "gpkg": gpkg, "dxf": dxf}
    names: dict[Kind, str] = {"xlsx": "quantities.xlsx", "gpkg": "road.gpkg", "dxf": "repairs.dxf"}
    if not any(asked.values()):
        raise InputError("nothing to export was named", allowed="--xlsx, --gpkg, --dxf")
    targets = {kind: folder / names[kind] for kind in names if asked[kind]}
    with opened(road) as project:
        loaded = {s.sha256 for s in project.sources()}
        for kind, path in targets.items():
            refuse_target(path, kind, loaded=loaded, overwrite=overwrite)
        computation = Computation(project, alternative)
        results = results_at_hand(computation)
        points = points_told(project, computation, results, shown) if xlsx else []
    facts, decisions = computation.facts, computation.decisions
    write: dict[Kind, Callable[[Path], object]] = {
        "xlsx": lambda p: write_workbook(
            p, alternative=alternative, decisions=decisions, results=results, system=shown, points=points
        ),
        "gpkg": lambda p: write_geopackage(p, facts=facts, results=results, system=shown),
        "dxf": lambda p: write_drawing(p, facts=facts, results=results, system=shown),
    }
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as problem:
        raise StoreError(f"this folder cannot be made: {problem.strerror}", where=str(folder)) from problem
    for kind, path in targets.items():
        write[kind](path)
        say(f"Wrote {path}.")
