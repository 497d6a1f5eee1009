"""Commands that compute and show results."""

from __future__ import annotations

import time
from pathlib import Path

from slabwright.cli.files import opened
from slabwright.cli.output import JSON_VERSION, as_json, console, print_frame, print_json, print_rows, system
from slabwright.errors import InputError
from slabwright.units import format_quantity, format_station

__all__ = ["compare", "run", "show"]


def run(road: Path, stage: str | None, alternative: str) -> None:
    from rich.progress import Progress

    from slabwright.workflow import STAGES, Computation, stage_named

    last = stage_named(stage).name if stage else STAGES[-1].name
    names = [s.name for s in STAGES]
    wanted = names[: names.index(last) + 1]
    begun = time.perf_counter()
    with opened(road) as project, Progress(console=console, transient=True) as bar:
        task = bar.add_task("reading", total=len(wanted))
        computation = Computation(project, alternative)
        for number, name in enumerate(wanted):
            bar.update(task, description=name, completed=number)
            fresh = computation.saved(name) is None
            result = computation.result(name)
            bar.console.print(f"{name}: {'computed' if fresh else 'current'}", markup=False)
            for note in result.notes:
                bar.console.print(f"  {note}", markup=False)
    console.print(f"Done in {time.perf_counter() - begun:.1f} s.", markup=False)


def show(
    road: Path, stage: str, alternative: str, table: str | None, all_rows: bool, working: bool, json: bool, units: str
) -> None:
    from slabwright.records.outcomes import OUTCOMES
    from slabwright.workflow import Computation, stage_named

    shown, name = system(units), stage_named(stage).name
    with opened(road) as project:
        result = Computation(project, alternative).result(name)
    if table is not None and table not in result.tables:
        raise InputError(f"the {name} stage has no table of this name", given=table, allowed=", ".join(result.tables))
    tables = {k: v for k, v in result.tables.items() if table in (None, k)}
    if json:
        print_json({
            "version": JSON_VERSION, "stage": name, "alternative": alternative, "units": shown,
            "tables": {k: as_json(OUTCOMES[k], v, shown) for k, v in tables.items()},
            "notes": list(result.notes), "workings": [w.text() for w in result.workings],
        })  # fmt: skip
        return
    for key, frame in tables.items():
        console.print(f"({key})", markup=False)
        print_frame(OUTCOMES[key], frame, shown, all_rows=all_rows)
    for note in result.notes:
        console.print(f"Note: {note}", markup=False)
    if working:
        for each in result.workings:
            console.print(each.text() + "\n", markup=False)


def compare(road: Path, json: bool, units: str) -> None:
    from slabwright.workflow import Computation, summary_rows

    shown = system(units)
    with opened(road) as project:
        found = {name: summary_rows(Computation(project, name).run()) for name in project.alternatives()}
    if json:
        print_json({"version": JSON_VERSION, "units": "si", "alternatives": {
            name: [{k: None if v != v else v for k, v in row.items()} for row in rows] for name, rows in found.items()
        }})  # fmt: skip
        return
    rows = [
        [
            name, r["section"], f"{format_station(r['begin'], shown)} to {format_station(r['end'], shown)}", r["verdict"],
            *(format_quantity(r[k], kind, shown) for k, kind in (
                ("bonded", "thickness"), ("overlay", "thickness"), ("years", "years"), ("years_gained", "years"),
                ("reduction", "share"), ("cost", "money"))),
        ]
        for name, entries in found.items() for r in entries
    ]  # fmt: skip
    headings = [
        "Alternative",
        "Section",
        "From to",
        "Verdict",
        "Required",
        "Overlay",
        "Life",
        "Gained",
        "Deflection falls",
        "Cost",
    ]
    print_rows("Alternatives side by side", headings, rows)
