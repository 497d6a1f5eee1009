"""Commands that compute and show results."""

from __future__ import annotations

import time
from pathlib import Path
from typing import Any

from slabwright.cli.files import opened
from slabwright.cli.output import JSON_VERSION, as_json, console, print_frame, print_json, print_rows, say, system
from slabwright.errors import InputError
from slabwright.records.remarks import worded
from slabwright.units import System, format_quantity, format_station

__all__ = ["compare", "run", "show"]


def run(road: Path, stage: str | None, alternative: str, processes: int, units: str) -> None:
    from contextlib import nullcontext

    from rich.progress import Progress

    from slabwright.stages import plan
    from slabwright.workers import workers
    from slabwright.workflow import Computation

    shown, wanted = system(units), plan(stage)
    pool = workers(processes or None) if any(each.long for each in wanted) else nullcontext()
    names = [each.name for each in wanted]
    begun = time.perf_counter()
    with opened(road) as project, pool as executor, Progress(console=console, transient=True) as bar:
        task = bar.add_task("reading", total=float(len(names)))
        computation = Computation(project, alternative)
        for number, name in enumerate(names):
            bar.update(task, description=name, completed=number)

            def tell(_: str, share: float, done: int = number) -> None:
                bar.update(task, completed=done + share)

            fresh = computation.saved(name) is None
            result = computation.result(name, tell, executor)
            say(f"{name}: {'computed' if fresh else 'current'}")
            for note in result.notes:
                say(f"  {worded(note, shown)}")
    say(f"Done in {time.perf_counter() - begun:.1f} s.")


def show(
    road: Path, stage: str, alternative: str, table: str | None, all_rows: bool, working: bool, json: bool, units: str
) -> None:
    from slabwright.stages import outcomes, stage_named
    from slabwright.workflow import Computation

    shown, name = system(units), stage_named(stage).name
    with opened(road) as project:
        computation = Computation(project, alternative)
        if stage_named(name).long and computation.saved(name) is None:
            raise InputError(
                f"the {name} stage is long work and has not been computed as things stand",
                remedy=f"Compute it with `slabwright run {road.name} {name}`.",
            )
        result = computation.result(name)
    if table is not None and table not in result.tables:
        raise InputError(f"the {name} stage has no table of this name", given=table, allowed=", ".join(result.tables))
    tables = {k: v for k, v in result.tables.items() if table in (None, k)}
    if json:
        print_json({
            "version": JSON_VERSION, "stage": name, "alternative": alternative, "units": shown,
            "tables": {k: as_json(outcomes()[k], v, shown) for k, v in tables.items()},
            "notes": [worded(note, shown) for note in result.notes], "workings": [w.text() for w in result.workings],
        })  # fmt: skip
        return
    for key, frame in tables.items():
        say(f"({key})")
        print_frame(outcomes()[key], frame, shown, all_rows=all_rows)
    for note in result.notes:
        say(f"Note: {worded(note, shown)}")
    if working:
        for each in result.workings:
            say(each.text() + "\n")


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
    sections = list(dict.fromkeys((r["section"], r["begin"], r["end"]) for rows in found.values() for r in rows))
    cells = {(name, r["section"]): _cell(r, shown) for name, rows in found.items() for r in rows}
    rows = [
        [
            section,
            f"{format_station(begin, shown)} to {format_station(end, shown)}",
            *(cells.get((n, section), "") for n in found),
        ]
        for section, begin, end in sections
    ]
    total = [
        format_quantity(sum(r["cost"] for r in rows if r["cost"] == r["cost"]), "money") for rows in found.values()
    ]
    print_rows("Alternatives side by side", ["Section", "From to", *found], [*rows, ["Total cost", "", *total]])


def _cell(row: dict[str, Any], shown: System) -> str:
    """What one alternative gives one section: thickness of what is needed, life, fall of deflection, cost."""
    if not row["overlay"] > 0:
        return str(row["verdict"])
    overlay, needed = (format_quantity(row[k], "thickness", shown) for k in ("overlay", "bonded"))
    life, gained, fall = f"{row['years']:.0f}", f"{row['years_gained']:.0f}", f"{row['reduction']:.0%}"
    cost = format_quantity(row["cost"], "money")
    return f"{overlay} (needs {needed}), {life} years (+{gained}), deflection -{fall}, cost {cost}"
